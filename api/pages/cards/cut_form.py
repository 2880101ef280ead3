"""The form of `/cards/cuts`: its fields, and error messages in the words of the bench."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from starlette.datastructures import QueryParams

from api.v1.cuts.schemas import CutsQuery
from api.wire import partial
from api.wire.formats import NAMES
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors

Asked = Mapping[str, str | list[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One form field; `choices` are values with their labels, the first for an empty value.

    A field `with_unit` holds an amount and its unit; its hint is an example.
    """

    name: str
    label: str
    hint: str = ""
    numeric: bool = False
    with_unit: bool = False
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together; a `folded` group is closed until it is needed."""

    title: str
    fields: tuple[Field, ...]
    hint: str = ""
    folded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FormError:
    """One error: its field, what is wrong, and what would be accepted."""

    message: str
    name: str = ""
    label: str = ""
    candidates: tuple[str, ...] = ()
    code: str = "invalid_request"

    @property
    def in_form(self) -> bool:
        """Whether the form has this field."""
        return self.name in LABELS


_RINGS_BY = (
    ("", "all pieces equal"),
    ("equal_rings", "rings of equal area"),
    ("width", "rings of one width"),
)
_PORTION_RULES = (
    ("", "to be met as nearly as possible"),
    ("at_least", "the least a piece may weigh"),
    ("at_most", "the most a piece may weigh"),
)
FORM = (
    Group(
        title="What is cut",
        hint="Fill in one of the two.",
        fields=(
            Field(name="tin", label="Tin", hint="square 20 cm, rectangle 30 x 20 cm, round 23 cm"),
            Field(name="slab", label="Or a slab, length x width", hint="30 x 20 cm"),
        ),
    ),
    Group(
        title="Cut into",
        hint="Fill in one; columns and rows go together.",
        fields=(
            Field(name="portions", label="So many pieces", hint="16", numeric=True),
            Field(name="columns", label="Columns, left to right", hint="4, and rows", numeric=True),
            Field(name="rows", label="Rows, top to bottom", hint="4, and columns", numeric=True),
            Field(name="portion_size", label="Pieces of this size", hint="50 x 40 mm"),
            Field(name="portion_grams", label="Pieces of this weight, g", hint="60", numeric=True),
            Field(name="portion_rule", label="That weight is", choices=_PORTION_RULES),
            Field(name="wedges", label="Wedges of a round", hint="12", numeric=True),
            Field(name="rings", label="Rings of a round: pieces in each", hint="1, 6, 12 from the middle"),
        ),
    ),
    Group(
        title="Weight",
        hint="Of the cooled slab, or of the raw mix and what it loses.",
        fields=(
            Field(name="slab_grams", label="Slab, g", hint="1030", numeric=True),
            Field(name="mix_grams", label="Raw mix, g", hint="1478", numeric=True),
            Field(name="bake_loss_percent", label="Bake loss, %", hint="11", numeric=True),
        ),
    ),
    Group(
        title="Knife, limits and name",
        folded=True,
        fields=(
            Field(name="trim", label="Trim all round", hint="5 mm", with_unit=True),
            Field(name="knife_width", label="Lost at each cut", hint="2 mm", with_unit=True),
            Field(name="portion_shape", label="Shape of a piece", hint="square, finger, or 3:2"),
            Field(name="longest_side", label="No side longer than", hint="60 mm", with_unit=True),
            Field(name="largest_mass", label="No piece heavier than", hint="70 g", with_unit=True),
            Field(name="baked_depth", label="Height of the baked slab", hint="3 cm", with_unit=True),
            Field(name="rings_by", label="How rings are divided", choices=_RINGS_BY),
            Field(name="ring_width", label="Width of a ring", hint="3 cm", with_unit=True),
            Field(name="label", label="Name on the card", hint="Ginger parkin"),
        ),
    ),
)
LABELS = {field.name: field.label for group in FORM for field in group.fields}
_EXAMPLES = {field.name: field.hint for group in FORM for field in group.fields if field.with_unit}
# Codes of an amount whose unit is missing, unknown or of another kind.
_UNIT_CODES = frozenset({"ambiguous_unit", "unit_mismatch", "unknown_unit", "unreadable"})
MAX_ERRORS = 20  # our own limit
MAX_NAME = 40  # our own limit: characters shown of an unknown field's name
_WHOLE, _NUMBER, _ONCE = (
    "Write a whole number, such as 16.",
    "Write a number, such as 940 or 62.5.",
    "Fill this in once only.",
)
_RINGS = "Write how many pieces each ring has, from the middle outwards: 1, 6, 12."
# The validation library writes for programmers; these messages are for bakers.
_WORDS = {
    "int_parsing": _WHOLE,
    "int_parsing_size": _WHOLE,
    "int_from_float": _WHOLE,
    "float_parsing": _NUMBER,
    "finite_number": _NUMBER,
    "greater_than_equal": "At least {ge:,}.",
    "less_than_equal": "At most {le:,}.",
    "greater_than": "Above {gt:,}.",
    "less_than": "Below {lt:,}.",
    "string_too_long": "At most {max_length} characters.",
    "literal_error": "One of {expected}.",
    "extra_forbidden": "This page has no such field; leave it out.",
    "string_type": _ONCE,
    "int_type": _ONCE,
    "float_type": _ONCE,
    "bool_type": _ONCE,
    "bool_parsing": "Write true or false.",
}
# Domain errors whose message names request fields, in the form's own words.
_BY_CODE = {
    "unreadable_tin": (
        "Write its shape and inner sizes with a unit: square 20 cm, rectangle 30 x 20 cm, round 23 cm, ring 25 x 8 cm, "
        "hexagon 20 cm."
    ),
    "unreadable_size": "Write a length and a width with their unit, such as 30 x 20 cm.",
    "slab_needed": "Fill in one of the two: a tin, or the length and width of the slab.",
    "cut_wish_needed": "Fill in one field of “Cut into”, or columns and rows together.",
}
_load = adapter(CutsQuery).validate_python


def asked_in(params: QueryParams) -> Asked:
    """The filled-in fields of a query. Empty fields and `format` parameters are left out."""
    asked: dict[str, str | list[str]] = {}
    for name in params:
        given = [value for value in params.getlist(name) if value.strip()]
        if given and name not in NAMES:
            asked[name] = given[0] if len(given) == 1 else given
    return asked


class FormErrors(Exception):  # noqa: N818 - it carries the messages of a page
    """Everything that is wrong with a form."""

    def __init__(self, errors: Iterable[FormError]) -> None:
        """Keep the errors, those of the form's fields first and in its order."""
        super().__init__("the form has errors")
        order = list(LABELS)
        ranked = sorted(errors, key=lambda error: order.index(error.name) if error.in_form else len(order))
        self.errors = tuple(ranked)[:MAX_ERRORS]


def compute[Result](asked: Asked, computation: Callable[[CutsQuery], Result]) -> Result:
    """Read the fields as `GET /v1/cuts` does, and compute.

    Args:
        asked: the fields.
        computation: what is done with the query.

    Returns:
        Its result.

    Raises:
        FormErrors: everything that is wrong. If a value violates the schema, the valid fields are computed for their
            errors alone.
    """
    try:
        query: CutsQuery = _load(_with_rings(asked))
    except ValidationError as error:
        raise FormErrors([*_schema_errors(error), *_other_errors(asked, error, computation)]) from None
    try:
        return computation(query)
    except (DomainError, DomainErrors) as error:
        raise FormErrors(_domain_error(each) for each in _each(error)) from None


def _with_rings(asked: Asked) -> Mapping[str, Any]:
    """The fields with the rings as a list: the form takes `1, 6, 12`."""
    rings = asked.get("rings")
    if not rings:
        return asked
    written = [rings] if isinstance(rings, str) else rings
    return {**asked, "rings": [count.strip() for text in written for count in text.split(",")]}


def _schema_errors(error: ValidationError) -> Iterator[FormError]:
    for each in error.errors(include_url=False, include_input=False):
        name = str(each["loc"][0])
        message = _RINGS if name == "rings" else _in_words(each["type"], each["msg"], each.get("ctx", {}))
        yield _form_error(name, message)


def _other_errors(
    asked: Asked, error: ValidationError, computation: Callable[[CutsQuery], object]
) -> Iterator[FormError]:
    places: partial.Places = {tuple(each["loc"][:1]) for each in error.errors(include_url=False)}
    left = partial.validated(dict(_with_rings(asked)), places, _load)
    if left is None:
        return
    query, kept = left
    try:
        computation(query)
    except (DomainError, DomainErrors) as found:
        yield from map(_domain_error, partial.independent(_each(found), asked, places, kept, in_query=True))


def _each(error: DomainError | DomainErrors) -> list[DomainError]:
    return error.errors if isinstance(error, DomainErrors) else [error]


def _domain_error(error: DomainError) -> FormError:
    name = str(error.path[0]) if error.path else ""
    if error.code in _BY_CODE:
        return _form_error(name, _BY_CODE[error.code], code=error.code)
    if name in _EXAMPLES and error.code in _UNIT_CODES:
        return _form_error(name, f"Write an amount and its unit, such as {_EXAMPLES[name]}.", code=error.code)
    candidates = tuple(LABELS.get(candidate, candidate) for candidate in error.candidates)
    return _form_error(name, error.detail, candidates=candidates, code=error.code)


def _form_error(name: str, message: str, **more: Any) -> FormError:  # noqa: ANN401 - the other fields of an error
    return FormError(name=name, label=LABELS.get(name, name[:MAX_NAME]), message=message, **more)


def _in_words(kind: str, message: str, limits: Mapping[str, Any]) -> str:
    whole = {name: int(x) if isinstance(x, float) and x.is_integer() else x for name, x in limits.items()}
    return _WORDS[kind].format(**whole) if kind in _WORDS else f"{message}."
