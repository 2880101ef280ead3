"""Areas averaged over the height of a slab with sloping walls; the masses of its pieces are in proportion to them."""

from collections.abc import Callable, Iterable
from itertools import pairwise

# Nodes and weights on -1 to 1, exact for polynomials up to degree 15: Gauss and Legendre.
_NODES = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)


def mean_over_height(area: Callable[[float], float], breaks: Iterable[float] = ()) -> float:
    """The mean of an area from the face of a slab (0) to its base (1).

    Args:
        area: at a share of the height below the face.
        breaks: shares at which it is not smooth, such as where a wall passes a cut.
    Returns:
        The mean, in the unit of the area.
    Source:
        Gauss-Legendre quadrature with eight nodes between each two breaks.

    >>> round(mean_over_height(lambda share: share * share), 12)
    0.333333333333
    """
    ends = sorted({0.0, 1.0, *(share for share in breaks if 0 < share < 1)})
    total = 0.0
    for start, end in pairwise(ends):
        middle, half = (start + end) / 2, (end - start) / 2
        total += half * sum(
            weight * (area(middle - half * node) + area(middle + half * node)) for node, weight in _NODES
        )
    return total


def wall_breaks(lean_mm: float, *places_mm: float) -> list[float]:
    """The shares of the height at which a leaning wall passes places.

    Args:
        lean_mm: how far the wall has come inwards at the base.
        places_mm: distances from the wall's upper edge.
    Returns:
        The shares, below 0 or above 1 where it does not pass; none if the wall is upright.
    """
    return [place / lean_mm for place in places_mm] if lean_mm else []
