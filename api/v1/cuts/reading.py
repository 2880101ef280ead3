"""Read a request for cuts, in either form, into the domain's slab, wish and cutting."""

from dataclasses import dataclass, replace

from api.v1.cuts.schemas import (
    CutLimitIn,
    CutMethodIn,
    CutSlabIn,
    CutsQuery,
    CutsRequest,
    CutWishIn,
    RingsIn,
    SizeIn,
    TargetCutsIn,
)
from api.v1.tins.reading import read_tin
from api.wire.reading import read_grams, read_length_mm, read_optional_mm
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import baked_grams, cut_slab
from domain.cutting.layouts import (
    CountWish,
    CutLayout,
    Cutting,
    GridWish,
    MassWish,
    RingsWish,
    SizeWish,
    WedgesWish,
    Wish,
    check_ring_width,
    check_rings,
)
from domain.cutting.slabs import RectangleSlab, Slab
from domain.cutting.text import parse_aspect, parse_size
from domain.cutting.tin_slabs import check_baked_depth, slab_of
from domain.errors import DomainError, ErrorCollector, MismatchError, NeededError, Path, at_path
from domain.notices import Notice
from domain.tins.shapes import Tin
from domain.tins.text import tin_notices

WISHES = ("rows", "columns", "pieces", "piece", "piece_grams", "wedges", "rings")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutQuestion:
    """One slab to divide, and where its arguments are in the request.

    Arguments are placed under `path`, except the `shared` ones, which a tin of `tins` takes from the request itself.
    """

    slab: Slab
    wish: Wish
    cutting: Cutting
    notices: tuple[Notice, ...]
    label: str | None = None
    drawing: bool = False
    path: Path = ()
    shared: frozenset[str] = frozenset()

    def cut(self, budget: CutBudget) -> tuple[CutLayout, tuple[Notice, ...]]:
        """The layout, and all warnings with their place in the request.

        Raises:
            DomainError: the slab cannot be divided like this.
        """
        try:
            layout = cut_slab(self.slab, self.wish, self.cutting, budget)
        except DomainError as error:
            raise error.within(*self._place(error.path)) from None
        cut_notices = (notice.within(*self._place(notice.path)) for notice in layout.notices)
        return layout, (*self.notices, *cut_notices)

    def _place(self, path: Path) -> Path:
        return () if path and path[0] in self.shared else self.path


@dataclass(frozen=True, slots=True, kw_only=True)
class TinErrors:
    """Everything that is wrong with one tin of `tins`."""

    label: str | None
    errors: list[DomainError]


def read_cut(request: CutsRequest | CutsQuery) -> CutQuestion:
    """Read one slab, from a body or a query.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, slab_g = ErrorCollector(), None
    with errors.at():
        slab, notices = read_slab(request)
    with errors.at():
        wish = read_wish(request)
    with errors.at():
        slab_g = _slab_g(request, request.bake_loss_percent)
    with errors.at():
        cutting = read_cutting(request, slab_g)
    errors.raise_if_any()
    return CutQuestion(
        slab=slab, wish=wish, cutting=cutting, notices=notices, label=request.label, drawing=request.drawing
    )


def read_tins(request: CutsRequest) -> list[CutQuestion | TinErrors]:
    """Read every tin of `tins`; an error in one tin does not prevent the others from being answered.

    Raises:
        DomainErrors: an error in what the tins share; the errors of the tins are included.
    """
    errors = ErrorCollector()
    if request.tin is not None or request.slab is not None:
        errors.errors.append(MismatchError("Give tins, or one tin or slab.", path=("tins",), code="given_twice"))
    # These two stand in until they are read; if that fails, the whole request is refused.
    wish: Wish = CountWish(pieces=1)
    method = Cutting()
    tins = request.tins or []
    if _has_wish(request) and not all(_has_wish(tin) for tin in tins):
        with errors.at():
            wish = read_wish(request)
    with errors.at():
        method = read_cutting(request, None)
    questions = [_read_tin(tin, request, wish, method, ("tins", i)) for i, tin in enumerate(tins)]
    if errors.errors:
        errors.errors += [error for tin in questions if isinstance(tin, TinErrors) for error in tin.errors]
    errors.raise_if_any()
    return questions


def read_target_cuts(
    cuts: TargetCutsIn, tin: Tin, mix_g: float | None, *, label: str | None, path: Path
) -> CutQuestion:
    """Read the cuts of one target of `/v1/rescale`.

    Args:
        cuts: how to divide the slab.
        tin: the target's tin.
        mix_g: mass of the mix in one tin; None if it is not known.
        label: the target's label.
        path: where the target is in the request.
    Returns:
        The question; its warnings have their place in the request.
    Raises:
        DomainErrors: everything that is wrong with the cuts, with its place in the request.
    """
    errors, slab_g = ErrorCollector(), None
    with errors.at(*path):
        with at_path("cuts"):
            depth_mm = read_optional_mm(cuts.baked_depth, "baked_depth")
            check_baked_depth(tin, depth_mm)
        slab, notices = slab_of(tin, depth_mm)
    with errors.at(*path, "cuts"):
        wish = read_wish(cuts)
    if cuts.bake_loss_percent is not None and mix_g is not None:
        slab_g = baked_grams(mix_g, cuts.bake_loss_percent)
    with errors.at(*path, "cuts"):
        cutting = read_cutting(cuts, slab_g)
    errors.raise_if_any()
    return CutQuestion(
        slab=slab,
        wish=wish,
        cutting=cutting,
        notices=tuple(notice.within(*path) for notice in notices),
        label=label,
        drawing=cuts.drawing,
        path=(*path, "cuts"),
    )


def read_wish(request: CutWishIn | CutsQuery) -> Wish:
    """Read how to divide.

    Raises:
        DomainErrors: there is no wish, more than one, half of one, or one that cannot be read.
    """
    errors, aspect = ErrorCollector(), 1.0
    if request.shape is not None:
        with errors.at("shape"):
            aspect = parse_aspect(request.shape)
    with errors.at():
        wish = _wish(request, aspect)
    errors.raise_if_any()
    return wish


def read_size_mm(size: str | SizeIn, field: str) -> tuple[float, float]:
    """Read a length and a width in millimetres, from either form."""
    with at_path(field):
        if isinstance(size, str):
            return parse_size(size)
        errors = ErrorCollector()
        with errors.at():
            length_mm = read_length_mm(size.length, "length")
        with errors.at():
            width_mm = read_length_mm(size.width, "width")
        errors.raise_if_any()
        return length_mm, width_mm


def read_cutting(request: CutMethodIn | CutsQuery, slab_g: float | None) -> Cutting:
    """Read trim, knife and limits, and add the mass of the slab."""
    limit: CutLimitIn | CutsQuery = request if isinstance(request, CutsQuery) else request.limit or CutLimitIn()
    limit_path: Path = () if isinstance(request, CutsQuery) else ("limit",)
    errors, trim_mm, knife_mm, longest_mm, largest_g = ErrorCollector(), None, None, None, None
    with errors.at():
        trim_mm = read_optional_mm(request.trim, "trim")
    with errors.at():
        knife_mm = read_optional_mm(request.knife_width, "knife_width")
    with errors.at(*limit_path):
        longest_mm = read_optional_mm(limit.longest_side, "longest_side")
    with errors.at(*limit_path):
        largest_g = None if limit.largest_mass is None else float(read_grams(limit.largest_mass, "largest_mass"))
    with errors.at():
        cutting = Cutting(
            trim_mm=trim_mm or 0.0,
            knife_mm=knife_mm or 0.0,
            slab_g=slab_g,
            longest_side_mm=longest_mm,
            largest_g=largest_g,
            limit_path=limit_path,
        )
    errors.raise_if_any()
    return cutting


def read_slab(request: CutSlabIn | CutsQuery) -> tuple[Slab, tuple[Notice, ...]]:
    """Read the slab that a tin gives, or that is given itself."""
    errors, depth_mm = ErrorCollector(), None
    with errors.at():
        depth_mm = read_optional_mm(request.baked_depth, "baked_depth")
    with errors.at():
        slab, notices = _slab(request, depth_mm)
    errors.raise_if_any()
    return slab, notices


def _read_tin(
    tin: CutSlabIn, request: CutsRequest, shared_wish: Wish, method: Cutting, path: Path
) -> CutQuestion | TinErrors:
    """Read one tin of `tins`, or everything that is wrong with it."""
    errors, slab_g = ErrorCollector(), None
    with errors.at(*path):
        slab, notices = read_slab(tin)
    wish, shared = shared_wish, frozenset({"trim", "limit", *WISHES, "shape"})
    if _has_wish(tin) or not _has_wish(request):
        with errors.at(*path):
            wish, shared = read_wish(tin), frozenset({"trim", "limit"})
    with errors.at(*path):
        loss = request.bake_loss_percent if tin.bake_loss_percent is None else tin.bake_loss_percent
        slab_g = _slab_g(tin, loss)
        cutting = replace(method, slab_g=slab_g)
    if errors.errors:
        return TinErrors(label=tin.label, errors=errors.errors)
    return CutQuestion(
        slab=slab,
        wish=wish,
        cutting=cutting,
        notices=tuple(notice.within(*path) for notice in notices),
        label=tin.label,
        drawing=request.drawing,
        path=path,
        shared=shared,
    )


def _slab(request: CutSlabIn | CutsQuery, depth_mm: float | None) -> tuple[Slab, tuple[Notice, ...]]:
    if request.slab is not None and request.tin is None:
        length_mm, width_mm = read_size_mm(request.slab, "slab")
        with at_path("slab"):
            return RectangleSlab(length_mm=length_mm, width_mm=width_mm), ()
    if request.tin is None or request.slab is not None:
        raise NeededError("Give one of tin and slab.", path=("tin",), candidates=("tin", "slab"), code="slab_needed")
    with at_path("tin"):
        tin = read_tin(request.tin)
    slab, notices = slab_of(tin, depth_mm)
    return slab, (*(notice.within("tin") for notice in tin_notices(tin)), *notices)


def _wish(request: CutWishIn | CutsQuery, aspect: float) -> Wish:
    sent = [name for name in WISHES if getattr(request, name) is not None]
    if sent == ["rows", "columns"]:
        return GridWish(rows=request.rows or 0, columns=request.columns or 0)
    if len(sent) != 1 or sent[0] in {"rows", "columns"}:
        ways = ("rows and columns", *WISHES[2:])
        raise NeededError(
            f"Give one of {', '.join(ways)}.", path=tuple(sent[:1]), candidates=ways, code="cut_wish_needed"
        )
    if request.pieces is not None:
        return CountWish(pieces=request.pieces, aspect=aspect)
    if request.piece_grams is not None:
        return MassWish(piece_g=request.piece_grams, aspect=aspect)
    if request.wedges is not None:
        return WedgesWish(wedges=request.wedges)
    if request.piece is not None:
        return _size_wish(request.piece)
    return _rings_of_query(request) if isinstance(request, CutsQuery) else _rings_of_body(request)


def _size_wish(piece: str | SizeIn) -> SizeWish:
    length_mm, width_mm = read_size_mm(piece, "piece")
    with at_path("piece"):
        try:
            return SizeWish(length_mm=length_mm, width_mm=width_mm)
        except DomainError as error:
            if isinstance(piece, str):
                error.path = ()  # a text has no fields to point at
            raise


def _rings_of_body(request: CutWishIn) -> RingsWish:
    rings = request.rings or RingsIn(pieces=[])
    with at_path("rings"):
        width_mm = read_optional_mm(rings.width, "width")
        return RingsWish(pieces=tuple(rings.pieces), by=rings.by, width_mm=width_mm)


def _rings_of_query(query: CutsQuery) -> RingsWish:
    errors, width_mm = ErrorCollector(), None
    pieces = tuple(int(count) for count in (query.rings or "").split(","))
    with errors.at():
        width_mm = read_optional_mm(query.ring_width, "ring_width")
    if not errors.errors:
        with errors.at("ring_width"):
            check_ring_width(query.rings_by, width_mm)
    with errors.at("rings"):
        check_rings(pieces)
    errors.raise_if_any()
    return RingsWish(pieces=pieces, by=query.rings_by, width_mm=width_mm)


def _slab_g(request: CutSlabIn | CutsQuery, loss_percent: float | None) -> float | None:
    if request.slab_grams is not None and request.mix_grams is not None:
        raise NeededError("Give one of slab_grams and mix_grams.", path=("mix_grams",), code="given_twice")
    return request.slab_grams if request.mix_grams is None else baked_grams(request.mix_grams, loss_percent)


def _has_wish(request: CutWishIn) -> bool:
    return any(getattr(request, name) is not None for name in WISHES)
