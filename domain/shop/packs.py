"""Which packs to buy: the cheapest set that holds enough, found exactly.

Minimise what is paid, then what is left over, then how many packs there are, over whole numbers of each size. The
search takes the sizes from the best price per gram upwards and leaves a branch once even that price could not beat
what is found. Two facts keep it small. So many of a worse size as weigh the same as some of the best one are never
worth it, which bounds each worse size by w_best/gcd(w, w_best) - 1. And with rest grams to cover, no set can be
cheaper than the rest at the best price per gram still open. Counts of tins are the same problem with pieces for grams.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from domain.errors import OutOfRangeError

MAX_SIZES = 8  # our own limit: no shop is offered more sizes of one thing
MAX_STEPS = 6_000  # our own limit: about ten milliseconds; real packs take a few dozen


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A pack: what it holds, above 0, and what it costs, at least 0; both in any one unit."""

    holds: Fraction
    cost: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """How many of each size, in the order asked, with what they hold and cost together; `steps` it took to find."""

    counts: tuple[int, ...]
    holds: Fraction
    cost: Fraction
    steps: int = field(default=0, compare=False)


class StepBudget:
    """Steps left for all the searches of one answer together."""

    def __init__(self, steps: int) -> None:
        """Start with so many."""
        self.steps = steps

    def cover(self, need: Fraction, sizes: Sequence[Size]) -> Cover:
        """`cheapest_cover` within what is left, less what it took; a search given up takes all it was allowed."""
        allowed = min(MAX_STEPS, self.steps)
        self.steps -= allowed
        found = cheapest_cover(need, sizes, allowed)
        self.steps += allowed - found.steps
        return found


@dataclass(slots=True, kw_only=True)
class _Search:
    """What the search knows: sizes in whole units, best price per unit first, and the best set so far."""

    holds: list[int]
    cost: list[int]
    most: list[int]
    best: tuple[int, int, int]
    best_counts: tuple[int, ...]
    max_steps: int
    steps: int = 0
    been: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)


def cheapest_cover(need: Fraction, sizes: Sequence[Size], max_steps: int = MAX_STEPS) -> Cover:
    """The cheapest packs that hold at least what is needed.

    Args:
        need: at least 0, in the unit of the sizes.
        sizes: one to eight packs.
        max_steps: how long to search.
    Returns:
        The counts; of sets that cost the same the one with least left over, then that of fewest packs.
    Raises:
        OutOfRangeError: no sizes or too many, or sizes so uneven that the search would take too long.

    >>> flour = [Size(holds=Fraction(1500), cost=Fraction(129)), Size(holds=Fraction(16000), cost=Fraction(1120))]
    >>> cheapest_cover(Fraction(18_200), flour).counts
    (2, 1)
    """
    if not 1 <= len(sizes) <= MAX_SIZES:
        raise OutOfRangeError(f"Give one to {MAX_SIZES} pack sizes.", code="pack-sizes")
    if need <= 0:
        return Cover(counts=(0,) * len(sizes), holds=Fraction(0), cost=Fraction(0))
    unit, cent = _common([size.holds for size in sizes]), _common([size.cost for size in sizes])
    order = sorted(range(len(sizes)), key=lambda i: (sizes[i].cost / sizes[i].holds, -sizes[i].holds))
    holds = [int(sizes[i].holds / unit) for i in order]
    cost = [int(sizes[i].cost / cent) for i in order]
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
        raise OutOfRangeError("These pack sizes are too uneven to be searched: leave some out.", code="pack-sizes")
    if rest <= 0:
        _offer(search, paid, -rest, counts)
        return
    if place == len(search.holds):
        return
    packs = sum(counts)
    if search.been.get((place, rest), (paid + 1, 0)) <= (paid, packs) or _hopeless(search, place, rest, paid, packs):
        return
    search.been[place, rest] = paid, packs
    enough = -(-rest // search.holds[place])
    if place == len(search.holds) - 1:
        if enough <= search.most[place]:
            _descend(search, place + 1, rest - enough * search.holds[place], paid + enough * search.cost[place],
                     (*counts, enough))  # fmt: skip
        return
    for count in range(min(enough, search.most[place]), -1, -1):
        left, due = rest - count * search.holds[place], paid + count * search.cost[place]
        # Fewer of this size means more at the next size's price, which is no better: once past, always past.
        if left > 0 and (search.best[0] - due) * search.holds[place + 1] < left * search.cost[place + 1]:
            return
        _descend(search, place + 1, left, due, (*counts, count))


def _hopeless(search: _Search, place: int, rest: int, paid: int, packs: int) -> bool:
    """Whether nothing from here can beat the best set; integers only, so that no bound is off by rounding."""
    price, holds = search.cost[place], search.holds[place]
    gap = (search.best[0] - paid) * holds - rest * price
    if gap != 0 or search.best[1] != 0:
        return gap < 0
    # At best the same cost with nothing left over: only fewer packs would be better.
    return packs - (-rest // max(search.holds[place:])) >= search.best[2]


def _offer(search: _Search, paid: int, over: int, counts: tuple[int, ...]) -> None:
    found = (paid, over, sum(counts))
    if found < search.best:
        search.best = found
        search.best_counts = (*counts, *(0 for _ in range(len(search.holds) - len(counts))))


def _common(values: Sequence[Fraction]) -> Fraction:
    """The largest fraction of which all values are whole multiples; 1 if all are zero."""
    bottom = math.lcm(*(value.denominator for value in values))
    top = math.gcd(*(int(value * bottom) for value in values))
    return Fraction(top or 1, bottom)
