"""Parsing of tins: "square 20 cm", "rectangle 20 x 30 x 5 cm", "round 9 in", "gn-1-1 x 65 mm"."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

from domain.errors import DomainError, UnreadableError
from domain.measures.quantities import parse_amount, parse_quantity, positive
from domain.notices import Notice
from domain.reading.settings import MAX_TEXT, TinWords, tin_in_words
from domain.reading.tokens import tokenise
from domain.reference import rows, words
from domain.sources import Cited, cited
from domain.tins.shapes import CavitiesTin, PolygonTin, RectangleTin, RingTin, RoundTin, SquareTin, Tin

_BETWEEN_SIZES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*")
_SIZE = re.compile(r"(?P<amount>[^a-z\"'″]+?)\s*(?P<unit>[a-z\"″]+)?")
_FIRST_SIZE = re.compile(r"(?=(?<![\w/])[0-9¼-¾⅐-⅞])")
_SHAPE_LAST = re.compile(r"(?P<sizes>[0-9¼-¾⅐-⅞].*?) (?P<shape>[a-z]+)(?: tin)?")
TALLEST = 2  # our own limit: no tin is deeper than so many times its diameter
_CAVITIES = ("cavities", "mulden")  # the second is the word of German cards; in a method it is a hollow in dough
_INCH_SIGNS = frozenset('"″')
_HOW = (
    'Write a tin as "square 20 cm", "rectangle 20 x 30 x 5 cm", "round 23 x 7 cm", "ring 25 x 8 x 9 cm", '
    '"hexagon 20 cm" or "cavities 12 x 80 ml": inside sizes, depth last; or as an object with "shape"; '
    "GET /v1/tins lists nominal tins."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedTin:
    """A tin with a trade name; `size` says whether its sizes are outer (the inside is smaller) or of the opening."""

    name: str
    other_names: tuple[str, ...]
    size: Literal["outer", "inside"]
    length_mm: float
    width_mm: float
    depths_mm: tuple[float, ...]
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    sizes: tuple[int, ...]
    build: Callable[..., Tin]


@lru_cache(maxsize=1024)
def parse_tin(written: str) -> Tin:
    """A tin from its text form.

    Args:
        written: a shape and its inside sizes (or the sizes and then the shape), with an optional depth last and
            one unit at the end or one each; or the name of a nominal tin, with an optional depth after an x; or a tin
            in everyday words, such as "20 x 30 cm" or "23 cm springform".
    Returns:
        The tin.
    Raises:
        UnreadableError: neither of these.
        MismatchError, UnknownError: a unit that is not one of length.
        OutOfRangeError: a size outside its limits.

    >>> parse_tin("round 23 x 7 cm")
    RoundTin(diameter_mm=230.0, depth_mm=70.0)
    """
    text = " ".join(written.casefold().split())
    tins = _counted(text)
    if tins is not None:
        message = f"Is this {tins.tins} tins? Give one tin; the number of tins has a field of its own."
        raise UnreadableError(message, code="unreadable_tin", candidates=(tins.tin, *_as_one(text)))
    try:
        return _short_form(text)
    except DomainError:
        _refuse_unknown_shape(text)
        in_words = tin_in_words(text)
        if in_words is None or in_words.tin == text:
            raise
    if (question := in_words.question) is not None:
        candidates = tuple(choice.text for choice in question.choices)
        raise UnreadableError(question.message, code="unreadable_tin", candidates=candidates)
    return _short_form(in_words.tin)


def counted_tins(written: str) -> TinWords | None:
    """Several tins of one kind, in words.

    Args:
        written: such as `2 x 20 cm round` or `3 Springformen 26 cm`.
    Returns:
        The tin as `parse_tin` takes it, and how many there are; None for one tin, and where one may be meant.

    >>> counted_tins("2 x 20 cm round").tin, counted_tins("8 x 10 cm round")
    ('round 20 cm', None)
    """
    text = " ".join(written.casefold().split())
    return None if _as_one(text) else _counted(text)


def _counted(text: str) -> TinWords | None:
    if not text[:1].isdigit() or _NAMED.get(_key(text)) is not None:
        return None
    in_words = tin_in_words(text)
    return in_words if in_words is not None and in_words.question is None and in_words.tins > 1 else None


def _as_one(text: str) -> tuple[str, ...]:
    """A round tin whose sizes stand before its shape, if it is no deeper than a tall tin: 8 x 10 cm round."""
    last = _SHAPE_LAST.fullmatch(text)
    if last is None or last["shape"] != "round":
        return ()
    try:
        tin = _short_form(text)
    except DomainError:
        return ()
    tall = isinstance(tin, RoundTin) and tin.depth_mm is not None and tin.depth_mm > TALLEST * tin.diameter_mm
    return () if tall else (f"round {last['sizes']}",)


def unknown_shape(written: str) -> str | None:
    """The shape that a text names and that no form of a tin describes.

    Args:
        written: a tin in any words.
    Returns:
        The English word for the shape; None if there is no such word, or the text is too long.

    >>> unknown_shape("ovale Form 30 x 20 cm")
    'oval'
    """
    if len(written) > MAX_TEXT:
        return None
    return next((UNKNOWN_SHAPES[token.key] for token in tokenise(written) if token.key in UNKNOWN_SHAPES), None)


def _refuse_unknown_shape(text: str) -> None:
    shape = unknown_shape(text)
    if shape is not None:
        article = "An" if shape[0] in "aeiou" else "A"
        raise UnreadableError(
            f"{article} {shape} is not a shape that a tin can have here. Give the length and width of the rectangle "
            "that you cut out of it, or the water that the tin holds.",
            code="unknown_shape",
            candidates=(*_SHAPES, "cavities"),
        )


def _short_form(text: str) -> Tin:
    if named := _named(text):
        return named
    shape, *sizes = _shape_and_sizes(text)
    parts = _BETWEEN_SIZES.split(sizes[0]) if sizes else []
    if shape in _CAVITIES and len(parts) in {2, 3}:
        return _cavities(*parts)
    if shape not in _SHAPES or len(parts) not in _SHAPES[shape].sizes:
        raise UnreadableError(_HOW, code="unreadable_tin", candidates=(*_SHAPES, "cavities"))
    return _SHAPES[shape].build(*_lengths_mm(parts))


def _shape_and_sizes(text: str) -> list[str]:
    """The shape, and the sizes if there are any; the shape may also be last."""
    if last := _SHAPE_LAST.fullmatch(text):
        return [last["shape"], last["sizes"]]
    word, *sizes = _FIRST_SIZE.split(text, maxsplit=1)
    return [word.removesuffix(" ").removesuffix(" tin").strip(" ,:"), *sizes]


def tin_notices(tin: Tin) -> tuple[Notice, ...]:
    """Warnings about a tin that is known only by its trade name."""
    if not isinstance(tin, RectangleTin) or not tin.nominal:
        return ()
    size = "outer size; the inside is smaller" if NAMED_TINS[tin.nominal].size == "outer" else "size of the opening"
    message = f"{tin.nominal}: nominal {size}. Measure yours before you rely on it."
    return (Notice(code="nominal_size", message=message),)


def _named(text: str) -> Tin | None:
    name, _, depth = text.rpartition(" x ")
    named = _NAMED.get(_key(name)) if name else None
    if named is None and (named := _NAMED.get(_key(text))) is None:
        return None
    tin = RectangleTin(length_mm=named.length_mm, width_mm=named.width_mm, nominal=named.name)
    return replace(tin, depth_mm=_lengths_mm([depth])[0]) if name and _NAMED.get(_key(name)) else tin


def _key(text: str) -> str:
    # Do not drop characters outside ASCII: "½ sheet" is not a sheet.
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-") if text.isascii() else ""


def _lengths_mm(parts: list[str]) -> list[float]:
    matches = [_SIZE.fullmatch(part) for part in parts]
    last = matches[-1]
    if last is None or last["unit"] is None:
        raise UnreadableError("Give the unit of the sizes: mm, cm or in. " + _HOW, code="unreadable_tin")
    lengths = []
    for match in matches:
        if match is None:
            raise UnreadableError(_HOW, code="unreadable_tin")
        unit = match["unit"] or last["unit"]
        unit = "in" if unit in _INCH_SIGNS else unit
        lengths.append(float(positive(parse_quantity(f"{match['amount']} {unit}"), "length").base))
    return lengths


def _cavities(count: str, volume: str, depth: str | None = None) -> CavitiesTin:
    number = parse_amount(count)
    if number.denominator != 1:
        raise UnreadableError("The number of cavities must be a whole number.", code="unreadable_tin")
    return CavitiesTin(
        count=int(number),
        volume_ml=float(positive(parse_quantity(volume), "volume").base),
        depth_mm=None if depth is None else _lengths_mm([depth])[0],
    )


def _square(side: float, depth: float | None = None) -> Tin:
    return SquareTin(side_mm=side, depth_mm=depth)


def _rectangle(length: float, width: float, depth: float | None = None) -> Tin:
    return RectangleTin(length_mm=length, width_mm=width, depth_mm=depth)


def _round(diameter: float, depth: float | None = None) -> Tin:
    return RoundTin(diameter_mm=diameter, depth_mm=depth)


def _ring(diameter: float, hole: float, depth: float | None = None) -> Tin:
    return RingTin(diameter_mm=diameter, hole_mm=hole, depth_mm=depth)


def _polygon(sides: int) -> Callable[..., Tin]:
    def build(across_flats: float, depth: float | None = None) -> Tin:
        return PolygonTin(sides=sides, across_flats_mm=across_flats, depth_mm=depth)

    return build


def _load_named() -> MappingProxyType[str, NamedTin]:
    return MappingProxyType(
        {
            row["name"]: NamedTin(
                name=row["name"],
                other_names=words(row["other_names"]),
                length_mm=float(row["length_mm"]),
                width_mm=float(row["width_mm"]),
                size=row["size"],  # type: ignore[arg-type]  # a test reads every row
                depths_mm=tuple(float(d) for d in words(row["depths_mm"])),
                cited=cited(row),
            )
            for row in rows("named_tins")
        }
    )


_SHAPES: MappingProxyType[str, _Shape] = MappingProxyType(
    {
        "square": _Shape(sizes=(1, 2), build=_square),
        "rectangle": _Shape(sizes=(2, 3), build=_rectangle),
        "round": _Shape(sizes=(1, 2), build=_round),
        "ring": _Shape(sizes=(2, 3), build=_ring),
        "hexagon": _Shape(sizes=(1, 2), build=_polygon(6)),
        "octagon": _Shape(sizes=(1, 2), build=_polygon(8)),
    }
)
NAMED_TINS = _load_named()
UNKNOWN_SHAPES = MappingProxyType({row["word"]: row["shape"] for row in rows("unknown_shapes")})
_NAMED = MappingProxyType(
    {_key(name.casefold()): tin for tin in NAMED_TINS.values() for name in (tin.name, *tin.other_names)}
)
