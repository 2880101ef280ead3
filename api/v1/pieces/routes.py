"""`/v1/pieces`: a mix divided into pieces or scoops, on trays, or set into a batter."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.drawings.pieces import draw_pieces
from api.v1.cuts.reading import read_optional_mm
from api.v1.cuts.routes import SVG
from api.v1.pieces.answers import mix_answer, pattern_answer, tray_answer, yield_answer
from api.v1.pieces.reading import Mix, read_mix, read_set_in, read_tray
from api.v1.pieces.schemas import PiecesAnswer, PiecesQuery, PiecesRequest
from api.wire.answers import warnings, without_none
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import NeededError
from domain.notices import Notice
from domain.pieces.dividing import PieceWish, PieceYield, divide_mix
from domain.pieces.layouts import PiecePattern, set_pieces
from domain.pieces.trays import fit_trays

router = APIRouter(prefix="/v1/pieces", tags=["pieces"], responses=RESPONSES, route_class=PureRoute)


async def draw(query: PiecesQuery) -> str:
    """The pattern in the tin as a drawing alone."""
    _, found = _divided(query)
    set_in = _set_in(query, found)
    if set_in is None:
        raise NeededError("A drawing shows pieces in a tin: give tin.", path=("tin",), code="drawing-tin-needed")
    pattern, diameter_mm, _ = set_in
    return draw_pieces(pattern, diameter_mm, query.label or "")


@router.get("", operation_id="pieces", summary="Pieces from a mix", response_model=PiecesAnswer)
@response_formats(figure=("count",), rows="", svg=CustomFormat(SVG, draw))
async def get_pieces(query: Annotated[PiecesQuery, QueryParameters()]) -> dict[str, Any]:
    """How many, how heavy, what is left; `format=svg` draws them in the tin."""
    return _answer(query, in_query=True)


@router.post("", operation_id="pieces_object", summary="Pieces from a mix", response_model=PiecesAnswer)
@response_formats(rows="")
async def post_pieces(body: PiecesRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST for a mix in lines."""
    return _answer(body, in_query=False)


def _answer(asked: PiecesRequest | PiecesQuery, *, in_query: bool) -> dict[str, Any]:
    mix, found = _divided(asked)
    diameter_mm = _diameter_mm(asked, found)
    room = read_tray(asked, diameter_mm)
    answer = yield_answer(found) | {"mix": mix_answer(mix.mass, mix.cited), "label": asked.label}
    if room is not None:
        answer["tray"] = tray_answer(room, fit_trays(found.count, room))
    told = [*mix.notices, *found.notices]
    if (set_in := _set_in(asked, found)) is not None:
        pattern, diameter_mm, about_tin = set_in
        answer["pattern"] = pattern_answer(pattern)
        answer["drawing"] = draw_pieces(pattern, diameter_mm, asked.label or "") if asked.drawing else None
        told += [*about_tin, *(notice.within("tin") for notice in pattern.notices)]
    return without_none(**answer, warnings=warnings(told, in_query=in_query))


def _divided(asked: PiecesRequest | PiecesQuery) -> tuple[Mix, PieceYield]:
    mix = read_mix(asked)
    wish = PieceWish(piece_g=asked.grams_each, count=asked.count, scoop=asked.scoop)
    return mix, divide_mix(mix.mass, wish, asked.g_per_ml)


def _set_in(
    asked: PiecesRequest | PiecesQuery, found: PieceYield
) -> tuple[PiecePattern, float | None, tuple[Notice, ...]] | None:
    """The pattern in the tin, how large its pieces are, and what to know of the tin."""
    face = read_set_in(asked)
    if face is None:
        return None
    slab, notices = face
    diameter_mm = _diameter_mm(asked, found)
    return set_pieces(slab, found.count, diameter_mm), diameter_mm, notices


def _diameter_mm(asked: PiecesRequest | PiecesQuery, found: PieceYield) -> float | None:
    given = read_optional_mm(asked.diameter, "diameter")
    return found.ball_mm if given is None else given
