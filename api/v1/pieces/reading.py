"""From a request for pieces to the domain's mix, tray and tin."""

from dataclasses import dataclass

from api.v1.pieces.schemas import PiecesQuery, PiecesRequest
from api.v1.tins.reading import read_tin
from api.v1.tins.schemas import TinObject
from api.wire.reading import read_egg_class, read_optional_mm, read_quantity, read_thing
from domain.cutting.slabs import RectangleSlab, Slab
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainErrors, ErrorCollector, MismatchError, NeededError, at_path
from domain.formulas.formula import Component, Formula, Line, Mass, weigh_formula
from domain.notices import Notice
from domain.pieces.trays import TrayRoom, tray_of
from domain.sources import Cited
from domain.tins.text import tin_notices

_INSIDE = 2  # a line's path inside the formula made of it begins with its component


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """The mass to divide, and what to know of it."""

    mass: Mass
    cited: tuple[Cited, ...] = ()
    notices: tuple[Notice, ...] = ()


def read_mix(asked: PiecesRequest | PiecesQuery) -> Mix:
    """The mix by its mass, or weighed line by line.

    Raises:
        NeededError: neither, or both, are given.
        DomainErrors: every line that cannot be weighed, each with its path.
    """
    lines = None if isinstance(asked, PiecesQuery) else asked.lines
    if isinstance(asked, PiecesQuery) or lines is None:
        if asked.grams is None:
            raise NeededError("Say how much: grams or lines.", path=("grams",), code="mix-needed")
        return Mix(mass=Mass(asked.grams, asked.grams, asked.grams))
    if asked.grams is not None:
        raise MismatchError("Say grams or lines, not both.", path=("grams",), code="given-twice")
    formula = Formula(name="mix", components=(Component(name="mix", lines=_lines(asked)),))
    try:
        weighed = weigh_formula(formula)
    except DomainErrors as several:
        for error in several.errors:
            error.path = error.path[_INSIDE:] if error.path[:1] == ("components",) else error.path
        raise
    notices = tuple(Notice(code=n.code, message=n.message, path=n.path[_INSIDE:]) for n in weighed.notices)
    cited = tuple(dict.fromkeys(c for part in weighed.components for line in part.lines for c in line.cited))
    return Mix(mass=weighed.mass, cited=cited, notices=notices)


def read_tray(asked: PiecesRequest | PiecesQuery, diameter_mm: float | None) -> TrayRoom | None:
    """The tray, if there is one.

    Raises:
        NeededError: how large a piece is cannot be known.
        MismatchError: the tray is not rectangular.
    """
    if asked.tray is None:
        return None
    slab, _ = _face(asked.tray, "tray", None)
    if not isinstance(slab, RectangleSlab):
        raise MismatchError("Trays are rectangular: give its length and width.", path=("tray",), code="tray-mismatch")
    if diameter_mm is None:
        raise NeededError(
            "Give diameter, or g_per_ml for that of a ball: pieces need their room.",
            path=("diameter",),
            code="diameter-needed",
        )
    return tray_of(
        slab,
        diameter_mm,
        spacing_mm=read_optional_mm(asked.spacing, "spacing") or 0.0,
        margin_mm=read_optional_mm(asked.edge, "edge") or 0.0,
    )


def read_set_in(asked: PiecesRequest | PiecesQuery) -> tuple[Slab, tuple[Notice, ...]] | None:
    """The tin that pieces are set into, if there is one."""
    return None if asked.tin is None else _face(asked.tin, "tin", read_optional_mm(asked.baked_depth, "baked_depth"))


def _lines(asked: PiecesRequest) -> tuple[Line, ...]:
    egg_class = read_egg_class(asked.egg_class, "egg_class")
    findings, lines = ErrorCollector(), []
    for i, line in enumerate(asked.lines or ()):
        with findings.at("lines", i):
            thing = read_thing(line.ingredient, line.packing, line.g_per_ml, egg_class, own=line.own)
            with at_path("quantity"):
                quantity = read_quantity(line.quantity, asked.measures)
                lines.append(Line(name=line.ingredient, thing=thing, quantity=quantity))
    findings.raise_if_any()
    return tuple(lines)


def _face(given: str | TinObject, field: str, depth_mm: float | None) -> tuple[Slab, tuple[Notice, ...]]:
    with at_path(field):
        tin = read_tin(given)
    slab, notices = slab_of(tin, depth_mm)
    placed = [Notice(code=notice.code, message=notice.message, path=(field,)) for notice in notices]
    return slab, (*(notice.within(field) for notice in tin_notices(tin)), *placed)
