"""`/v1/pieces`: a mix divided into pieces or scoops, which go on trays or into a batter."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.drawings.svg import MEDIA_TYPE
from api.v1.pieces.answers import pieces_answer, pieces_drawing
from api.v1.pieces.reading import read_pieces
from api.v1.pieces.schemas import PiecesAnswer, PiecesQuery, PiecesRequest
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/pieces", tags=["pieces"], responses=RESPONSES, route_class=PureRoute)


async def draw(query: PiecesQuery) -> str:
    """The drawing of the pieces in the tin alone."""
    return pieces_drawing(read_pieces(query))


@router.get("", operation_id="get_pieces", summary="Pieces from a mix", response_model=PiecesAnswer)
@response_formats(figure=("count",), rows="", svg=CustomFormat(MEDIA_TYPE, draw))
async def get_pieces(query: Annotated[PiecesQuery, QueryParameters()]) -> dict[str, Any]:
    """The number of pieces, their mass and the rest; with `format=svg`, a drawing of the pieces in the tin."""
    return pieces_answer(read_pieces(query), in_query=True)


@router.post("", operation_id="compute_pieces", summary="Pieces from a mix", response_model=PiecesAnswer)
@response_formats(rows="")
async def post_pieces(body: PiecesRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST takes a mix in lines."""
    return pieces_answer(read_pieces(body))
