"""Hypothesis strategies for units, tins, lines and formulas, an egg of any mass, and a short form of a conversion."""

from fractions import Fraction

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from domain.formulas.formula import Component, Formula, Line
from domain.measures.quantities import Quantity, parse_quantity
from domain.measures.units import UNITS, Dimension, Measures, Unit
from domain.pieces.counts import Division
from domain.things.conversion import Converted, Thing, convert
from domain.things.eggs import EGG_CLASSES, EggClass
from domain.things.ingredients import INGREDIENTS, Ingredient
from domain.tins.shapes import (
    CavitiesTin,
    PolygonTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
)

LAW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
HEAVY_LAW = settings(LAW, max_examples=20)  # for whole formulas, in which each line is an example by itself


def converted(
    quantity: str | Quantity, to: str | Unit, thing: Thing | None = None, measures: Measures | None = None
) -> Converted:
    """Convert a quantity, given as text or as an object, to another unit."""
    parsed = parse_quantity(quantity, measures) if isinstance(quantity, str) else quantity
    unit = UNITS[to] if isinstance(to, str) else to
    return convert((parsed.amount.numerator, parsed.amount.denominator), parsed.unit, unit, thing or Thing())


def egg_of(shell_on_g: float) -> EggClass:
    """A class of eggs that all weigh the same in their shells."""
    return EggClass(
        id="any",
        region="",
        label="",
        min_g=shell_on_g,
        max_g=shell_on_g,
        typical_g=shell_on_g,
        edible_g=None,
        open_end="",
        cited=(),
    )


def units_of(*dimensions: Dimension, vague: bool = False) -> list[Unit]:
    """Every unit of one of these dimensions; vague units only on request."""
    return [unit for unit in UNITS.values() if unit.dimension in dimensions and unit.vague <= vague]


MEASURED: list[tuple[Ingredient, str | None]] = [
    (ingredient, packing)
    for ingredient in INGREDIENTS.values()
    if ingredient.densities
    for packing in (None, *ingredient.densities)
]

amounts = st.fractions(min_value=Fraction(1, 64), max_value=2_000, max_denominator=64)
factors = st.floats(0.01, 50)
lengths_mm = st.floats(40, 600)
depths_mm = st.floats(20, 120)
counts = st.integers(1, 12)
egg_classes: st.SearchStrategy[EggClass] = st.sampled_from(list(EGG_CLASSES.values()))
measured = st.sampled_from(MEASURED)


def upright_tins() -> st.SearchStrategy[Tin]:
    """Tins with straight walls and a depth; a corner radius on some."""
    return st.one_of(
        st.builds(SquareTin, side_mm=lengths_mm, depth_mm=depths_mm, corner_radius_mm=st.floats(0, 20)),
        st.builds(
            RectangleTin,
            length_mm=lengths_mm,
            width_mm=lengths_mm,
            depth_mm=depths_mm,
            corner_radius_mm=st.floats(0, 20),
        ),
        st.builds(RoundTin, diameter_mm=lengths_mm, depth_mm=depths_mm),
        st.builds(RingTin, diameter_mm=st.floats(150, 400), hole_mm=st.floats(20, 140), depth_mm=depths_mm),
        st.builds(PolygonTin, sides=st.integers(3, 20), across_flats_mm=lengths_mm, depth_mm=depths_mm),
    )


def tapered_tins() -> st.SearchStrategy[Tin]:
    """Tins whose walls slope, outwards or inwards."""
    return st.one_of(
        st.builds(
            TaperedRectangleTin,
            top_length_mm=lengths_mm,
            top_width_mm=lengths_mm,
            base_length_mm=lengths_mm,
            base_width_mm=lengths_mm,
            depth_mm=depths_mm,
        ),
        st.builds(TaperedRoundTin, top_diameter_mm=lengths_mm, base_diameter_mm=lengths_mm, depth_mm=depths_mm),
    )


def tins_with_walls() -> st.SearchStrategy[Tin]:
    """Every shape whose walls are known."""
    return st.one_of(upright_tins(), tapered_tins())


def any_tins() -> st.SearchStrategy[Tin]:
    """Every shape, including cavities."""
    return st.one_of(tins_with_walls(), st.builds(CavitiesTin, count=st.integers(1, 24), volume_ml=st.floats(20, 300)))


@st.composite
def weighable_lines(draw: st.DrawFn, egg_class: EggClass) -> Line:
    """A line that can be weighed: by mass, by volume, or eggs by number."""
    if draw(st.integers(0, 4)) == 0:
        part = draw(st.sampled_from(["egg", "egg-yolk", "egg-white"]))
        quantity = Quantity(
            amount=Fraction(draw(st.integers(1, 24)), draw(st.sampled_from([1, 2]))), unit=UNITS["each"]
        )
        return Line(name=part, thing=Thing(ingredient=INGREDIENTS[part], egg_class=egg_class), quantity=quantity)
    ingredient, packing = draw(measured)
    unit = draw(st.sampled_from(units_of("mass", "volume", vague=True)))
    # Up to about ten kilograms a line in any unit.
    amount = draw(st.fractions(min_value=Fraction(1, 8), max_value=10_000, max_denominator=16)) / max(
        Fraction(1), unit.factor
    )
    return Line(
        name=ingredient.british,
        thing=Thing(ingredient=ingredient, packing=packing, egg_class=egg_class),
        quantity=Quantity(amount=amount, unit=unit),
    )


@st.composite
def formulas(draw: st.DrawFn, *, eggs: bool = False, tin: bool = True) -> Formula:
    """A formula of one to three components, with eggs by number on request."""
    egg_class = draw(egg_classes)
    components = []
    for index in range(draw(st.integers(1, 3))):
        lines = draw(st.lists(weighable_lines(egg_class), min_size=1, max_size=5))
        pieces = draw(st.none() | st.builds(Division, count=st.integers(1, 60))) if index else None
        components.append(Component(name=f"part {index}", lines=tuple(lines), pieces=pieces))
    if eggs:
        thing = Thing(ingredient=INGREDIENTS["egg"], egg_class=egg_class)
        line = Line(name="egg", thing=thing, quantity=Quantity(amount=Fraction(draw(counts)), unit=UNITS["each"]))
        components.append(Component(name="eggs", lines=(line,)))
    return Formula(
        name="a formula",
        components=tuple(components),
        tin=draw(tins_with_walls()) if tin else None,
        tins=draw(counts) if tin else 1,
        filled_depth_mm=draw(st.floats(10, 60)) if tin else None,
        egg_class=egg_class,
    )
