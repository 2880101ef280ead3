"""The form of the cut card: its fields, and how what people write into them becomes a request of `/v1/cuts`."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from api.pages.cards.errors import CardError, CardErrors, domain_errors, schema_errors
from api.pages.cards.fields import N_, CardFields
from api.pages.cards.written import read_written
from api.v1.cuts.schemas import CutsQuery
from api.wire import partial
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors
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
OF_JOB = frozenset(field.name for group in JOB_FORM for field in group.fields)
_load = adapter(CutsQuery).validate_python
# Fields of a card that are none of a slab: the language of the page, the unit of its ruler, another name for `label`.
OF_PAGE = frozenset({"lang", "ruler", "batch"})


def compute[Result](entered: CardFields, sign: Decimal, computation: Callable[[CutsQuery], Result]) -> Result:
    """Read the fields of a slab as `GET /v1/cuts` does, and compute.

    Args:
        entered: the filled-in fields, as they were written.
        sign: the decimal sign where the writing does not decide.
        computation: what is done with the query.
    Returns:
        Its result.
    Raises:
        CardErrors: everything that is wrong. If a field cannot be read, the others are computed for their errors alone.
    """
    written, errors = read_written({name: value for name, value in entered.items() if name not in OF_PAGE}, sign)
    unread: partial.Places = {(error.name,) for error in errors}
    try:
        query = _load(written)
    except ValidationError as error:
        errors += schema_errors(error)
        unread |= {tuple(each["loc"][:1]) for each in error.errors(include_url=False)}
    else:
        if not errors:
            try:
                return computation(query)
            except (DomainError, DomainErrors) as error:
                raise CardErrors(domain_errors(error)) from None
    raise CardErrors([*errors, *_other_errors({**entered, **written}, unread, computation)])


def _other_errors(
    sent: Mapping[str, str | list[str]], unread: partial.Places, computation: Callable[[CutsQuery], object]
) -> Iterator[CardError]:
    """The errors of the fields that can be read, where the others do not matter."""
    valid = partial.validated({name: value for name, value in sent.items() if name not in OF_PAGE}, unread, _load)
    if valid is None:
        return
    query, kept = valid
    try:
        computation(query)
    except (DomainError, DomainErrors) as error:
        several = error.errors if isinstance(error, DomainErrors) else [error]
        for each in partial.independent(several, sent, unread, kept, in_query=True):
            yield from domain_errors(each)
