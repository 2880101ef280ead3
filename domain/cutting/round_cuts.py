"""Round and ring slabs divided by radial cuts: wedges, and rings each divided into equal pieces."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from domain.cutting.grid_cuts import mean_piece, trim_notice
from domain.cutting.layouts import (
    MIN_PIECE_MM,
    Alternative,
    CountWish,
    CutAreas,
    CutLayout,
    Cutting,
    MassWish,
    PieceKind,
    RingsWish,
    Sector,
    WedgesWish,
    check_count,
    grams_of,
)
from domain.cutting.marks import CutMarks, Mark, RimMark
from domain.cutting.ring_radii import Ring, ring_radii
from domain.cutting.slabs import RingSlab, RoundSlab
from domain.errors import MismatchError, NeededError, OutOfRangeError


@dataclass(frozen=True, slots=True, kw_only=True)
class _Annulus:
    """The slab without its trim: between two circles, the inner one of no size if there is no hole."""

    inner_mm: float
    outer_mm: float

    @property
    def area_mm2(self) -> float:
        return math.pi * (self.outer_mm - self.inner_mm) * (self.outer_mm + self.inner_mm)


def cut_wedges(slab: RoundSlab | RingSlab, wish: WedgesWish | CountWish | MassWish, cutting: Cutting) -> CutLayout:
    """Equal wedges.

    Args:
        slab: a disc or a ring; the trim is taken off all round, of a ring at the hole too.
        wish: so many, or as near as can be to a mass; the shape of a count is not looked at.
        cutting: trim, knife, mass and limits.
    Returns:
        The layout; all wedges are edge pieces.
    Raises:
        OutOfRangeError: the wedges would be crumbs.
        MismatchError: they exceed the limit.
        NeededError: a mass is asked of a slab whose mass is not known.
    Source:
        Plane geometry: sectors whose sides are moved in by half a knife width.
    """
    annulus = _trimmed(slab, cutting)
    if isinstance(wish, MassWish):
        count, error, alternatives = _nearest_count(slab, annulus, wish, cutting)
        ring = Ring(pieces=count, inner_mm=annulus.inner_mm, outer_mm=annulus.outer_mm)
        return replace(_layout(slab, "wedges", [ring], cutting), error_percent=error, alternatives=alternatives)
    count = wish.wedges if isinstance(wish, WedgesWish) else wish.pieces
    ring = Ring(pieces=count, inner_mm=annulus.inner_mm, outer_mm=annulus.outer_mm)
    return _layout(slab, "wedges", [ring], cutting)


def cut_rings(slab: RoundSlab, wish: RingsWish, cutting: Cutting) -> CutLayout:
    """Concentric rings, each divided into equal pieces.

    Args:
        slab: a disc.
        wish: the pieces of each ring, the middle first, and how wide the rings are.
        cutting: trim, knife, mass and limits.
    Returns:
        The layout; the pieces of the outer ring are edge pieces, the others centre pieces.
    Raises:
        OutOfRangeError: the rings would be too narrow or do not fit.
        MismatchError: pieces exceed the limit.
    """
    annulus = _trimmed(slab, cutting)
    return _layout(slab, "rings", ring_radii(annulus.outer_mm, wish, cutting.knife_mm), cutting)


def _layout(
    slab: RoundSlab | RingSlab, layout: Literal["wedges", "rings"], rings: list[Ring], cutting: Cutting
) -> CutLayout:
    annulus, slab_mm2 = _trimmed(slab, cutting), slab.area_mm2
    kinds = tuple(_kind(i, ring, cutting, slab_mm2, outer=ring is rings[-1]) for i, ring in enumerate(rings))
    _keep_limit(kinds, cutting)
    pieces_mm2 = math.fsum(kind.count * kind.area_mm2 for kind in kinds)
    half = cutting.knife_mm / 2
    radial = sum(_radial_cuts(ring) for ring in rings)
    trims = (2 if isinstance(slab, RingSlab) else 1) if cutting.trim_mm else 0
    return CutLayout(
        slab=slab,
        layout=layout,
        rows=None,
        columns=None,
        pieces=sum(ring.pieces for ring in rings),
        piece=mean_piece(kinds, cutting, slab_mm2),
        kinds=kinds,
        shapes=tuple(sector for i, ring in enumerate(rings) for sector in _sectors(ring, outer=i == len(rings) - 1)),
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


def _kind(index: int, ring: Ring, cutting: Cutting, slab_mm2: float, *, outer: bool) -> PieceKind:
    area = ring.piece_mm2(cutting.knife_mm)
    across = 2 * ring.outer_mm * (math.sin(math.pi / ring.pieces) if ring.pieces > 1 else 1)
    size = {"length_mm": ring.outer_mm - ring.inner_mm, "width_mm": max(0.0, across - cutting.knife_mm)}
    if ring.pieces == 1:
        size = {"length_mm": across, "width_mm": across}
    if min(size.values()) < MIN_PIECE_MM or area <= 0:
        raise OutOfRangeError(
            f"Pieces would be under {MIN_PIECE_MM:g} mm across: ask for fewer.",
            path=("wedges",) if index == 0 and outer else ("rings", "pieces", index),
        )
    return PieceKind(
        place="edge" if outer else "centre",
        count=ring.pieces,
        area_mm2=area,
        grams=grams_of(cutting, area, slab_mm2),
        ring=index,
        **size,
    )


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
                x_mm=middle_mm + ring.outer_mm * math.sin(angle),
                y_mm=middle_mm - ring.outer_mm * math.cos(angle),
            )
        )
    return marks


def _radial_cuts(ring: Ring) -> int:
    """Cuts with the knife: right across where two meet in the middle, else one by one."""
    if ring.pieces == 1:
        return 0
    return ring.pieces // 2 if ring.inner_mm == 0 and ring.pieces % 2 == 0 else ring.pieces


def _nearest_count(
    slab: RoundSlab | RingSlab, annulus: _Annulus, wish: MassWish, cutting: Cutting
) -> tuple[int, float, tuple[Alternative, ...]]:
    if cutting.slab_g is None:
        raise NeededError(
            "Give slab_grams, or mix_grams and bake_loss_percent: pieces are weighed as a share of the slab.",
            path=("slab_grams",),
            code="slab-grams-needed",
        )
    wanted_mm2 = wish.piece_g / cutting.slab_g * slab.area_mm2
    # With the knife's width lost, a count slightly below area ÷ area: look down to where it must be.
    most = max(1, math.floor(annulus.area_mm2 / wanted_mm2) + 1)
    check_count(most, "piece_grams")
    found = []
    for count in range(most, 0, -1):
        area = Ring(pieces=count, inner_mm=annulus.inner_mm, outer_mm=annulus.outer_mm).piece_mm2(cutting.knife_mm)
        if area > 0:
            found.append((abs(math.log(area / wanted_mm2)), count, (area / wanted_mm2 - 1) * 100, area))
        if area > wanted_mm2:
            break
    (_, count, error, _), *others = sorted(found)
    alternatives = tuple(
        Alternative(
            pieces=other,
            rows=None,
            columns=None,
            length_mm=annulus.outer_mm - annulus.inner_mm,
            width_mm=2 * annulus.outer_mm * math.sin(math.pi / other),
            grams=grams_of(cutting, area, slab.area_mm2),
            reason="near_mass",
            message=f"{other} wedges: {off:+.1f} % off the mass asked for.",
        )
        for _, other, off, area in others[:1]
    )
    return count, error, alternatives


def _trimmed(slab: RoundSlab | RingSlab, cutting: Cutting) -> _Annulus:
    hole = slab.hole_mm / 2 + cutting.trim_mm if isinstance(slab, RingSlab) else 0.0
    return _Annulus(inner_mm=hole, outer_mm=slab.diameter_mm / 2 - cutting.trim_mm)


def _keep_limit(kinds: tuple[PieceKind, ...], cutting: Cutting) -> None:
    longest, largest = cutting.longest_side_mm, cutting.largest_g
    if largest is not None and cutting.slab_g is None:
        raise NeededError(
            "Give slab_grams, or mix_grams and bake_loss_percent, to keep a mass within a limit.",
            path=("slab_grams",),
            code="slab-grams-needed",
        )
    for kind in kinds:
        too_long = longest is not None and max(kind.length_mm, kind.width_mm) > longest
        if too_long or (largest is not None and kind.grams is not None and kind.grams > largest):
            raise MismatchError("Pieces exceed the limit: ask for more of them.", path=("limit",), code="limit-broken")
