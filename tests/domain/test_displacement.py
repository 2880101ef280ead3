"""Batter lifted by the pieces in it, and the cautions that go with a formula."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.formulas.cautions import raw_cautions
from domain.formulas.formula import Formula, weigh_formula
from domain.pieces.counts import Division, divide, vessels_of
from domain.pieces.displacement import batter_lift
from domain.tins.geometry import volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import parse_tin
from tests import formulas
from tests.strategies import LAW, tins_with_walls


@LAW
@given(tins_with_walls(), st.floats(20, 60), st.floats(20, 400), st.integers(1, 3), st.booleans())
def test_the_pieces_displace_their_volume(tin: Tin, depth: float, dough_g: float, tins: int, with_pieces: bool) -> None:
    pieces = divide(dough_g, Division(grams_each=10.0, g_per_ml=1.1), vessels_of(tin, tins))
    lift, walls = batter_lift(tin, depth, [pieces], measured_with_pieces=with_pieces), walls_of(tin)
    assert walls is not None
    if lift is None:
        assert dough_g / tins / 1.1 >= volume_ml(walls, depth) * (1 - 1e-9)
        return
    displaced = volume_ml(walls, lift.with_pieces_mm) - volume_ml(walls, lift.without_pieces_mm)
    assert displaced == pytest.approx(dough_g / tins / 1.1, rel=1e-6)
    assert lift.lift_mm == pytest.approx(lift.with_pieces_mm - lift.without_pieces_mm)
    assert (lift.with_pieces_mm if with_pieces else lift.without_pieces_mm) == pytest.approx(depth)


def test_pieces_that_lift_the_batter_over_the_rim_have_a_warning() -> None:
    tin = parse_tin("square 20 x 4 cm")
    pieces = divide(280.0, Division(count=24), vessels_of(tin, 1))
    assert not batter_lift(tin, 38.0, [pieces]).notices  # type: ignore[union-attr]  # it has a shape
    (notice,) = batter_lift(tin, 38.0, [pieces], measured_with_pieces=False).notices  # type: ignore[union-attr]  # as above
    assert notice.code == "past_rim"


def formula(*names: str, pieces: bool = False) -> Formula:
    mix = formulas.component(*((name, "100 g") for name in names))
    nuggets = formulas.component((names[0], "100 g"), name="nuggets", pieces=Division(count=4))
    return formulas.formula(mix, *[nuggets] * pieces)


CAUTIONED = [  # common practice: raw flour and raw egg are not eaten, pieces in a batter cook last
    (("plain-flour", "butter"), False, {"raw_flour"}),
    (("egg", "ground-almonds"), False, {"raw_egg"}),
    (("plain-flour", "egg"), True, {"raw_flour", "raw_egg", "pieces_last"}),
    (("butter", "caster-sugar"), False, set()),
    (("a mix of my own",), False, {"raw_flour", "raw_egg"}),
]


@pytest.mark.parametrize(("names", "pieces", "ids"), CAUTIONED, ids=[" ".join(row[0]) for row in CAUTIONED])
def test_cautions_are_those_of_what_is_in_the_formula(names: tuple[str, ...], pieces: bool, ids: set[str]) -> None:
    assert {caution.id for caution in raw_cautions(weigh_formula(formula(*names, pieces=pieces)))} == ids
