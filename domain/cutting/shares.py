"""What becomes of a slab: its pieces and what is lost, rounded so that the figures on a card add up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.cutting.layouts import CutLayout, Part, PieceKind
from domain.cutting.marks import FITS
from domain.measures.whole_shares import whole_shares

LOST: tuple[Part, ...] = ("trim", "knife", "offcut")
TENTHS = 10  # figures on a card have one decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class SlabRow:
    """One part of a slab: its mass, and percent of the slab, both to a tenth.

    For pieces, `kinds` are those that are alike, and `count` is their number. Incomplete pieces are a row of `offcut`.
    """

    part: Part
    percent: float
    weigh_g: float | None
    count: int = 0
    kinds: tuple[PieceKind, ...] = ()


def slab_rows(layout: CutLayout) -> tuple[SlabRow, ...]:
    """The parts of a slab; their masses and percentages add up to the last row, which is the slab.

    Each figure is rounded down to a tenth. The tenths that are then missing go to the parts that lost most.

    Args:
        layout: how the slab is divided.
    Returns:
        Pieces that are alike, in one row each, then trim, knife and offcut, without those that are nothing; the slab.
    Source:
        The method of largest remainders (`domain.measures.whole_shares`).
    """
    alike = _alike(layout.kinds)
    lost = [part for part in LOST if layout.percent_of(part) > FITS and not (part == "offcut" and _has_parts(layout))]
    weights = [math.fsum(_percent(kind, layout) for kind in kinds) for kinds in alike]
    weights += [layout.percent_of(part) for part in lost]
    percents = _tenths(weights, 100.0)
    slab_g = layout.cutting.slab_g
    masses = None if slab_g is None else _tenths(weights, slab_g)
    rows = list[SlabRow]()
    for i, percent in enumerate(percents):
        kinds = alike[i] if i < len(alike) else ()
        incomplete = bool(kinds) and kinds[0].place == "part"
        rows.append(
            SlabRow(
                part="offcut" if incomplete else "pieces" if kinds else lost[i - len(alike)],
                percent=percent / TENTHS,
                weigh_g=None if masses is None else masses[i] / TENTHS,
                count=sum(kind.count for kind in kinds),
                kinds=kinds,
            )
        )
    total_g = None if masses is None else sum(masses) / TENTHS
    return (*rows, SlabRow(part="slab", percent=100.0, weigh_g=total_g))


def _tenths(weights: Sequence[float], whole: float) -> list[int]:
    """The shares of a whole in proportion to weights, in tenths of its unit."""
    total, sum_of_weights = round(whole * TENTHS), math.fsum(weights)
    return whole_shares(total, [total * weight / sum_of_weights for weight in weights])


def _alike(kinds: Sequence[PieceKind]) -> list[tuple[PieceKind, ...]]:
    """Kinds of the same size and mass together; incomplete pieces are always by themselves."""
    groups = list[list[PieceKind]]()
    for kind in kinds:
        for group in groups:
            if _same(group[0], kind):
                group.append(kind)
                break
        else:
            groups.append([kind])
    return [tuple(group) for group in groups]


def _same(first: PieceKind, second: PieceKind) -> bool:
    def figures(kind: PieceKind) -> tuple[float, ...]:
        low, high = kind.grams_low or kind.area_mm2, kind.grams_high or kind.area_mm2
        return kind.length_mm, kind.width_mm, kind.area_mm2, low, high

    pairs = zip(figures(first), figures(second), strict=True)
    return "part" not in {first.place, second.place} and all(math.isclose(*pair, rel_tol=FITS) for pair in pairs)


def _has_parts(layout: CutLayout) -> bool:
    return any(kind.place == "part" for kind in layout.kinds)


def _percent(kind: PieceKind, layout: CutLayout) -> float:
    slab_g = layout.cutting.slab_g
    if slab_g is not None and kind.grams is not None:
        return kind.count * kind.grams / slab_g * 100
    return kind.count * kind.area_mm2 / layout.areas.slab_mm2 * 100
