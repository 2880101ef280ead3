"""What becomes of a slab: its mass by part, rounded so that the figures on a card add up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.cutting.layouts import CutLayout, Part
from domain.cutting.marks import FITS

PARTS: tuple[Part, ...] = ("pieces", "trim", "knife", "offcut")
TENTHS = 10  # figures on a card have one decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One part of a slab: its mass to a tenth of a gram, and percent of the slab."""

    part: Part
    weigh_g: float
    percent: float


def shares(layout: CutLayout) -> tuple[Share, ...]:
    """The parts of a slab whose mass is known; their masses add up to that of the slab, which is the last.

    Each mass is rounded down to a tenth of a gram. The tenths that are then missing go to the parts that lost most.

    Args:
        layout: how the slab is divided.
    Returns:
        Pieces, trim, knife and offcut, without those that are nothing, and the slab; empty if no mass is known.
    Source:
        The method of the largest remainder.
    """
    slab_g = layout.cutting.slab_g
    if slab_g is None:
        return ()
    parts = [part for part in PARTS if layout.percent_of(part) > FITS]
    tenths = whole_shares([layout.percent_of(part) for part in parts], round(slab_g * TENTHS))
    rows = [
        Share(part=part, weigh_g=each / TENTHS, percent=layout.percent_of(part))
        for part, each in zip(parts, tenths, strict=True)
    ]
    return (*rows, Share(part="slab", weigh_g=sum(tenths) / TENTHS, percent=100.0))


def whole_shares(weights: Sequence[float], total: int) -> list[int]:
    """Divide a whole number in proportion to weights.

    Args:
        weights: 0 or more, not all 0.
        total: what is divided, 0 or more.
    Returns:
        Whole numbers that add up to the total, each less than 1 from its exact share.

    >>> whole_shares([1, 1, 1], 100)
    [34, 33, 33]
    """
    exact = [total * weight / math.fsum(weights) for weight in weights]
    floors = [math.floor(share) for share in exact]
    by_remainder = sorted(range(len(exact)), key=lambda i: (floors[i] - exact[i], i))
    for i in by_remainder[: total - sum(floors)]:
        floors[i] += 1
    return floors
