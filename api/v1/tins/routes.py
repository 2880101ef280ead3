"""`/v1/tins`: what a tin holds, the factor between two tins, and the nominal tins of the trade."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field

from api.v1.tins.schemas import TinIn, TinText
from api.wire.answers import source_refs, warnings, without_none
from api.wire.caching import SerializedAnswer, serialize_answer
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.reading import read_length_mm, read_tin
from api.wire.routing import PureRoute
from api.wire.schemas import WHOLE, Answer, Quantity, QuantityText, Query, Schema, SourceRef, Warned
from domain.errors import Path, at_path
from domain.notices import Notice
from domain.tins.geometry import TinFactor, TinMeasure, fill_of, measure_tin, tin_factor
from domain.tins.shapes import Tin
from domain.tins.text import NAMED_TINS, tin_notices

MAX_TINS = 1_000  # our own limit, no source
MM2_PER_CM2 = 100  # definition
TinCount = Annotated[int, Field(ge=1, le=MAX_TINS, description="How many such tins."), WHOLE]


class MeasureQuery(Query):
    """One tin, in its short form."""

    tin: TinText
    filled_depth: QuantityText | None = None


class MeasureRequest(Schema):
    """One tin, and how high the batter stands in it if that is asked."""

    tin: TinIn
    filled_depth: Quantity | None = None


class MeasureAnswer(Answer):
    """Inner sizes; what the description does not tell is left out."""

    area_cm2: float | None = Field(default=None, description="Of the base.")
    top_area_cm2: float | None = Field(default=None, description="At the rim.")
    depth_mm: float | None = None
    volume_ml: float | None = Field(default=None, description="To the rim.")
    filled_depth_mm: float | None = None
    filled_ml: float | None = None
    fill_percent: float | None = None
    warnings: list[Warned]


class FactorQuery(Query):
    """Two tins, in their short forms."""

    have: TinText
    want: TinText
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: QuantityText | None = None
    depth: Annotated[str, Field(max_length=80)] = "keep"


type KeepOrDepth = Annotated[Literal["keep"] | Quantity, Field(description="`keep`, or a length.")]


class FactorRequest(Schema):
    """Two tins; the filled depth of the first is kept in the second unless `depth` says another."""

    have: TinIn
    want: TinIn
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: Quantity | None = Field(
        default=None, description="Height of the batter in `have`; needed when a tin's walls slope."
    )
    depth: KeepOrDepth = "keep"


class FactorAnswer(Answer):
    """Multiply every line by `factor`."""

    factor: float
    kept: Literal["depth", "given_depth", "capacity_share"] = Field(
        description="What was held equal: the depth, the depth asked for, or (volumes only) the share of capacity."
    )
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    warnings: list[Warned]


class NominalTin(Answer):
    """A tin of the trade by name: OUTER sizes; the inside is smaller."""

    name: str
    other_names: list[str]
    length_mm: float
    width_mm: float
    depths_mm: list[float] = Field(description="Depths the trade offers, where they are standard.")
    sources: list[SourceRef]


class ShapeForm(Answer):
    """A shape word of the short form, and an example."""

    shape: str
    example: str


class TinsAnswer(Answer):
    """How tins may be written, and the nominal ones."""

    shapes: list[ShapeForm]
    nominal: list[NominalTin]


router = APIRouter(prefix="/v1/tins", tags=["tins"], responses=RESPONSES, route_class=PureRoute)


@router.get("/measure", operation_id="measure_tin", summary="What a tin holds", response_model=MeasureAnswer)
@response_formats(figure=("volume_ml", "area_cm2"))
async def get_measure(query: Annotated[MeasureQuery, QueryParameters()]) -> dict[str, Any]:
    """Area, capacity and fill of one tin."""
    return _measure(query, in_query=True)


@router.post("/measure", operation_id="measure_tin_object", summary="What a tin holds", response_model=MeasureAnswer)
async def post_measure(body: MeasureRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the tin is an object."""
    return _measure(body, in_query=False)


@router.get("/factor", operation_id="tin_factor", summary="Factor between two tins", response_model=FactorAnswer)
async def get_factor(query: Annotated[FactorQuery, QueryParameters()]) -> dict[str, Any]:
    """The factor that fills `want` as `have` was."""
    return _factor(query, in_query=True)


@router.post(
    "/factor", operation_id="tin_factor_object", summary="Factor between two tins", response_model=FactorAnswer
)
async def post_factor(body: FactorRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the tins are objects."""
    return _factor(body, in_query=False)


@router.get("", operation_id="list_tins", summary="Shapes and nominal tins", response_model=TinsAnswer)
@response_formats(rows="nominal")
async def get_tins() -> SerializedAnswer:
    """How tins may be written, and the sheet, gastronorm and steam-table sizes known by name."""
    return _TINS


def _measure(asked: MeasureQuery | MeasureRequest, *, in_query: bool) -> dict[str, Any]:
    with at_path("tin"):
        tin = read_tin(asked.tin)
    filled = None if asked.filled_depth is None else read_length_mm(asked.filled_depth, "filled_depth")
    found = measure_tin(tin, filled)
    notices = [n.within("tin") for n in tin_notices(tin)]
    if found.filled_ml is not None:
        notices += [n.within("filled_depth") for n in fill_of(tin, found.filled_ml, filled)[1]]
    return _measure_answer(found, notices, in_query=in_query)


def _measure_answer(found: TinMeasure, notices: list[Notice], *, in_query: bool) -> dict[str, Any]:
    return without_none(
        area_cm2=None if found.base_area_mm2 is None else found.base_area_mm2 / MM2_PER_CM2,
        top_area_cm2=None if found.top_area_mm2 is None else found.top_area_mm2 / MM2_PER_CM2,
        depth_mm=found.depth_mm,
        volume_ml=found.volume_ml,
        filled_depth_mm=found.filled_depth_mm,
        filled_ml=found.filled_ml,
        fill_percent=found.fill_percent,
        warnings=warnings(notices, in_query=in_query),
    )


def _factor(asked: FactorQuery | FactorRequest, *, in_query: bool) -> dict[str, Any]:
    with at_path("have"):
        have = read_tin(asked.have)
    with at_path("want"):
        want = read_tin(asked.want)
    filled = None if asked.filled_depth is None else read_length_mm(asked.filled_depth, "filled_depth")
    depth = None if asked.depth == "keep" else read_length_mm(asked.depth, "depth")
    found = tin_factor(
        have, want, have_tins=asked.have_tins, want_tins=asked.want_tins, filled_depth_mm=filled, want_depth_mm=depth
    )
    return _factor_answer(found, [*_nominal(have, ("have",)), *_nominal(want, ("want",))], in_query=in_query)


def _nominal(tin: Tin, path: Path) -> list[Notice]:
    return [notice.within(*path) for notice in tin_notices(tin)]


def _factor_answer(found: TinFactor, notices: list[Notice], *, in_query: bool) -> dict[str, Any]:
    return without_none(
        factor=found.factor,
        kept=found.kept,
        filled_depth_mm=found.filled_depth_mm,
        fill_percent=found.fill_percent,
        warnings=warnings([*notices, *(n.within("want") for n in found.notices)], in_query=in_query),
    )


_TINS = serialize_answer(
    {
        "shapes": [
            {"shape": shape, "example": example}
            for shape, example in (
                ("square", "square 20 cm"),
                ("rectangle", "rectangle 20 x 30 x 5 cm"),
                ("round", "round 23 x 7 cm"),
                ("ring", "ring 25 x 8 x 9 cm"),
                ("hexagon", "hexagon 20 x 5 cm"),
                ("octagon", "octagon 20 x 5 cm"),
                ("cavities", "cavities 12 x 80 ml"),
            )
        ],
        "nominal": [
            {
                "name": tin.name,
                "other_names": list(tin.other_names),
                "length_mm": tin.length_mm,
                "width_mm": tin.width_mm,
                "depths_mm": list(tin.depths_mm),
                "sources": source_refs((tin.cited,)),
            }
            for tin in NAMED_TINS.values()
        ],
    }
)
