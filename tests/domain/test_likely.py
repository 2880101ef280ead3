"""The likely range of a sum, against a seeded simulation and the laws of uncertainty."""

import math
import random
from collections.abc import Sequence

import pytest
from hypothesis import given

from domain.formulas.formula import Formula, WeighedLine, weigh_formula
from domain.formulas.likely import likely_range
from domain.things.eggs import EGG_CLASSES
from tests.formulas import line
from tests.strategies import formulas

TRIALS = 4_000
CAKE = (
    ("plain flour", "3 us_cup"),
    ("granulated sugar", "2 us_cup"),
    ("rolled oats", "2 us_cup"),
    ("black treacle", "5 us_tbsp"),
    ("whole milk", "250 ml"),
    ("egg", "6 each"),
)
MIXED = (("egg", "4 each"), ("egg", "300 ml"), ("egg", "200 ml"))
SPLIT = (("egg", "3 each"), ("egg yolk", "2 each"), ("egg white", "4 each"), ("egg", "5 each"))


def weighed(*written: tuple[str, str]) -> list[WeighedLine]:
    return [line(*each, egg_class=EGG_CLASSES["eu_m"]).weighed for each in written]


def simulated(lines: Sequence[WeighedLine], draw: random.Random) -> float:
    """A sum with every record somewhere in its range, evenly spread, and every counted egg for itself."""
    total, shares = 0.0, dict[object, float]()
    for part in lines:
        _, low, high = part.mass
        if part.egg_part is not None and part.quantity.unit.dimension == "count":
            number = int(part.quantity.amount)
            total += sum(draw.uniform(low / number, high / number) for _ in range(number))
            continue
        share = shares.setdefault(part.cited, draw.random())
        total += low + share * (high - low)
    return total


@pytest.mark.parametrize(
    "written",
    [CAKE, CAKE[:3], (("egg", "12 each"),), CAKE + CAKE[:2], MIXED, SPLIT],
    ids=["cake", "dry", "eggs", "twice the same", "eggs and egg by volume", "eggs in two lines"],
)
def test_nine_sums_in_ten_of_a_simulation_lie_inside(written: Sequence[tuple[str, str]]) -> None:
    lines, draw = weighed(*written), random.Random(20_261_127)  # noqa: S311 - repeatable, not secret
    likely = likely_range(lines)
    middle = sum(line.mass.grams for line in lines)
    # The figure of a record need not be in the middle of its range: compare the width around the simulated mean.
    sums = sorted(simulated(lines, draw) for _ in range(TRIALS))
    mean = sum(sums) / TRIALS
    inside = sum(likely.low - middle <= one_sum - mean <= likely.high - middle for one_sum in sums) / TRIALS
    assert inside >= 0.88
    width = sums[int(0.95 * TRIALS)] - sums[int(0.05 * TRIALS)]
    assert likely.high - likely.low < 1.6 * width  # and it is not simply wide


def test_twelve_eggs_vary_by_the_root_of_twelve_eggs() -> None:
    (single,), dozen = weighed(("egg", "1 each")), likely_range(weighed(("egg", "12 each")))
    assert dozen.high - dozen.low == pytest.approx((single.mass.high - single.mass.low) * math.sqrt(12))


def test_eggs_do_not_narrow_the_other_lines_of_their_record() -> None:
    eggs, liquid = weighed(("egg", "9 each"), ("egg", "500 ml"))
    shared = liquid._replace(cited=eggs.cited)
    up = [line.mass.high - line.mass.grams for line in (eggs, shared)]
    likely = likely_range([eggs, shared])
    assert likely.high - eggs.mass.grams - shared.mass.grams == pytest.approx(math.hypot(up[0] / 3, up[1]))


def test_the_widest_line_is_named_after_the_root_of_the_eggs() -> None:
    lines = weighed(("egg", "25 each"), ("plain flour", "3 us_cup"))
    bounds = [line.mass.high - line.mass.low for line in lines]
    assert bounds[0] > bounds[1] > bounds[0] / 5  # 25 eggs have the widest bounds, and a fifth of them is likely
    assert likely_range(lines).widest == 1


def test_lines_of_the_same_record_err_together() -> None:
    both = likely_range(weighed(("plain flour", "1 us_cup"), ("plain flour", "2 us_cup")))
    whole = likely_range(weighed(("plain flour", "3 us_cup")))
    assert (both.low, both.high) == pytest.approx((whole.low, whole.high))


def test_lines_of_different_records_are_combined_in_quadrature() -> None:
    lines = weighed(("plain flour", "1 us_cup"), ("ground ginger", "2 us_tbsp"))
    likely = likely_range(lines)
    middle = sum(line.mass.grams for line in lines)
    up = [line.mass.high - line.mass.grams for line in lines]
    assert likely.high - middle == pytest.approx(math.sqrt(up[0] ** 2 + up[1] ** 2))
    assert likely.widest == 0


def test_exact_lines_have_no_range() -> None:
    likely = likely_range(weighed(("butter", "100 g"), ("plain flour", "200 g")))
    assert (likely.low, likely.high, likely.widest) == (300, 300, None)
    assert likely_range([]).widest is None


@given(formulas())
def test_the_likely_range_lies_within_the_bounds(formula: Formula) -> None:
    result = weigh_formula(formula)
    likely = likely_range([line for component in result.components for line in component.lines])
    slack = 1e-9 * result.mass.grams
    assert result.mass.low - slack <= likely.low <= result.mass.grams + slack
    assert result.mass.grams - slack <= likely.high <= result.mass.high + slack
