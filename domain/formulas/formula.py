"""A formula as written, and the same in grams."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from domain.errors import DomainError, ErrorCollector, NeededError, OutOfRangeError
from domain.measures.quantities import Quantity, positive
from domain.notices import Notice
from domain.sources import Cited
from domain.things.conversion import EGG_PARTS, Thing, grams_per
from domain.things.eggs import NEARLY_WHOLE, EggClass, EggPart
from domain.things.ingredients import DRY_FORMS, density_of
from domain.tins.geometry import fill_of, volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import tin_notices

MOST_DOUGH_PIECES = 100_000_000  # our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # the key of a cache: identity is the fastest
class Line:
    """One ingredient with its amount; `name` is what the formula calls it."""

    name: str
    thing: Thing
    quantity: Quantity

    def __post_init__(self) -> None:
        """Refuse what cannot be weighed."""
        positive(self.quantity, "mass", "volume", "count")


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """How a dough is divided before baking: into `count` pieces, or pieces of `grams_each`."""

    count: int | None = None
    grams_each: float | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        above_zero(count=self.count, grams_each=self.grams_each)


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A part of a formula that is mixed by itself."""

    name: str
    lines: tuple[Line, ...]
    pieces: Division | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A recipe as written, for `tins` tins in which the batter stood `filled_depth_mm` high."""

    name: str
    components: tuple[Component, ...]
    tin: Tin | None = None
    tins: int = 1
    filled_depth_mm: float | None = None
    egg_class: EggClass | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        above_zero(tins=self.tins, filled_depth=self.filled_depth_mm)


class Mass(NamedTuple):
    """Grams, with the range in which they may lie; a tuple, since a formula for many tins makes hundreds."""

    grams: float
    low: float
    high: float

    def times(self, factor: float) -> "Mass":
        """So many times as much."""
        grams, low, high = self
        return Mass(grams * factor, low * factor, high * factor)


class WeighedLine(NamedTuple):
    """A line in grams; `spoon_g_per_ml` only if it is dry and its density known.

    A tuple, as `Mass`.
    """

    line: Line
    mass: Mass
    cited: tuple[Cited, ...]
    egg_part: EggPart | None
    spoon_g_per_ml: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """A dough's pieces: `exact` of `grams_each`, in practice `count` whole ones, which leave `leftover_grams`."""

    exact: float
    count: int
    grams_each: float
    leftover_grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedComponent:
    """A component in grams: the sum of its lines."""

    component: Component
    lines: tuple[WeighedLine, ...]
    mass: Mass
    pieces: Pieces | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EggTotal:
    """All of one part of the egg; `count` is exact and only there if every line counts in the formula's class."""

    part: EggPart
    mass: Mass
    count: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedFormula:
    """A formula in grams. `rises`: something in it raises the batter. `batter_ml` is per tin."""

    formula: Formula
    components: tuple[WeighedComponent, ...]
    mass: Mass
    eggs: tuple[EggTotal, ...]
    rises: bool
    batter_ml: float | None
    fill_percent: float | None
    notices: tuple[Notice, ...]


def weigh_formula(formula: Formula) -> WeighedFormula:
    """The formula in grams, component by component.

    Args:
        formula: as written.
    Returns:
        Each line's exact grams (the nearest double) with low and high, and the sums.
    Raises:
        DomainErrors: every line that cannot be weighed, each with its path.
    """
    findings, notices, components = ErrorCollector(), [], []
    for i, component in enumerate(formula.components):
        lines = []
        for j, line in enumerate(component.lines):
            try:
                weighed, told = weigh_line(line)
            except DomainError as error:
                findings.errors.append(error.within("components", i, "lines", j))
                continue
            lines.append(weighed)
            notices += [notice.within("components", i, "lines", j) for notice in told]
        if len(lines) == len(component.lines):  # or its mass, and so its pieces, cannot be known
            with findings.at("components", i, "pieces"):
                components.append(_weigh_component(component, tuple(lines)))
    findings.raise_if_any()
    if formula.tin is not None:
        notices += [notice.within("tin") for notice in tin_notices(formula.tin)]
    batter_ml, percent, told = _fill(formula)
    return WeighedFormula(
        formula=formula,
        components=tuple(components),
        mass=total([c.mass for c in components]),
        eggs=_eggs([line for component in components for line in component.lines]),
        rises=any(_raises(line) for component in formula.components for line in component.lines),
        batter_ml=batter_ml,
        fill_percent=percent,
        notices=(*notices, *told),
    )


def above_zero(**figures: float | None) -> None:
    """Check that the figures given are above zero.

    Args:
        figures: by name; None is left alone.
    Raises:
        OutOfRangeError: one is not.
    """
    for name, figure in figures.items():
        if figure is not None and not 0 < figure < math.inf:
            raise OutOfRangeError(f"{name} must be above 0 and finite.", path=(name,))


def total(masses: Iterable[Mass]) -> Mass:
    """The sum; low and high add up too, since errors of one table may all lie one way."""
    found = list(masses)
    if not found:
        return Mass(0.0, 0.0, 0.0)
    grams, low, high = zip(*found, strict=True)
    return Mass(math.fsum(grams), math.fsum(low), math.fsum(high))


def pieces_of(dough_g: float, grams_each: float) -> Pieces:
    """How many whole pieces of `grams_each` a dough makes, and what is left of it.

    Args:
        dough_g: all of it.
        grams_each: of one piece, above 0.
    Returns:
        The exact number, and the whole one below it.
    Raises:
        OutOfRangeError: a mass so small that there is no end of pieces.
    """
    if dough_g > grams_each * MOST_DOUGH_PIECES:
        raise OutOfRangeError(f"More than {MOST_DOUGH_PIECES:,} pieces of a dough.", path=("grams_each",))
    exact = dough_g / grams_each
    count = math.floor(exact * (1 + NEARLY_WHOLE))
    leftover_g = max(0.0, dough_g - count * grams_each)
    return Pieces(exact=exact, count=count, grams_each=grams_each, leftover_grams=leftover_g)


@lru_cache(maxsize=1024)  # a shop asks for the same formulas all day
def weigh_line(line: Line) -> tuple[WeighedLine, tuple[Notice, ...]]:
    """Convert a line to grams.

    Args:
        line: a line of a formula.
    Returns:
        The line in grams, and warnings about it.
    Raises:
        DomainError: the line cannot be weighed, for example because a volume has no density.
    """
    thing, amount = line.thing, line.quantity.amount
    rate = grams_per(line.quantity.unit, thing)
    egg_part, spoon_g_per_ml = _kind_of(thing)
    mass = Mass(*rate.of(amount.numerator, amount.denominator))
    notices = rate.notices
    if thing.ingredient is None:
        message = f"{line.name}: an ingredient of your own; nothing is known of it but what the line says."
        notices = (*notices, Notice(code="own_ingredient", message=message))
    return WeighedLine(line, mass, rate.cited, egg_part, spoon_g_per_ml), notices


@lru_cache(maxsize=1024)
def _kind_of(thing: Thing) -> tuple[EggPart | None, float | None]:
    """Which part of the egg it is, and grams in a millilitre if one may spoon it."""
    ingredient = thing.ingredient
    if ingredient is None:
        return None, None
    spoon = None
    if ingredient.form in DRY_FORMS and ingredient.densities:
        spoon = float(thing.g_per_ml or density_of(ingredient, thing.packing)[0].g_per_ml)
    return EGG_PARTS.get(ingredient.id), spoon


def _raises(line: Line) -> bool:
    return line.thing.ingredient is not None and line.thing.ingredient.raises


def _weigh_component(component: Component, lines: tuple[WeighedLine, ...]) -> WeighedComponent:
    mass, division, pieces = total([line.mass for line in lines]), component.pieces, None
    if division is not None:
        if division.grams_each is None and division.count is None:
            raise NeededError("Say count or grams_each.", code="pieces-needed")
        grams_each = division.grams_each or mass.grams / (division.count or 1)
        if grams_each > mass.grams * (1 + 1e-9):
            raise OutOfRangeError("One piece would be heavier than the whole component.", path=("grams_each",))
        pieces = pieces_of(mass.grams, grams_each)
    return WeighedComponent(component=component, lines=lines, mass=mass, pieces=pieces)


def _eggs(lines: list[WeighedLine]) -> tuple[EggTotal, ...]:
    totals = []
    for part in ("whole", "white", "yolk"):
        of_part = [line for line in lines if line.egg_part == part]
        if of_part:
            counted = all(line.line.quantity.unit.dimension == "count" for line in of_part)
            count = sum((line.line.quantity.amount for line in of_part), Fraction(0)) if counted else None
            totals.append(EggTotal(part=part, mass=total([line.mass for line in of_part]), count=count))
    return tuple(totals)


def _fill(formula: Formula) -> tuple[float | None, float | None, tuple[Notice, ...]]:
    walls = walls_of(formula.tin) if formula.tin is not None else None
    if formula.tin is None or walls is None or formula.filled_depth_mm is None:
        return None, None, ()
    batter_ml = volume_ml(walls, formula.filled_depth_mm)
    percent, notices = fill_of(formula.tin, batter_ml, formula.filled_depth_mm)
    return batter_ml, percent, tuple(notice.within("filled_depth") for notice in notices)
