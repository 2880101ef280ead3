"""The likely range of a sum of lines: narrower than its bounds, since not every line errs the same way at once."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from domain.formulas.formula import WeighedLine
from domain.sources import Cited

Group = tuple[Cited, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LikelyRange:
    """Where the sum of some lines is likely to be, in grams, and the line that widens the range most.

    `widest` is the index of that line among those given, eggs by their likely range; None if every line is exact.
    """

    low: float
    high: float
    widest: int | None


def likely_range(lines: Iterable[WeighedLine]) -> LikelyRange:
    """The likely range of the sum of lines.

    Lines that rest on the same records err together, so their deviations are added up. Deviations of different records
    are independent and are combined in quadrature: the root of the sum of their squares. The masses of single eggs are
    independent too, even of eggs in several lines that rest on the same record: the deviation of n counted eggs is that
    of one egg times √n. It is not times n, because the bounds of a class are those of an egg and not of a mean.

    Args:
        lines: of one formula, in grams.
    Returns:
        The range. It is never wider than the bounds, and equals them for a single line that is not counted eggs. If the
        figures of each record are spread evenly over their range, about nine sums in ten lie inside.
    Source:
        JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 (independent) and 5.2.2 (correlated
        quantities); from memory.
    """
    grams_of_all = list[float]()
    together = dict[Group, list[float]]()  # what lies below and above
    down, up = list[float](), list[float]()
    widest, most = None, 0.0
    for index, line in enumerate(lines):
        grams, low, high = line.mass
        grams_of_all.append(grams)
        if low == high:
            continue
        eggs = 1.0 if line.egg_part is None else _eggs_counted(line)
        if eggs > 1:
            narrowed = math.sqrt(eggs)
            width = (high - low) / narrowed
            down.append((grams - low) / narrowed)
            up.append((high - grams) / narrowed)
        else:
            width = high - low
            deviations = together.setdefault(line.cited, [0.0, 0.0])
            deviations[0] += grams - low
            deviations[1] += high - grams
        if width > most:
            widest, most = index, width
    total = math.fsum(grams_of_all)
    return LikelyRange(
        low=total - math.hypot(*down, *[below for below, _ in together.values()]),
        high=total + math.hypot(*up, *[above for _, above in together.values()]),
        widest=widest,
    )


def _eggs_counted(line: WeighedLine) -> float:
    """The number of eggs of a line that counts them, else 1."""
    quantity = line.quantity
    return quantity.amount.numerator / quantity.amount.denominator if quantity.unit.dimension == "count" else 1.0
