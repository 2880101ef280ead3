"""Laws of baker's percentages: round trips, independence of scale, a base of 100."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, DomainErrors, MismatchError, NeededError, OutOfRangeError, UnknownError
from domain.measures.quantities import parse_quantity
from domain.shop.balance import balance, compare, grams_from_percentages, pieces_mix_g
from domain.shop.goods import EMPTY_BOOK, Good, Pack, find_good, make_book, pack_grams
from tests.domain.shop_kitchen import EU_M, good, labelled, weighed
from tests.strategies import LAW

masses = st.floats(0.5, 10_000)
doughs = st.fixed_dictionaries(
    {"strong white flour": masses, "water": masses, "salt": masses}, optional={"butter": masses, "egg": masses}
)


@LAW
@given(lines=doughs)
def test_percentages_give_the_grams_back(lines: dict[str, float | str]) -> None:
    result = balance(weighed(lines), EMPTY_BOOK)
    back = grams_from_percentages([line.percent for line in result.lines], result.mass.grams)
    assert back == pytest.approx([line.use.mass.grams for line in result.lines])


@LAW
@given(lines=doughs, factor=st.floats(0.1, 20))
def test_scale_changes_no_percentage(lines: dict[str, float], factor: float) -> None:
    first = balance(weighed(lines), EMPTY_BOOK)
    second = balance(weighed({name: grams * factor for name, grams in lines.items()}), EMPTY_BOOK)
    assert [a.percent for a in first.lines] == pytest.approx([b.percent for b in second.lines])
    for part in ("hydration", "sugar", "fat", "egg", "leavening"):
        assert getattr(first, part).percent == pytest.approx(getattr(second, part).percent)


@LAW
@given(percents=st.lists(st.floats(0.01, 500), min_size=1, max_size=12), mix_g=st.floats(1, 1e6))
def test_grams_add_up_to_the_mix(percents: list[float], mix_g: float) -> None:
    assert math.fsum(grams_from_percentages(percents, mix_g)) == pytest.approx(mix_g)


def test_all_flours_together_are_the_base() -> None:
    result = balance(weighed({"strong white flour": 800, "wholemeal flour": 200, "water": 650}), EMPTY_BOOK)
    assert math.fsum(line.percent for line in result.lines if line.is_base) == pytest.approx(100)
    # Tap water is 99.9 % water: usda-sr28, NDB 14411.
    assert result.hydration.percent == pytest.approx(65 * 0.999)


def test_the_water_in_milk_and_egg_is_counted() -> None:
    # usda-sr28: milk 88.13 % water (NDB 01077), egg 76.15 % (NDB 01123)
    result = balance(weighed({"plain flour": 100, "whole milk": 50, "egg": 40}), EMPTY_BOOK)
    assert result.hydration.percent == pytest.approx(50 * 0.8813 + 40 * 0.7615)
    assert result.egg.percent == pytest.approx(40)


def test_without_flour_the_base_is_the_heaviest_dry_ingredient_except_sugar() -> None:
    result = balance(weighed({"ground almonds": 200, "granulated sugar": 300, "egg": 250}), EMPTY_BOOK)
    assert (result.base_kind, result.lines[0].percent, result.lines[1].percent) == ("largest_dry", 100, 150)


def test_a_named_base_must_be_in_the_formula() -> None:
    mix = weighed({"WHARF BLEND": 500, "water": 300})
    assert balance(mix, EMPTY_BOOK, ["wharf blend"]).base_kind == "named"
    with pytest.raises(NeededError):
        balance(mix, EMPTY_BOOK)
    with pytest.raises(DomainErrors) as refused:
        balance(mix, EMPTY_BOOK, ["plain flour", "water", "butter"])
    assert [(error.path, error.code) for error in refused.value.errors] == [
        (("base", 0), "unknown_base"),
        (("base", 2), "unknown_base"),
    ]
    with pytest.raises(UnknownError):
        balance(mix, EMPTY_BOOK, component="icing")


def test_ingredients_without_composition_are_named() -> None:
    result = balance(weighed({"plain flour": 100, "WHARF CREAM": 50}), EMPTY_BOOK)
    assert result.hydration.missing == ("WHARF CREAM",)
    assert result.hydration.coverage_percent == 0


def test_two_formulas_are_compared_line_by_line() -> None:
    first = balance(weighed({"plain flour": 100, "butter": 60}), EMPTY_BOOK)
    second = balance(weighed({"plain flour": 200, "butter": 80, "egg": 40}), EMPTY_BOOK)
    rows = compare(first, second)
    assert [(row.first_percent, row.second_percent, row.difference) for row in rows] == [
        (100, 100, 0),
        (60, 40, -20),
        (None, 20, 20),
    ]


@pytest.mark.parametrize(
    ("percents", "grams", "arguments"),
    [
        ([], 10.0, ["percentages"]),
        ([0.0], 10.0, ["percentages"]),
        ([-1.0, 5.0], 10.0, ["percentages"]),
        ([100.0], 1e9, ["mix_g"]),
        ([0.0], 0.0, ["percentages", "mix_g"]),
    ],
)
def test_zero_and_excessive_amounts_are_rejected(percents: list[float], grams: float, arguments: list[str]) -> None:
    with pytest.raises(DomainErrors) as refused:
        grams_from_percentages(percents, grams)
    assert [error.path for error in refused.value.errors] == [(argument,) for argument in arguments]


def test_the_mix_for_pieces_has_a_limit() -> None:
    assert pieces_mix_g(40, 55.5) == pytest.approx(2220)
    with pytest.raises(OutOfRangeError):
        pieces_mix_g(100_000, 100_000)


def test_rows_of_a_request_replace_those_of_the_shop_file() -> None:
    file = make_book([good("plain flour", ("1 kg", "1.00")), good("butter", ("1 kg", "9.00"))])
    both = make_book([Good(name="wharf flour", ingredient=file.goods[0].ingredient)], file)
    assert [item.name for item in both.goods] == ["butter", "wharf flour"]
    result = find_good(both, "all-purpose flour")
    assert result is not None
    assert result.name == "wharf flour"


def test_two_goods_of_one_ingredient_need_their_names() -> None:
    flour = good("plain flour").ingredient
    both = make_book([Good(name="wharf flour", ingredient=flour), Good(name="mill flour", ingredient=flour)])
    assert find_good(both, "Mill Flour") is both.goods[1]
    with pytest.raises(AmbiguousError) as refused:
        find_good(both, "plain flour")
    assert refused.value.candidates == ("wharf flour", "mill flour")
    with pytest.raises(DomainErrors) as repeated:
        make_book([Good(name="a"), Good(name="A"), Good(name="b"), Good(name="a")])
    assert [error.path for error in repeated.value.errors] == [(1, "name"), (3, "name")]


def test_the_mass_of_a_pack_follows_from_its_good() -> None:
    eggs = good("egg", ("30 each", "5.40"))
    assert float(pack_grams(eggs, eggs.packs[0], EU_M)) == pytest.approx(30 * 51.37, rel=1e-3)
    milk = good("whole milk", ("2 l", None))
    # usda-sr28, NDB 01077: 244 g in a US cup
    assert float(pack_grams(milk, milk.packs[0], None)) == pytest.approx(2000 * 244 / 236.5882365)
    with pytest.raises(OutOfRangeError):
        pack_grams(eggs, Pack(size=parse_quantity("0.01 g")), None)
    with pytest.raises(MismatchError):
        Pack(size=parse_quantity("20 cm"))


def test_the_balance_and_the_label_use_the_same_compositions() -> None:
    mix: dict[str, float | str] = {"plain flour": 100, "cocoa powder": 50}
    by_market = {market: balance(weighed(mix), EMPTY_BOOK, market=market).fat.grams for market in ("eu", "us")}
    # fat of cocoa in 100 g: swiss-fcd 24.5 g, usda-sr28 13.7 g
    assert by_market["eu"] - by_market["us"] == pytest.approx((24.5 - 13.7) / 2)
    assert by_market["eu"] == pytest.approx(labelled(mix).contents_per_100g["fat_g"].amount * 1.5)
