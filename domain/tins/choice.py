"""Which of a shop's tins to use for a batter: every way is compared, not a greedy guess."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.errors import NeededError, OutOfRangeError
from domain.tins.geometry import capacity_ml, depth_mm, volume_ml
from domain.tins.shapes import Tin, Walls, walls_of

MAX_KINDS, MAX_COUNT = 24, 200  # our own limits: kinds of tin, and tins of one kind
SHOWN = 5  # choices in an answer; our own choice
MAX_STEPS = 60_000  # our own limit: about 50 ms
LEAST_SHARE = 0.5  # least fill of a cavity or of a tin known by its volume; common practice
NEARLY = 1e-9  # of the batter: no more than rounding errors
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
        """Reject a range the wrong way round."""
        if not 0 < self.low_mm <= self.high_mm < math.inf:
            raise OutOfRangeError(
                f"The least depth, {self.low_mm:g} mm, must be above 0 and at most the largest, {self.high_mm:g} mm.",
                path=("depth_low",),
                value=self.low_mm,
                limit=self.high_mm,
                unit="mm",
            )

    @property
    def middle_mm(self) -> float:
        """The depth that is preferred."""
        return (self.low_mm + self.high_mm) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenTin:
    """Tins of one kind in a choice: `index` is the kind's, the rest is of each tin; None where it is not known."""

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
        """All tins together."""
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
        """What the tin holds, from 0 at the least depth to 1 at the largest."""
        if self.walls is None:
            return self.least + share * (self.most - self.least)
        return min(self.most, volume_ml(self.walls, depths.low_mm + share * (depths.high_mm - depths.low_mm)))


def choose_tins(batter_ml: float, own: Sequence[OwnTin], depths: Depths, *, hold_all: bool) -> tuple[TinChoice, ...]:
    """The best ways to fill a shop's tins with a batter, all to the same depth.

    Args:
        batter_ml: volume of the batter, above 0.
        own: the shop's tins, at most `MAX_KINDS` kinds.
        depths: how deep the batter may stand.
        hold_all: True if the tins must hold all of the batter, so that more may be made to fill them; False if all
            tins must be full enough, so that some of the batter may be left over.
    Returns:
        At most `SHOWN` choices, the best first: those with the least left over or extra, then the fewest tins, then
        the fewest kinds, then the depth nearest to the middle of the range.
    Raises:
        NeededError: the tins do not hold the batter, or it fills not even one of them.
        OutOfRangeError: there are too many ways to compare.
    """
    kinds = [kind for index, tin in enumerate(own) if (kind := _kind(index, tin, depths)) is not None]
    kinds.sort(key=lambda kind: -kind.most)
    if not kinds:
        raise NeededError("No tin takes a batter of this depth: give other depths, or deeper tins.", path=("tins",))
    steps = _Steps()
    fitting = _fitting(batter_ml, kinds, steps)
    if not fitting:
        held = math.fsum(kind.count * kind.most for kind in kinds)
        if hold_all and held < batter_ml:
            raise NeededError(
                f"All tins together hold {held:,.0f} ml at this depth, and the batter is {batter_ml:,.0f} ml: give"
                " more tins or a larger depth.",
                path=("tins",),
                code="tins_needed",
                value=held,
                limit=batter_ml,
                unit="ml",
            )
        fitting = (_holding if hold_all else _filled)(batter_ml, kinds, steps)
    if not fitting:
        raise NeededError(
            "The batter fills not even one of these tins to the least depth: give smaller tins or a smaller depth.",
            path=("tins",),
            code="tins_needed",
        )
    choices = [_choice(batter_ml, kinds, counts, depths) for counts in fitting]
    return tuple(sorted(choices, key=lambda choice: _rank(choice, depths))[:SHOWN])


class _Steps:
    """Counts the steps of a search."""

    def __init__(self) -> None:
        self.left = MAX_STEPS

    def take(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise OutOfRangeError(
                "There are too many ways to share this batter among the tins: give fewer kinds, smaller counts or a "
                "narrower range of depths.",
                path=("tins",),
                code="search_too_long",
                limit=MAX_STEPS,
            )


def _kind(index: int, own: OwnTin, depths: Depths) -> _Kind | None:
    walls, capacity = walls_of(own.tin), capacity_ml(own.tin)
    cap = math.inf if capacity is None else capacity * depths.most_share * (1 + NEARLY)
    if walls is None:
        least, most = (capacity or 0.0) * min(LEAST_SHARE, depths.most_share), cap
    else:
        least, most = volume_ml(walls, depths.low_mm), min(cap, volume_ml(walls, depths.high_mm))
    return None if least > most else _Kind(index, own.count, least, most, walls, capacity)


def _fitting(batter_ml: float, kinds: list[_Kind], steps: _Steps) -> list[tuple[int, ...]]:
    """Every way with as few tins as needed for `SHOWN` ways, that holds just this batter within the depths."""
    slack = batter_ml * NEARLY
    most, least = max(kind.most for kind in kinds), min(kind.least for kind in kinds)
    number = max(1, math.ceil((batter_ml - slack) / most))
    available = sum(kind.count for kind in kinds)
    ways = list[tuple[int, ...]]()
    while number <= available and number * least <= batter_ml + slack and len(ways) < SHOWN:
        ways += _of_number(number, batter_ml, slack, kinds, steps)
        number += 1
    return ways


def _of_number(
    number: int, batter_ml: float, slack: float, kinds: list[_Kind], steps: _Steps
) -> Iterator[tuple[int, ...]]:
    """Every way with this number of tins whose least is at most, and whose most is at least, the batter."""
    last = len(kinds) - 1
    # What one further tin of this kind or a later one holds at most, and at least.
    most = [max(kind.most for kind in kinds[place:]) for place in range(len(kinds))]
    least = [min(kind.least for kind in kinds[place:]) for place in range(len(kinds))]
    rest = [sum(kind.count for kind in kinds[place + 1 :]) for place in range(len(kinds))]

    def search(place: int, left: int, low: float, high: float) -> Iterator[tuple[int, ...]]:
        steps.take()
        if high + left * most[place] < batter_ml - slack or low + left * least[place] > batter_ml + slack:
            return
        kind = kinds[place]
        for count in range(min(kind.count, left), max(0, left - rest[place]) - 1, -1):
            new_low, new_high = low + count * kind.least, high + count * kind.most
            if place == last:
                if new_low <= batter_ml + slack and new_high >= batter_ml - slack:
                    yield (count,)
                continue
            for others in search(place + 1, left - count, new_low, new_high):
                yield (count, *others)

    return search(0, number, 0.0, 0.0)


def _filled(batter_ml: float, kinds: list[_Kind], steps: _Steps) -> list[tuple[int, ...]]:
    """The ways that leave the least over, every tin being full enough."""
    rest = [math.fsum(kind.count * kind.most for kind in kinds[place:]) for place in range(len(kinds) + 1)]
    best: list[tuple[float, int, tuple[int, ...]]] = []

    def search(place: int, low: float, high: float, counts: tuple[int, ...]) -> None:
        steps.take()
        if len(best) == SHOWN and high + rest[place] < -best[-1][0]:
            return
        if place == len(kinds):
            if any(counts):
                best.append((-high, sum(counts), counts))
                best.sort()
                del best[SHOWN:]
            return
        kind = kinds[place]
        fit = kind.count if kind.least == 0 else int((batter_ml * (1 + NEARLY) - low) / kind.least)
        for count in range(min(kind.count, fit), -1, -1):
            search(place + 1, low + count * kind.least, high + count * kind.most, (*counts, count))

    search(0, 0.0, 0.0, ())
    return [counts for _, _, counts in best]


def _holding(batter_ml: float, kinds: list[_Kind], steps: _Steps) -> list[tuple[int, ...]]:
    """The ways that need the least extra batter, every one holding all of it."""
    rest = [math.fsum(kind.count * kind.most for kind in kinds[place:]) for place in range(len(kinds) + 1)]
    enough = batter_ml * (1 - NEARLY)
    best: list[tuple[float, int, tuple[int, ...]]] = []

    def search(place: int, low: float, high: float, counts: tuple[int, ...]) -> None:
        steps.take()
        if high + rest[place] < enough or (len(best) == SHOWN and low > best[-1][0]):
            return
        if place == len(kinds):
            best.append((low, sum(counts), counts))
            best.sort()
            del best[SHOWN:]
            return
        kind = kinds[place]
        for count in range(kind.count + 1):
            search(place + 1, low + count * kind.least, high + count * kind.most, (*counts, count))

    search(0, 0.0, 0.0, ())
    return [counts for _, _, counts in best]


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
        leftover_ml=_if_real(batter_ml - total, batter_ml),
        extra_ml=_if_real(total - batter_ml, batter_ml),
    )


def _chosen(kind: _Kind, count: int, batter_ml: float) -> ChosenTin:
    return ChosenTin(
        index=kind.index,
        count=count,
        batter_ml=batter_ml,
        depth_mm=None if kind.walls is None else depth_mm(kind.walls, batter_ml),
        fill_percent=None if not kind.capacity else batter_ml / kind.capacity * 100,
    )


def _if_real(difference: float, of: float) -> float:
    return difference if difference > of * NEARLY else 0.0


def _rank(choice: TinChoice, depths: Depths) -> tuple[float, int, int, float]:
    heights = [tin.depth_mm for tin in choice.tins if tin.depth_mm is not None]
    off = max((abs(height - depths.middle_mm) for height in heights), default=0.0)
    return (choice.leftover_ml + choice.extra_ml, choice.tin_count, len(choice.tins), off)
