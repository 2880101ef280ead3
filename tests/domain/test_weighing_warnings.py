"""Lines that a scale cannot weigh well enough: which are warned of, and how they are weighed all the same."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.formulas.weighing import EXACTING, MAX_BATCHES, LineToWeigh, dilution_of, hard_to_weigh, weighing_notices
from domain.measures.weighing import Scales, weigh_grams
from domain.things.ingredients import INGREDIENTS
from tests.strategies import LAW

SCALES = Scales(step_g=Fraction(5), small_step_g=Fraction(1, 10))
COARSE = Scales(step_g=Fraction(5), small_step_g=Fraction(1, 10), small_max_g=Fraction(8))


def line(name: str, grams: float, scales: Scales = SCALES) -> LineToWeigh:
    return LineToWeigh("dough", name, name if name in INGREDIENTS else None, grams, weigh_grams(grams, scales))


def warned(name: str, grams: float, scales: Scales = SCALES) -> list[str]:
    return [notice.code for notice in weighing_notices(hard_to_weigh([line(name, grams, scales)], scales), scales)]


CASES = [  # what the scale shows, by hand: 0.1 g steps under 200 g, 5 g steps above
    ("instant-yeast", 0.35, ["weighing_error"]),  # 0.4 g: a seventh more
    ("instant-yeast", 0.07, ["weighing_error"]),  # 0.1 g: nearly half as much again
    ("instant-yeast", 0.04, ["weighs_nothing"]),
    ("bicarbonate-of-soda", 10.5, []),
    ("xanthan-gum", 12.5, []),
    ("salt", 2.25, ["weighing_error"]),  # 2.2 g: 2 % matters in salt
    ("plain-flour", 2.25, []),  # and not in flour
    ("my own mix", 0.55, ["weighing_error"]),
    ("plain-flour", 512.4, []),
]


@pytest.mark.parametrize(("name", "grams", "codes"), CASES, ids=str)
def test_lines_that_err_too_much_have_a_warning(name: str, grams: float, codes: list[str]) -> None:
    assert warned(name, grams) == codes


def test_the_warning_names_the_error_its_limit_and_a_way_to_weigh() -> None:
    (notice,) = weighing_notices(hard_to_weigh([line("instant-yeast", 0.35)], SCALES), SCALES)
    assert notice.value == pytest.approx(100 * (0.4 / 0.35 - 1))
    assert (notice.limit, notice.unit) == (1.0, "percent")
    assert "weigh 3.5 g" in notice.message
    assert "make it up to 35 g" in notice.message
    assert "make 15 batches at once" in notice.message  # half a step of 0.1 g is 1 % of 5 g, which are 14.3 x 0.35 g


def test_no_more_batches_than_a_shop_makes_are_advised() -> None:
    hard = hard_to_weigh([line("salt", 0.018)], SCALES)  # half a step of 0.1 g is 1 % of 5 g, which are 277.8 lines
    assert [each.batch_factor for each in hard] == [None]
    (notice,) = weighing_notices(hard, SCALES)
    assert notice.code == "weighs_nothing"
    assert "batch" not in notice.message
    (undiluted,) = weighing_notices(hard_to_weigh([line("salt", 10.5, COARSE)], COARSE), COARSE)
    assert undiluted.message.endswith("1 % is the most that it should err by: use a finer scale.")


@LAW
@given(st.floats(1e-4, 2))
def test_a_dilution_keeps_the_error_and_is_on_the_scale(grams: float) -> None:
    offer = dilution_of(grams, SCALES)
    if offer is None:
        for parts in (10, 100, 1_000):  # either it errs still, or the mixture is more than a formula can spare
            on_scale = weigh_grams(grams * parts, SCALES)
            assert abs(on_scale / (grams * parts) - 1) * 100 > 2 * (1 - 1e-9) or on_scale * parts > 250
        return
    shown = Fraction(repr(offer.grams))
    assert shown % SCALES.step_g == 0 or (shown % SCALES.small_step_g == 0 and shown <= SCALES.small_max_g)
    assert abs(offer.grams / offer.parts / grams - 1) * 100 <= 2 * (1 + 1e-9)


@LAW
@given(st.floats(1e-2, 300), st.sampled_from(["salt", "plain-flour"]), st.integers(0, 40))
def test_a_larger_batch_is_weighed_well_and_so_is_any_still_larger(grams: float, name: str, more: int) -> None:
    for hard in hard_to_weigh([line(name, grams)], SCALES):
        if hard.batch_factor is None:  # half a step is still too much of the most batches
            most_g = grams * MAX_BATCHES
            half_g = SCALES.small_step_g / 2 if most_g <= SCALES.small_max_g else SCALES.step_g / 2
            assert half_g / most_g * 100 > hard.limit
            continue
        assert hard.batch_factor <= MAX_BATCHES
        larger = line(name, grams * (hard.batch_factor + more))
        assert all(abs(still.error) <= still.limit * (1 + 1e-9) for still in hard_to_weigh([larger], SCALES))


def test_every_exacting_ingredient_is_an_ingredient() -> None:
    assert set(EXACTING) <= set(INGREDIENTS)
    assert {"baking-powder", "salt", "xanthan-gum", "instant-yeast"} <= set(EXACTING)
