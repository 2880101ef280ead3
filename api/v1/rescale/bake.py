"""Oven and window for every target of a formula that says how it is baked."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from api.v1.bake.reading import assumed, read_celsius, read_oven_in
from api.v1.bake.routes import cautions_answer, window_answer
from api.v1.bake.schemas import FormulaBakeIn
from api.v1.oven.schemas import OvenRequest
from api.wire.answers import warnings, without_none
from domain.baking.cases import TIN_MATERIALS, USUAL_START_C, Bake, BatterPieces, piece_diameter_mm
from domain.baking.core_safety import cautions
from domain.baking.oven import Oven, fahrenheit, nearest_half_mark, read_oven
from domain.baking.window import USUAL_CORE_C, BakeEstimate, estimate_bake
from domain.errors import DomainError, NeededError, OutOfRangeError, at_path
from domain.formulas.formula import Pieces, WeighedComponent, WeighedFormula
from domain.formulas.rescaling import Rescaled, ScaledComponent
from domain.notices import Notice

_PATH = ("formula", "bake")
MOST_WINDOWS_WITH_PIECES = 25  # our own limit: each takes one or two thousandths of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What the formula says of its bake."""

    oven: Oven
    minutes: float | None
    core_c: float
    start_c: float
    piece_start_c: float
    material: str
    weighed: WeighedFormula


def target_bakes(given: FormulaBakeIn | None, weighed: WeighedFormula, results: tuple[Rescaled, ...]) -> list[Any]:
    """One answer a target, in order; None for all of them if the formula names no oven.

    Args:
        given: the formula's `bake`.
        weighed: the formula.
        results: the formula for each target.
    Raises:
        DomainError: something in `bake` cannot be read; what cannot be estimated is a warning instead.
    """
    if given is None or given.oven is None:
        return [None] * len(results)
    inside = _pieces_inside(weighed.components) is not None
    if given.minutes is not None and inside and len(results) > MOST_WINDOWS_WITH_PIECES:
        raise OutOfRangeError(
            f"With pieces in the batter, windows for at most {MOST_WINDOWS_WITH_PIECES} tins at a time: ask for fewer "
            "targets, or leave out minutes.",
            path=("targets",),
        )
    said = _read(given, given.oven, weighed)
    oven, told = _setting(said.oven), [] if given.minutes is None else assumed(given)
    return [
        {"oven": oven, "core_celsius": said.core_c} | _window(said, result, index, told)
        for index, result in enumerate(results)
    ]


def _read(given: FormulaBakeIn, oven: str | OvenRequest, weighed: WeighedFormula) -> _Known:
    with at_path(*_PATH):
        start, core, piece = given.start_temperature, given.core_temperature, given.piece_start_temperature
        start_c = USUAL_START_C if start is None else read_celsius(start, "start_temperature")
        return _Known(
            oven=read_oven_in(oven, given.fan),
            minutes=given.minutes,
            core_c=USUAL_CORE_C if core is None else read_celsius(core, "core_temperature"),
            start_c=start_c,
            piece_start_c=start_c if piece is None else read_celsius(piece, "piece_start_temperature"),
            material=given.tin_material or "dull_metal",
            weighed=weighed,
        )


def _window(said: _Known, result: Rescaled, index: int, told: list[Notice]) -> dict[str, Any]:
    pieces = _pieces_inside(result.components) is not None
    try:
        found = _estimate(said, result)
    except DomainError as error:
        notice = Notice(code="no_bake_window", message=f"No window: {error.detail}", path=("targets", index))
        return {"cautions": cautions_answer(cautions(pieces=pieces)), "warnings": warnings([notice])}
    notices = [n.within(*_PATH) for n in told] + [_placed(n, index) for n in found.notices]
    return {
        **window_answer(found),
        "cautions": cautions_answer(found.cautions),
        "warnings": warnings(notices),
    }


def _estimate(said: _Known, result: Rescaled) -> BakeEstimate:
    formula, target = said.weighed.formula, result.target
    if said.minutes is None:
        raise NeededError("give minutes in the formula's bake.")
    if formula.tin is None or formula.filled_depth_mm is None:
        raise NeededError("give the formula's tin and filled_depth.")
    if target.tin is None or result.filled_depth_mm is None:
        raise NeededError("it needs a target tin whose depth of batter is known.")
    before = _pieces_inside(said.weighed.components)
    after = _pieces_inside(result.components)
    reference, wanted = (
        Bake(
            tin=tin, filled_depth_mm=depth, oven=said.oven, start_c=said.start_c,
            material=TIN_MATERIALS[said.material], pieces=_in_batter(pieces, tins, said.piece_start_c),
        )
        for tin, depth, pieces, tins in (
            (formula.tin, formula.filled_depth_mm, before, formula.tins),
            (target.tin, result.filled_depth_mm, after, target.tins),
        )
    )  # fmt: skip
    return estimate_bake(reference, said.minutes, wanted, said.core_c)


def _pieces_inside(components: Sequence[WeighedComponent | ScaledComponent]) -> Pieces | None:
    """The pieces of a dough, if there is a batter without pieces that they sit in."""
    pieces = [component.pieces for component in components if component.pieces is not None]
    return max(pieces, key=lambda p: p.grams_each) if pieces and len(pieces) < len(components) else None


def _in_batter(pieces: Pieces | None, tins: int, start_c: float) -> BatterPieces | None:
    if pieces is None:
        return None
    diameter = piece_diameter_mm(pieces.grams_each)
    return BatterPieces(diameter_mm=diameter, start_c=start_c, count=max(1, math.ceil(pieces.count / tins)))


def _placed(notice: Notice, index: int) -> Notice:
    """A warning of the estimate, pointing into this request."""
    side, rest = notice.path[0], notice.path[1:]
    if rest[:1] in {("oven",), ("pieces",), ("tin_material",)}:
        return Notice(code=notice.code, message=notice.message, path=_PATH)
    place, depth = (("formula",), "filled_depth") if side == "reference" else (("targets", index), "depth")
    rest = (depth,) if rest == ("filled_depth",) else rest
    return Notice(code=notice.code, message=notice.message, path=(*place, *rest))


@lru_cache(maxsize=1024)
def _setting(oven: Oven) -> dict[str, Any]:
    """Shared between answers, so nobody may change it."""
    reading = read_oven(oven)
    mark = None if reading.gas_mark is None else reading.gas_mark.amount
    amounts = {
        "celsius": reading.celsius.amount,
        "fahrenheit": fahrenheit(reading.celsius).amount,
        "fan_celsius": reading.fan_celsius.amount,
        "fan_fahrenheit": fahrenheit(reading.fan_celsius).amount,
        "gas_mark": mark,
        "gas_mark_nearest": None if mark is None else nearest_half_mark(mark),
    }
    return without_none(**{name: None if amount is None else float(amount) for name, amount in amounts.items()})
