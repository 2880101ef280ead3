"""Read a request for pieces, in either form, into the domain's mix, wish, tray and tin."""

from dataclasses import dataclass

from api.v1.cuts.reading import CutQuestion, read_target_cuts
from api.v1.job.reading import line_of, written_quantity
from api.v1.job.schemas import Line as SentLine
from api.v1.job.wishes import Cuts
from api.v1.pieces.schemas import PiecesQuery, PiecesRequest
from api.v1.tins.reading import at_tin_field, read_optional_tin_of, shape_of, tin_field
from api.wire.reading import read_egg_class, read_optional_mm, read_thing
from domain.cutting.slabs import Slab
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainErrors, ErrorCollector, MismatchError, NeededError, at_arguments
from domain.formulas.formula import Line, Mass, WeighedLine
from domain.measures.units import Measures
from domain.notices import Notice
from domain.pieces.counts import Vessels, vessels_of
from domain.pieces.dividing import MixToDivide, PieceWish, mix_of_lines
from domain.things.conversion import Thing
from domain.things.eggs import EggClass
from domain.tins.shapes import CavitiesTin, Tin
from domain.tins.text import tin_notices


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesQuestion:
    """A mix to divide, the tray to put its pieces on, and the tin to set them into."""

    mix: MixToDivide
    wish: PieceWish
    g_per_ml: float | None
    diameter_mm: float | None
    tray: Tin | None
    spacing_mm: float
    margin_mm: float
    slab: Slab | None
    vessels: Vessels
    cuts: CutQuestion | None
    notices: tuple[Notice, ...]
    label: str | None
    drawing: bool


def read_pieces(request: PiecesRequest | PiecesQuery) -> PiecesQuestion:
    """Read a body or a query.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors = ErrorCollector()
    diameter_mm = spacing_mm = margin_mm = tray = cuts = None
    with errors.at():
        mix = _mix(request)
    with errors.at():
        wish = PieceWish(piece_g=request.grams_each, count=request.count, scoop=request.scoop)
    with errors.at():
        diameter_mm = read_optional_mm(request.diameter, "diameter")
    with errors.at():
        spacing_mm = read_optional_mm(request.spacing, "spacing")
    with errors.at():
        margin_mm = read_optional_mm(request.tray_margin, "tray_margin")
    with errors.at():
        tray = read_optional_tin_of(request.tray, shape_of(request, "tray"), "tray")
    tin, slab, notices = _tin(request, errors)
    if isinstance(request, PiecesRequest) and request.cuts is not None:
        with errors.at():
            cuts = _cuts(request.cuts, tin)
    errors.raise_if_any()
    return PiecesQuestion(
        mix=mix,
        wish=wish,
        g_per_ml=request.g_per_ml,
        diameter_mm=diameter_mm,
        tray=tray,
        spacing_mm=spacing_mm or 0.0,
        margin_mm=margin_mm or 0.0,
        slab=slab,
        vessels=vessels_of(tin, 1),
        cuts=cuts,
        notices=notices,
        label=request.label,
        drawing=request.drawing,
    )


def _tin(
    request: PiecesRequest | PiecesQuery, errors: ErrorCollector
) -> tuple[Tin | None, Slab | None, tuple[Notice, ...]]:
    """The tin of batter, the batter seen from above (None in cavities), and the warnings about both."""
    tin = slab = depth_mm = None
    notices: tuple[Notice, ...] = ()
    tin_shape = shape_of(request, "tin")
    with errors.at():
        depth_mm = read_optional_mm(request.baked_depth, "baked_depth")
    with errors.at():
        tin = read_optional_tin_of(request.tin, tin_shape, "tin")
    if tin is None:
        return None, None, ()
    field = tin_field(tin_shape, "tin")
    if not isinstance(tin, CavitiesTin):
        with errors.at(), at_arguments(tin=(field,)):
            slab, notices = slab_of(tin, depth_mm)
    return tin, slab, (*(notice.within(field) for notice in tin_notices(tin)), *at_tin_field(notices, field))


def _cuts(cuts: Cuts, tin: Tin | None) -> CutQuestion:
    if tin is None:
        raise NeededError("`cuts` go with a tin.", path=("cuts",), code="tin_needed")
    return read_target_cuts(cuts, tin, None, None, label=None, target_path=(), path=("cuts",))


def _mix(request: PiecesRequest | PiecesQuery) -> MixToDivide:
    lines = None if isinstance(request, PiecesQuery) else request.lines
    if isinstance(request, PiecesQuery) or lines is None:
        if request.grams is None:
            raise NeededError("Give the mix: grams or lines.", path=("grams",), code="mix_needed")
        return MixToDivide(mass=Mass(request.grams, request.grams, request.grams))
    errors, egg_class = ErrorCollector(), None
    if request.grams is not None:
        errors.errors.append(MismatchError("Give grams or lines, not both.", path=("grams",), code="given_twice"))
    with errors.at():
        egg_class = read_egg_class(request.egg_class, "egg_class")
    weighed: list[WeighedLine] = []
    notices: list[Notice] = []
    for i, line in enumerate(lines):
        with errors.at("lines", i):
            read = _line(line, egg_class, request.measures)
            try:
                weighed.append(read.weighed)
            except NeededError as error:
                if error.path != ("egg_class",):
                    raise
                errors.errors.append(error)  # the class stands beside the lines, not in them
                continue
            notices += [notice.within("lines", i) for notice in read.weight.notices]
    errors.raise_if_any()
    return mix_of_lines(weighed, notices)


def _line(line: SentLine, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """Read a line; it is not cached, because a mix is rarely sent again."""
    errors = ErrorCollector()
    thing = quantity = None
    with errors.at():
        thing = read_thing(line.ingredient, line.packing, line.g_per_ml, egg_class, own=line.own)
    with errors.at():
        quantity = line_of(line.ingredient, Thing(), written_quantity(line), measures).quantity
    if thing is None or quantity is None:
        raise DomainErrors(errors.errors)
    return Line(name=line.ingredient, thing=thing, quantity=quantity)
