"""Costs add up to the smallest unit of the currency at any price; missing prices are never zero."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, DomainErrors, NeededError, OutOfRangeError, UnknownError, UnreadableError
from domain.measures.whole_shares import whole_shares
from domain.shop.costing import Cost, Costing, Extra, cost, labour_cost
from domain.shop.goods import make_book
from domain.shop.money import even_split, exact_text, find_currency, parse_money
from domain.shop.pricing import PriceAsked, asked_price, price_for_cost_percent, price_for_margin, priced, without_tax
from tests.domain.shop_kitchen import good, weighed
from tests.strategies import LAW

GBP = find_currency("GBP")
NAMES = ["plain flour", "butter", "caster sugar", "egg", "whole milk", "salt", "raisins"]
prices = st.decimals(0, 50, places=2).map(str)
masses = st.floats(0.5, 5_000)
recipes = st.dictionaries(st.sampled_from(NAMES), masses, min_size=1)


def costed(lines: dict[str, float], price_of: dict[str, str | None], costing: Costing) -> Cost:
    book = make_book(good(name, ("1 kg", price)) for name, price in price_of.items())
    return cost(weighed(lines), costing, book)


@LAW
@given(lines=recipes, data=st.data(), code=st.sampled_from(["GBP", "JPY", "KWD"]))
def test_lines_and_extras_add_up_to_the_smallest_unit(lines: dict[str, float], data: st.DataObject, code: str) -> None:
    currency = find_currency(code)
    book = make_book(replace(good(name, ("1 kg", data.draw(prices))), currency=currency) for name in lines)
    extras = (Extra(name="band", kind="packaging", amount=Fraction(data.draw(prices)), per="portion"),)
    costs = cost(weighed(lines), Costing(currency=currency, portions=7, extras=extras), book)
    parts = [line.units for line in costs.lines] + [extra.units for extra in costs.extras]
    assert sum(part for part in parts if part is not None) == costs.units
    assert abs(currency.amount(costs.units) - costs.exact) <= currency.amount(1) / 2
    for line in costs.lines:
        assert line.exact is not None
        assert line.units is not None
        assert abs(currency.amount(line.units) - line.exact) < currency.amount(1)


@LAW
@given(total=st.integers(0, 10**7), count=st.integers(1, 500))
def test_an_even_split_adds_up_and_is_even(total: int, count: int) -> None:
    split = even_split(total, count)
    assert sum(n for n, _ in split) == count
    assert sum(n * units for n, units in split) == total
    assert max(units for _, units in split) - min(units for _, units in split) <= 1


@LAW
@given(parts=st.lists(st.fractions(0, 1_000), min_size=1, max_size=30))
def test_shares_are_whole_units_near_their_parts(parts: list[Fraction]) -> None:
    total = round(sum(parts))
    costs = whole_shares(total, parts)
    assert sum(costs) == total
    assert all(abs(share - part) < 1 for share, part in zip(costs, parts, strict=True))


def test_a_missing_price_is_listed_and_left_out_of_sums() -> None:
    costs = costed({"plain flour": 500, "butter": 200}, {"plain flour": "0.80"}, Costing(currency=GBP))
    assert [line.line.name for line in costs.missing] == ["butter"]
    assert (costs.units, costs.complete) == (40, False)
    assert [notice.code for notice in costs.notices] == ["price_missing"]


def test_a_price_of_zero_is_a_price() -> None:
    costs = costed({"water": 500}, {"water": "0"}, Costing(currency=GBP))
    assert (costs.complete, costs.units) == (True, 0)


@LAW
@given(lines=recipes, factor=st.integers(2, 9))
def test_twice_as_much_costs_twice(lines: dict[str, float], factor: int) -> None:
    price_of: dict[str, str | None] = dict.fromkeys(lines, "3.37")
    single = costed(lines, price_of, Costing(currency=GBP))
    more = costed({name: grams * factor for name, grams in lines.items()}, price_of, Costing(currency=GBP))
    assert float(more.exact) == pytest.approx(float(single.exact) * factor)


def test_the_mass_as_purchased_is_paid_for() -> None:
    # usda-sr28, NDB 09040: bananas, refuse 36 %; a kilogram with skin gives 640 g of flesh.
    costs = costed({"banana": 640}, {"banana": "1.50"}, Costing(currency=GBP))
    assert costs.lines[0].purchased_g == pytest.approx(1000)
    assert costs.units == 150
    assert [notice.code for notice in costs.notices] == ["yield_from_reference"]


def test_the_chosen_pack_sets_the_price() -> None:
    book = make_book([good("plain flour", ("1 kg", "1.00"), ("10 kg", "6.00"), ("500 g", "0.80"))])
    of = {
        choice: cost(weighed({"plain flour": 1000}), Costing(currency=GBP, pack_choice=choice), book).units
        for choice in ("first", "cheapest", "dearest")
    }
    assert of == {"first": 100, "cheapest": 60, "dearest": 160}


def test_eggs_are_priced_by_the_tray() -> None:
    book = make_book([good("egg", ("30 each", "6.00"))])
    assert cost(weighed({"egg": "4 each"}), Costing(currency=GBP), book).units == 80


def test_another_currency_is_rejected() -> None:
    with pytest.raises(DomainErrors) as refused:
        costed({"butter": 200}, {"butter": "9.00"}, Costing(currency=find_currency("EUR")))
    assert [error.code for error in refused.value.errors] == ["currency_mismatch"]


def test_a_cost_per_portion_needs_portions() -> None:
    extra = Extra(name="band", kind="packaging", amount=Fraction(1, 10), per="portion")
    with pytest.raises(DomainErrors) as refused:
        costed({"butter": 200}, {"butter": "9.00"}, Costing(currency=GBP, extras=(extra,)))
    assert [(error.path, error.code) for error in refused.value.errors] == [(("extras", 0, "per"), "portions_needed")]


def test_a_price_per_portion_needs_portions() -> None:
    costs = costed({"butter": 200}, {"butter": "9.00"}, Costing(currency=GBP, tins=None))
    assert costs.each_tin is None
    with pytest.raises(NeededError):
        asked_price(costs, PriceAsked(per="portion", amount=Fraction(1)))


@LAW
@given(cost_of=st.fractions(Fraction(1, 100), 1_000, max_denominator=1_000), margin=st.integers(0, 95))
def test_the_price_for_a_margin_leaves_that_margin(cost_of: Fraction, margin: int) -> None:
    price = price_for_margin(cost_of, Fraction(margin))
    assert (price - cost_of) / price * 100 == margin
    assert price_for_cost_percent(cost_of, Fraction(100 - margin)) == price


@LAW
@given(price=st.fractions(0, 1_000, max_denominator=1_000), step=st.sampled_from(["0.01", "0.05", "0.10", "0.25"]))
def test_a_price_rounded_up_to_a_step_is_a_multiple_of_it(price: Fraction, step: str) -> None:
    sold = priced(price, cost=Fraction(0), ingredient_cost=Fraction(0), currency=GBP, price_step=Fraction(step))
    rounded = GBP.amount(sold.units)
    assert price <= rounded < price + Fraction(step)
    assert (rounded / Fraction(step)).denominator == 1


def test_tax_is_added_only_at_a_given_rate() -> None:
    plain = priced(Fraction(2), cost=Fraction(1), ingredient_cost=Fraction(1), currency=GBP)
    taxed = priced(Fraction(2), cost=Fraction(1), ingredient_cost=Fraction(1), currency=GBP, tax_percent=Fraction(20))
    assert (plain.with_tax_units, taxed.with_tax_units) == (200, 240)
    assert without_tax(Fraction("2.40"), Fraction(20)) == 2


def test_halves_are_rounded_to_the_even_unit() -> None:
    assert [GBP.units(Fraction(text)) for text in ("0.005", "0.015", "0.025")] == [0, 2, 2]


@pytest.mark.parametrize("text", ["-1", "1 20", "£1", "1/3", "", "1e3", "nan"])
def test_money_must_be_a_plain_decimal(text: str) -> None:
    with pytest.raises(UnreadableError):
        parse_money(text)


@pytest.mark.parametrize(
    ("text", "minor"), [("1,29", 129), ("0,5", 50), ("1.234,50", 123_450), ("1,234.50", 123_450), ("1.000", 100)]
)
def test_money_with_a_decimal_comma(text: str, minor: int) -> None:
    assert GBP.units(parse_money(text)) == minor


def test_money_whose_comma_may_separate_thousands_is_asked_about() -> None:
    with pytest.raises(AmbiguousError) as refusal:
        parse_money("1,250")
    assert [parse_money(candidate) for candidate in refusal.value.candidates] == [1250, Fraction(5, 4)]


@pytest.mark.parametrize("text", ["€1.29", "1,29 €", "1.29 EUR", "£ 1.29"])
def test_money_with_a_symbol_offers_the_amount(text: str) -> None:
    with pytest.raises(UnreadableError) as refusal:
        parse_money(text)
    assert [parse_money(candidate) for candidate in refusal.value.candidates] == [Fraction(129, 100)]


def test_limits_of_money_and_unknown_currencies() -> None:
    with pytest.raises(OutOfRangeError):
        parse_money("1000001")
    with pytest.raises(OutOfRangeError):
        price_for_margin(Fraction(1), Fraction(100))
    with pytest.raises(OutOfRangeError):
        priced(Fraction(1), cost=Fraction(1), ingredient_cost=Fraction(1), currency=GBP, price_step=Fraction(1, 1000))
    with pytest.raises(UnknownError):
        find_currency("XYZ")


def test_eggs_bought_and_used_by_number_cost_the_same_at_any_mass() -> None:
    # By hand: two eggs out of a box of six at 2.10 cost 0.70.
    book = make_book([good("egg", ("6 each", "2.10"))])
    costs = cost(weighed({"egg": "2 each"}), Costing(currency=GBP), book)
    assert (costs.low, costs.exact, costs.high) == (Fraction("0.7"),) * 3
    by_mass = make_book([good("egg", ("1 kg", "7.00"))])
    ranged = cost(weighed({"egg": "2 each"}), Costing(currency=GBP), by_mass)
    assert ranged.low < ranged.exact < ranged.high


def test_trimming_is_paid_once_for_goods_bought_by_number() -> None:
    # By hand: two apples out of six at 2.40 cost 0.80, at any trimming loss.
    apple = replace(good("apple", ("6 each", "2.40")), grams_each=Fraction(180), usable_yield_percent=78.0)
    costs = cost(weighed({"apple": 360}), Costing(currency=GBP), make_book([apple]))
    assert float(costs.exact) == pytest.approx(0.80)


def test_the_costs_of_tins_and_portions_are_shares_of_the_whole() -> None:
    lines: dict[str, float | str] = {"plain flour": 1000, "butter": 500}
    book = make_book([good("plain flour", ("1 kg", "1.00")), good("butter", ("1 kg", "8.00"))])
    costs = cost(weighed(lines, tins=2), Costing(currency=GBP, tins=2, portions=7), book)
    assert costs.each_tin is not None
    assert (costs.each_tin.exact, costs.each_tin.units) == (Fraction("2.5"), 250)
    assert costs.each_portion is not None
    assert costs.each_portion.exact == Fraction(5, 7)
    assert sum(count * units for count, units in costs.each_portion.split) == costs.units == 500
    assert sum(component.units for component in costs.components) == costs.ingredient_units


def test_labour_is_minutes_of_an_hourly_rate() -> None:
    assert labour_cost(Fraction("14.40"), Fraction(50)) == 12


def test_exact_money_has_six_decimals() -> None:
    assert [exact_text(Fraction(n, 7)) for n in (0, 1, -1)] == ["0.000000", "0.142857", "-0.142857"]
