"""Outlines of slabs, and rings cut into sectors, as SVG shapes."""

import math
from collections.abc import Callable, Mapping, Sequence
from xml.etree import ElementTree as ET

from api.drawings.svg import INK, element, number
from domain.cutting.layouts import Place, Sector
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, Slab


def size_of(slab: Slab) -> tuple[float, float]:
    """Length and width of the rectangle that just holds a slab."""
    if isinstance(slab, RectangleSlab):
        return slab.length_mm, slab.width_mm
    if isinstance(slab, PolygonSlab):
        left, top, right, bottom = slab.bounds_mm
        return right - left, bottom - top
    return slab.diameter_mm, slab.diameter_mm


def origin_of(slab: Slab) -> tuple[float, float]:
    """The top left of that rectangle in the slab's coordinates."""
    if isinstance(slab, RectangleSlab):
        return 0.0, 0.0
    if isinstance(slab, PolygonSlab):
        return slab.bounds_mm[0], slab.bounds_mm[1]
    return -slab.diameter_mm / 2, -slab.diameter_mm / 2


def draw_outline(
    parent: ET.Element, slab: Slab, *, fill: str, stroke: str, stroke_width: float, inset: float = 0.0
) -> None:
    """Draw the slab's outline in its own coordinates; `inset` is cut off all round, parallel to the sides."""
    look: dict[str, str | float] = {"fill": fill, "stroke": stroke, "stroke_width": stroke_width}
    match slab:
        case RectangleSlab(length_mm=length, width_mm=width, corner_radius_mm=radius):
            element(
                parent,
                "rect",
                x=inset,
                y=inset,
                width=length - 2 * inset,
                height=width - 2 * inset,
                rx=0.0 if inset else radius,
                **look,
            )
        case PolygonSlab():
            element(parent, "path", d=_polygon(slab, inset), **look)
        case RingSlab(diameter_mm=diameter, hole_mm=hole):
            rings = _circle(diameter / 2 - inset) + _circle(hole / 2 + inset)
            element(parent, "path", d=rings, fill_rule="evenodd", **look)
        case _:
            element(parent, "circle", cx=0.0, cy=0.0, r=slab.diameter_mm / 2 - inset, **look)


def clip_to(root: ET.Element, prefix: str, slab: Slab, inset: float) -> str:
    """A clip path of the trimmed slab; rounded corners stay round where the trim does not reach them."""
    clip_path = element(root, "clipPath", id=f"{prefix}-slab")
    draw_outline(clip_path, slab, fill="#000000", stroke="none", stroke_width=0.0)
    if not inset:
        return f"url(#{prefix}-slab)"
    trimmed = element(root, "clipPath", id=f"{prefix}-trimmed", clip_path=f"url(#{prefix}-slab)")
    draw_outline(trimmed, slab, fill="#000000", stroke="none", stroke_width=0.0, inset=inset)
    return f"url(#{prefix}-trimmed)"


def draw_sectors(
    parent: ET.Element, sectors: Sequence[Sector], knife_mm: float, unit: float, fills: Mapping[Place, str]
) -> None:
    """Draw rings cut into sectors; the knife's width is shown as a gap between two lines."""
    line = 0.25 * unit

    def at(radius: float, degrees: float) -> tuple[str, str]:
        angle = math.radians(degrees)
        return number(radius * math.sin(angle)), number(-radius * math.cos(angle))

    for sector in sectors:
        element(
            parent,
            "path",
            d=_sector(sector, at),
            fill=fills[sector.place],
            fill_rule="evenodd",
            stroke=INK,
            stroke_width=line,
        )
    if not knife_mm:
        return
    cuts = [(s.inner_mm, s.outer_mm, s.start_degrees) for s in sectors if s.end_degrees - s.start_degrees < 360]
    circles = sorted({s.inner_mm - knife_mm / 2 for s in sectors if s.inner_mm > knife_mm})
    inside = min(s.inner_mm for s in sectors)
    for stroke, width in ((INK, knife_mm + 2 * line), ("#ffffff", knife_mm)):
        group = element(parent, "g", stroke=stroke, stroke_width=width, fill="none")
        for inner, outer, degrees in cuts:
            (x1, y1), (x2, y2) = at(inner, degrees), at(outer, degrees)
            element(group, "line", x1=x1, y1=y1, x2=x2, y2=y2)
        for radius in circles:
            if radius > inside:
                element(group, "circle", cx=0.0, cy=0.0, r=radius)


def _sector(sector: Sector, at: Callable[[float, float], tuple[str, str]]) -> str:
    inner, outer, start, end = sector.inner_mm, sector.outer_mm, sector.start_degrees, sector.end_degrees
    if end - start >= 360:
        return _circle(outer) + (_circle(inner) if inner else "")
    large, r = int(end - start > 180), number(outer)
    arc = f"M{' '.join(at(outer, start))}A{r} {r} 0 {large} 1 {' '.join(at(outer, end))}"
    if not inner:
        return f"{arc}L0 0Z"
    r = number(inner)
    return f"{arc}L{' '.join(at(inner, end))}A{r} {r} 0 {large} 0 {' '.join(at(inner, start))}Z"


def _circle(radius: float) -> str:
    r = number(radius)
    return f"M0 -{r}A{r} {r} 0 0 1 0 {r}A{r} {r} 0 0 1 0 -{r}Z"


def _polygon(slab: PolygonSlab, inset: float) -> str:
    """The path of a polygon, with arcs at rounded corners; a trimmed polygon has sharp corners."""
    whole = PolygonSlab(sides=slab.sides, across_flats_mm=slab.across_flats_mm, trim_mm=inset)
    radius = 0.0 if inset else slab.corner_radius_mm
    if radius == 0:
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in whole.corners) + "Z"
    share, r = 1 - radius / (slab.across_flats_mm / 2), number(radius)
    feet = [
        f"{number(x * share + radius * nx)} {number(y * share + radius * ny)}"
        for i, (x, y) in enumerate(whole.corners)
        for nx, ny in (whole.normals[i], whole.normals[(i + 1) % whole.sides])
    ]
    joined = "".join(f"A{r} {r} 0 0 1 {foot}" if i % 2 else f"L{foot}" for i, foot in enumerate(feet))
    return f"M{joined[1:]}Z"
