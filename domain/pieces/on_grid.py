"""Dough pieces placed by how the bake is cut: the same number in each portion, and none under the knife."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from domain.cutting.layouts import Cell, CutLayout, Facet, Sector
from domain.cutting.marks import ObliqueMark
from domain.cutting.plane import Point
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab
from domain.errors import MismatchError, OutOfRangeError
from domain.notices import Notice
from domain.pieces.patterns import COOK_LAST, MAX_SET, PiecePattern, set_pieces, touching

NEARLY = 1e-9  # relative: a piece that just touches the width of a cut is not under the knife
FULL_TURN = 360.0  # degrees
MAX_ARCS = 3  # arcs of pieces that are compared within one wedge; our own choice


def set_on_cuts(layout: CutLayout, per_portion: int, ball_mm: float | None = None) -> PiecePattern:
    """Pieces centred in every whole portion.

    Args:
        layout: how one tin is cut.
        per_portion: how many pieces each whole portion gets.
        ball_mm: diameter of a piece, to check whether pieces touch and reach a cut.
    Returns:
        The places, measured like the marks of the cuts. Several pieces of a portion stand in an even pattern of their
        own, evenly also towards the cuts.
    Raises:
        OutOfRangeError: there are too many pieces.
    """
    if per_portion < 1 or per_portion * layout.pieces > MAX_SET:
        raise OutOfRangeError(
            f"1 to {MAX_SET} pieces can be set into one tin.",
            path=("per_portion",),
            value=per_portion * layout.pieces,
            limit=MAX_SET,
        )
    origin_x, origin_y = _origin(layout)
    places = tuple(
        (x + origin_x, y + origin_y)
        for shape in layout.shapes
        if shape.place != "part"
        for x, y in _in_portion(shape, per_portion)
    )
    nearest = _nearest_mm(places)
    pattern = PiecePattern(
        slab=layout.slab,
        positions=places,
        rows=(),
        along=None,
        rings=(),
        nearest_mm=nearest,
        wall_mm=min(_wall_mm(layout, place) for place in places),
        notices=(),
    )
    notices = (COOK_LAST, *touching(pattern, ball_mm), *knife_notice(pattern, layout, ball_mm))
    return replace(pattern, notices=notices)


def per_portion_of(layout: CutLayout, per_tin: int) -> int:
    """How many pieces each portion gets, if the pieces of a tin go evenly into its portions.

    Args:
        layout: how one tin is cut.
        per_tin: pieces in one tin.
    Returns:
        A whole number, at least 1.
    Raises:
        MismatchError: they do not go evenly; the candidates are the nearest counts that do.
    """
    if per_tin % layout.pieces == 0:
        return per_tin // layout.pieces
    candidates = tuple(str(count) for count in _even_counts(layout.pieces, per_tin))
    raise MismatchError(
        f"{per_tin} pieces do not go evenly into {layout.pieces} portions: make {' or '.join(candidates)}.",
        path=("per_portion",),
        code="pieces_uneven",
        candidates=candidates,
        value=per_tin,
        limit=layout.pieces,
    )


def shared_by_portions(portions: int, pieces: int, grams_each: float, tins: int = 1) -> tuple[tuple[int, float], ...]:
    """The counts next to a number of pieces that every portion can get the same number of.

    Args:
        portions: of one tin.
        pieces: in all the tins.
        grams_each: of one of them.
        tins: that are alike.
    Returns:
        Pieces in one tin, and the grams of each when the same dough is shared out.
    """
    dough_g = pieces * grams_each
    return tuple((count, dough_g / (count * tins)) for count in _even_counts(portions, math.ceil(pieces / tins)))


def _even_counts(portions: int, per_tin: int) -> tuple[int, ...]:
    below = per_tin // portions
    return tuple(each * portions for each in (below, below + 1) if each)


def pieces_under_knife(pattern: PiecePattern, layout: CutLayout, ball_mm: float | None) -> int:
    """How many pieces a cut goes through.

    Args:
        pattern: places of pieces in the tin.
        layout: how the tin is cut.
        ball_mm: diameter of a piece; if it is not known, only middles under the knife count.
    Returns:
        The number of pieces that reach into the width of a cut, or that lie in the trim.
    """
    reach = (ball_mm or 0.0) / 2 + layout.cutting.knife_mm / 2
    rings = _rings(layout)
    return sum(_cut_mm(layout, rings, place) <= reach * (1 - NEARLY) for place in pattern.positions)


def knife_notice(pattern: PiecePattern, layout: CutLayout, ball_mm: float | None) -> tuple[Notice, ...]:
    """The warning that cuts go through pieces.

    Args:
        pattern: places of pieces in the tin.
        layout: how the tin is cut.
        ball_mm: diameter of a piece, if it is known.
    Returns:
        The warning with the number of pieces, or nothing.
    """
    count = pieces_under_knife(pattern, layout, ball_mm)
    if not count:
        return ()
    pieces = f"{count} of {len(pattern.positions)} pieces"
    message = f"A cut goes through {pieces}: place them by the portion, or make a count that the portions share."
    return (Notice("pieces_under_knife", message, (), count, 0),)


def _origin(layout: CutLayout) -> Point:
    """What is added to a place on the slab, to measure it from the left and the top of the tin."""
    match layout.slab:
        case RectangleSlab():
            return 0.0, 0.0
        case PolygonSlab(bounds_mm=(left, top, _, _)):
            return -left, -top
        case slab:
            return slab.diameter_mm / 2, slab.diameter_mm / 2


def _in_portion(portion: Cell | Sector | Facet, count: int) -> list[Point]:
    """Places of pieces in one portion, on the slab."""
    if isinstance(portion, Facet):
        if count > 1:
            raise MismatchError(
                "A triangle or a diamond takes one piece.",
                path=("per_portion",),
                code="cut_mismatch",
                value=count,
                limit=1,
            )
        return [_inside(portion)]
    if isinstance(portion, Cell):
        if count == 1:
            return [(portion.x_mm + portion.length_mm / 2, portion.y_mm + portion.width_mm / 2)]
        cell = set_pieces(RectangleSlab(length_mm=portion.length_mm, width_mm=portion.width_mm), count)
        return [(portion.x_mm + x, portion.y_mm + y) for x, y in cell.positions]
    if portion.end_degrees - portion.start_degrees >= FULL_TURN and portion.inner_mm:
        best = _in_arcs(portion, count, 1)
        return [(r * math.sin(angle), -r * math.cos(angle)) for r, angle in best]
    if portion.end_degrees - portion.start_degrees >= FULL_TURN:
        disc = set_pieces(RoundSlab(diameter_mm=2 * portion.outer_mm), count)
        return [(x - portion.outer_mm, y - portion.outer_mm) for x, y in disc.positions]
    ways = [_in_line(portion, count), *(_in_arcs(portion, count, arcs) for arcs in range(1, min(count, MAX_ARCS) + 1))]
    best = max(ways, key=lambda places: _space_mm(portion, places))
    return [(r * math.sin(angle), -r * math.cos(angle)) for r, angle in best]


def _inside(portion: Facet) -> Point:
    """The middle of a piece between slanting cuts; for a triangle, the middle of the circle that touches its sides."""
    points = portion.points
    weights = [1.0] * len(points)
    if len(points) == 3:
        weights = [math.dist(points[i - 2], points[i - 1]) for i in range(3)]
    total = sum(weights)
    return (
        sum(weight * x for weight, (x, _) in zip(weights, points, strict=True)) / total,
        sum(weight * y for weight, (_, y) in zip(weights, points, strict=True)) / total,
    )


def _line_mm(mark: ObliqueMark, place: Point) -> float:
    """The distance from a place to a slanting cut, as far as it goes."""
    x, y = mark.to_x_mm - mark.from_x_mm, mark.to_y_mm - mark.from_y_mm
    along = ((place[0] - mark.from_x_mm) * x + (place[1] - mark.from_y_mm) * y) / (x * x + y * y)
    along = min(max(along, 0.0), 1.0)
    return math.dist(place, (mark.from_x_mm + along * x, mark.from_y_mm + along * y))


def _angles(portion: Sector) -> tuple[float, float]:
    """The middle of a wedge, clockwise from the top, and half its angle, in radians."""
    start, end = math.radians(portion.start_degrees), math.radians(portion.end_degrees)
    return (start + end) / 2, (end - start) / 2


def _in_line(portion: Sector, count: int) -> list[Point]:
    """Pieces one behind the other: radius and angle of each, with the most space to the rim and the sides."""
    middle, half = _angles(portion)
    sine = math.sin(min(half, math.pi / 2))
    pitch = min(portion.outer_mm * sine / (0.5 + (count - 0.5) * sine), (portion.outer_mm - portion.inner_mm) / count)
    spare = (portion.outer_mm - portion.inner_mm - count * pitch) / 2 if portion.inner_mm else 0.0
    return [(portion.outer_mm - spare - (i + 0.5) * pitch, middle) for i in range(count)]


def _in_arcs(portion: Sector, count: int, arcs: int) -> list[Point]:
    """Pieces on arcs as wide as each other, more of them further out."""
    middle, half = _angles(portion)
    width = (portion.outer_mm - portion.inner_mm) / arcs
    radii = [portion.inner_mm + (i + 0.5) * width for i in range(arcs)]
    if arcs == 1 and portion.inner_mm == 0:
        radii = [portion.outer_mm / (1 + math.sin(min(half / count, math.pi / 2)))]
    within = [round(count * sum(radii[:i]) / sum(radii)) for i in range(arcs + 1)]
    return [
        (radius, middle - half + (2 * i + 1) * half / pieces)
        for radius, pieces in zip(radii, (after - before for before, after in pairwise(within)), strict=True)
        for i in range(pieces)
    ]


def _space_mm(portion: Sector, places: list[Point]) -> float:
    """The radius of the largest balls at these places that touch neither each other nor an end of the portion."""
    middle, half = _angles(portion)
    ends = [min(portion.outer_mm - r, r - portion.inner_mm if portion.inner_mm else math.inf) for r, _ in places]
    sides = [r * math.sin(min(half - abs(angle - middle), math.pi / 2)) for r, angle in places]
    flat = [(r * math.sin(angle), r * math.cos(angle)) for r, angle in places]
    gaps = [math.dist(*pair) / 2 for pair in combinations(flat, 2)]
    return min([*ends, *sides, *gaps])


def _wall_mm(layout: CutLayout, place: Point) -> float:
    """The distance from a place to the nearest wall of the tin."""
    x, y = place
    match layout.slab:
        case RectangleSlab(length_mm=length, width_mm=width):
            return min(x, y, length - x, width - y)
        case PolygonSlab() as polygon:
            left, top = _origin(layout)
            return min(polygon.across_flats_mm / 2 - (nx * (x - left) + ny * (y - top)) for nx, ny in polygon.normals)
        case RingSlab(diameter_mm=diameter, hole_mm=hole):
            radius = math.dist(place, (diameter / 2, diameter / 2))
            return min(diameter / 2 - radius, radius - hole / 2)
        case RoundSlab(diameter_mm=diameter):
            return diameter / 2 - math.dist(place, (diameter / 2, diameter / 2))


def _nearest_mm(places: Sequence[Point]) -> float | None:
    """The least distance between two places."""
    ordered, least = sorted(places), math.inf
    for i, place in enumerate(ordered):
        for other in ordered[i + 1 :]:
            if other[0] - place[0] >= least:
                break
            least = min(least, math.dist(place, other))
    return None if math.isinf(least) else least


def _rings(layout: CutLayout) -> list[Sector]:
    """One portion of each ring."""
    return list(
        {(shape.inner_mm, shape.outer_mm): shape for shape in layout.shapes if isinstance(shape, Sector)}.values()
    )


def _cut_mm(layout: CutLayout, rings: Sequence[Sector], place: Point) -> float:
    """The distance from a place to the middle of the nearest cut; 0 or less in the trim."""
    x, y = place
    trim_mm = _wall_mm(layout, place) - layout.cutting.trim_mm if layout.cutting.trim_mm else math.inf
    lines = [abs(x - mark.mm) for mark in layout.marks.length if mark.kind != "trim"]
    lines += [abs(y - mark.mm) for mark in layout.marks.width if mark.kind != "trim"]
    lines += [_line_mm(mark, place) for mark in layout.marks.oblique]
    if layout.layout == "grid":
        return min([trim_mm, *lines])
    middle_x, middle_y = _origin(layout)
    radius = math.dist(place, (middle_x, middle_y))
    angle = math.degrees(math.atan2(x - middle_x, middle_y - y)) % FULL_TURN
    circles = [abs(radius - mark.mm) for mark in layout.marks.radius]
    rays = [_ray_mm(sector, radius, angle) for sector in rings]
    return min([trim_mm, *circles, *rays])


def _ray_mm(sector: Sector, radius: float, degrees: float) -> float:
    """The distance to the nearest radial cut of a ring, as far as that cut goes."""
    step = sector.end_degrees - sector.start_degrees
    if step >= FULL_TURN:
        return math.inf
    off = math.radians(abs(degrees - round(degrees / step) * step))
    along, across = radius * math.cos(off), radius * math.sin(off)
    return math.hypot(across, max(0.0, sector.inner_mm - along, along - sector.outer_mm))
