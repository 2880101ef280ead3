"""Round and ring-shaped slabs divided by radial cuts: wedges, and rings that are each cut into equal pieces."""

import math
from dataclasses import dataclass, replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_cuts import mean_piece, trim_notice
from domain.cutting.layouts import Alternative, CutAreas, CutLayout, Cutting, PieceKind, Sector, grams_of
from domain.cutting.marks import CutMarks, Mark, RimMark
from domain.cutting.ring_radii import Ring, ring_radii
from domain.cutting.round_alternatives import instead_of_wedges, is_thin, thin_notice
from domain.cutting.slabs import RingSlab, RoundSlab
from domain.cutting.wishes import (
    MIN_PIECE_MM,
    CountWish,
    MassWish,
    RingsWish,
    WedgesWish,
    check_count,
    crumbs,
    keeps_rule,
)
from domain.errors import MismatchError

MIN_OFFERED = 2  # one wedge is the whole slab, which is no way to cut it


@dataclass(frozen=True, slots=True, kw_only=True)
class _Annulus:
    """The slab without its trim: the area between two circles. Without a hole, the inner radius is 0."""

    inner_mm: float
    outer_mm: float

    @property
    def area_mm2(self) -> float:
        return math.pi * (self.outer_mm - self.inner_mm) * (self.outer_mm + self.inner_mm)

    def wedges(self, count: int) -> Ring:
        return Ring(pieces=count, inner_mm=self.inner_mm, outer_mm=self.outer_mm)


def cut_wedges(
    slab: RoundSlab | RingSlab,
    wish: WedgesWish | CountWish | MassWish,
    cutting: Cutting,
    budget: CutBudget,
) -> CutLayout:
    """Divide a slab into equal wedges.

    Args:
        slab: a disc or a ring; the trim is taken off all round, and at the hole of a ring too.
        wish: a number of wedges, or the mass that they should come near to; the shape of a count is not used.
        cutting: trim, knife, mass and limits.
        budget: is charged for the search and for each wedge.
    Returns:
        The layout; all wedges are edge pieces.
    Raises:
        OutOfRangeError: the wedges would be crumbs.
        MismatchError: they exceed a limit.
        NeededError: a mass is requested and the slab's mass is not known.
    Source:
        Plane geometry: sectors whose sides are moved inwards by half a knife width.
    """
    annulus = _trimmed(slab, cutting)
    if isinstance(wish, MassWish):
        count, error, alternatives = _nearest_count(slab, annulus, wish, cutting, budget)
        layout = _layout(slab, wish, [annulus.wedges(count)], cutting, budget)
        return replace(layout, error_percent=error, alternatives=alternatives)
    count = wish.wedges if isinstance(wish, WedgesWish) else wish.portions
    layout = _layout(slab, wish, [annulus.wedges(count)], cutting, budget)
    if not is_thin(layout.piece.length_mm, layout.piece.width_mm):
        return layout
    offers = instead_of_wedges(slab, count, cutting, budget) if isinstance(slab, RoundSlab) else ()
    notice = thin_notice(layout, offers).at(*wish.argument)
    return replace(layout, alternatives=offers, notices=(*layout.notices, notice))


def cut_rings(slab: RoundSlab, wish: RingsWish, cutting: Cutting, budget: CutBudget) -> CutLayout:
    """Divide a slab into concentric rings, and each ring into equal pieces.

    Args:
        slab: a disc.
        wish: the number of pieces in each ring, the middle first, and how wide the rings are.
        cutting: trim, knife, mass and limits.
        budget: is charged for each ring and each piece.
    Returns:
        The layout; the pieces of the outer ring are edge pieces, the others centre pieces.
    Raises:
        OutOfRangeError: the rings are too narrow or do not fit.
        MismatchError: a piece exceeds a limit.
    """
    budget.spend((costs.RING_OF_PIECES if wish.by == "equal_pieces" else costs.RING) * len(wish.rings))
    rings = ring_radii(_trimmed(slab, cutting).outer_mm, wish, cutting.knife_mm)
    return _layout(slab, wish, rings, cutting, budget)


def _layout(
    slab: RoundSlab | RingSlab,
    wish: WedgesWish | CountWish | MassWish | RingsWish,
    rings: list[Ring],
    cutting: Cutting,
    budget: CutBudget,
) -> CutLayout:
    budget.spend(2 * costs.PIECE * sum(ring.pieces for ring in rings))
    annulus, slab_mm2 = _trimmed(slab, cutting), slab.area_mm2
    kinds = []
    for i, ring in enumerate(rings):
        kind = _kind(i, ring, cutting, slab_mm2, outer=ring is rings[-1])
        if kind is None:
            size_mm = min(_extent(ring, cutting.knife_mm)) if ring.piece_mm2(cutting.knife_mm) > 0 else 0.0
            raise crumbs(size_mm, (*wish.argument, i) if isinstance(wish, RingsWish) else wish.argument)
        kinds.append(kind)
    _keep_limit(kinds, cutting)
    pieces_mm2 = math.fsum(kind.count * kind.area_mm2 for kind in kinds)
    half = cutting.knife_mm / 2
    radial = sum(_radial_cuts(ring) for ring in rings)
    trims = (2 if isinstance(slab, RingSlab) else 1) if cutting.trim_mm else 0
    return CutLayout(
        slab=slab,
        layout="rings" if isinstance(wish, RingsWish) else "wedges",
        rows=None,
        columns=None,
        pieces=sum(ring.pieces for ring in rings),
        piece=mean_piece(kinds),
        kinds=tuple(kinds),
        shapes=tuple(sector for ring in rings for sector in _sectors(ring, outer=ring is rings[-1])),
        marks=CutMarks(
            radius=tuple(Mark(mm=ring.outer_mm + half) for ring in rings[:-1]),
            rim=tuple(mark for i, ring in enumerate(rings) for mark in _rim_marks(i, ring, slab.diameter_mm / 2)),
        ),
        cuts_to_make=radial + len(rings) - 1 + trims,
        areas=CutAreas(
            slab_mm2=slab_mm2,
            pieces_mm2=pieces_mm2,
            offcut_mm2=0.0,
            trim_mm2=slab_mm2 - annulus.area_mm2 if cutting.trim_mm else 0.0,
            knife_mm2=max(0.0, annulus.area_mm2 - pieces_mm2) if cutting.knife_mm else 0.0,
        ),
        cutting=cutting,
        notices=trim_notice(cutting),
    )


def _kind(index: int, ring: Ring, cutting: Cutting, slab_mm2: float, *, outer: bool) -> PieceKind | None:
    """The pieces of one ring, or None if they would be crumbs."""
    area = ring.piece_mm2(cutting.knife_mm)
    length, width = _extent(ring, cutting.knife_mm)
    if min(length, width) < MIN_PIECE_MM or area <= 0:
        return None
    return PieceKind(
        place="edge" if outer else "centre",
        count=ring.pieces,
        length_mm=length,
        width_mm=width,
        area_mm2=area,
        grams=grams_of(cutting, area, slab_mm2),
        ring=index,
    )


def _extent(ring: Ring, knife_mm: float) -> tuple[float, float]:
    """Length along the radius, and width at the rim, of the pieces of a ring."""
    if ring.pieces == 1:
        return 2 * ring.outer_mm, 2 * ring.outer_mm
    return ring.outer_mm - ring.inner_mm, 2 * ring.outer_mm * math.sin(math.pi / ring.pieces) - knife_mm


def _sectors(ring: Ring, *, outer: bool) -> list[Sector]:
    step = 360 / ring.pieces
    return [
        Sector(
            inner_mm=ring.inner_mm,
            outer_mm=ring.outer_mm,
            start_degrees=i * step,
            end_degrees=(i + 1) * step,
            place="edge" if outer else "centre",
        )
        for i in range(ring.pieces)
    ]


def _rim_marks(index: int, ring: Ring, middle_mm: float) -> list[RimMark]:
    if ring.pieces == 1:
        return []
    marks = []
    for i in range(ring.pieces):
        turn = i / ring.pieces
        angle = math.tau * turn
        marks.append(
            RimMark(
                ring=index,
                degrees=360 * turn,
                rim_mm=ring.outer_mm * angle,
                chord_mm=2 * ring.outer_mm * abs(math.sin(angle / 2)),
                x_mm=middle_mm + ring.outer_mm * math.sin(angle),
                y_mm=middle_mm - ring.outer_mm * math.cos(angle),
            )
        )
    return marks


def _radial_cuts(ring: Ring) -> int:
    """The number of cuts: two opposite ones are one cut across the middle, unless a hole or a ring is inside."""
    if ring.pieces == 1:
        return 0
    return ring.pieces // 2 if ring.inner_mm == 0 and ring.pieces % 2 == 0 else ring.pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wedges:
    """A count of wedges, their area over the wanted one, and their kind; None if they would be crumbs."""

    count: int
    ratio: float
    kind: PieceKind | None

    @property
    def off_percent(self) -> float:
        return (self.ratio - 1) * 100


def _nearest_count(
    slab: RoundSlab | RingSlab, annulus: _Annulus, wish: MassWish, cutting: Cutting, budget: CutBudget
) -> tuple[int, float, tuple[Alternative, ...]]:
    """The count whose wedges come nearest a mass, how far their mass is off in percent, and the next nearest count."""
    wanted_mm2 = wish.portion_g / cutting.slab_grams() * slab.area_mm2
    # The knife makes wedges smaller, so the count that fits is at most the quotient of the areas, rounded up.
    most = max(1, math.floor(annulus.area_mm2 / wanted_mm2) + 1)
    check_count(most, wish.argument)
    candidates = list[_Wedges]()
    for count in range(most, 0, -1):
        budget.spend(costs.GRID)
        ring = annulus.wedges(count)
        area = ring.piece_mm2(cutting.knife_mm)
        if area > 0:
            kind = _kind(0, ring, cutting, slab.area_mm2, outer=True)
            candidates.append(_Wedges(count=count, ratio=area / wanted_mm2, kind=kind))
        if area > wanted_mm2:
            break
    candidates.sort(key=lambda wedges: (abs(math.log(wedges.ratio)), wedges.count))
    possible = [
        wedges
        for wedges in candidates
        if wedges.kind is not None and _keeps(wedges.kind, cutting) and _keeps_rule(wedges.kind, wish)
    ]
    if not possible and wish.rule != "nearest":
        raise MismatchError(
            f"No number of wedges of {wish.portion_g:g} g keeps {wish.rule} and the limit.",
            path=wish.argument,
            code="no_grid",
        )
    # If no count is possible, the nearest one is laid out, and its error says why.
    nearest = (possible or candidates)[0]
    alternatives = [
        Alternative(
            pieces=kind.count,
            rows=None,
            columns=None,
            length_mm=kind.length_mm,
            width_mm=kind.width_mm,
            grams=kind.grams,
            reason="near_mass",
            message=f"{kind.count} wedges: {wedges.off_percent:+.1f} % off the mass asked for.",
        )
        for wedges in possible[1:]
        if (kind := wedges.kind) is not None and kind.count >= MIN_OFFERED
    ]
    return nearest.count, nearest.off_percent, tuple(alternatives[:1])


def _trimmed(slab: RoundSlab | RingSlab, cutting: Cutting) -> _Annulus:
    hole = slab.hole_mm / 2 + cutting.trim_mm if isinstance(slab, RingSlab) else 0.0
    return _Annulus(inner_mm=hole, outer_mm=slab.diameter_mm / 2 - cutting.trim_mm)


def _keeps(kind: PieceKind, cutting: Cutting) -> bool:
    return cutting.broken_limit(kind.length_mm, kind.width_mm, kind.grams) is None


def _keeps_rule(kind: PieceKind, wish: MassWish) -> bool:
    return kind.grams is None or keeps_rule(wish, kind.grams, kind.grams)


def _keep_limit(kinds: list[PieceKind], cutting: Cutting) -> None:
    if cutting.largest_g is not None:
        cutting.slab_grams()
    for kind in kinds:
        if path := cutting.broken_limit(kind.length_mm, kind.width_mm, kind.grams):
            raise MismatchError("Pieces exceed the limit: ask for more of them.", path=path, code="limit_broken")
