"""The size that an order names, among the sizes that are baked."""

from collections.abc import Sequence
from dataclasses import replace

from domain.errors import DomainError, UnknownError
from domain.tins.shapes import CavitiesTin, PolygonTin, RectangleTin, RingTin, RoundTin, SquareTin, Tin
from domain.tins.text import parse_tin

_UNITS = ("", " cm")  # an order of `round 26` means centimetres


def find_size(label: str, sizes: Sequence[str]) -> str:
    """The size that a label names.

    Args:
        label: a size, or a part of its name.
        sizes: the names of all sizes.
    Returns:
        The size of this name, whatever its spaces, capitals and signs; else the only one that contains it, or that is
        the same tin.
    Raises:
        UnknownError: none, or several that contain it.

    >>> find_size("20 x 30", ["rectangle 20 x 30 x 5 cm", "round 26 x 6 cm"])
    'rectangle 20 x 30 x 5 cm'
    """
    wanted, tin = _plain(label), _tin(label)
    same = [size for size in sizes if _plain(size) == wanted]
    matches = same or [size for size in sizes if wanted in _plain(size)]
    matches = matches or [size for size in sizes if tin is not None and _is_same(tin, _tin(size))]
    if len(matches) != 1:
        raise UnknownError("No size that is baked has this name.", code="unknown_label", candidates=tuple(sizes))
    return matches[0]


def only_size(label: str, size: str) -> str:
    """The size of an order where one size is baked.

    Args:
        label: what stands before the colon of the order, such as the customer's name.
        size: the name of the size that is baked.
    Returns:
        That size.
    Raises:
        UnknownError: the label is another tin.

    >>> only_size("Mill Lane shop", "round 26 x 6 cm"), only_size("round 26", "round 26 x 6 cm")
    ('round 26 x 6 cm', 'round 26 x 6 cm')
    """
    return size if _tin(label) is None else find_size(label, [size])


def _tin(label: str) -> Tin | None:
    for unit in _UNITS:
        try:
            return parse_tin(label + unit)
        except DomainError:
            continue
    return None


def _is_same(tin: Tin, other: Tin | None) -> bool:
    """Whether two tins have the same sides, however they are turned, and no depth that differs."""
    if other is None or _sides(tin) != _sides(other):
        return False
    depths = {getattr(each, "depth_mm", None) for each in (tin, other)}
    return len(depths - {None}) <= 1


def _sides(tin: Tin) -> object:
    match tin:
        case SquareTin(side_mm=side):
            return side, side
        case RectangleTin(length_mm=length, width_mm=width):
            return tuple(sorted((length, width)))
        case RoundTin() | RingTin() | PolygonTin() | CavitiesTin():
            return replace(tin, depth_mm=None)
        case _:
            return tin


def _plain(text: str) -> str:
    return "".join(text.casefold().replace("×", "x").replace(",", ".").split())
