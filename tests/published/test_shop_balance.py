"""Baker's percentages, compared with published worked examples."""

import pytest

from domain.formulas.formula import weigh_formula
from domain.shop.balance import Balance, balance, grams_from_percentages
from domain.shop.goods import EMPTY_BOOK
from tests.formulas import component, formula

SLIDES = "unattributed course slides on baker's percentages (BAKER-SLIDES)"
TEXT = "textbook extract on baker's percentages (BAKER-TEXT-2ND)"
LB_OZ = 16


def balanced(**lines: str) -> Balance:
    dough = component(*((name.replace("_", " "), text) for name, text in lines.items()))
    return balance(weigh_formula(formula(dough)), EMPTY_BOOK)


def test_the_percentage_from_two_weights_is_the_printed_one() -> None:
    # BAKER-SLIDES: 23 lb of water on 40 lb of flour is 57.5 %
    balance_of_dough = balanced(strong_white_flour="40 lb", water="23 lb")
    assert balance_of_dough.lines[1].percent == pytest.approx(57.5, abs=1e-9), SLIDES


def test_the_ingredient_from_the_weight_of_flour_is_the_printed_one() -> None:
    # BAKER-SLIDES: salt at 1.75 % of 40 lb of flour is 0.7 lb, 11.2 oz
    flour_lb, salt_lb = grams_from_percentages([100, 1.75], 40 * 1.0175)
    assert (flour_lb, salt_lb, salt_lb * LB_OZ) == pytest.approx((40, 0.7, 11.2)), SLIDES


def test_the_total_of_the_percentages_is_the_printed_one() -> None:
    # BAKER-SLIDES: 100 + 1.75 + 2 + 0.375 + 58 = 162.125 %
    balance_of_dough = balanced(
        strong_white_flour="100 g", salt="1.75 g", fresh_yeast="2 g", malt_extract="0.375 g", water="58 g"
    )
    assert balance_of_dough.total_percent == pytest.approx(162.125, abs=1e-9), SLIDES


def test_flour_for_a_wanted_batter() -> None:
    # BAKER-TEXT-2ND: 3000 g of batter at a total of 377.5 % takes 794.7 g of flour
    flour_g, _ = grams_from_percentages([100, 277.5], 3000)
    assert flour_g == pytest.approx(794.7, abs=0.05), TEXT
