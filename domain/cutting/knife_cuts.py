"""The cuts of a layout as a person makes them: their number is the layout's `cuts_to_make`."""

from dataclasses import dataclass

from domain.cutting.layouts import CutLayout, Sector
from domain.cutting.marks import ObliqueMark, RimMark
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab


@dataclass(frozen=True, slots=True, kw_only=True)
class RadialCut:
    """One cut of a ring: from one mark on its outer edge straight through the middle to another, or inwards only.

    `end` is None for a cut that stops at the middle, at the hole or at the next ring.
    """

    start: RimMark
    end: RimMark | None = None


def radial_cuts(layout: CutLayout) -> tuple[RadialCut, ...]:
    """The radial cuts. Two opposite marks of a disc are one cut.

    Args:
        layout: wedges or rings; a grid has no radial cuts.
    Returns:
        The cuts in the order of their marks, ring by ring from the middle.
    """
    marks = layout.marks.rim
    cuts = list[RadialCut]()
    for ring in sorted({mark.ring for mark in marks}):
        of_ring = [mark for mark in marks if mark.ring == ring]
        half, odd = divmod(len(of_ring), 2)
        if ring == 0 and not odd and _reaches_the_middle(layout):
            cuts += [RadialCut(start=of_ring[i], end=of_ring[i + half]) for i in range(half)]
        else:
            cuts += [RadialCut(start=mark) for mark in of_ring]
    return tuple(cuts)


def _reaches_the_middle(layout: CutLayout) -> bool:
    first = next(iter(layout.shapes))
    return isinstance(first, Sector) and first.inner_mm == 0


def slanting_cuts(layout: CutLayout) -> tuple[ObliqueMark, ...]:
    """The slanting cuts. The diagonals of a grid's pieces that touch at a corner are one cut.

    Args:
        layout: triangles or diamonds; others have no slanting cuts.
    Returns:
        The cuts, each from where it enters the slab to where it leaves it.
    """
    lines, columns, rows = layout.marks.oblique, layout.columns, layout.rows
    if layout.figure != "triangle" or columns is None or rows is None:
        return lines
    # The lines stand row by row. A diagonal starts in the first column or in the first row.
    starts = [(row, 0) for row in reversed(range(rows))] + [(0, column) for column in range(1, columns)]
    cuts = list[ObliqueMark]()
    for row, column in starts:
        steps = min(rows - row, columns - column) - 1
        first, last = lines[row * columns + column], lines[(row + steps) * columns + column + steps]
        cuts.append(
            ObliqueMark(
                from_x_mm=first.from_x_mm, from_y_mm=first.from_y_mm, to_x_mm=last.to_x_mm, to_y_mm=last.to_y_mm
            )
        )
    return tuple(cuts)


def trim_cuts(layout: CutLayout) -> int:
    """The number of cuts that take the trim off and that are at no mark.

    Args:
        layout: of any slab.
    Returns:
        0 without a trim, and for a rectangle whose marks include all trims.
    """
    if not layout.cutting.trim_mm:
        return 0
    match layout.slab:
        case RectangleSlab():
            return 2 if layout.figure == "diamond" else 0
        case PolygonSlab(sides=sides):
            return sides
        case RingSlab():
            return 2
    return 1
