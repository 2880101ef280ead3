"""The choice among a shop's tins, against an integer solver (scipy's HiGHS) and by its laws."""

import math
import time
from collections.abc import Sequence
from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from domain.errors import NeededError, OutOfRangeError
from domain.tins.choice import Depths, OwnTin, TinChoice, choose_tins
from domain.tins.geometry import volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import parse_tin
from tests.strategies import HEAVY_LAW

DEPTHS = Depths(low_mm=28, high_mm=34, most_share=2 / 3)
TINS = (
    "square 15 x 6 cm",
    "square 20 x 6 cm",
    "square 23 x 6 cm",
    "rectangle 20 x 30 x 6 cm",
    "round 15 x 7 cm",
    "round 18 x 7 cm",
    "round 20 x 7 cm",
    "round 23 x 7 cm",
    "ring 25 x 8 x 9 cm",
    "rectangle 30 x 40 x 6 cm",
    "hexagon 20 x 6 cm",
    "rectangle 23 x 33 x 6 cm",
)
own_tins = st.lists(
    st.builds(OwnTin, tin=st.sampled_from([parse_tin(text) for text in TINS]), count=st.integers(1, 4)),
    min_size=1,
    max_size=6,
)
batters = st.floats(300, 12_000)


def holds(tin: Tin, height_mm: float) -> float:
    walls = walls_of(tin)
    assert walls is not None
    return volume_ml(walls, height_mm)


def solved(own: Sequence[OwnTin], *, objective: np.ndarray, low: float, high: float) -> float | None:
    """The best value of an objective over the numbers of tins whose most is at least *low* and least at most *high*."""
    least = [holds(each.tin, DEPTHS.low_mm) for each in own]
    most = [holds(each.tin, DEPTHS.high_mm) for each in own]
    limits = LinearConstraint(np.array([least, most]), [-np.inf, low], [high, np.inf])
    bounds = Bounds(0, [each.count for each in own])
    result = milp(objective, constraints=limits, integrality=np.ones(len(own)), bounds=bounds)
    return None if result.x is None else float(objective @ np.round(result.x))


@HEAVY_LAW
@given(own=own_tins, batter_ml=batters)
def test_the_best_choice_is_that_of_an_integer_solver(*, own: list[OwnTin], batter_ml: float) -> None:
    fewest = solved(own, objective=np.ones(len(own)), low=batter_ml, high=batter_ml)
    if fewest is not None:
        for hold_all in (False, True):
            best = choose_tins(batter_ml, own, DEPTHS, hold_all=hold_all)[0]
            assert (best.leftover_ml, best.extra_ml, best.tin_count) == (0, 0, fewest)
        return
    most = np.array([holds(each.tin, DEPTHS.high_mm) for each in own])
    held = solved(own, objective=-most, low=0, high=batter_ml)
    if held:
        best = choose_tins(batter_ml, own, DEPTHS, hold_all=False)[0]
        assert best.leftover_ml == pytest.approx(batter_ml + held, rel=1e-6, abs=1e-3)
    least = np.array([holds(each.tin, DEPTHS.low_mm) for each in own])
    made = solved(own, objective=least, low=batter_ml, high=np.inf)
    if made is not None:
        best = choose_tins(batter_ml, own, DEPTHS, hold_all=True)[0]
        assert best.extra_ml == pytest.approx(made - batter_ml, rel=1e-6, abs=1e-3)


@HEAVY_LAW
@given(own=own_tins, batter_ml=batters, hold_all=st.booleans())
def test_every_choice_keeps_the_counts_the_depths_and_the_volume(
    *, own: list[OwnTin], batter_ml: float, hold_all: bool
) -> None:
    choices: tuple[TinChoice, ...] = ()
    with suppress(NeededError):
        choices = choose_tins(batter_ml, own, DEPTHS, hold_all=hold_all)
    for choice in choices:
        volume = math.fsum(tin.count * tin.batter_ml for tin in choice.tins)
        assert volume == pytest.approx(choice.batter_ml)
        assert volume + choice.leftover_ml - choice.extra_ml == pytest.approx(batter_ml)
        assert not (choice.extra_ml if not hold_all else choice.leftover_ml)
        for tin in choice.tins:
            assert 1 <= tin.count <= own[tin.index].count
            assert tin.depth_mm is not None
            assert DEPTHS.low_mm - 1e-6 <= tin.depth_mm <= DEPTHS.high_mm + 1e-6
            assert holds(own[tin.index].tin, tin.depth_mm) == pytest.approx(tin.batter_ml)
    misses = [choice.leftover_ml + choice.extra_ml for choice in choices]
    assert misses == sorted(misses)


def test_one_tin_that_fits_is_the_best() -> None:
    own = [OwnTin(tin=parse_tin(text), count=2) for text in ("square 20 x 6 cm", "square 15 x 6 cm")]
    best = choose_tins(40 * 30.0, own, DEPTHS, hold_all=False)[0]  # 400 cm² filled 30 mm deep
    assert [(tin.index, tin.count) for tin in best.tins] == [(0, 1)]
    assert best.tins[0].depth_mm == pytest.approx(30)


def test_cavities_are_filled_by_their_share() -> None:
    own = [OwnTin(tin=parse_tin("cavities 12 x 100 ml"), count=3)]
    best = choose_tins(1_600.0, own, DEPTHS, hold_all=False)[0]
    assert [(tin.count, tin.depth_mm) for tin in best.tins] == [(2, None)]
    assert best.tins[0].fill_percent == pytest.approx(1_600 / 2_400 * 100)


def test_too_little_and_too_much_batter_say_so() -> None:
    own = [OwnTin(tin=parse_tin("square 20 x 6 cm"))]
    for batter_ml, hold_all in ((100.0, False), (9_000.0, True)):
        with pytest.raises(NeededError) as caught:
            choose_tins(batter_ml, own, DEPTHS, hold_all=hold_all)
        assert caught.value.path == ("tins",)


def test_a_search_has_an_end() -> None:
    own = [OwnTin(tin=parse_tin(f"square {100 + 7 * i} x 60 mm"), count=200) for i in range(24)]
    with pytest.raises(OutOfRangeError, match="too many ways"):
        choose_tins(1e6 + 0.3, own, Depths(low_mm=30, high_mm=30, most_share=1), hold_all=False)


def test_twelve_tins_cost_no_more_than_the_longest_search() -> None:
    def seconds(work: float, own: list[OwnTin]) -> float:
        start = time.process_time()
        with suppress(OutOfRangeError):
            choose_tins(work, own, DEPTHS, hold_all=False)
        return time.process_time() - start

    twelve = min(seconds(6_000.0, [OwnTin(tin=parse_tin(text), count=4) for text in TINS]) for _ in range(3))
    many = [OwnTin(tin=parse_tin(f"square {100 + 7 * i} x 60 mm"), count=200) for i in range(24)]
    longest = seconds(1e6 + 0.3, many)
    print(f"\ntwelve kinds {twelve * 1e3:.1f} ms, the longest search {longest * 1e3:.1f} ms")
    assert twelve < longest
