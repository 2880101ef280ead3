"""Exact areas in the plane: convex polygons clipped by each other and by a disc, in closed form."""

import math
from collections.abc import Sequence

Point = tuple[float, float]
SURELY = 1e-9  # relative: a point deeper inside than this is inside, whatever the rounding errors


def polygon_area(points: Sequence[Point]) -> float:
    """Area of a simple polygon, above zero if its points run anticlockwise (y upwards).

    Source:
        The shoelace formula.

    >>> polygon_area([(0, 0), (2, 0), (2, 1), (0, 1)])
    2.0
    """
    return sum([_cross(points[i - 1], points[i]) for i in range(len(points))]) / 2


def rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """The four corners in the order `polygon_area` counts as positive.

    Args:
        x0: the lesser x.
        y0: the lesser y.
        x1: the greater x.
        y1: the greater y.
    Returns:
        Four points.
    """
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def clip(subject: Sequence[Point], window: Sequence[Point]) -> list[Point]:
    """The intersection of a convex polygon and a convex window.

    Args:
        subject: a convex polygon.
        window: a convex polygon, its points in positive order.
    Returns:
        The points of the intersection; empty if they share no more than an edge or a point.
    Source:
        Clipping by each side's half-plane in turn (Reentrant polygon clipping, Communications of the ACM 17(1), 1974).

    >>> polygon_area(clip(rectangle(0, 0, 2, 2), rectangle(1, 1, 3, 3)))
    1.0
    """
    shared = list(subject)
    for i in range(len(window)):
        if not shared:
            break
        shared = half_plane(shared, window[i - 1], window[i])
    return shared


def half_plane(points: list[Point], start: Point, end: Point) -> list[Point]:
    """The part of a convex polygon on one side of a line.

    Args:
        points: the points of the polygon.
        start: a point of the line.
        end: another point of the line; the part on the positive side of the direction from *start* to *end* is kept.
    Returns:
        The points of the part that is kept.
    """
    ax, ay = start
    dx, dy = end[0] - ax, end[1] - ay
    sides = [dx * (y - ay) - dy * (x - ax) for x, y in points]
    if min(sides) >= 0:
        return points
    kept: list[Point] = []
    last_side, (px, py) = sides[-1], points[-1]
    for side, point in zip(sides, points, strict=True):
        qx, qy = point
        if (side >= 0) != (last_side >= 0):
            share = last_side / (last_side - side)
            kept.append((px + share * (qx - px), py + share * (qy - py)))
        if side >= 0:
            kept.append(point)
        last_side, px, py = side, qx, qy
    return kept


def disc_overlap(points: Sequence[Point], radius: float, centre: Point = (0.0, 0.0)) -> float:
    """Area of the intersection of a polygon and a disc.

    Args:
        points: a simple polygon in positive order.
        radius: radius of the disc, above 0.
        centre: centre of the disc.
    Returns:
        The shared area, exact except for rounding.
    Source:
        Green's theorem: each side adds the triangle it spans with the centre where it runs inside the
        disc, and a sector where it runs outside.

    >>> round(disc_overlap(rectangle(0, 0, 9, 9), 1) / math.pi, 12)
    0.25
    """
    cx, cy = centre
    moved = [(x - cx, y - cy) for x, y in points]
    inside = radius * radius * (1 - SURELY)
    if all(x * x + y * y < inside for x, y in moved):
        return sum([_triangle(moved[i - 1], moved[i]) for i in range(len(moved))])
    return sum([_seen_from_centre(moved[i - 1], moved[i], radius) for i in range(len(moved))])


def _triangle(p: Point, q: Point) -> float:
    """The result of `_seen_from_centre` if both ends lie inside the disc, to the last digit."""
    px, py = p
    return (px * (py + (q[1] - py)) - py * (px + (q[0] - px))) / 2


def _seen_from_centre(p: Point, q: Point, radius: float) -> float:
    """Signed area that the triangle (centre, p, q) shares with the disc."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    a = dx * dx + dy * dy
    if a == 0:
        return 0.0
    half_b = p[0] * dx + p[1] * dy
    root = half_b * half_b - a * (p[0] * p[0] + p[1] * p[1] - radius * radius)
    if root <= 0:
        return _sector(p, q, radius)
    root = math.sqrt(root)
    enter, leave = max(0.0, (-half_b - root) / a), min(1.0, (-half_b + root) / a)
    if enter >= leave:
        return _sector(p, q, radius)
    inside = (p[0] + enter * dx, p[1] + enter * dy), (p[0] + leave * dx, p[1] + leave * dy)
    area = _cross(*inside) / 2
    if enter > 0:
        area += _sector(p, inside[0], radius)
    if leave < 1:
        area += _sector(inside[1], q, radius)
    return area


def _sector(p: Point, q: Point, radius: float) -> float:
    return radius * radius / 2 * math.atan2(_cross(p, q), p[0] * q[0] + p[1] * q[1])


def _cross(p: Point, q: Point) -> float:
    return p[0] * q[1] - p[1] * q[0]
