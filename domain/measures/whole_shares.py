"""Whole numbers that stand for exact parts and add up to a total: the method of largest remainders."""

import math
from collections.abc import Sequence
from fractions import Fraction


def whole_shares(total: int, parts: Sequence[Fraction] | Sequence[float]) -> list[int]:
    """Round parts to whole numbers that add up to a total.

    Each part is rounded down, and what is then missing goes to the parts that lost most, one each.

    Args:
        total: the sum of the parts, rounded to a whole number, at least 0.
        parts: exact, each at least 0.
    Returns:
        Whole numbers that add up to *total*, each less than 1 from its part.
    Source:
        The method of largest remainders. A tie goes to the earlier part.

    >>> whole_shares(100, [Fraction(100, 3)] * 3)
    [34, 33, 33]
    """
    rounded = [math.floor(part) for part in parts]
    by_loss = sorted(range(len(parts)), key=lambda i: (rounded[i] - parts[i], i))
    for i in by_loss[: total - sum(rounded)]:
        rounded[i] += 1
    return rounded
