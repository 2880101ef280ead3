"""The cheapest packs, compared with an exhaustive search and with scipy's integer solver."""

from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from domain.errors import OutOfRangeError
from domain.shop.packs import Cover, Size, cheapest_cover
from tests.strategies import LAW


def size(holds: float, cost: float) -> Size:
    return Size(holds=Fraction(repr(holds)), cost=Fraction(repr(cost)))


def score(cover: Cover, need: Fraction) -> tuple[Fraction, Fraction, int]:
    return cover.cost, cover.holds - need, sum(cover.counts)


def tried_all(need: Fraction, sizes: list[Size]) -> tuple[Fraction, Fraction, int]:
    most = [-(-need // pack.holds) for pack in sizes]
    covers = []
    for counts in product(*(range(int(n) + 1) for n in most)):
        holds = sum((n * pack.holds for n, pack in zip(counts, sizes, strict=True)), Fraction(0))
        if holds >= need:
            cost = sum((n * pack.cost for n, pack in zip(counts, sizes, strict=True)), Fraction(0))
            covers.append((cost, holds - need, sum(counts)))
    return min(covers)


small = st.lists(st.builds(size, st.integers(1, 9), st.integers(0, 9)), min_size=1, max_size=3)


@LAW
@given(need=st.integers(1, 30), sizes=small)
def test_no_other_set_is_cheaper_or_leaves_less_or_has_fewer_packs(need: int, sizes: list[Size]) -> None:
    cover = cheapest_cover(Fraction(need), sizes)
    assert score(cover, Fraction(need)) == tried_all(Fraction(need), sizes)


@LAW
@given(
    need=st.integers(1, 40_000),
    sizes=st.lists(
        st.builds(
            size, st.sampled_from([250, 454, 500, 907, 1000, 1500, 3000, 5000, 16000, 25000]), st.integers(50, 3_000)
        ),
        min_size=1,
        max_size=5,
    ),
)
def test_an_integer_solver_finds_nothing_cheaper(need: int, sizes: list[Size]) -> None:
    cover = cheapest_cover(Fraction(need), sizes, max_steps=1_000_000)
    solved = milp(
        c=np.array([float(pack.cost) for pack in sizes]),
        constraints=LinearConstraint(np.array([[float(pack.holds) for pack in sizes]]), lb=need),
        integrality=np.ones(len(sizes)),
        bounds=Bounds(0, np.inf),
        options={"mip_rel_gap": 0},
    )
    assert solved.success
    assert float(cover.cost) == pytest.approx(solved.fun, rel=1e-6)
    assert cover.holds >= need


@LAW
@given(need=st.fractions(Fraction(1, 7), 5_000), sizes=small)
def test_the_packs_contain_enough_and_their_prices_add_up(need: Fraction, sizes: list[Size]) -> None:
    cover = cheapest_cover(need, sizes)
    assert cover.holds >= need
    assert cover.holds == sum(n * pack.holds for n, pack in zip(cover.counts, sizes, strict=True))
    assert cover.cost == sum(n * pack.cost for n, pack in zip(cover.counts, sizes, strict=True))


def test_nothing_is_bought_if_nothing_is_needed() -> None:
    assert cheapest_cover(Fraction(0), [size(500, 2)]).counts == (0,)


@pytest.mark.parametrize("sizes", [[], [size(1, 1)] * 9])
def test_no_sizes_and_too_many_sizes_are_rejected(sizes: list[Size]) -> None:
    with pytest.raises(OutOfRangeError):
        cheapest_cover(Fraction(10), sizes)


def test_a_search_over_its_limit_is_rejected() -> None:
    uneven = [size(holds, holds) for holds in (907, 25000, 2270, 227, 454)]
    with pytest.raises(OutOfRangeError, match="uneven"):
        cheapest_cover(Fraction(123_457), uneven, max_steps=50)
