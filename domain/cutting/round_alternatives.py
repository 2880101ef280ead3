"""What to offer instead of wedges that are too thin to cut: rings of equal pieces, or a grid."""

import math
from itertools import pairwise

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import Alternative, CutLayout, Cutting, grams_of
from domain.cutting.offset_grids import cut_curved
from domain.cutting.ring_radii import ring_radii
from domain.cutting.slabs import RoundSlab
from domain.cutting.wishes import MIN_PIECE_MM, RingsWish, SizeWish
from domain.errors import DomainError
from domain.notices import Notice

THIN = 4.0  # a wedge more than four times as long as it is wide at the rim is thin; our own choice
MAX_OFFERED_RINGS = 6  # our own limit: nobody cuts more
SIZES_TRIED = 5  # sizes of squares that are compared; our own choice
NEXT_SIZE = 0.95  # from one size that is tried to the next; our own choice
PART_LOSS = 0.9  # share of a rim as long as the pieces are wide that is in part pieces, approximately; our own choice
WORK = 500  # an upper bound of the work of trying all sizes, in the units of the budget


def is_thin(length_mm: float, width_mm: float) -> bool:
    """Whether a wedge is too thin to be cut well.

    Args:
        length_mm: from the point to the rim.
        width_mm: straight across its outer end.
    Returns:
        True if it is more than four times as long as it is wide.
    """
    return length_mm > THIN * width_mm


def instead_of_wedges(slab: RoundSlab, count: int, cutting: Cutting, budget: CutBudget) -> tuple[Alternative, ...]:
    """Rings, and a grid, of as many pieces.

    Args:
        slab: a disc.
        count: of pieces.
        cutting: trim, knife and mass.
        budget: is charged for the grid, which is left out if too little is left.
    Returns:
        Up to two alternatives.
    """
    offers = [_rings(slab, count, cutting, budget)]
    if budget.left > WORK:
        offers.append(_grid(slab, count, cutting, budget))
    return tuple(offer for offer in offers if offer is not None)


def thin_notice(layout: CutLayout, alternatives: tuple[Alternative, ...]) -> Notice:
    """The warning about thin wedges.

    Args:
        layout: of wedges.
        alternatives: that are offered instead.
    Returns:
        The warning, with the width at the rim and the least that is well cut.
    """
    wedge = layout.piece
    least = wedge.length_mm / THIN
    message = f"Wedges {wedge.length_mm:.0f} mm long are only {wedge.width_mm:.0f} mm wide at the rim"
    message += f": {' '.join(each.message for each in alternatives)}" if alternatives else "."
    return Notice("poor_shape", message, (), wedge.width_mm, least, "mm")


def ring_counts(count: int) -> tuple[int, ...]:
    """The number of equal pieces in each ring of a disc that makes the pieces most nearly as long as they are wide.

    Args:
        count: of pieces in all.
    Returns:
        The numbers, the middle first.

    >>> ring_counts(19)
    (5, 14)
    """
    return min((counts for counts in map(_even_rings, [count] * MAX_OFFERED_RINGS, range(1, 7)) if counts), key=_worst)


def _even_rings(count: int, rings: int) -> tuple[int, ...]:
    """Rings about as wide as each other: so many pieces of equal area lie within each."""
    within = [round(count * (i / rings) ** 2) for i in range(rings + 1)]
    counts = tuple(outer - inner for inner, outer in pairwise(within))
    return counts if min(counts) >= 1 else ()


def _worst(counts: tuple[int, ...]) -> float:
    """The longest shape among the pieces, as a ratio."""
    return max(max(length / width, width / length) for length, width in _sizes(counts, 1.0))


def _sizes(counts: tuple[int, ...], radius: float) -> list[tuple[float, float]]:
    """Length outwards, and width across the outer end, of the pieces of each ring."""
    total, within, inner, sizes = sum(counts), 0, 0.0, []
    for pieces in counts:
        within += pieces
        outer = radius * math.sqrt(within / total)
        if pieces == 1 and inner == 0:
            sizes.append((2 * outer, 2 * outer))
        else:
            sizes.append((outer - inner, 2 * outer * math.sin(math.pi / max(2, pieces))))
        inner = outer
    return sizes


def _rings(slab: RoundSlab, count: int, cutting: Cutting, budget: CutBudget) -> Alternative | None:
    radius = slab.diameter_mm / 2 - cutting.trim_mm
    counts = ring_counts(count)
    if len(counts) < 2:
        return None
    budget.spend(costs.RING_OF_PIECES * len(counts))
    try:
        outer = ring_radii(radius, RingsWish(rings=counts), cutting.knife_mm)[-1]
    except DomainError:
        return None
    length = outer.outer_mm - outer.inner_mm
    width = 2 * radius * math.sin(math.pi / outer.pieces) - cutting.knife_mm
    if min(length, width) < MIN_PIECE_MM:
        return None
    named = ", ".join(str(pieces) for pieces in counts)
    return Alternative(
        pieces=count,
        rows=None,
        columns=None,
        length_mm=length,
        width_mm=width,
        grams=grams_of(cutting, outer.piece_mm2(cutting.knife_mm), slab.area_mm2),
        reason="rings",
        message=f"Rings of {named} from the middle make {count} equal portions, the outer ones {length:.0f} mm × "
        f"{width:.0f} mm.",
        rings=counts,
    )


def _grid(slab: RoundSlab, count: int, cutting: Cutting, budget: CutBudget) -> Alternative | None:
    """The largest squares of those tried that make at least as many whole pieces."""
    radius = slab.diameter_mm / 2 - cutting.trim_mm
    # Whole squares cover the disc but for a rim of parts: count·s² + loss·2πr·s/2 = πr².
    half_rim = PART_LOSS * math.pi * radius / 2
    size = (math.sqrt(half_rim**2 + count * math.pi * radius**2) - half_rim) / count * 1.1
    for _ in range(SIZES_TRIED):
        side = math.floor(size) - cutting.knife_mm
        if side < MIN_PIECE_MM or budget.left < costs.LAYOUT:
            return None
        try:
            layout = cut_curved(slab, SizeWish(length_mm=side, width_mm=side), cutting, budget)
        except DomainError:
            return None
        if layout.pieces >= count:
            parts = layout.count_of("part")
            return Alternative(
                pieces=layout.pieces,
                rows=layout.rows,
                columns=layout.columns,
                length_mm=side,
                width_mm=side,
                grams=layout.piece.grams,
                reason="round_grid",
                message=f"A grid of {side:g} mm squares makes {layout.pieces} whole portions and {parts} parts.",
            )
        size *= NEXT_SIZE
    return None
