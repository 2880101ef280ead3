"""The form of the cut card: its fields, and how what people write into them becomes a request of `/v1/cuts`."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pydantic import ValidationError

from api.pages.cards.cut_errors import CutError, CutErrors, cut_error, field_errors
from api.pages.cards.fields import N_, Asked
from api.v1.cuts.schemas import CutsQuery
from api.wire import partial
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors
from domain.reading.fields import grams_in, percent_in, with_points
from domain.reading.values import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One form field; `choices` are values with their labels, the first for an empty value.

    `keyboard` is the kind of keyboard that a tablet shows.
    """

    name: str
    label: str
    hint: str = ""
    keyboard: str = "text"
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together; a group with a title is folded until one of its fields is used."""

    title: str = ""
    fields: tuple[Field, ...]
    hint: str = ""


_RINGS_BY = (
    ("", N_("all pieces equal")),
    ("equal_rings", N_("rings of equal area")),
    ("width", N_("rings of one width")),
)
_PORTION_RULES = (
    ("", N_("to be met as nearly as possible")),
    ("at_least", N_("the least a piece may weigh")),
    ("at_most", N_("the most a piece may weigh")),
)
_SHAPES = (
    ("", N_("as square as possible")),
    ("3:2", N_("3 to 2")),
    ("2:1", N_("2 to 1")),
    ("finger", N_("fingers, 3 to 1")),
    ("triangle", N_("triangles")),
    ("diamond", N_("diamonds")),
)
RULERS = (("mm", N_("millimetres")), ("in", N_("inches")))
_TIN = Field(
    name="tin",
    label=N_("Tin, or length x width of the slab"),
    hint=N_("square 20 cm, round 23 cm, 30 x 20 cm"),
)
_PORTIONS = Field(name="portions", label=N_("So many pieces"), hint="16", keyboard="numeric")
_SLAB_GRAMS = Field(name="slab_grams", label=N_("Weight of the cooled slab"), hint=N_("812.5 g or 1.2 kg"))
_WAYS = Group(
    title=N_("Other ways to cut"),
    hint=N_("Fill in one of them; columns and rows go together."),
    fields=(
        Field(name="columns", label=N_("Columns, left to right"), hint="4", keyboard="numeric"),
        Field(name="rows", label=N_("Rows, top to bottom"), hint="4", keyboard="numeric"),
        Field(name="portion_size", label=N_("Pieces of this size"), hint="50 x 40 mm"),
        Field(name="portion_grams", label=N_("Pieces of this weight"), hint="65 g"),
        Field(name="portion_rule", label=N_("That weight is"), choices=_PORTION_RULES),
        Field(name="portion_shape", label=N_("Shape of a piece"), choices=_SHAPES),
        Field(name="wedges", label=N_("Wedges of a round"), hint="12", keyboard="numeric"),
        Field(name="rings", label=N_("Rings of a round: pieces in each"), hint=N_("1, 6, 12 from the middle")),
        Field(name="rings_by", label=N_("How rings are divided"), choices=_RINGS_BY),
        Field(name="ring_width", label=N_("Width of a ring"), hint="3 cm"),
    ),
)
_KNIFE = Group(
    title=N_("Trim, knife and limits"),
    fields=(
        Field(name="trim", label=N_("Trim all round"), hint="5 mm"),
        Field(name="knife_width", label=N_("Lost at each cut"), hint="2 mm"),
        Field(name="longest_side", label=N_("No side longer than"), hint="60 mm"),
        Field(name="largest_mass", label=N_("No piece heavier than"), hint="70 g"),
        Field(name="baked_depth", label=N_("Height of the baked slab"), hint="3 cm"),
    ),
)
_LOSS = Field(name="bake_loss_percent", label=N_("Bake loss"), hint="11 %")
_RULER = Field(name="ruler", label=N_("Ruler"), choices=RULERS)
# The form of a slab by itself, and that of a job, whose tin and mix are those of the recipe.
FORM = (
    Group(fields=(_TIN, _PORTIONS, _SLAB_GRAMS)),
    _WAYS,
    _KNIFE,
    Group(
        title=N_("Raw mix, ruler and name"),
        fields=(
            Field(name="mix_grams", label=N_("Weight of the raw mix"), hint=N_("1478 g, with the bake loss")),
            _LOSS,
            Field(name="slab", label=N_("Slab without a tin, length x width"), hint="30 x 20 cm"),
            _RULER,
            Field(name="label", label=N_("Name on the card"), hint=N_("Ginger parkin")),
        ),
    ),
)
JOB_FORM = (Group(fields=(_PORTIONS, _LOSS, _SLAB_GRAMS)), _WAYS, _KNIFE, Group(title=N_("Ruler"), fields=(_RULER,)))
LABELS = {field.name: field.label for group in FORM for field in group.fields}
_MASSES = frozenset({"slab_grams", "mix_grams", "portion_grams"})
_LENGTHS = frozenset({"ring_width", "trim", "knife_width", "longest_side", "baked_depth"})
_SIZES = frozenset({"tin", "slab", "portion_size", "portion_shape"})
_load = adapter(CutsQuery).validate_python


def cut_fields(asked: Asked, sign: Decimal) -> tuple[dict[str, str | list[str]], list[CutError]]:
    """The fields of cuts as `/v1/cuts` takes them: decimal points, grams, percentages without their sign.

    Args:
        asked: the filled-in fields, as they were written; those of other subjects stay as they are.
        sign: the decimal sign where the writing does not decide.
    Returns:
        The fields that can be read, and the errors of the others.
    """
    fields, errors = dict[str, str | list[str]](), list[CutError]()
    for name, value in asked.items():
        if name == "rings":
            fields[name] = [count for text in _listed(value) for count in re.split(r"[,;\s]+", text.strip(" ,;"))]
        elif isinstance(value, str) and (read := _reader(name, sign)) is not None:
            try:
                fields[name] = read(value)
            except DomainError as error:
                errors.append(cut_error(error.within(name), asked))
        else:
            fields[name] = value
    return fields, errors


def _listed(value: str | list[str]) -> list[str]:
    return [value] if isinstance(value, str) else value


def _reader(name: str, sign: Decimal) -> Callable[[str], str] | None:
    if name in _MASSES:
        return lambda text: _plain(grams_in(text, sign))
    if name == "largest_mass":
        return lambda text: f"{_plain(grams_in(text, sign))} g"
    if name == "bake_loss_percent":
        return lambda text: _plain(percent_in(text, sign))
    return (lambda text: with_points(text, sign)) if name in _LENGTHS | _SIZES else None


def _plain(value: Fraction) -> str:
    return f"{float(value):.15g}"


def compute[Result](asked: Asked, sign: Decimal, computation: Callable[[CutsQuery], Result]) -> Result:
    """Read the fields of a slab as `GET /v1/cuts` does, and compute.

    Args:
        asked: the filled-in fields, as they were written.
        sign: the decimal sign where the writing does not decide.
        computation: what is done with the query.
    Returns:
        Its result.
    Raises:
        CutErrors: everything that is wrong. If a field cannot be read, the others are computed for their errors alone.
    """
    fields, errors = cut_fields(asked, sign)
    sent: Mapping[str, str | list[str]] = {**asked, **fields}
    places: partial.Places = {(error.name,) for error in errors}
    try:
        query = None if errors else _load(fields)
    except ValidationError as error:
        errors += field_errors(error)
        places |= {tuple(each["loc"][:1]) for each in error.errors(include_url=False)}
        query = None
    if query is not None:
        try:
            return computation(query)
        except (DomainError, DomainErrors) as error:
            raise CutErrors([cut_error(each, asked) for each in _each(error)], LABELS) from None
    raise CutErrors([*errors, *_other_errors(sent, places, asked, computation)], LABELS)


def _other_errors(
    sent: Mapping[str, str | list[str]],
    places: partial.Places,
    asked: Asked,
    computation: Callable[[CutsQuery], object],
) -> list[CutError]:
    """The errors of the fields that can be read, if those at fault are left out."""
    seen = set(places)
    left, schema = partial.without(dict(sent), set(places))[0], list[CutError]()
    try:
        _load(left)
    except ValidationError as error:
        schema = [each for each in field_errors(error) if (each.name,) not in seen]
    valid = partial.validated(dict(sent), places, _load)
    if valid is None:
        return schema
    query, kept = valid
    try:
        computation(query)
    except (DomainError, DomainErrors) as error:
        independent = partial.independent(_each(error), sent, places, kept, in_query=True)
        return [*schema, *(cut_error(each, asked) for each in independent)]
    return schema


def _each(error: DomainError | DomainErrors) -> list[DomainError]:
    return error.errors if isinstance(error, DomainErrors) else [error]
