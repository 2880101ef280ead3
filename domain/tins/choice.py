"""Which of a shop's tins to use for a batter: all ways to fill them are compared."""

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.errors import NeededError, OutOfRangeError
from domain.tins.geometry import capacity_ml, depth_mm, volume_ml
from domain.tins.shapes import Tin, Walls, walls_of
from domain.tins.tin_counts import NEARLY, SHOWN, BatterWish, Kind, Way, best_ways

MAX_KINDS, MAX_COUNT = 24, 200  # our own limits: kinds of tin, and tins of one kind
MIN_BATTER_ML = 1.0  # our own limit, no source
MIN_SHARE = 0.5  # least fill of a cavity or of a tin known by its volume; common practice
SOLVE_STEPS = 60  # bisections; each halves the interval of the depth


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTin:
    """A kind of tin in the shop, and how many there are."""

    tin: Tin
    count: int = 1

    def __post_init__(self) -> None:
        """Reject a count out of range."""
        if not 1 <= self.count <= MAX_COUNT:
            raise OutOfRangeError(
                f"A shop has 1 to {MAX_COUNT} tins of one kind.", path=("count",), value=self.count, limit=MAX_COUNT
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Depths:
    """How deep a batter may stand, in mm, and the most of a tin's capacity that it may fill, from 0 to 1."""

    low_mm: float
    high_mm: float
    most_share: float

    def __post_init__(self) -> None:
        """Reject a range whose ends are exchanged, infinite or not above 0."""
        if not 0 < self.low_mm <= self.high_mm < math.inf:
            raise OutOfRangeError(
                f"The least depth, {self.low_mm:g} mm, must be above 0 and at most the largest, {self.high_mm:g} mm.",
                path=("depth_low",),
                value=self.low_mm,
                limit=self.high_mm,
                unit="mm",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenTin:
    """Tins of one kind in a choice: the index of the kind, how many, and the figures of one tin; None if not known."""

    index: int
    count: int
    batter_ml: float
    depth_mm: float | None
    fill_percent: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TinChoice:
    """One way to fill tins. `leftover_ml` of the batter find no tin; `extra_ml` more are needed to fill them."""

    tins: tuple[ChosenTin, ...]
    batter_ml: float
    leftover_ml: float
    extra_ml: float

    @property
    def tin_count(self) -> int:
        """The number of tins of all kinds."""
        return sum(tin.count for tin in self.tins)


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of tin, what each holds at the least and the largest depth, and its walls."""

    index: int
    count: int
    least: float
    most: float
    walls: Walls | None
    capacity: float | None

    def at(self, share: float, depths: Depths) -> float:
        """The ml that the tin holds at a depth, given as a share from 0 at the least depth to 1 at the largest."""
        if self.walls is None:
            return self.least + share * (self.most - self.least)
        return min(self.most, volume_ml(self.walls, depths.low_mm + share * (depths.high_mm - depths.low_mm)))


def choose_tins(batter_ml: float, own: Sequence[OwnTin], depths: Depths, *, hold_all: bool) -> tuple[TinChoice, ...]:
    """The best ways to fill a shop's tins with a batter, all to the same depth.

    Args:
        batter_ml: volume of the batter, at least `MIN_BATTER_ML`.
        own: the shop's tins, at most `MAX_KINDS` kinds.
        depths: how deep the batter may stand.
        hold_all: True if the tins must hold all of the batter, so that more may be made to fill them; False if all
            tins must be full enough, so that some of the batter may be left over.
    Returns:
        At most `SHOWN` choices, the best first: those with the least left over or extra in steps of `MISS_STEP` of the
        batter, then the fewest tins, then the fewest kinds, then those that hold nearest to the batter at the middle
        depth.
    Raises:
        NeededError: the tins do not hold the batter, or it fills not even one of them.
        OutOfRangeError: the batter is under a millilitre, or there are too many ways to compare.
    """
    if batter_ml < MIN_BATTER_ML:
        message = f"The batter is {batter_ml:.3g} ml, less than {MIN_BATTER_ML:g} ml: check its mass and density."
        raise OutOfRangeError(message, path=("tins",), value=batter_ml, limit=MIN_BATTER_ML, unit="ml")
    kinds = [kind for index, tin in enumerate(own) if (kind := _kind(index, tin, depths)) is not None]
    kinds.sort(key=lambda kind: -kind.most)
    if not kinds:
        raise NeededError("No tin takes a batter of this depth: give other depths, or deeper tins.", path=("tins",))
    held = math.fsum(kind.count * kind.most for kind in kinds)
    if hold_all and held < batter_ml * (1 - NEARLY):
        raise NeededError(
            f"All tins together hold {held:,.0f} ml at this depth, and the batter is {batter_ml:,.0f} ml: give"
            " more tins or a larger depth.",
            path=("tins",),
            code="tins_needed",
            value=held,
            limit=batter_ml,
            unit="ml",
        )
    ways = best_ways([Kind(kind.count, kind.least, kind.most) for kind in kinds], BatterWish(batter_ml, hold_all))
    if not ways:
        least = min(kind.least for kind in kinds)
        raise NeededError(
            f"The batter is {batter_ml:,.0f} ml, and the smallest of these tins needs {least:,.0f} ml to be filled to"
            " the least depth: give smaller tins or a smaller depth.",
            path=("tins",),
            code="tins_needed",
            value=batter_ml,
            limit=least,
            unit="ml",
        )
    middle = [kind.at(0.5, depths) for kind in kinds]

    def rank(way: Way) -> tuple[float, int, int, float]:
        held_ml = math.fsum(count * each for count, each in zip(way.counts, middle, strict=True))
        return (*way[:3], abs(held_ml - batter_ml))

    return tuple(_choice(batter_ml, kinds, way.counts, depths) for way in heapq.nsmallest(SHOWN, ways, key=rank))


def _kind(index: int, own: OwnTin, depths: Depths) -> _Kind | None:
    walls, capacity = walls_of(own.tin), capacity_ml(own.tin)
    cap = math.inf if capacity is None else capacity * depths.most_share * (1 + NEARLY)
    if walls is None:
        least, most = (capacity or 0.0) * min(MIN_SHARE, depths.most_share), cap
    else:
        least, most = volume_ml(walls, depths.low_mm), min(cap, volume_ml(walls, depths.high_mm))
    return None if least > most else _Kind(index, own.count, least, most, walls, capacity)


def _choice(batter_ml: float, kinds: list[_Kind], counts: tuple[int, ...], depths: Depths) -> TinChoice:
    used = [(kind, count) for kind, count in zip(kinds, counts, strict=True) if count]

    def held(share: float) -> float:
        return math.fsum(count * kind.at(share, depths) for kind, count in used)

    low, high = 0.0, 1.0
    if held(1.0) <= batter_ml:
        low = 1.0
    elif held(0.0) < batter_ml:
        for _ in range(SOLVE_STEPS):
            middle = (low + high) / 2
            low, high = (middle, high) if held(middle) < batter_ml else (low, middle)
    share = low
    total = held(share)
    return TinChoice(
        tins=tuple(
            sorted(
                (_chosen(kind, count, kind.at(share, depths)) for kind, count in used), key=lambda chosen: chosen.index
            )
        ),
        batter_ml=total,
        leftover_ml=_without_rounding(batter_ml - total, batter_ml),
        extra_ml=_without_rounding(total - batter_ml, batter_ml),
    )


def _chosen(kind: _Kind, count: int, batter_ml: float) -> ChosenTin:
    return ChosenTin(
        index=kind.index,
        count=count,
        batter_ml=batter_ml,
        depth_mm=None if kind.walls is None else depth_mm(kind.walls, batter_ml),
        fill_percent=None if not kind.capacity else batter_ml / kind.capacity * 100,
    )


def _without_rounding(difference_ml: float, batter_ml: float) -> float:
    return difference_ml if difference_ml > batter_ml * NEARLY else 0.0
