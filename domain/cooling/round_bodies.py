"""Round bodies that stand for others on a grid over radius and height."""

import math

from domain.baking.heating import Extent

FIRST_ROOT_SLAB, FIRST_ROOT_CYLINDER = math.pi / 2, 2.404825557695773  # of series with a fixed surface temperature


def round_extents(extents: tuple[Extent, ...]) -> tuple[float, float]:
    """Radius and half depth of the round body that loses heat as fast as one of these extents.

    Args:
        extents: a cylinder and a plane wall, or two or three plane walls; the last is upright.
    Returns:
        Millimetres. A rectangle counts as the round whose first root with a fixed surface temperature is the same.
    """
    *across, upright = extents
    rates = sum(((FIRST_ROOT_CYLINDER if e.shape == "cylinder" else FIRST_ROOT_SLAB) / e.half_mm) ** 2 for e in across)
    return FIRST_ROOT_CYLINDER / math.sqrt(rates), upright.half_mm
