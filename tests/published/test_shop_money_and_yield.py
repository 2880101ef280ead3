"""Yield, cost percent and currencies, compared with published worked examples. Each example names its source."""

from fractions import Fraction

import pytest

from domain.shop.money import CURRENCIES, find_currency
from domain.shop.pricing import price_for_cost_percent, price_for_margin, priced
from domain.shop.usable_yields import YIELDS, purchased_grams

OPENWA = "openwa-math, Bakery and Business Math, ch. 25"
BCC = "bcc-kitchen, Basic Kitchen and Food Service Management, Yield Testing"
LB_G = 453.59237
YIELD_CASES = [  # edible portion, percent, as purchased: as the example prints them
    pytest.param(2.85 * LB_G, 95, 3 * LB_G, id=f"3 lb zucchini at 95 % - {OPENWA}"),
    pytest.param(4350, 87, 5000, id=f"5000 g strawberries at 87 % - {OPENWA}"),
    pytest.param(800, 80, 1000, id=f"1 kg carrots to 800 g - {BCC}"),
    pytest.param(1750, 70, 2500, id=f"2500 g less 750 g - {BCC}"),
]


@pytest.mark.parametrize(("edible_g", "percent", "purchased_g"), YIELD_CASES)
def test_as_purchased_follows_from_edible_portion_and_yield(
    edible_g: float, percent: float, purchased_g: float
) -> None:
    assert purchased_grams(edible_g, percent) == pytest.approx(purchased_g, rel=1e-12)


def test_yield_of_a_trim_is_printed_to_a_tenth() -> None:
    # bcc-kitchen, Yield Testing: 7750 g minus 2750 g is 5000 g, 64.5 %
    assert purchased_grams(5000, 64.5) == pytest.approx(7750, abs=7750 * 0.05 / 64.5)


USDA = "usda-sr28, FOOD_DES refuse"
REFUSE = [  # ingredient, refuse percent as the record prints it, the discarded part
    pytest.param("banana", 36, "skin", id=f"NDB 09040 - {USDA}"),
    pytest.param("rhubarb", 25, "leaves", id=f"NDB 09307 - {USDA}"),
    pytest.param("mango", 29, "seeds and skin", id=f"NDB 09176 - {USDA}"),
    pytest.param("carrot", 11, "scrapings", id=f"NDB 11124 - {USDA}"),
    pytest.param("apple", 23, "13% skin", id=f"NDB 09004, without skin - {USDA}"),
]


@pytest.mark.parametrize(("ingredient", "refuse", "lost"), REFUSE)
def test_usable_yield_is_the_rest_after_refuse(ingredient: str, refuse: float, lost: str) -> None:
    assert YIELDS[ingredient].percent == 100 - refuse
    assert lost in YIELDS[ingredient].lost


def test_ingredients_bought_trimmed_or_shelled_have_no_yield() -> None:
    # The source counts the shells of nuts as refuse, but a shop buys nuts shelled: common practice.
    assert not {"almonds", "walnuts", "hazelnuts", "egg", "dates"} & YIELDS.keys()


def test_cost_percent_and_margin_give_the_same_price() -> None:
    # Common practice of the trade: a food cost of 30 % is cost / price, so 3.00 sells at 10.00 and leaves 70 %.
    pound = find_currency("GBP")
    assert price_for_cost_percent(Fraction(3), Fraction(30)) == price_for_margin(Fraction(3), Fraction(70)) == 10
    sold = priced(Fraction(10), cost=Fraction(3), ingredient_cost=Fraction(3), currency=pound)
    assert (sold.margin_percent, sold.ingredient_cost_percent) == (70.0, 30.0)


# ISO 4217, list of currency codes of 2026-01-01, as the package iso4217 (PyPI, public domain) carries it.
ISO_PLACES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF",
    2: "AUD BRL CAD CHF CNY CZK DKK EUR GBP HKD HUF INR MXN NOK NZD PLN SEK SGD THB TRY USD ZAR",
    3: "BHD IQD JOD KWD LYD OMR TND",
}


@pytest.mark.parametrize(("places", "codes"), ISO_PLACES.items())
def test_currencies_have_the_places_of_iso_4217(places: int, codes: str) -> None:
    assert {CURRENCIES[code].places for code in codes.split()} == {places}


def test_only_the_listed_currencies_have_other_than_two_places() -> None:
    odd = {code for code, currency in CURRENCIES.items() if currency.places != 2}
    assert odd == set(f"{ISO_PLACES[0]} {ISO_PLACES[3]}".split())
