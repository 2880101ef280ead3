"""A formula as written, and the same in grams."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from domain.errors import DomainError, ErrorCollector, OutOfRangeError
from domain.formulas.amounts import amount_notice
from domain.formulas.kinds import FormulaKind, kind_of
from domain.formulas.plausibility import density_notices, fill_notices, tin_size_notices
from domain.measures.household import marked_cup_notice
from domain.measures.quantities import Quantity, positive
from domain.notices import Notice
from domain.pieces.counts import Division, Pieces, divide, piece_notices, vessels_of
from domain.sources import Cited
from domain.things.conversion import EGG_PARTS, Thing, grams_per
from domain.things.eggs import EggClass, EggPart
from domain.things.ingredients import DRY_FORMS, density_of
from domain.tins.geometry import fill_of, volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import tin_notices

_EGG_PARTS: tuple[EggPart, ...] = ("whole", "white", "yolk")  # in the order of an answer


class Mass(NamedTuple):
    """Grams with their bounds.

    A NamedTuple, because rescaling a formula to many tins creates hundreds of them.
    """

    grams: float
    low: float
    high: float

    def times(self, factor: float) -> "Mass":
        """This mass multiplied by *factor*."""
        grams, low, high = self
        return Mass(grams * factor, low * factor, high * factor)


class LineWeight(NamedTuple):
    """What a line weighs, and what is known of that.

    `egg_part` is set for whole egg, white and yolk; `spoon_g_per_ml` only for dry ingredients of known density.
    A NamedTuple for the same reason as `Mass`.
    """

    mass: Mass
    cited: tuple[Cited, ...]
    egg_part: EggPart | None
    spoon_g_per_ml: float | None
    notices: tuple[Notice, ...]


@dataclass(frozen=True, kw_only=True)  # without slots, which a cached property does not work with
class Line:
    """One ingredient with its amount.

    `name` is what the formula calls it. `shop_good` is True when the shop's list names this ingredient:
    then the line does not warn that nothing is known about it.
    """

    name: str
    thing: Thing
    quantity: Quantity
    shop_good: bool = False

    def __post_init__(self) -> None:
        """Reject quantities that are not a mass, a volume or a count above 0."""
        positive(self.quantity, "mass", "volume", "count")

    @cached_property
    def amount(self) -> float:
        """The amount as the nearest double, in the unit of the quantity."""
        amount = self.quantity.amount
        return amount.numerator / amount.denominator

    @cached_property
    def weight(self) -> LineWeight:
        """The line in grams.

        Raises:
            DomainError: the quantity cannot be converted to a mass. `path` names the field of `thing` that is
                missing or unknown, such as `egg_class`, or is empty.
        """
        amount, ingredient = self.quantity.amount, self.thing.ingredient
        rate = grams_per(self.quantity.unit, self.thing)
        mass = Mass(*rate.of(amount.numerator, amount.denominator))
        ingredient_id = None if ingredient is None else ingredient.id
        checks = (
            marked_cup_notice(amount, self.quantity.unit),
            amount_notice(self.amount, self.quantity.unit, ingredient_id),
        )
        notices = (*rate.notices, *(notice for notice in checks if notice is not None))
        if ingredient is None:
            message = f"{self.name}: an ingredient of your own; nothing is known of it but what the line says."
            notice = () if self.shop_good else (Notice(code="own_ingredient", message=message),)
            return LineWeight(mass, rate.cited, None, None, (*notices, *notice))
        spoon_g_per_ml = None
        if ingredient.form in DRY_FORMS and ingredient.densities:
            spoon_g_per_ml = float(self.thing.g_per_ml or density_of(ingredient, self.thing.packing)[0].g_per_ml)
        return LineWeight(mass, rate.cited, EGG_PARTS.get(ingredient.id), spoon_g_per_ml, notices)

    @cached_property  # since lines are shared between requests
    def weighed(self) -> "WeighedLine":
        """The line with its weight, without the warnings.

        Raises:
            DomainError: as `weight`.
        """
        weight = self.weight
        return WeighedLine(
            self.name,
            self.thing,
            self.quantity,
            self.amount,
            weight.mass,
            weight.cited,
            weight.egg_part,
            weight.spoon_g_per_ml,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A part of a formula that is mixed separately."""

    name: str
    lines: tuple[Line, ...]
    pieces: Division | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A recipe as written, for `tins` tins that it fills to `filled_depth_mm`, dough pieces in it included or not.

    `kind` is what the caller says that the mix is, and `g_per_ml` its density when raw; None where they do not say.
    """

    name: str
    components: tuple[Component, ...]
    tin: Tin | None = None
    tins: int = 1
    filled_depth_mm: float | None = None
    depth_with_pieces: bool = True
    egg_class: EggClass | None = None
    kind: FormulaKind | None = None
    g_per_ml: float | None = None

    def __post_init__(self) -> None:
        """Reject figures that are not above 0."""
        above_zero(tins=self.tins, filled_depth=self.filled_depth_mm, g_per_ml=self.g_per_ml)


class WeighedLine(NamedTuple):
    """A line in grams; the fields are those of `Line` and of `LineWeight`.

    A NamedTuple for the same reason as `Mass`.
    """

    name: str
    thing: Thing
    quantity: Quantity
    amount: float
    mass: Mass
    cited: tuple[Cited, ...]
    egg_part: EggPart | None
    spoon_g_per_ml: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedComponent:
    """A component in grams; `mass` is the sum of its lines."""

    component: Component
    lines: tuple[WeighedLine, ...]
    mass: Mass
    pieces: Pieces | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EggTotal:
    """The sum of all lines of one part of the egg; `count` is None unless every such line is a number of eggs."""

    part: EggPart
    mass: Mass
    count: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedFormula:
    """A formula in grams.

    `kind` is that of the mix, by its lines unless the formula says it.
    `batter_ml` and `fill_percent` are per tin, and None when the
    tin or the filled depth is not known. `notices` have the paths of `weigh_formula`'s argument.
    """

    formula: Formula
    components: tuple[WeighedComponent, ...]
    mass: Mass
    eggs: tuple[EggTotal, ...]
    kind: FormulaKind
    batter_ml: float | None
    fill_percent: float | None
    notices: tuple[Notice, ...]


def weigh_formula(formula: Formula) -> WeighedFormula:
    """Convert a formula to grams.

    Args:
        formula: as written.
    Returns:
        The exact grams of each line (the nearest double) with their bounds, and the sums.
    Raises:
        DomainErrors: one error for each line that cannot be weighed and each division that does not work. Paths
            start inside the formula: `("components", 0, "lines", 2, ...)`, or `("egg_class",)` if that is needed.
    """
    errors, notices, components = ErrorCollector(), list[Notice](), list[WeighedComponent]()
    for i, component in enumerate(formula.components):
        lines = []
        for j, line in enumerate(component.lines):
            try:
                lines.append(line.weighed)
            except DomainError as error:
                errors.errors.append(place_line_error(error, i, j))
                continue
            for notice in line.weight.notices:
                notices.append(notice.within("components", i, "lines", j))
        if len(lines) == len(component.lines):  # else its mass is not known
            with errors.at("components", i, "pieces"):
                part = _weigh_component(component, tuple(lines), formula)
                components.append(part)
                if part.pieces is not None:
                    of_pieces = piece_notices(part.pieces, component.name)
                    notices += [notice.within("components", i, "pieces") for notice in of_pieces]
    errors.errors = list({(error.path, error.code): error for error in errors.errors}.values())
    errors.raise_if_any()
    if formula.tin is not None:
        notices += [notice.within("tin") for notice in tin_notices(formula.tin)]
    lines_of_all = [line for component in components for line in component.lines]
    kind = formula.kind or kind_of([(line.thing.ingredient, line.mass.grams) for line in lines_of_all])
    mass = total([component.mass for component in components])
    batter_ml, percent, notices_of_fill = _fill(formula, mass, kind)
    return WeighedFormula(
        formula=formula,
        components=tuple(components),
        mass=mass,
        eggs=_eggs(lines_of_all),
        kind=kind,
        batter_ml=batter_ml,
        fill_percent=percent,
        notices=(*notices, *notices_of_fill),
    )


def place_line_error(error: DomainError, component: int, line: int) -> DomainError:
    """Give the error of a line its path inside the formula.

    Args:
        error: of `Line.weight`.
        component: the index of the line's component.
        line: the line's index in that component.
    Returns:
        The same error. A missing egg class is the formula's, not the line's.
    """
    return error if error.code == "egg_class_needed" else error.within("components", component, "lines", line)


def above_zero(**figures: float | None) -> None:
    """Check that figures are above zero and finite.

    Args:
        figures: by the name that an error gives them; None is not checked.
    Raises:
        OutOfRangeError: a figure is zero, negative, infinite or not a number; `path` is its name.
    """
    for name, figure in figures.items():
        if figure is not None and not 0 < figure < math.inf:
            raise OutOfRangeError(f"{name} must be above 0 and finite.", path=(name,), value=figure, limit=0)


def total(masses: Iterable[Mass]) -> Mass:
    """Add masses up; the bounds are added too, because errors of one table may all have the same sign.

    Args:
        masses: any number of them.
    Returns:
        The sum; 0 if there are none.
    """
    summands = list(masses)
    if len(summands) < 2:
        return summands[0] if summands else Mass(0.0, 0.0, 0.0)
    grams, low, high = zip(*summands, strict=True)
    return Mass(math.fsum(grams), math.fsum(low), math.fsum(high))


def _weigh_component(component: Component, lines: tuple[WeighedLine, ...], formula: Formula) -> WeighedComponent:
    mass, division, pieces = total([line.mass for line in lines]), component.pieces, None
    # Pieces for each portion are counted when the bake is cut: see `domain.formulas.portioning`.
    if division is not None and division.per_portion is None:
        pieces = divide(mass.grams, division, vessels_of(formula.tin, formula.tins))
    return WeighedComponent(component=component, lines=lines, mass=mass, pieces=pieces)


def _eggs(lines: list[WeighedLine]) -> tuple[EggTotal, ...]:
    by_part = dict[EggPart, list[WeighedLine]]()
    for line in lines:
        if line.egg_part is not None:
            by_part.setdefault(line.egg_part, []).append(line)
    return tuple([_egg_total(part, by_part[part]) for part in _EGG_PARTS if part in by_part])


def _egg_total(part: EggPart, lines: list[WeighedLine]) -> EggTotal:
    quantities = [line.quantity for line in lines]
    counted = all(quantity.unit.dimension == "count" for quantity in quantities)
    first, *others = [quantity.amount for quantity in quantities]
    return EggTotal(part=part, mass=total([line.mass for line in lines]), count=sum(others, first) if counted else None)


def _fill(formula: Formula, mass: Mass, kind: FormulaKind) -> tuple[float | None, float | None, tuple[Notice, ...]]:
    """Volume and fill of one tin, with the warnings about the tin, its fill and the density of the mix."""
    if formula.tin is None:
        return None, None, ()
    notices = [notice.within("tin") for notice in tin_size_notices(formula.tin)]
    walls = walls_of(formula.tin)
    if walls is None or formula.filled_depth_mm is None:
        return None, None, tuple(notices)
    batter_ml = volume_ml(walls, formula.filled_depth_mm)
    percent, of_fill = fill_of(formula.tin, batter_ml, formula.filled_depth_mm)
    checks = (*of_fill, *fill_notices(kind, formula.tin, percent, formula.filled_depth_mm))
    if mass.grams > 0:
        checks += density_notices(mass.grams, batter_ml * formula.tins)
    notices += [notice.within("filled_depth") for notice in checks]
    return batter_ml, percent, tuple(notices)
