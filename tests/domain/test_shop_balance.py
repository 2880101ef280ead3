"""Laws of baker's percentages: there and back, scale changes nothing, the base is 100."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, MismatchError, NeededError, OutOfRangeError, UnknownError
from domain.measures.quantities import parse_quantity
from domain.shop.balance import balance, compare, grams_of
from domain.shop.goods import EMPTY_BOOK, Good, Pack, find_good, make_book, pack_grams
from tests.domain.shop_kitchen import EU_M, good, weighed
from tests.strategies import LAW

masses = st.floats(0.5, 10_000)
doughs = st.fixed_dictionaries(
    {"strong white flour": masses, "water": masses, "salt": masses}, optional={"butter": masses, "egg": masses}
)


@LAW
@given(lines=doughs)
def test_there_and_back_again(lines: dict[str, float | str]) -> None:
    found = balance(weighed(lines), EMPTY_BOOK)
    back = grams_of([one.percent for one in found.lines], found.mass.grams)
    assert back == pytest.approx([one.use.mass.grams for one in found.lines])


@LAW
@given(lines=doughs, factor=st.floats(0.1, 20))
def test_scale_changes_no_percentage(lines: dict[str, float], factor: float) -> None:
    one = balance(weighed(lines), EMPTY_BOOK)
    other = balance(weighed({name: grams * factor for name, grams in lines.items()}), EMPTY_BOOK)
    assert [a.percent for a in one.lines] == pytest.approx([b.percent for b in other.lines])
    for part in ("hydration", "sugar", "fat", "egg", "leavening"):
        assert getattr(one, part).percent == pytest.approx(getattr(other, part).percent)


@LAW
@given(percents=st.lists(st.floats(0.01, 500), min_size=1, max_size=12), mix_g=st.floats(1, 1e6))
def test_grams_add_up_to_the_mix(percents: list[float], mix_g: float) -> None:
    assert math.fsum(grams_of(percents, mix_g)) == pytest.approx(mix_g)


def test_flours_together_are_the_hundred() -> None:
    found = balance(weighed({"strong white flour": 800, "wholemeal flour": 200, "water": 650}), EMPTY_BOOK)
    assert math.fsum(one.percent for one in found.lines if one.is_base) == pytest.approx(100)
    # Tap water is 99.9 % water: usda-sr26, NDB 14411.
    assert found.hydration.percent == pytest.approx(65 * 0.999)


def test_milk_and_egg_hydrate_by_what_they_hold() -> None:
    # usda-sr26: milk 88.13 % water (NDB 01077), egg 76.15 % (NDB 01123)
    found = balance(weighed({"plain flour": 100, "whole milk": 50, "egg": 40}), EMPTY_BOOK)
    assert found.hydration.percent == pytest.approx(50 * 0.8813 + 40 * 0.7615)
    assert found.egg.percent == pytest.approx(40)


def test_without_flour_the_heaviest_dry_thing_is_the_hundred_and_no_sugar() -> None:
    found = balance(weighed({"ground almonds": 200, "granulated sugar": 300, "egg": 250}), EMPTY_BOOK)
    assert (found.base_kind, found.lines[0].percent, found.lines[1].percent) == ("largest_dry", 100, 150)


def test_a_base_may_be_named_and_must_be_there() -> None:
    mix = weighed({"WHARF BLEND": 500, "water": 300})
    assert balance(mix, EMPTY_BOOK, ["wharf blend"]).base_kind == "named"
    with pytest.raises(NeededError):
        balance(mix, EMPTY_BOOK)
    with pytest.raises(UnknownError):
        balance(mix, EMPTY_BOOK, ["plain flour"])
    with pytest.raises(UnknownError):
        balance(mix, EMPTY_BOOK, component="icing")


def test_unknown_composition_is_named() -> None:
    found = balance(weighed({"plain flour": 100, "WHARF CREAM": 50}), EMPTY_BOOK)
    assert found.hydration.missing == ("WHARF CREAM",)
    assert found.hydration.coverage_percent == 0


def test_two_formulas_side_by_side() -> None:
    one = balance(weighed({"plain flour": 100, "butter": 60}), EMPTY_BOOK)
    other = balance(weighed({"plain flour": 200, "butter": 80, "egg": 40}), EMPTY_BOOK)
    rows = compare(one, other)
    assert [(row.first_percent, row.second_percent, row.difference) for row in rows] == [
        (100, 100, 0), (60, 40, -20), (None, 20, 20),
    ]  # fmt: skip


@pytest.mark.parametrize(("percents", "grams"), [([], 10.0), ([0.0], 10.0), ([-1.0, 5.0], 10.0), ([100.0], 1e9)])
def test_nothing_and_too_much_are_refused(percents: list[float], grams: float) -> None:
    with pytest.raises((OutOfRangeError, ValueError)):
        grams_of(percents, grams)


def test_request_rows_win_over_the_shop_file() -> None:
    file = make_book([good("plain flour", ("1 kg", "1.00")), good("butter", ("1 kg", "9.00"))])
    both = make_book([Good(name="wharf flour", ingredient=file.goods[0].ingredient)], file)
    assert [one.name for one in both.goods] == ["butter", "wharf flour"]
    found = find_good(both, "all-purpose flour")
    assert found is not None
    assert found.name == "wharf flour"


def test_two_goods_of_one_ingredient_must_be_told_apart() -> None:
    flour = good("plain flour").ingredient
    both = make_book([Good(name="wharf flour", ingredient=flour), Good(name="mill flour", ingredient=flour)])
    assert find_good(both, "Mill Flour") is both.goods[1]
    with pytest.raises(AmbiguousError) as refused:
        find_good(both, "plain flour")
    assert refused.value.candidates == ("wharf flour", "mill flour")
    with pytest.raises(AmbiguousError):
        make_book([Good(name="a"), Good(name="A")])


def test_packs_weigh_what_their_good_does() -> None:
    eggs = good("egg", ("30 each", "5.40"))
    assert float(pack_grams(eggs, eggs.packs[0], EU_M)) == pytest.approx(30 * 51.37, rel=1e-3)
    milk = good("whole milk", ("2 l", None))
    # usda-sr26, NDB 01077: 244 g in a US cup
    assert float(pack_grams(milk, milk.packs[0], None)) == pytest.approx(2000 * 244 / 236.5882365)
    with pytest.raises(OutOfRangeError):
        pack_grams(eggs, Pack(size=parse_quantity("0.01 g")), None)
    with pytest.raises(MismatchError):
        Pack(size=parse_quantity("20 cm"))
