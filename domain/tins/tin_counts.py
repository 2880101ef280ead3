"""The search behind `domain.tins.choice`: how many tins of each kind hold a batter best."""

import heapq
import itertools
import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from domain.errors import OutOfRangeError

SHOWN = 5  # choices in an answer; our own choice
MISS_STEP = 0.005  # share of the batter, less than sticks to the bowl: ways within one step are equal; our own choice
MAX_STEPS = 40_000  # our own limit: it bounds the work of one request
MAX_EQUAL = 400  # our own limit: ways of equal rank, which are then compared by their depth
GRAINS = 1 << 20  # parts of the batter in the set of volumes that tins can hold; our own choice
GRAINS_OF_STEP = 50  # parts of a step in the search for the least miss; our own choice
NEARLY = 1e-9  # share of the batter: a smaller difference is a rounding error


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of tin: how many there are, and what each holds at the least and at the largest depth, in ml."""

    count: int
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class BatterWish:
    """A batter in ml, and whether the tins must hold all of it; else they must all be full enough."""

    batter_ml: float
    hold_all: bool

    def miss(self, least: float, most: float) -> float:
        """The ml that tins for *least* to *most* ml leave over or need beyond the batter; infinite if unsuitable."""
        slack = self.batter_ml * NEARLY
        over, short = least - self.batter_ml, self.batter_ml - most
        if (short if self.hold_all else over) > slack:
            return math.inf
        return max(0.0, over if self.hold_all else short)

    def miss_steps(self, least: float, most: float) -> float:
        """The miss in steps of `MISS_STEP`, 0 for tins that hold the batter."""
        steps = self.miss(least, most) / (self.batter_ml * MISS_STEP)
        return steps if math.isinf(steps) else math.floor(steps)


class Way(NamedTuple):
    """How many tins of each kind; ways are sorted by their miss, their number of tins and their number of kinds."""

    miss_steps: float
    tin_count: int
    kind_count: int
    counts: tuple[int, ...]


def best_ways(kinds: Sequence[Kind], wish: BatterWish) -> list[Way]:
    """The ways that miss least, then take the fewest tins, then the fewest kinds.

    Args:
        kinds: at least one. Each holds at most as much at the least depth as at the largest.
        wish: the batter.
    Returns:
        At least `SHOWN` ways if there are as many, with the ways that are equal to the last, up to `MAX_EQUAL` of them.
        Empty if no way suits the batter.
    Raises:
        OutOfRangeError: there are too many ways to compare.
    """
    steps = _Steps()
    return _ways_that_hold(kinds, wish, steps) or _ways_that_miss_least(kinds, wish, steps)


class _Steps:
    """Counts the steps of a search."""

    def __init__(self) -> None:
        self.left = MAX_STEPS

    def take(self, number: int = 1) -> None:
        self.left -= number
        if self.left < 0:
            raise OutOfRangeError(
                "There are too many ways to share this batter among the tins: give fewer kinds, smaller counts or a "
                "wider range of depths.",
                path=("tins",),
                code="search_too_long",
                value=MAX_STEPS - self.left,
                limit=MAX_STEPS,
            )


class _ExtremeVolumes:
    """The most, or the least, that a number of tins can hold if they are of the kinds from a place in the list on."""

    def __init__(self, kinds: Sequence[Kind], *, most: bool) -> None:
        self._places = list[tuple[list[int], list[float], list[float]]]()
        for place in range(len(kinds) + 1):
            rest = sorted(((kind.most if most else kind.least, kind.count) for kind in kinds[place:]), reverse=most)
            numbers = list(itertools.accumulate((count for _, count in rest), initial=0))
            sums = list(itertools.accumulate((each * count for each, count in rest), initial=0.0))
            self._places.append((numbers, sums, [each for each, _ in rest]))

    def of(self, place: int, number: int) -> float:
        """The volume of *number* tins of the kinds from *place* on, at most as many as there are."""
        numbers, sums, each = self._places[place]
        at = bisect_left(numbers, number)
        return sums[at] if numbers[at] == number else sums[at - 1] + (number - numbers[at - 1]) * each[at - 1]

    def available(self, place: int) -> int:
        """How many tins there are from this place on."""
        return self._places[place][0][-1]


class _ReachableVolumes:
    """The volumes that some of the tins can hold at the largest depth: one bit for each grain of volume."""

    def __init__(self, kinds: Sequence[Kind], ceiling: float) -> None:
        # What tins hold at the largest depth exceeds what they hold at the least by at most this ratio.
        self._widest = max(kind.most / kind.least for kind in kinds)
        self._ceiling, self._grain = ceiling, ceiling / GRAINS
        mask, self._bits = (1 << (GRAINS + 1)) - 1, 1
        for kind in kinds:
            size, left, chunk = math.floor(min(kind.most, 2 * ceiling) / self._grain), kind.count, 1
            while left and chunk * size <= GRAINS:
                chunk = min(chunk, left)
                self._bits |= (self._bits << (chunk * size)) & mask
                left, chunk = left - chunk, 2 * chunk

    def may_hold(self, number: int, low: float, high: float) -> bool:
        """Whether *number* tins may hold *low* at the largest depth and *high* at the least; True if in doubt."""
        if high * self._widest >= self._ceiling:
            return True
        first = max(0, math.floor(low / self._grain) - number)  # each tin was rounded down by less than a grain
        last = math.ceil(high * self._widest / self._grain)
        return bool((self._bits >> first) & ((1 << (last - first + 1)) - 1))


def _ways_that_hold(kinds: Sequence[Kind], wish: BatterWish, steps: _Steps) -> list[Way]:
    """The ways that miss less than one step, the fewest tins first, then the fewest kinds, until there are `SHOWN`."""
    most, least = _ExtremeVolumes(kinds, most=True), _ExtremeVolumes(kinds, most=False)
    reachable = _ReachableVolumes(kinds, wish.batter_ml * (1 + 2 * MISS_STEP))
    step = wish.batter_ml * MISS_STEP
    floor = wish.batter_ml - (0.0 if wish.hold_all else step)
    ceiling = wish.batter_ml + (step if wish.hold_all else 0.0)
    slack = wish.batter_ml * NEARLY
    ways = list[Way]()
    for number in range(1, most.available(0) + 1):
        if least.of(0, number) > ceiling + slack:
            break
        if most.of(0, number) < floor - slack or not reachable.may_hold(number, floor - slack, ceiling + slack):
            continue
        search = _WaysOfNumber(kinds, (floor - slack, ceiling + slack), (most, least), steps)
        for kind_count in range(1, min(number, len(kinds)) + 1):
            ways += itertools.islice(
                (
                    Way(0, number, kind_count, counts)
                    for counts in search.ways(0, number, kind_count, 0.0, 0.0)
                    if _miss_steps(kinds, counts, wish) == 0
                ),
                MAX_EQUAL,
            )
            if len(ways) >= SHOWN:
                return ways
    return ways


class _WaysOfNumber:
    """A search for ways with a given number of tins that hold the batter at some depth.

    They hold at least the floor at the largest depth and at most the ceiling at the least depth.
    """

    def __init__(
        self,
        kinds: Sequence[Kind],
        window: tuple[float, float],
        extremes: tuple[_ExtremeVolumes, _ExtremeVolumes],
        steps: _Steps,
    ) -> None:
        self._kinds, self._steps = kinds, steps
        self._floor, self._ceiling = window
        self._most, self._least = extremes
        self._grain = self._ceiling * NEARLY
        self._without_ways = set[tuple[int, int, int, int, int]]()  # arguments without a way

    def ways(self, place: int, left: int, kinds_left: int, low: float, high: float) -> Iterator[tuple[int, ...]]:
        """Counts for the kinds from *place* on: *left* tins of *kinds_left* kinds; the rest hold *low* to *high* ml."""
        self._steps.take()
        if not left or not kinds_left:
            if not left and not kinds_left and low <= self._ceiling and high >= self._floor:
                yield (0,) * (len(self._kinds) - place)
            return
        if kinds_left > min(left, len(self._kinds) - place) or left > self._most.available(place):
            return
        if high + self._most.of(place, left) < self._floor or low + self._least.of(place, left) > self._ceiling:
            return
        key = (place, left, kinds_left, round(low / self._grain), round(high / self._grain))
        if key in self._without_ways:
            return
        alive = False
        kind = self._kinds[place]
        for count in range(min(kind.count, left), -1, -1):
            others = self.ways(
                place + 1,
                left - count,
                kinds_left - (count > 0),
                low + count * kind.least,
                high + count * kind.most,
            )
            for rest in others:
                alive = True
                yield (count, *rest)
        if not alive:
            self._without_ways.add(key)


def _miss_steps(kinds: Sequence[Kind], counts: Sequence[int], wish: BatterWish) -> float:
    least = math.fsum(count * kind.least for count, kind in zip(counts, kinds, strict=True))
    most = math.fsum(count * kind.most for count, kind in zip(counts, kinds, strict=True))
    return wish.miss_steps(least, most)


def _ways_that_miss_least(kinds: Sequence[Kind], wish: BatterWish, steps: _Steps) -> list[Way]:
    """The ways that miss least if none holds the batter: the range of misses is widened until there are `SHOWN`."""
    each = [kind.least if wish.hold_all else kind.most for kind in kinds]
    total = math.fsum(kind.count * size for kind, size in zip(kinds, each, strict=True))
    nearest = wish.batter_ml if wish.hold_all else min(wish.batter_ml, total)
    width = MISS_STEP
    while True:
        floor = nearest * (1 if wish.hold_all else 1 - width)
        ceiling = nearest * (1 + width if wish.hold_all else 1)
        ways = _ways_in_window(kinds, each, (floor, ceiling), wish, steps)
        if len(ways) >= SHOWN or (ceiling > total if wish.hold_all else floor <= 0):
            return ways
        width *= 2


class _Partial(NamedTuple):
    """The beginning of a way: the counts of the first kinds of tin, and what those tins hold."""

    tin_count: int
    kind_count: int
    counts: tuple[int, ...]
    held_ml: float


def _ways_in_window(
    kinds: Sequence[Kind], each: Sequence[float], window: tuple[float, float], wish: BatterWish, steps: _Steps
) -> list[Way]:
    """The ways whose sum of *each* is in the window; of sums within one grain of each other, only a few are kept."""
    floor, ceiling = window
    grain, slack = ceiling * MISS_STEP / GRAINS_OF_STEP, wish.batter_ml * NEARLY
    rest = list(itertools.accumulate((k.count * size for k, size in zip(kinds, each, strict=True)), initial=0.0))
    partials = [_Partial(0, 0, (), 0.0)]
    for place, (kind, size) in enumerate(zip(kinds, each, strict=True)):
        after = rest[-1] - rest[place + 1]
        grown: dict[int, list[_Partial]] = {}
        for number, kind_count, counts, held in partials:
            for count in range(kind.count + 1):
                new = held + count * size
                if new > ceiling + slack:
                    break
                if new + after < floor - slack:
                    continue
                steps.take()
                grown.setdefault(int(new / grain), []).append(
                    _Partial(number + count, kind_count + (count > 0), (*counts, count), new)
                )
        partials = [kept for alike in grown.values() for kept in _few_to_keep(alike)]
    ways = (Way(_miss_steps(kinds, p.counts, wish), *p[:3]) for p in partials if p.tin_count)
    return [way for way in ways if math.isfinite(way.miss_steps)]


def _few_to_keep(alike: list[_Partial]) -> Iterable[_Partial]:
    """The ways with the fewest tins, the fullest and the emptiest: the sums err by at most a grain for each kind."""
    if len(alike) <= SHOWN:
        return alike
    fullest, emptiest = (extreme(alike, key=lambda partial: partial.held_ml) for extreme in (max, min))
    return {fullest, emptiest, *heapq.nsmallest(SHOWN, alike)}
