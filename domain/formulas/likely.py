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

    `widest` is the index of that line among those given; None if every line is exact.
    """

    low: float
    high: float
    widest: int | None


def likely_range(lines: Iterable[WeighedLine]) -> LikelyRange:
    """The likely range of the sum of lines.

    Lines that rest on the same records err together, so their deviations are added up. Deviations of different records
    are independent and are combined in quadrature: the root of the sum of their squares. Of n eggs that are counted,
    each differs for itself, so that the deviation of all is that of one egg times √n, and not times n: the bounds of a
    class are no spread of the mean.

    Args:
        lines: of one formula, in grams.
    Returns:
        The range. It is never wider than the bounds, and equals them for a single line that is not counted eggs. If the
        figures of each record are spread evenly over their range, about nine sums in ten lie inside.
    Source:
        JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 (independent) and 5.2.2 (correlated
        quantities); from memory.
    """
    every = list(lines)
    down, up, eggs = dict[Group, float](), dict[Group, float](), dict[Group, float]()
    for line in every:
        group, (grams, low, high) = line.cited, line.mass
        down[group] = down.get(group, 0.0) + grams - low
        up[group] = up.get(group, 0.0) + high - grams
        quantity = line.line.quantity
        if line.egg_part is not None and quantity.unit.dimension == "count":
            eggs[group] = eggs.get(group, 0.0) + quantity.amount.numerator / quantity.amount.denominator
    for group, count in eggs.items():
        if count > 1:
            down[group] /= math.sqrt(count)
            up[group] /= math.sqrt(count)
    total = math.fsum([line.mass.grams for line in every])
    widths = [line.mass.high - line.mass.low for line in every]
    widest = max(range(len(every)), key=widths.__getitem__, default=None)
    return LikelyRange(
        low=total - math.hypot(*down.values()),
        high=total + math.hypot(*up.values()),
        widest=widest if widest is not None and widths[widest] > 0 else None,
    )
