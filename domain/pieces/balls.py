"""The size of a piece of dough that is rolled into a ball."""

import math

from domain.measures.definitions import MM3_PER_ML


def ball_mm(grams: float, g_per_ml: float) -> float:
    """Diameter of a ball of dough.

    Args:
        grams: mass of the ball.
        g_per_ml: density of the dough.
    Returns:
        Millimetres.
    Source:
        The volume of a sphere, π/6·d³.

    >>> round(ball_mm(20.0, 1.2), 1)
    31.7
    """
    return math.cbrt(6 / math.pi * grams / g_per_ml * MM3_PER_ML)
