"""The form of the cut card: its fields, and how what people write into them becomes a request of `/v1/cuts`."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from api.pages.cards.errors import CardError, CardErrors, domain_errors, schema_errors
from api.pages.cards.fields import N_, CardFields, FormField
from api.pages.cards.written import read_written
from api.v1.cuts.schemas import CutsQuery
from api.wire import partial
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors
from domain.reading.values import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together; a group with a title is folded until one of its fields is used."""

    title: str = ""
    fields: tuple[FormField, ...]
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
_TIN = FormField(
    name="tin",
    label=N_("Tin, or length x width of the slab"),
    hint=N_("square 20 cm, round 23 cm, 30 x 20 cm"),
)
_PORTIONS = FormField(name="portions", hint="16", keyboard="numeric")
_SLAB_GRAMS = FormField(name="slab_grams", hint=N_("812.5 g or 1.2 kg"))
_WAYS = Group(
    title=N_("Other ways to cut"),
    hint=N_("Fill in one of them; columns and rows go together."),
    fields=(
        FormField(name="columns", hint="4", keyboard="numeric"),
        FormField(name="rows", hint="4", keyboard="numeric"),
        FormField(name="portion_size", hint="50 x 40 mm"),
        FormField(name="portion_grams", hint="65 g"),
        FormField(name="portion_rule", choices=_PORTION_RULES),
        FormField(name="portion_shape", choices=_SHAPES),
        FormField(name="wedges", hint="12", keyboard="numeric"),
        FormField(name="rings", hint=N_("1, 6, 12 from the middle")),
        FormField(name="rings_by", choices=_RINGS_BY),
        FormField(name="ring_width", hint="3 cm"),
    ),
)
_KNIFE = Group(
    title=N_("Trim, knife and limits"),
    fields=(
        FormField(name="trim", hint="5 mm"),
        FormField(name="knife_width", hint="2 mm"),
        FormField(name="longest_side", hint="60 mm"),
        FormField(name="largest_mass", hint="70 g"),
        FormField(name="baked_depth", hint="3 cm"),
    ),
)
_LOSS = FormField(name="bake_loss_percent", hint=N_("11 % of all that was weighed, icing too"))
_RULER = FormField(name="ruler", choices=RULERS)
# The form of a slab by itself, and that of a job, whose tin and mix are those of the recipe.
FORM = (
    Group(fields=(_TIN, _PORTIONS, _SLAB_GRAMS)),
    _WAYS,
    _KNIFE,
    Group(
        title=N_("Raw mix, ruler and name"),
        fields=(
            FormField(name="mix_grams", hint=N_("1478 g, with the bake loss")),
            _LOSS,
            FormField(name="slab", hint="30 x 20 cm"),
            _RULER,
            FormField(name="label", label=N_("Name on the card"), hint=N_("Ginger parkin")),
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
