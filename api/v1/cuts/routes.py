"""`/v1/cuts`: where to cut a slab, what each piece weighs, and a drawing to put a ruler to."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.drawings.cuts import draw_cuts
from api.v1.cuts.answers import cuts_answer
from api.v1.cuts.reading import in_query, read_cut, request_of
from api.v1.cuts.schemas import CutsAnswer, CutSlabIn, CutsQuery, CutsRequest, CutsResult
from api.v1.cuts.work import CutWork
from api.wire.answers import without_none
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES, domain_problem
from api.wire.routing import PureRoute
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import CutLayout
from domain.errors import DomainError, MismatchError, Path
from domain.notices import Notice

SVG = "image/svg+xml"

router = APIRouter(prefix="/v1/cuts", tags=["cuts"], responses=RESPONSES, route_class=PureRoute)


async def draw(query: CutsQuery) -> str:
    """The layout as a drawing alone."""
    layout, _ = cut_query(query)
    return draw_cuts(layout, query.label or "")


@router.get("", operation_id="cuts", summary="Where to cut one slab", response_model=CutsAnswer)
@response_formats(figure=("pieces",), svg=CustomFormat(SVG, draw))
async def get_cuts(query: Annotated[CutsQuery, QueryParameters()]) -> dict[str, Any]:
    """Rows, columns, marks and masses; `format=svg` answers the drawing alone."""
    layout, notices = cut_query(query)
    return cuts_answer(layout, notices, label=query.label, drawing=query.drawing, in_query=True)


@router.post("", operation_id="cuts_object", summary="Where to cut one slab or many", response_model=CutsResult)
async def post_cuts(body: CutsRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. A bad tin of `tins` is answered in its place."""
    if body.tins is None:
        return _answer(body, body)
    if body.tin is not None or body.slab is not None:
        raise MismatchError("Give tins, or one tin or slab.", path=("tins",), code="given-twice")
    work = CutWork()
    return {"tins": [_answer_tin(one, body, ("tins", i), work) for i, one in enumerate(body.tins)]}


def _answer_tin(asked: CutSlabIn, body: CutsRequest, path: Path, work: CutWork) -> dict[str, Any]:
    try:
        work.admit()
        return _answer(asked, body, path, work)
    except DomainError as error:
        # What a tin takes over from the request is to be mended there, not in the tin.
        shared = error.path and error.path[0] not in asked.model_fields_set and error.path[0] in body.model_fields_set
        placed = error if shared else error.within(*path)
        return without_none(label=asked.label, problem=domain_problem([placed], in_query=False))


def _answer(asked: CutSlabIn, body: CutsRequest, path: Path = (), work: CutWork | None = None) -> dict[str, Any]:
    layout, notices = _cut(asked, body)
    if work is not None:
        work.add(layout, drawing=body.drawing)
    shared = body.model_fields_set - asked.model_fields_set
    placed = tuple(one if one.path and one.path[0] in shared else one.within(*path) for one in notices)
    return cuts_answer(layout, placed, label=asked.label, drawing=body.drawing)


def cut_query(query: CutsQuery) -> tuple[CutLayout, tuple[Notice, ...]]:
    """The layout that a query asks for, and warnings; refusals name the query's parameters."""
    request = request_of(query)
    try:
        return _cut(request, request)
    except DomainError as error:
        raise in_query(error, query) from None


def _cut(asked: CutSlabIn, body: CutsRequest) -> tuple[CutLayout, tuple[Notice, ...]]:
    question = read_cut(asked, body)
    layout = cut_slab(question.slab, question.wish, question.cutting)
    return layout, (*question.notices, *layout.notices)
