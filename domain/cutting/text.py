"""Sizes and shapes of pieces as people write them."""

from domain.cutting.layouts import Figure
from domain.errors import DomainError, UnreadableError
from domain.reading.quantities import read_number
from domain.tins.shapes import RectangleTin
from domain.tins.text import parse_tin

_RECTANGLE = "rectangle "
_FIGURES: dict[str, Figure] = {"triangle": "triangle", "diamond": "diamond"}
_ASPECTS = {"square": 1.0, "finger": 3.0, "triangle": 1.0, "diamond": 1.0}  # a finger by common practice


def parse_size(text: str) -> tuple[float, float]:
    """Read a length and a width.

    Args:
        text: two lengths with a unit, such as "30 x 20 cm".
    Returns:
        Length and width in millimetres.
    Raises:
        UnreadableError: the text is not two lengths of at most 2 m each.

    >>> parse_size("30 x 20 cm")
    (300.0, 200.0)
    """
    candidates: tuple[str, ...] = ()
    try:
        rectangle = parse_tin(f"{_RECTANGLE}{text}")
    except DomainError as error:
        rectangle, candidates = None, tuple(each for each in error.candidates if each.startswith(_RECTANGLE))
    if not isinstance(rectangle, RectangleTin) or rectangle.depth_mm is not None:
        raise UnreadableError(
            'Write a length and a width with their unit, such as "30 x 20 cm", each at most 2 m.',
            code="unreadable_size",
            candidates=tuple(each.removeprefix(_RECTANGLE) for each in candidates),
        )
    return rectangle.length_mm, rectangle.width_mm


def figure_named(text: str) -> Figure:
    """What a rectangle is divided into, by the shape of a piece.

    Args:
        text: a shape as for `parse_aspect`.
    Returns:
        `triangle`, `diamond`, or `rectangle` for any other shape.

    >>> figure_named("Triangles"), figure_named("3:2")
    ('triangle', 'rectangle')
    """
    return _FIGURES.get(text.strip().casefold().removesuffix("s"), "rectangle")


def parse_aspect(text: str) -> float:
    """Read the shape of a piece.

    Args:
        text: "square", "finger", "triangle", "diamond", or one side to the other, such as "3:2".
    Returns:
        Longer side over shorter; 1 is square, and a finger is three times as long as it is wide. Triangles are halves
        of squares, and diamonds have four equal sides.
    Raises:
        UnreadableError: the text is not two sides above 0.

    >>> parse_aspect("3:2"), parse_aspect("square"), parse_aspect("fingers")
    (1.5, 1.0, 3.0)
    """
    name = text.strip().casefold().removesuffix("s")
    if name in _ASPECTS:
        return _ASPECTS[name]
    sides = [float(read_number(side.strip())) for side in text.split(":")] if text.count(":") == 1 else []
    if not sides:
        raise UnreadableError(
            'Write a shape as "square", "finger", "triangle" or "diamond", or as two sides, such as "3:2".'
        )
    if min(sides) <= 0:
        raise UnreadableError("The sides of a shape are above 0.")
    return max(sides) / min(sides)
