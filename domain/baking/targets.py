"""The bake of a rescaled formula: a window of minutes for each target, from the bake of the formula's own tin."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from domain.baking.assumptions import BatterFigures
from domain.baking.bodies import cup_depth_mm
from domain.baking.calibration import TimedBake
from domain.baking.cases import USUAL_START_C, Bake, BatterPieces, TinMaterial
from domain.baking.core_safety import Caution, cautions
from domain.baking.mix_figures import mix_ranges
from domain.baking.oven import Oven
from domain.baking.oven_load import ONE_TIN, OvenLoad
from domain.baking.usual_cores import usual_core
from domain.baking.window import BakeEstimate, estimate_bake
from domain.errors import DomainError, DomainErrors, NeededError, OutOfRangeError, Path
from domain.formulas.formula import WeighedComponent, WeighedFormula
from domain.formulas.rescaling import Rescaled, ScaledComponent
from domain.notices import Notice
from domain.pieces.balls import ball_mm
from domain.pieces.counts import Division, Pieces
from domain.pieces.displacement import DOUGH_G_PER_ML
from domain.tins.shapes import CavitiesTin, Tin

MAX_WINDOWS_WITH_PIECES = 25  # our own limit: it bounds the work of one request


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaBake:
    """How a formula is baked in its own tin.

    A temperature that is None has its usual value. `rise` is the height while it bakes over the filled depth, and
    `conductivity` is in W/(m K); None if they follow from the formula.
    `references` are further bakes of the same formula that work, without its dough pieces.
    """

    oven: Oven
    material: TinMaterial
    minutes: float | None = None
    core_c: float | None = None
    start_c: float | None = None
    load: OvenLoad = ONE_TIN
    rise: float | None = None
    conductivity: float | None = None
    references: tuple[TimedBake, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeChange:
    """What differs in the bake of one target; a field that is None is as in the formula's own bake."""

    oven: Oven | None = None
    material: TinMaterial | None = None
    start_c: float | None = None
    load: OvenLoad | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetBake:
    """The bake of one target. `estimate` is None when no window can be known; `notices` then says why.

    Paths of `notices` start with `formula` or with `("targets", index)`.
    """

    oven: Oven
    core_c: float
    estimate: BakeEstimate | None
    cautions: tuple[Caution, ...]
    notices: tuple[Notice, ...]


def bake_targets(
    formula: WeighedFormula,
    bake: FormulaBake,
    targets: Sequence[Rescaled | None],
    changes: Sequence[BakeChange | None] = (),
) -> tuple[TargetBake | None, ...]:
    """Estimate the bake of each target.

    Args:
        formula: in grams.
        bake: how the formula is baked in its own tin.
        targets: the formula for each target; None for a target without an answer.
        changes: what differs for each target; empty if nothing does.
    Returns:
        One bake for each target, in order; None for a target without an answer. A target that cannot be estimated gets
        a warning instead of a window.
    Raises:
        OutOfRangeError: more than `MAX_WINDOWS_WITH_PIECES` windows with pieces in the batter.
    """
    with_pieces = pieces_in_batter(formula.components) is not None
    if bake.minutes is not None and with_pieces and len(targets) > MAX_WINDOWS_WITH_PIECES:
        raise OutOfRangeError(
            f"With pieces in the batter, windows for at most {MAX_WINDOWS_WITH_PIECES} targets at a time: ask for "
            "fewer targets, or leave out minutes.",
            path=("targets",),
            value=len(targets),
            limit=MAX_WINDOWS_WITH_PIECES,
        )
    core_c = usual_core(formula.kind).core_c if bake.core_c is None else bake.core_c
    own = mix_ranges(formula, rise=bake.rise, conductivity=bake.conductivity)
    reference: Bake | DomainError | DomainErrors
    try:
        reference = _reference(formula, bake)
    except (DomainError, DomainErrors) as error:
        reference = error
    return tuple(
        None if target is None else _bake_target(reference, bake, own, core_c, target, index, change or BakeChange())
        for index, (target, change) in enumerate(zip_longest(targets, changes))
    )


def pieces_in_batter(components: Sequence[WeighedComponent | ScaledComponent]) -> Pieces | None:
    """The dough pieces that sit in a batter.

    Args:
        components: of one formula.
    Returns:
        The heaviest pieces, since those heat most slowly. None if no component is divided into pieces, or if every
        component is: then there is no batter around them.
    """
    divided = [component.pieces for component in components if component.pieces is not None]
    return max(divided, key=lambda pieces: pieces.grams_each) if 0 < len(divided) < len(components) else None


def pieces_per_tin(count: int, tins: int) -> int:
    """How many pieces the fullest tin, or cup of a tray, gets.

    Args:
        count: of pieces in the whole mix.
        tins: tins or cups that they are spread over, at least 1.
    Returns:
        A whole number, at least 1.

    >>> pieces_per_tin(25, 2)
    13
    """
    return max(1, math.ceil(count / tins))


def _reference(formula: WeighedFormula, bake: FormulaBake) -> Bake:
    written = formula.formula
    if bake.minutes is None:
        raise NeededError("say how many minutes the formula's own bake takes.")
    if written.tin is None:
        raise NeededError("give the formula's tin, and how deep the batter stands in it (filled_depth).")
    if written.filled_depth_mm is None:
        place = "one cup of the formula's tray" if isinstance(written.tin, CavitiesTin) else "the formula's tin"
        raise NeededError(f"say how deep the batter stands in {place} (filled_depth).")
    return Bake(
        tin=written.tin,
        filled_depth_mm=written.filled_depth_mm,
        oven=bake.oven,
        start_c=_start_c(bake),
        material=bake.material,
        load=bake.load,
        pieces=_in_one_body(pieces_in_batter(formula.components), written.tin, written.tins, _start_c(bake)),
    )


def _bake_target(  # noqa: PLR0917 - one target of many, and what all of them share
    reference: Bake | DomainError | DomainErrors,
    bake: FormulaBake,
    batter: BatterFigures,
    core_c: float,
    target: Rescaled,
    index: int,
    change: BakeChange,
) -> TargetBake:
    oven = change.oven or bake.oven
    if not isinstance(reference, Bake):
        return _no_window(reference, oven, core_c, target, index)
    try:
        new_bake = _new_bake(reference, target, change)
        references = _references(reference, bake)
        estimate = estimate_bake(reference, bake.minutes or 0.0, new_bake, core_c, references, batter)
    except (DomainError, DomainErrors) as error:
        return _no_window(error, oven, core_c, target, index)
    notices = tuple(_of_formula_or_target(notice, target, index, change) for notice in estimate.notices)
    return TargetBake(oven=oven, core_c=core_c, estimate=estimate, cautions=estimate.cautions, notices=notices)


def _references(reference: Bake, bake: FormulaBake) -> tuple[TimedBake, ...]:
    """The further bakes, each with a dough piece in its middle if the formula has pieces."""
    pieces = None if reference.pieces is None else replace(reference.pieces, count=None)
    return tuple(replace(each, bake=replace(each.bake, pieces=pieces)) for each in bake.references)


def _new_bake(reference: Bake, target: Rescaled, change: BakeChange) -> Bake:
    tin, depth_mm = target.target.tin, target.filled_depth_mm
    if depth_mm is None and target.target.as_written:
        depth_mm = reference.filled_depth_mm
    elif isinstance(tin, CavitiesTin) and depth_mm is None and target.fill_percent is not None:
        depth_mm = cup_depth_mm(tin) * target.fill_percent / 100
    if tin is None or depth_mm is None:
        raise NeededError("give this target tin a shape and a size: how deep the batter stands in it must be known.")
    start_c = reference.start_c if change.start_c is None else change.start_c
    pieces = _in_one_body(pieces_in_batter(target.components), tin, target.target.tins, start_c)
    return replace(
        reference,
        tin=tin,
        filled_depth_mm=depth_mm,
        pieces=pieces,
        oven=change.oven or reference.oven,
        material=change.material or reference.material,
        start_c=start_c,
        load=change.load or reference.load,
    )


def _no_window(
    error: DomainError | DomainErrors, oven: Oven, core_c: float, target: Rescaled, index: int
) -> TargetBake:
    reasons = [each.detail for each in error.errors] if isinstance(error, DomainErrors) else [error.detail]
    notice = Notice(code="no_bake_window", message=f"No window: {' '.join(reasons)}", path=("targets", index))
    usual = cautions(pieces=pieces_in_batter(target.components) is not None)
    return TargetBake(oven=oven, core_c=core_c, estimate=None, cautions=usual, notices=(notice,))


def _start_c(bake: FormulaBake) -> float:
    return USUAL_START_C if bake.start_c is None else bake.start_c


def _in_one_body(pieces: Pieces | None, tin: Tin, tins: int, batter_c: float) -> BatterPieces | None:
    """The pieces in one tin, or in one cup of a tray: each cup heats by itself."""
    if pieces is None:
        return None
    division = pieces.division or Division(grams_each=pieces.grams_each)
    diameter_mm = division.diameter_mm
    if diameter_mm is None:
        diameter_mm = ball_mm(pieces.grams_each, division.g_per_ml or DOUGH_G_PER_ML)
    return BatterPieces(
        diameter_mm=diameter_mm,
        start_c=batter_c if division.start_c is None else division.start_c,
        count=pieces_per_tin(pieces.count, tins * (tin.count if isinstance(tin, CavitiesTin) else 1)),
    )


def _of_formula_or_target(notice: Notice, target: Rescaled, index: int, change: BakeChange) -> Notice:
    """Turn a path of `estimate_bake` (`reference`, `target`) into one of `bake_targets` (`formula`, `targets`)."""
    side, *field = notice.path
    path: Path = ("formula",) if side == "reference" else ("targets", index)
    if field == ["tin"]:
        path = (*path, "tin")
    elif field == ["filled_depth"] and side == "reference":
        path = (*path, "filled_depth")
    elif field == ["filled_depth"] and target.target.depth_mm is not None:
        path = (*path, "depth")
    elif field[:1] == ["oven"]:
        path = (*path, "bake", "oven") if change.oven is not None else ("formula", "bake", "oven")
    return notice.at(*path)
