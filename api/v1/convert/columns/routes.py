"""`POST /v1/convert/columns`: a long table by columns, which states once what many rows have in common."""

from typing import Any

from fastapi import APIRouter

from api.v1.convert.columns.answers import as_csv, as_xml, columns_answer
from api.v1.convert.columns.schemas import ConvertColumnsAnswer, ConvertColumnsRequest
from api.wire.formats import CSV, MEDIA_TYPES, XML, CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/convert/columns", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.post(
    "",
    operation_id="compute_conversion_columns",
    summary="A table of conversions, by columns",
    response_model=ConvertColumnsAnswer,
)
@response_formats(
    csv=CustomFormat(MEDIA_TYPES[CSV], as_csv),
    xml=CustomFormat(MEDIA_TYPES[XML], as_xml),
)
async def post_convert_columns(body: ConvertColumnsRequest) -> dict[str, Any]:
    """The conversions of `/v1/convert` for up to 10,000 rows; `rates` holds what rows have in common.

    This is a calculation: nothing is stored, and repeating it is safe.
    """
    return columns_answer(body)
