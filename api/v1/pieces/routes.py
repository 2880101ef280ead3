"""`/v1/pieces`: a mix divided into pieces or scoops, which go on trays or into a batter."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from fastapi import Query as QueryParameters

from api.drawings.svg import MEDIA_TYPE
from api.v1.pieces.answers import pieces_answer, pieces_drawing
from api.v1.pieces.doughs import dough_answer, dough_drawing
from api.v1.pieces.reading import read_pieces
from api.v1.pieces.schemas import PiecesQuery, PiecesRequest, PiecesResult
from api.v1.shop.reading import shop_book
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/pieces", tags=["pieces"], responses=RESPONSES, route_class=PureRoute)


async def draw_query(query: PiecesQuery) -> str:
    """The drawing of the pieces in the tin alone."""
    return pieces_drawing(read_pieces(query))


async def draw_body(body: PiecesRequest, shop: Book) -> str:
    """The drawing of the pieces in the tin, of the first target if there are several."""
    return pieces_drawing(read_pieces(body)) if body.formula is None else dough_drawing(body, body.formula, shop)


@router.get("", operation_id="get_pieces", summary="Pieces from a mix", response_model=PiecesResult)
@response_formats(figure=("count",), rows="", svg=CustomFormat(MEDIA_TYPE, draw_query))
async def get_pieces(query: Annotated[PiecesQuery, QueryParameters()]) -> dict[str, Any]:
    """The number of pieces, their mass and the rest; with `format=svg`, a drawing of the pieces in the tin."""
    return pieces_answer(read_pieces(query), in_query=True)


@router.post("", operation_id="compute_pieces", summary="Pieces from a mix or a formula", response_model=PiecesResult)
@response_formats(figure=("count",), rows="", svg=CustomFormat(MEDIA_TYPE, draw_body))
async def post_pieces(body: PiecesRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The pieces of a mix, or of the doughs of a formula for every target.

    A calculation; nothing is stored, and repeating it is safe. With `format=svg`, a drawing of the pieces in the tin.
    """
    return pieces_answer(read_pieces(body)) if body.formula is None else dough_answer(body, body.formula, shop)
