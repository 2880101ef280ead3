"""Models that the requests and answers of every topic share."""

from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, TypeAdapter

from api.wire.figures_id import FiguresId
from domain.notices import NoticeCode


class Schema(BaseModel):
    """Base of every model in a JSON body: strict types, no unknown fields, no NaN.

    A validator is built for a whole request (`adapter`), and not for each of its models.
    """

    model_config = ConfigDict(defer_build=True, extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


def _whole(value: object) -> object:
    return int(value) if isinstance(value, float) and value.is_integer() else value


# In JSON Schema 12.0 is an integer, and some clients write it so. Use it after the limits in an annotation: before
# them, the limits would be missing from the OpenAPI document.
WHOLE = BeforeValidator(_whole)


class Query(BaseModel):
    """Base of every model that is read from a query string, where all values are text."""

    model_config = ConfigDict(defer_build=True, extra="forbid", frozen=True, allow_inf_nan=False)


class Answer(BaseModel):
    """Base of every answer: fields without a value are absent, and later versions may add fields."""

    model_config = ConfigDict(defer_build=True, extra="ignore", frozen=True)


AmountText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=40,
        examples=["1 1/2", "1½", "0.75"],
        description="An amount as text: a decimal, `1/3`, `1 1/2`, `1½`, `½`. Expressions are not evaluated.",
    ),
]
UnitName = Annotated[
    str,
    Field(
        min_length=1,
        max_length=40,
        examples=["us_cup", "g"],
        description="An id or a common spelling from `/v1/units`; a bare kitchen word (`cup`) needs `measures`.",
    ),
]
type MeasuresName = Annotated[
    Literal["us", "uk", "metric", "au", "jp"],
    Field(
        examples=["us"],
        description="The country or system that `tsp tbsp cup fl_oz gill pint quart gallon` belong to. Without it these"
        " units are rejected.",
    ),
]
EggClassName = Annotated[
    str,
    Field(
        min_length=1, max_length=40, examples=["eu_m", "us_large"], description="An egg class of `/v1/eggs/classes`."
    ),
]
IngredientName = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["plain flour"],
        description="An id or a common British or American name from `/v1/ingredients`.",
    ),
]
PackingName = Annotated[
    str, Field(min_length=1, max_length=40, examples=["spooned"], description="How the measure was filled.")
]
Density = Annotated[
    float,
    Field(gt=0.01, le=25, examples=[0.55], description="Density in grams per millilitre, measured by the caller."),
]
Label = Annotated[
    str, Field(max_length=120, description="The caller's own name for it, returned unchanged.", examples=["tray"])
]


QuantityText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["1 1/2 us_cup", "200 g"],
        description="An amount and its unit, as a recipe has it: `200 g`, `1 lb 4 oz`.",
    ),
]
LengthText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["20 cm", "26 mm", "1 1/4 in"],
        description="A length with its unit, such as `20 cm`.",
    ),
]


type Confidence = Annotated[
    Literal["read", "quoted", "recalled", "borrowed", "own"],
    Field(
        description="How the figure is known. `read`: in the text itself. `quoted`: in a text that quotes it."
        " `recalled`: from memory, without a text. `borrowed`: the figure of a similar thing. `own`: our own limit or"
        " judgement.",
        examples=["read"],
    ),
]


class TopicAnswer(Answer):
    """The answer of an operation. Inside another answer it has no `figures`."""

    figures: FiguresId | None = None


class SourceRef(Answer):
    """Where a figure was published: the id of a source in `/v1/sources`, and the record in that source."""

    source: str = Field(description="The id of a source in `/v1/sources`.", examples=["usda-sr28"])
    record: str = Field(description="The record, table or clause of the source.", examples=["NDB 20081 WEIGHT seq 1"])
    confidence: Confidence


class SourceAnswer(TopicAnswer):
    """A publication that figures of this service are from."""

    id: str = Field(description="The id by which figures cite it.", examples=["usda-sr28"])
    citation: str = Field(
        description="Author, title and year.",
        examples=["US Department of Agriculture, National Nutrient Database for Standard Reference, Release 28, 2015"],
    )
    confidence: Confidence


class SourceDetailsAnswer(SourceAnswer):
    """A publication, and what we take from it."""

    licence: str = Field(
        description="What its publisher allows, in our words.", examples=["US government work, public domain"]
    )
    used_for: str = Field(description="What is taken from it.", examples=["household weights, nutrients"])


type WarningCode = Annotated[
    str,
    Field(
        description="Stable code of the warning; new ones may be added.",
        examples=["packing_assumed"],
        json_schema_extra={"x-extensible-enum": list(get_args(NoticeCode))},
    ),
]


class Warned(Answer):
    """Something to know before using a result."""

    code: WarningCode
    message: str = Field(description="In words.", examples=["The batter is 104 % of the tin's capacity."])
    pointers: list[str] | None = Field(
        default=None,
        description="JSON pointers to the fields of the body that it is about.",
        examples=[["/formula/tin"]],
    )
    parameters: list[str] | None = Field(
        default=None, description="The query parameters that it is about.", examples=[["tin"]]
    )
    value: float | None = Field(default=None, description="The figure that it is about.", examples=[104])
    limit: float | None = Field(default=None, description="What the figure is compared with.", examples=[100])
    unit: str | None = Field(default=None, description="The unit of both.", examples=["percent"])


def adapter(annotation: Any) -> TypeAdapter[Any]:  # noqa: ANN401 - whatever an endpoint declares
    """The validator of an endpoint's request, built when it is first used."""
    return TypeAdapter(annotation)
