"""What requests and answers of every topic share."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, Tag, TypeAdapter
from typing_extensions import TypedDict

from domain.measures.quantities import MAX_AMOUNT
from domain.notices import NoticeCode

# Tags of unions that have no field to tell them apart; `api.wire.problems` leaves them out of pointers.
TEXT_TAG, NUMBER_TAG, OBJECT_TAG, LIST_TAG, ONE_TAG = "<text>", "<number>", "<object>", "<list>", "<one>"
FORM_TAGS = frozenset({TEXT_TAG, NUMBER_TAG, OBJECT_TAG, LIST_TAG, ONE_TAG})
# How they are told apart: a function of ours, called for every value, would cost a third of reading a formula's lines.
# A refusal then tells of each form, and `api.wire.routing` keeps those of the form that was meant.
FIRST_THAT_FITS: Any = Field(union_mode="left_to_right")


class Schema(BaseModel):
    """Base of every model in a JSON body: exact types, no unknown fields, no NaN.

    A validator is made for a whole request when its route is (`adapter`), and none for each of its parts.
    """

    model_config = ConfigDict(defer_build=True, extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


def _whole(value: object) -> object:
    return int(value) if isinstance(value, float) and value.is_integer() else value


# JSON Schema calls 12.0 an integer, and so do some clients' writers. After the limits: before them, pydantic would
# check these outside and leave them out of the contract.
WHOLE = BeforeValidator(_whole)


class Query(BaseModel):
    """Base of every model read from a query string, where all values are text."""

    model_config = ConfigDict(defer_build=True, extra="forbid", frozen=True, allow_inf_nan=False)


def _never_null(schema: dict[str, Any]) -> None:
    """Say in the contract that an optional field of an answer is left out, never null."""
    for name, field in schema.get("properties", {}).items():
        kinds = field.get("anyOf", [])
        known = [kind for kind in kinds if kind != {"type": "null"}]
        if len(known) == len(kinds):
            continue
        about = {key: value for key, value in field.items() if key not in {"anyOf", "default"}}
        schema["properties"][name] = {**known[0], **about} if len(known) == 1 else {"anyOf": known, **about}


class Answer(BaseModel):
    """Base of every answer: what is not known is left out."""

    model_config = ConfigDict(defer_build=True, extra="forbid", frozen=True, json_schema_extra=_never_null)


AmountText = Annotated[str, Field(min_length=1, max_length=40, examples=["1 1/2", "1½", "0.75"])]
AmountNumber = Annotated[float, Field(ge=-MAX_AMOUNT, le=MAX_AMOUNT, examples=[1.5])]
type Amount = Annotated[
    Annotated[AmountNumber, Tag(NUMBER_TAG)] | Annotated[AmountText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A number, or text: a decimal, `1/3`, `1 1/2`, `1½`, `½`. Never an expression."),
]
UnitName = Annotated[
    str,
    Field(
        min_length=1,
        max_length=40,
        examples=["us_cup", "g"],
        description="An id or everyday spelling from `/v1/units`; a bare kitchen word (`cup`) needs `measures`.",
    ),
]
type MeasuresName = Annotated[
    Literal["us", "uk", "metric", "au", "jp"],
    Field(description="Whose `tsp tbsp cup fl_oz gill pint quart gallon` are meant. Without it they are refused."),
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
        description="An id or an everyday name, British or American, from `/v1/ingredients`.",
    ),
]
PackingName = Annotated[
    str, Field(min_length=1, max_length=40, examples=["spooned"], description="How the measure was filled.")
]
Density = Annotated[
    float, Field(gt=0.01, le=25, examples=[0.55], description="Grams in one millilitre, the caller's own figure.")
]
Label = Annotated[str, Field(max_length=120)]


class QuantityObject(TypedDict):
    """An amount of a unit."""

    __pydantic_config__ = Schema.model_config  # type: ignore[misc]  # as pydantic has it

    # A dictionary, not a model, since tables hold thousands of them.
    amount: Amount
    unit: UnitName


QuantityText = Annotated[str, Field(min_length=1, max_length=80, examples=["1 1/2 us_cup", "200 g", "20 cm"])]
type Quantity = Annotated[
    Annotated[QuantityObject, Tag(OBJECT_TAG)] | Annotated[QuantityText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="An amount and a unit, as an object or as text."),
]


class SourceRef(Answer):
    """Where one figure was published: an id of `/v1/sources` and the record in it."""

    source: str
    record: str
    confidence: Literal["read", "memory"] = Field(description="`memory`: recalled, the text was not opened.")


class SourceAnswer(Answer):
    """A publication: `read` is `yes`, `secondary` (in a text that quotes it) or `no` (recalled)."""

    id: str
    citation: str
    licence: str
    used_for: str
    read: Literal["yes", "secondary", "no"]


type KnownWarningCode = NoticeCode
# Open, so that a client generated today still reads tomorrow's answers.
type WarningCode = Annotated[
    KnownWarningCode | str, Field(description="Today's codes; more may come, and their messages say all.")
]


class Warned(Answer):
    """What a result should not be used without knowing."""

    code: WarningCode
    message: str
    pointer: str = Field(description="JSON pointer into the request, or the query parameter's name.")


class QuantityAnswer(Answer):
    """An amount of a unit id."""

    amount: float
    unit: str


def adapter(annotation: Any) -> TypeAdapter[Any]:  # noqa: ANN401 - whatever an endpoint declares
    """The validator of an endpoint's request, built when first asked."""
    return TypeAdapter(annotation)
