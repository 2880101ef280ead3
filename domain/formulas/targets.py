"""What a formula is rescaled to: tins, a factor, a mass, portions, or nothing but the formula as written."""

from collections.abc import Sequence
from dataclasses import dataclass

from domain.errors import DomainError, ErrorCollector, NeededError, at_arguments
from domain.formulas.formula import Formula, above_zero
from domain.formulas.kinds import USUAL_FILL, kind_of
from domain.notices import Notice
from domain.pieces.counts import Division
from domain.tins.geometry import capacity_ml, depth_mm, fill_of, tin_factor, volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import tin_notices

_NO_DENSITY = (
    "How deep a mass stands depends on its density: give formula.g_per_ml, or formula.tin with the filled depth that"
    " the formula has in it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Portions:
    """A number of portions of `grams_each` after the oven, where the mix loses `bake_loss_percent`.

    `kept_share` is what the knife leaves of the bake, above 0 and at most 1: the rest is trim, knife cuts and offcut.
    """

    count: int
    grams_each: float
    bake_loss_percent: float
    kept_share: float = 1.0

    def __post_init__(self) -> None:
        """Reject figures that are not above 0."""
        above_zero(count=self.count, grams_each=self.grams_each, kept_share=self.kept_share)

    @property
    def mix_g(self) -> float:
        """The raw mix that leaves this much after oven and knife: count × grams_each / (1 - loss) / kept_share.

        >>> Portions(count=30, grams_each=70.0, bake_loss_percent=12.5).mix_g
        2400.0
        """
        return self.count * self.grams_each / (1 - self.bake_loss_percent / 100) / self.kept_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What to rescale to: a factor, a mass in grams, portions, `tins` tins, or the formula `as_written`.

    Tins are filled to `depth_mm`, or as is usual for the kind of mix if `fits_usually`, or else as deep as the
    formula's own tin. With a factor, a mass or portions, a tin is filled as deep as that mix stands in it. `pieces` is
    how the dough of this target is divided, instead of the formula's own division.
    """

    label: str
    tin: Tin | None = None
    tins: int = 1
    depth_mm: float | None = None
    fits_usually: bool = False
    factor: float | None = None
    grams: float | None = None
    portions: Portions | None = None
    pieces: Division | None = None
    as_written: bool = False

    def __post_init__(self) -> None:
        """Reject figures that are not above 0."""
        above_zero(tins=self.tins, depth=self.depth_mm, factor=self.factor, grams=self.grams)

    @property
    def has_amount(self) -> bool:
        """Whether the amount of mix is wanted, and not the fill of a tin."""
        return self.factor is not None or self.mix_g is not None

    @property
    def mix_g(self) -> float | None:
        """The raw mix wanted, if it is given as a mass."""
        return self.grams if self.portions is None else self.portions.mix_g


def target_as_written(formula: Formula, label: str = "", pieces: Division | None = None) -> Target:
    """The target that is the formula itself, in its own tins and as deep as it is written.

    Args:
        formula: as written.
        label: the caller's name for the target.
        pieces: how its dough is divided, if not as the formula says.
    Returns:
        The target, with the factor 1.
    """
    return Target(label=label, tin=formula.tin, tins=formula.tins, pieces=pieces, as_written=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The factor of a target, and how far the batter fills its tins."""

    factor: float
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    notices: tuple[Notice, ...] = ()


def fit_targets(formula: Formula, targets: Sequence[Target | None], errors: ErrorCollector) -> list[Fit | None]:
    """The factor of each target, as far as it does not depend on what the formula weighs.

    Args:
        formula: as written; lines that cannot be weighed are not reported.
        targets: what to rescale to; None for a target that is not to be answered.
        errors: collects the errors of the targets that cannot be answered, with paths as in `rescale`. An error
            about the formula is recorded once, not once for each target.
    Returns:
        One entry for each target, in order; None for a target that cannot be answered. The factor of a target in
        grams is still unknown, and 1 here; so is that of a usual fill if a line cannot be weighed.
    """
    own_errors, fits = ErrorCollector(), list[Fit | None]()
    for i, target in enumerate(targets):
        fit = None
        with own_errors.at():
            fit = None if target is None else _fit(formula, target, i)
        fits.append(fit)
    errors.errors += {(error.path, error.code): error for error in own_errors.errors}.values()
    return fits


def _fit(formula: Formula, target: Target, index: int) -> Fit:
    if target.has_amount:
        return Fit(factor=1.0 if target.factor is None else target.factor)
    if target.as_written:
        return _fit_as_written(formula)
    place = ("targets", index)
    if target.tin is None:
        raise NeededError("Give one of tin, factor, grams or portions.", path=place, code="target_needed")
    if formula.tin is None:
        message = "To fill another tin, the formula's own tin is needed: give formula.tin."
        raise NeededError(message, path=("formula", "tin"), code="tin_needed")
    if target.fits_usually:
        return _fit_as_usual(formula, target, place)
    with at_arguments(
        have=("formula", "tin"),
        filled_depth=("formula", "filled_depth"),
        want=(*place, "tin"),
        depth=(*place, "depth"),
        want_depth=(*place, "depth"),
    ):
        fit = tin_factor(
            formula.tin,
            target.tin,
            have_tins=formula.tins,
            want_tins=target.tins,
            filled_depth_mm=formula.filled_depth_mm,
            want_depth_mm=target.depth_mm,
        )
    notices = (*tin_notices(target.tin), *fit.notices)
    return Fit(factor=fit.factor, filled_depth_mm=fit.filled_depth_mm, fill_percent=fit.fill_percent, notices=notices)


def fit_of_mix(formula: Formula, target: Target, factor: float, grams: float) -> Fit:
    """How an amount of mix fills the target's tins.

    Args:
        formula: as written, with a tin and a filled depth or with its density.
        target: with a tin.
        factor: that the formula is multiplied by.
        grams: mass of the formula as written.
    Returns:
        The factor, and the depth and the fill of each tin; without them, but with a warning, if the density of the mix
        is not known.
    """
    if target.tin is None:
        return Fit(factor=factor)
    if not has_density(formula):
        return Fit(factor=factor, notices=(*tin_notices(target.tin), Notice("fill_unchecked", _NO_DENSITY)))
    each_ml = mix_ml(formula, grams) * factor / target.tins
    walls = walls_of(target.tin)
    height = None if walls is None else depth_mm(walls, each_ml)
    percent, notices = fill_of(target.tin, each_ml, height)
    return Fit(
        factor=factor, filled_depth_mm=height, fill_percent=percent, notices=(*tin_notices(target.tin), *notices)
    )


def mix_ml(formula: Formula, grams: float) -> float:
    """Volume of the raw mix: by its density if the formula has one, else what it fills in its own tins.

    Args:
        formula: as written.
        grams: its mass.
    Returns:
        Millilitres.
    Raises:
        NeededError: neither is known; the path starts with `formula`.
    """
    _check_density(formula)
    if formula.g_per_ml is not None:
        return grams / formula.g_per_ml
    walls = None if formula.tin is None else walls_of(formula.tin)
    return 0.0 if walls is None else volume_ml(walls, formula.filled_depth_mm or 0.0) * formula.tins


def _check_density(formula: Formula) -> None:
    if not has_density(formula):
        raise NeededError(
            _NO_DENSITY,
            path=("formula", "filled_depth" if formula.tin is not None else "tin"),
            code="filled_depth_needed" if formula.tin is not None else "tin_needed",
        )


def has_density(formula: Formula) -> bool:
    """Whether the density of a formula's mix is known: said, or by the depth that it fills its own tin to.

    Args:
        formula: as written.
    """
    fills = formula.tin is not None and walls_of(formula.tin) is not None and formula.filled_depth_mm is not None
    return formula.g_per_ml is not None or fills


def _fit_as_usual(formula: Formula, target: Target, place: tuple[str | int, ...]) -> Fit:
    """Fill each tin to the usual share of its capacity."""
    capacity = None if target.tin is None else capacity_ml(target.tin)
    if target.tin is None or capacity is None:
        raise NeededError(
            "Give the tin's depth: a usual fill is a share of its capacity.", path=(*place, "tin"), code="depth_needed"
        )
    _check_density(formula)
    try:
        weighed = [line.weighed for component in formula.components for line in component.lines]
    except DomainError:
        return Fit(factor=1.0)
    kind = formula.kind or kind_of([(line.thing.ingredient, line.mass.grams) for line in weighed])
    grams = sum(line.mass.grams for line in weighed)
    factor = USUAL_FILL[kind] * capacity * target.tins / mix_ml(formula, grams)
    return fit_of_mix(formula, target, factor, grams)


def _fit_as_written(formula: Formula) -> Fit:
    walls = None if formula.tin is None else walls_of(formula.tin)
    if formula.tin is None or walls is None or formula.filled_depth_mm is None:
        return Fit(factor=1.0)
    # The warnings about this tin and its fill are the formula's own.
    percent, _ = fill_of(formula.tin, volume_ml(walls, formula.filled_depth_mm), formula.filled_depth_mm)
    return Fit(factor=1.0, filled_depth_mm=formula.filled_depth_mm, fill_percent=percent)
