"""The choice among a shop's tins, against an integer solver (scipy's HiGHS) and by its laws."""

import math
import time
from collections.abc import Sequence
from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from domain.errors import NeededError, OutOfRangeError
from domain.tins.choice import Depths, OwnTin, TinChoice, choose_tins
from domain.tins.geometry import volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import parse_tin
from domain.tins.tin_counts import MISS_STEP
from tests.strategies import HEAVY_LAW, LAW

DEPTHS = Depths(low_mm=28, high_mm=34, most_share=2 / 3)
ONE_DEPTH = Depths(low_mm=30, high_mm=30, most_share=2 / 3)
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
# Tins that are nearly alike: none of the ways holds this batter, and none is clearly worse than the others.
ALIKE = [OwnTin(tin=parse_tin(f"square {100 + i / 100} x 60 mm"), count=20) for i in range(24)]
LONGEST = (60_130.0, ALIKE, ONE_DEPTH)
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


def solved(
    own: Sequence[OwnTin], depths: Depths, objective: Sequence[float], *, floor: float, ceiling: float
) -> float | None:
    """The best objective over numbers of tins that hold at least *floor* when deep, at most *ceiling* when shallow."""
    least = [holds(each.tin, depths.low_mm) for each in own]
    most = [holds(each.tin, depths.high_mm) for each in own]
    limits = LinearConstraint(np.array([least, most]), [1e-3, floor], [ceiling, np.inf])
    bounds = Bounds(0, [each.count for each in own])
    weights = np.array(objective)
    result = milp(weights, constraints=limits, integrality=np.ones(len(own)), bounds=bounds)
    return None if result.x is None else float(weights @ np.round(result.x))


def compare_with_the_solver(own: Sequence[OwnTin], batter_ml: float, depths: Depths, *, hold_all: bool) -> None:
    """The least miss in steps, then the fewest tins, as an integer solver has them."""
    step = batter_ml * MISS_STEP
    floor, ceiling = (batter_ml, batter_ml + step) if hold_all else (batter_ml - step, batter_ml)
    fewest = solved(own, depths, [1.0] * len(own), floor=floor, ceiling=ceiling)
    if fewest is not None:
        best = choose_tins(batter_ml, own, depths, hold_all=hold_all)[0]
        assert best.leftover_ml + best.extra_ml <= step
        assert best.tin_count == fewest
        return
    if hold_all:
        held = solved(own, depths, [holds(t.tin, depths.low_mm) for t in own], floor=batter_ml, ceiling=np.inf)
    else:
        held = solved(own, depths, [-holds(t.tin, depths.high_mm) for t in own], floor=0, ceiling=batter_ml)
    if held is None:
        with pytest.raises(NeededError):
            choose_tins(batter_ml, own, depths, hold_all=hold_all)
        return
    best = choose_tins(batter_ml, own, depths, hold_all=hold_all)[0]
    assert best.leftover_ml + best.extra_ml == pytest.approx(abs(abs(held) - batter_ml), abs=step)


@HEAVY_LAW
@given(own=own_tins, batter_ml=batters, hold_all=st.booleans())
def test_the_best_choice_is_that_of_an_integer_solver(*, own: list[OwnTin], batter_ml: float, hold_all: bool) -> None:
    compare_with_the_solver(own, batter_ml, DEPTHS, hold_all=hold_all)


@settings(LAW, max_examples=60)
@given(
    counts=st.lists(st.integers(1, 4), min_size=12, max_size=12),
    batter_ml=st.floats(300, 40_000),
    hold_all=st.booleans(),
)
def test_twelve_kinds_filled_to_one_depth_are_always_answered(
    *, counts: list[int], batter_ml: float, hold_all: bool
) -> None:
    own = [OwnTin(tin=parse_tin(text), count=count) for text, count in zip(TINS, counts, strict=True)]
    compare_with_the_solver(own, batter_ml, ONE_DEPTH, hold_all=hold_all)


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
    steps = [math.floor((choice.leftover_ml + choice.extra_ml) / (batter_ml * MISS_STEP)) for choice in choices]
    ranks = [(step, c.tin_count, len(c.tins)) for step, c in zip(steps, choices, strict=True)]
    assert ranks == sorted(ranks)


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
    with pytest.raises(OutOfRangeError, match="too many ways"):
        choose_tins(*LONGEST, hold_all=False)


def test_a_spoonful_left_over_is_better_than_many_small_tins() -> None:
    own = [OwnTin(tin=parse_tin(text), count=9) for text in ("square 20 x 6 cm", "square 10 x 6 cm", "square 8 x 6 cm")]
    best = choose_tins(2 * 400 * 3.0 + 10, own, ONE_DEPTH, hold_all=False)[0]  # two tins of 1,200 ml, and 10 ml
    assert [(tin.index, tin.count) for tin in best.tins] == [(0, 2)]
    assert best.leftover_ml == pytest.approx(10)


def test_twelve_tins_cost_no_more_than_the_longest_search() -> None:
    def seconds(batter_ml: float, own: Sequence[OwnTin], depths: Depths) -> float:
        start = time.process_time()
        with suppress(OutOfRangeError):
            choose_tins(batter_ml, own, depths, hold_all=False)
        return time.process_time() - start

    twelve = [OwnTin(tin=parse_tin(text), count=4) for text in TINS]
    usual = max(min(seconds(6_000.0, twelve, depths) for _ in range(3)) for depths in (DEPTHS, ONE_DEPTH))
    longest = seconds(*LONGEST)
    print(f"\ntwelve kinds {usual * 1e3:.1f} ms, the longest search {longest * 1e3:.1f} ms")
    assert usual < longest
