"""From a request for cuts to the domain's slab, wish and cutting."""

from dataclasses import dataclass

from api.v1.cuts.schemas import CutLimitIn, CutMethodIn, CutSlabIn, CutsQuery, CutsRequest, CutWishIn, RingsIn, SizeIn
from api.wire.reading import read_grams, read_length_mm, read_tin
from api.wire.schemas import QuantityObject
from domain.cutting.cuts import baked_grams
from domain.cutting.layouts import (
    CountWish,
    Cutting,
    GridWish,
    MassWish,
    RingsWish,
    SizeWish,
    WedgesWish,
    Wish,
)
from domain.cutting.slabs import RectangleSlab, Slab
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainError, NeededError, UnreadableError, at_path
from domain.measures.quantities import parse_amount
from domain.notices import Notice
from domain.tins.shapes import RectangleTin
from domain.tins.text import parse_tin, tin_notices

WISHES = ("rows", "columns", "pieces", "piece", "piece_grams", "wedges", "rings")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutQuestion:
    """One slab to divide, and what to know of it."""

    slab: Slab
    wish: Wish
    cutting: Cutting
    notices: tuple[Notice, ...]


def read_cut(asked: CutSlabIn, shared: CutsRequest) -> CutQuestion:
    """One slab of a request.

    Args:
        asked: the slab: the request itself, or one of its tins.
        shared: the request, whose wish and bake loss stand in for what a tin does not say.
    Returns:
        What the domain divides.
    Raises:
        DomainError: with the path of the field.
    """
    slab, notices = read_slab(asked)
    wish = read_wish(asked if _has_wish(asked) else shared)
    loss = shared.bake_loss_percent if asked.bake_loss_percent is None else asked.bake_loss_percent
    cutting = read_cutting(shared, _slab_g(asked, loss))
    return CutQuestion(slab=slab, wish=wish, cutting=cutting, notices=notices)


def request_of(query: CutsQuery) -> CutsRequest:
    """A query as the request it stands for; what is in it was checked as a query."""
    apart = {"rings", "rings_by", "ring_width", "longest_side", "largest_mass"}
    fields = {name: value for name, value in query if name not in apart and value is not None}
    if query.longest_side is not None or query.largest_mass is not None:
        fields["limit"] = CutLimitIn.model_construct(longest_side=query.longest_side, largest_mass=query.largest_mass)
    if query.rings is not None:
        counts = [int(count) for count in query.rings.split(",")]
        fields["rings"] = RingsIn.model_construct(pieces=counts, by=query.rings_by, width=query.ring_width)
    return CutsRequest.model_construct(**fields)


def in_query(error: DomainError, query: CutsQuery) -> DomainError:
    """The same refusal under the name of the query's own parameter."""
    match error.path:
        case ("limit", *_):
            heavy = error.path[1:] == ("largest_mass",) or query.longest_side is None
            error.path = ("largest_mass" if heavy else "longest_side",)
        case ("rings", "width", *_):
            error.path = ("ring_width",)
    return error


def read_wish(asked: CutWishIn) -> Wish:
    """How to divide.

    Raises:
        NeededError: there is no wish, or more than one, or half of one.
    """
    given = [name for name in WISHES if getattr(asked, name) is not None]
    if given == ["rows", "columns"]:
        return GridWish(rows=asked.rows or 0, columns=asked.columns or 0)
    if len(given) != 1 or given[0] in {"rows", "columns"}:
        path = (given[0],) if given else ()
        ways = ("rows and columns", *WISHES[2:])
        raise NeededError(f"Say one of {', '.join(ways)}.", path=path, candidates=ways, code="cut-wish-needed")
    aspect = 1.0 if asked.shape is None else _aspect(asked.shape)
    if asked.pieces is not None:
        return CountWish(pieces=asked.pieces, aspect=aspect)
    if asked.piece_grams is not None:
        return MassWish(piece_g=asked.piece_grams, aspect=aspect)
    if asked.wedges is not None:
        return WedgesWish(wedges=asked.wedges)
    if asked.piece is not None:
        length, width = read_size_mm(asked.piece, "piece")
        return SizeWish(length_mm=length, width_mm=width)
    return _rings(asked.rings or RingsIn.model_construct(pieces=[]))


def read_size_mm(given: str | SizeIn, field: str) -> tuple[float, float]:
    """Length and width in millimetres, from either form."""
    if not isinstance(given, str):
        with at_path(field):
            return read_length_mm(given.length, "length"), read_length_mm(given.width, "width")
    try:
        rectangle = parse_tin(f"rectangle {given}")
    except DomainError as error:
        raise _no_size(field) from error
    if not isinstance(rectangle, RectangleTin) or rectangle.depth_mm is not None:
        raise _no_size(field)
    return rectangle.length_mm, rectangle.width_mm


def read_cutting(shared: CutMethodIn, slab_g: float | None) -> Cutting:
    """Trim, knife and limits, and the mass of the slab."""
    limit = shared.limit or CutLimitIn()
    with at_path("limit"):
        longest = read_optional_mm(limit.longest_side, "longest_side")
        largest = None if limit.largest_mass is None else float(read_grams(limit.largest_mass, "largest_mass"))
    return Cutting(
        trim_mm=read_optional_mm(shared.trim, "trim") or 0.0,
        knife_mm=read_optional_mm(shared.knife_width, "knife_width") or 0.0,
        slab_g=slab_g,
        longest_side_mm=longest,
        largest_g=largest,
    )


def read_slab(asked: CutSlabIn) -> tuple[Slab, tuple[Notice, ...]]:
    """The slab that a tin gives, or that is given itself."""
    if asked.slab is not None and asked.tin is None:
        length, width = read_size_mm(asked.slab, "slab")
        with at_path("slab"):
            return RectangleSlab(length_mm=length, width_mm=width), ()
    if asked.tin is None or asked.slab is not None:
        raise NeededError("Say one of tin and slab.", path=("tin",), candidates=("tin", "slab"), code="slab-needed")
    with at_path("tin"):
        tin = read_tin(asked.tin)
    slab, notices = slab_of(tin, read_optional_mm(asked.baked_depth, "baked_depth"))
    return slab, (*(notice.within("tin") for notice in tin_notices(tin)), *notices)


def read_optional_mm(given: str | QuantityObject | None, field: str) -> float | None:
    """A length, if one is given."""
    return None if given is None else read_length_mm(given, field)


def _slab_g(asked: CutSlabIn, loss: float | None) -> float | None:
    if asked.slab_grams is not None and asked.mix_grams is not None:
        raise NeededError("Say one of slab_grams and mix_grams.", path=("mix_grams",), code="given-twice")
    return asked.slab_grams if asked.mix_grams is None else baked_grams(asked.mix_grams, loss)


def _has_wish(asked: CutWishIn) -> bool:
    return any(getattr(asked, name) is not None for name in WISHES)


def _rings(given: RingsIn) -> RingsWish:
    with at_path("rings"):
        width = read_optional_mm(given.width, "width")
    return RingsWish(pieces=tuple(given.pieces), by=given.by, width_mm=width)


def _aspect(given: str) -> float:
    if given.strip().casefold() == "square":
        return 1.0
    sides = given.split(":")
    with at_path("shape"):
        if len(sides) != 2:
            raise UnreadableError('Write a shape as "square" or as one side to the other, such as "3:2".')
        one, other = (float(parse_amount(side)) for side in sides)
        if min(one, other) <= 0:
            raise UnreadableError("The sides of a shape are above 0.")
    return max(one, other) / min(one, other)


def _no_size(field: str) -> UnreadableError:
    return UnreadableError(
        'Write a length and a width with their unit, such as "30 x 20 cm", each at most 2 m.',
        path=(field,),
        code="unreadable-size",
    )
