"""Read how slabs are cut into the domain's slab, wish and cutting: one slab by itself, or those of a job's targets."""

from dataclasses import dataclass

from api.v1.cuts.schemas import CutsQuery, CutsRequest
from api.v1.job.wishes import Cuts
from api.v1.tins.reading import at_tin_field, read_tin_of, shape_of, tin_field
from api.wire.reading import read_grams, read_optional_mm
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import baked_grams, cut_slab
from domain.cutting.layouts import CutLayout, Cutting
from domain.cutting.slabs import RectangleSlab, Slab
from domain.cutting.text import figure_named, parse_aspect, parse_size
from domain.cutting.tin_slabs import check_baked_depth, slab_of
from domain.cutting.wishes import CountWish, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.errors import DomainError, ErrorCollector, MismatchError, NeededError, Path, at_arguments, at_path
from domain.notices import Notice
from domain.tins.shapes import Tin
from domain.tins.text import tin_notices

WISHES = ("rows", "columns", "portions", "portion_size", "portion_grams", "wedges", "rings")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutQuestion:
    """One slab to divide, and where its cuts are in the request."""

    slab: Slab
    wish: Wish
    cutting: Cutting
    notices: tuple[Notice, ...]
    label: str | None = None
    drawing: bool = False
    path: Path = ()

    def cut(self, budget: CutBudget) -> tuple[CutLayout, tuple[Notice, ...]]:
        """The layout, and all warnings with their place in the request.

        Raises:
            DomainError: the slab cannot be divided like this.
        """
        with at_path(*self.path):
            layout = cut_slab(self.slab, self.wish, self.cutting, budget)
        return layout, (*self.notices, *(notice.within(*self.path) for notice in layout.notices))


def read_cut(request: CutsRequest | CutsQuery) -> CutQuestion:
    """Read one slab, from a body or a query.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, slab_g, depth_mm = ErrorCollector(), None, None
    with errors.at():
        depth_mm = read_optional_mm(request.baked_depth, "baked_depth")
    with errors.at():
        slab, notices = _slab(request, depth_mm)
    with errors.at():
        wish = read_wish(request)
    with errors.at():
        slab_g = _slab_g(request)
    with errors.at():
        cutting = read_cutting(request, slab_g)
    errors.raise_if_any()
    return CutQuestion(
        slab=slab, wish=wish, cutting=cutting, notices=notices, label=request.label, drawing=request.drawing
    )


def read_target_cuts(
    cuts: Cuts,
    tin: Tin,
    mix_g: float | None,
    loss_percent: float | None,
    *,
    label: str | None,
    target_path: Path,
    path: Path,
) -> CutQuestion:
    """Read the cuts of one target of a job.

    Args:
        cuts: how to divide the slab.
        tin: the target's tin.
        mix_g: mass of the mix in one tin; None if it is not known.
        loss_percent: mass lost in the oven and in cooling; None if it is not known.
        label: the target's label.
        target_path: where the target is in the request.
        path: where the cuts are, in the target or in the formula.
    Returns:
        The question; its warnings have their place in the request.
    Raises:
        DomainErrors: everything that is wrong with the cuts, with its place in the request.
    """
    errors, slab_g = ErrorCollector(), cuts.slab_grams
    with errors.at():
        with at_path(*path):
            depth_mm = read_optional_mm(cuts.baked_depth, "baked_depth")
            check_baked_depth(tin, depth_mm)
        with at_path(*target_path):
            slab, notices = slab_of(tin, depth_mm)
    with errors.at(*path):
        wish = read_wish(cuts)
    if slab_g is None and loss_percent is not None and mix_g is not None:
        slab_g = baked_grams(mix_g, loss_percent)
    with errors.at(*path):
        cutting = read_cutting(cuts, slab_g)
    errors.raise_if_any()
    placed = [notice.within(*target_path) for notice in notices]
    if slab_g is None and mix_g is not None:
        message = "Without bake_loss_percent or slab_grams, portions have no mass."
        placed.append(Notice(code="bake_loss_missing", message=message, path=path))
    return CutQuestion(
        slab=slab,
        wish=wish,
        cutting=cutting,
        notices=tuple(placed),
        label=label,
        drawing=cuts.drawing,
        path=path,
    )


def read_wish(cuts: Cuts | CutsQuery) -> Wish:
    """Read how to divide.

    Raises:
        DomainErrors: there is no wish, more than one, half of one, or one that cannot be read.
    """
    errors, aspect, ring_width_mm = ErrorCollector(), 1.0, None
    with errors.at("portion_shape"):
        aspect = 1.0 if cuts.portion_shape is None else parse_aspect(cuts.portion_shape)
    with errors.at():
        ring_width_mm = read_optional_mm(cuts.ring_width, "ring_width")
    with errors.at():
        wish = _wish(cuts, aspect, ring_width_mm)
    errors.raise_if_any()
    return wish


def read_cutting(cuts: Cuts | CutsQuery, slab_g: float | None) -> Cutting:
    """Read trim, knife and limits, and add the mass of the slab."""
    errors, trim_mm, knife_mm, longest_mm, largest_g = ErrorCollector(), None, None, None, None
    with errors.at():
        trim_mm = read_optional_mm(cuts.trim, "trim")
    with errors.at():
        knife_mm = read_optional_mm(cuts.knife_width, "knife_width")
    with errors.at():
        longest_mm = read_optional_mm(cuts.longest_side, "longest_side")
    with errors.at():
        largest_g = None if cuts.largest_mass is None else float(read_grams(cuts.largest_mass, "largest_mass"))
    with errors.at():
        cutting = Cutting(
            trim_mm=trim_mm or 0.0,
            knife_mm=knife_mm or 0.0,
            slab_g=slab_g,
            longest_side_mm=longest_mm,
            largest_g=largest_g,
            figure="rectangle" if cuts.portion_shape is None else figure_named(cuts.portion_shape),
        )
    errors.raise_if_any()
    return cutting


def _slab(request: CutsRequest | CutsQuery, depth_mm: float | None) -> tuple[Slab, tuple[Notice, ...]]:
    tin_shape = shape_of(request, "tin")
    names = ("tin", "slab") if isinstance(request, CutsQuery) else ("tin", "tin_shape", "slab")
    sent = [name for name in names if getattr(request, name) is not None]
    if len(sent) != 1:
        raise NeededError(
            f"Give one of {', '.join(names)}.", path=tuple(sent[1:2]) or ("tin",), candidates=names, code="slab_needed"
        )
    if request.slab is not None:
        with at_path("slab"):
            length_mm, width_mm = parse_size(request.slab)
            return RectangleSlab(length_mm=length_mm, width_mm=width_mm), ()
    tin, field = read_tin_of(request.tin, tin_shape, "tin"), tin_field(tin_shape, "tin")
    with at_arguments(tin=(field,)):
        check_baked_depth(tin, depth_mm)
        slab, notices = slab_of(tin, depth_mm)
    return slab, (*(notice.within(field) for notice in tin_notices(tin)), *at_tin_field(notices, field))


def _wish(cuts: Cuts | CutsQuery, aspect: float, ring_width_mm: float | None) -> Wish:
    sent = [name for name in WISHES if getattr(cuts, name) not in (None, [])]
    if sent == ["rows", "columns"]:
        return GridWish(rows=cuts.rows or 0, columns=cuts.columns or 0)
    if len(sent) != 1 or sent[0] in {"rows", "columns"}:
        ways = ("rows and columns", *WISHES[2:])
        raise NeededError(
            f"Give one of {', '.join(ways)}.", path=tuple(sent[:1]), candidates=ways, code="cut_wish_needed"
        )
    if cuts.ring_width is not None and not cuts.rings:
        raise MismatchError("`ring_width` goes with `rings`.", path=("ring_width",), code="cut_mismatch")
    if cuts.portions is not None:
        return CountWish(portions=cuts.portions, aspect=aspect)
    if cuts.portion_grams is not None:
        return MassWish(portion_g=cuts.portion_grams, aspect=aspect, rule=cuts.portion_rule)
    if cuts.wedges is not None:
        return WedgesWish(wedges=cuts.wedges)
    if cuts.portion_size is not None:
        with at_path("portion_size"):
            return _size_wish(cuts.portion_size)
    return RingsWish(rings=tuple(cuts.rings or ()), by=cuts.rings_by, width_mm=ring_width_mm)


def _size_wish(portion_size: str) -> SizeWish:
    length_mm, width_mm = parse_size(portion_size)
    try:
        return SizeWish(length_mm=length_mm, width_mm=width_mm)
    except DomainError as error:
        error.path = ()  # a text has no fields to point at
        raise


def _slab_g(request: CutsRequest | CutsQuery) -> float | None:
    if request.slab_grams is not None and request.mix_grams is not None:
        raise NeededError("Give one of slab_grams and mix_grams.", path=("mix_grams",), code="given_twice")
    if request.mix_grams is None:
        return request.slab_grams
    return baked_grams(request.mix_grams, request.bake_loss_percent)
