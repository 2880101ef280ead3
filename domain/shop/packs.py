"""Which packs to buy: the cheapest set that holds enough, found exactly.

The search minimises the price, then the mass left over, then the number of packs, over whole numbers of each size. It
is a branch and bound search that takes the sizes in ascending order of price per gram. Two bounds keep it small:

- A number of a dearer size that weighs as much as a number of the best size is never worth it, so each dearer size of
  mass w needs at most w_best / gcd(w, w_best) - 1 packs.
- No set can cover the remaining grams for less than their mass at the best remaining price per gram.

The fewest tins for a number of portions are the same problem, with portions in place of grams.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from domain.errors import OutOfRangeError, broken_limit

MAX_SIZES = 8  # our own limit: no shop is offered more sizes of one thing
MAX_STEPS = 6_000  # our own limit; the packs of a real shop take a few dozen steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A pack: what it holds, above 0, and what it costs, at least 0, in any units that all sizes share."""

    holds: Fraction
    cost: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """The number of packs of each size, in the order of the sizes, and what they hold and cost together."""

    counts: tuple[int, ...]
    holds: Fraction
    cost: Fraction
    steps: int = field(default=0, compare=False)


class StepBudget:
    """Search steps that all searches of one answer share."""

    def __init__(self, steps: int) -> None:
        """Start with a number of steps."""
        self.remaining_steps = steps

    def cover(self, need: Fraction, sizes: Sequence[Size]) -> Cover:
        """The cheapest cover, found within the remaining steps.

        Args:
            need: see `cheapest_cover`.
            sizes: see `cheapest_cover`.
        Returns:
            The cover. Its steps are taken off the budget; a search that is given up uses all its allowed steps.
        Raises:
            OutOfRangeError: see `cheapest_cover`.
        """
        allowed_steps = min(MAX_STEPS, self.remaining_steps)
        self.remaining_steps -= allowed_steps
        cover = cheapest_cover(need, sizes, allowed_steps)
        self.remaining_steps += allowed_steps - cover.steps
        return cover


@dataclass(slots=True, kw_only=True)
class _Search:
    """The state of a search: sizes in whole units, best price per unit first, and the best set so far.

    `best` is (cost, units left over, packs). `reached` holds the lowest (cost, packs) with which the search reached a
    (size, remaining units).
    """

    holds: list[int]
    cost: list[int]
    most: list[int]
    best: tuple[int, int, int]
    best_counts: tuple[int, ...]
    max_steps: int
    steps: int = 0
    reached: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)


def cheapest_cover(need: Fraction, sizes: Sequence[Size], max_steps: int = MAX_STEPS) -> Cover:
    """The cheapest packs that hold at least what is needed.

    Args:
        need: at least 0, in the unit of the sizes.
        sizes: one to eight packs.
        max_steps: limit of the search.
    Returns:
        The counts. Of sets that cost the same, the one with least left over, then the one of fewest packs.
    Raises:
        OutOfRangeError: no sizes or too many, or sizes so uneven that the search exceeds its limit.

    >>> flour = [Size(holds=Fraction(1500), cost=Fraction(129)), Size(holds=Fraction(16000), cost=Fraction(1120))]
    >>> cheapest_cover(Fraction(18_200), flour).counts
    (2, 1)
    """
    if not 1 <= len(sizes) <= MAX_SIZES:
        limit = broken_limit(len(sizes), 1, MAX_SIZES)
        raise OutOfRangeError(f"Give one to {MAX_SIZES} pack sizes.", code="pack_sizes", value=len(sizes), limit=limit)
    if need <= 0:
        return Cover(counts=(0,) * len(sizes), holds=Fraction(0), cost=Fraction(0))
    unit, cent = _common([size.holds for size in sizes]), _common([size.cost for size in sizes])
    order = sorted(range(len(sizes)), key=lambda i: (sizes[i].cost / sizes[i].holds, -sizes[i].holds))
    holds = [_times(sizes[i].holds, unit) for i in order]
    cost = [_times(sizes[i].cost, cent) for i in order]
    wanted = math.ceil(need / unit)
    whole = -(-wanted // holds[0])
    search = _Search(
        holds=holds,
        cost=cost,
        most=[wanted, *(holds[0] // math.gcd(h, holds[0]) - 1 for h in holds[1:])],
        best=(whole * cost[0], whole * holds[0] - wanted, whole),
        best_counts=(whole, *(0 for _ in holds[1:])),
        max_steps=max_steps,
    )
    _descend(search, 0, wanted, 0, ())
    counts = [0] * len(sizes)
    for i, count in zip(order, search.best_counts, strict=True):
        counts[i] = count
    return Cover(
        counts=tuple(counts),
        holds=sum((n * size.holds for n, size in zip(counts, sizes, strict=True)), Fraction(0)),
        cost=sum((n * size.cost for n, size in zip(counts, sizes, strict=True)), Fraction(0)),
        steps=search.steps,
    )


def _descend(search: _Search, place: int, rest: int, paid: int, counts: tuple[int, ...]) -> None:
    search.steps += 1
    if search.steps > search.max_steps:
        raise OutOfRangeError(
            "These sizes are too uneven to find the best set of them: leave some out.",
            code="pack_sizes",
            value=search.steps,
            limit=search.max_steps,
        )
    if rest <= 0:
        _keep_if_better(search, paid, -rest, counts)
        return
    if place == len(search.holds):
        return
    packs = sum(counts)
    if search.reached.get((place, rest), (paid + 1, 0)) <= (paid, packs) or _hopeless(search, place, rest, paid, packs):
        return
    search.reached[place, rest] = paid, packs
    enough = -(-rest // search.holds[place])
    if place == len(search.holds) - 1:
        if enough <= search.most[place]:
            left, due = rest - enough * search.holds[place], paid + enough * search.cost[place]
            _descend(search, place + 1, left, due, (*counts, enough))
        return
    for count in range(min(enough, search.most[place]), -1, -1):
        left, due = rest - count * search.holds[place], paid + count * search.cost[place]
        # Fewer packs of this size cost more at the next size's price, so no lower count can be better.
        if left > 0 and (search.best[0] - due) * search.holds[place + 1] < left * search.cost[place + 1]:
            return
        _descend(search, place + 1, left, due, (*counts, count))


def _hopeless(search: _Search, place: int, rest: int, paid: int, packs: int) -> bool:
    """Whether no set from here can beat the best one; in integers, so that no bound suffers from rounding."""
    price, holds = search.cost[place], search.holds[place]
    gap = (search.best[0] - paid) * holds - rest * price
    if gap != 0 or search.best[1] != 0:
        return gap < 0
    # At best the same cost with nothing left over: only fewer packs could be better.
    return packs - (-rest // max(search.holds[place:])) >= search.best[2]


def _keep_if_better(search: _Search, paid: int, over: int, counts: tuple[int, ...]) -> None:
    score = (paid, over, sum(counts))
    if score < search.best:
        search.best = score
        search.best_counts = (*counts, *(0 for _ in range(len(search.holds) - len(counts))))


def _common(values: Sequence[Fraction]) -> Fraction:
    """The largest fraction of which every value is a whole multiple; 1 if all values are zero."""
    bottom = math.lcm(*(value.denominator for value in values))
    top = math.gcd(*(_times(value, Fraction(1, bottom)) for value in values))
    return Fraction(top or 1, bottom)


def _times(value: Fraction, unit: Fraction) -> int:
    """How many units a whole multiple of it is; in whole numbers, since exact fractions are slow."""
    return value.numerator * unit.denominator // (value.denominator * unit.numerator)
