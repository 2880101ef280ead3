"""The fields of a job in the address of its cards, and what each is called on the page."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import quote_plus

from pydantic import Field
from starlette.datastructures import QueryParams

from api.v1.batches.schemas import Shelves
from api.v1.cool.schemas import Place
from api.v1.formulas.schemas import DecimalName, LanguageName
from api.v1.job.baking_schemas import Minutes, OvenText
from api.v1.job.schemas import MAX_CLASSES, MAX_TARGETS, Name
from api.v1.job.wishes import (
    MAX_RINGS,
    BakeLoss,
    Degrees,
    Grams,
    PieceCount,
    PortionCount,
    PortionRule,
    RingsBy,
    ShapeText,
    SizeText,
)
from api.v1.rescale.query import Want
from api.v1.shop.schemas import MAX_ALLERGENS, AllergenName, MarketName
from api.v1.tins.schemas import TinCount, TinText
from api.wire.formats import NAMES
from api.wire.schemas import EggClassName, LengthText, MeasuresName, QuantityText, Query, adapter
from domain.reading.texts import MAX_LINES, MAX_TEXT

MAX_NAMES = 60  # our own limit: names of fields that are looked at, so that a wrong one can be named
MAX_OWN_TINS = 40  # our own limit: as many as a shop file may have
CardFields = Mapping[str, str | list[str]]
RulerName = Literal["mm", "in"]
_ANSWER = re.compile(r"(?P<kind>answer|other)\.(?P<line>[0-9]{1,5})")


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """A field of a form; `label` is set where it differs from the usual one.

    `keyboard` is the kind of keyboard that a tablet shows. More than one line makes a text area. `choices` are values
    with their labels, the first for an empty value.
    """

    name: str
    label: str = ""
    hint: str = ""
    keyboard: str = "text"
    lines: int = 1
    choices: tuple[tuple[str, str], ...] = ()


def N_(message: str) -> str:  # noqa: N802 - the usual name of a mark for the catalogue
    """Mark a message for the catalogue; it is translated where it is shown."""
    return message


class CardQuery(Query):
    """Everything that the address of a card may say; every card of a job has the same."""

    recipe: Annotated[str, Field(min_length=1, max_length=MAX_TEXT)] | None = None
    language: LanguageName | None = None
    decimal: DecimalName | None = None
    measures: MeasuresName | None = None
    egg_class: EggClassName | None = None
    answer: list[Annotated[str, Field(min_length=1, max_length=400)]] = Field(default=[], max_length=MAX_LINES)
    tin: TinText | None = None
    depth: LengthText | None = None
    oven: OvenText | None = None
    minutes: Minutes | None = None
    core: Degrees | None = None
    eggs: list[EggClassName] = Field(default=[], max_length=MAX_CLASSES)
    want: list[Want] = Field(default=[], max_length=MAX_TARGETS)
    tins: TinCount = 1
    want_depth: LengthText | None = None
    pieces: PieceCount | None = None
    piece_grams: Grams | None = None
    dough: Name | None = None
    pieces_per_tin: PieceCount | None = None
    pieces_per_cavity: PieceCount | None = None
    pieces_per_portion: PieceCount | None = None
    rows: PortionCount | None = None
    columns: PortionCount | None = None
    portions: PortionCount | None = None
    portion_size: SizeText | None = None
    portion_grams: Grams | None = None
    portion_rule: PortionRule | None = None
    portion_shape: ShapeText | None = None
    wedges: PortionCount | None = None
    rings: list[PortionCount] = Field(default=[], max_length=MAX_RINGS)
    rings_by: RingsBy | None = None
    ring_width: LengthText | None = None
    trim: LengthText | None = None
    knife_width: LengthText | None = None
    longest_side: LengthText | None = None
    largest_mass: QuantityText | None = None
    baked_depth: LengthText | None = None
    cut_temperature: Degrees | None = None
    cool_place: Place | None = None
    slab_grams: Grams | None = None
    bake_loss_percent: BakeLoss | None = None
    ruler: RulerName | None = None
    own_tin: list[Annotated[str, Field(min_length=1, max_length=200)]] = Field(default=[], max_length=MAX_OWN_TINS)
    order: list[Annotated[str, Field(min_length=1, max_length=200)]] = Field(default=[], max_length=MAX_TARGETS)
    bowl: Grams | None = None
    shelves: Shelves | None = None
    per_shelf: Shelves | None = None
    market: MarketName | None = None
    may_contain: list[AllergenName] = Field(default=[], max_length=MAX_ALLERGENS)
    name: Name | None = None
    batch: Name | None = None
    lang: Annotated[str, Field(max_length=20)] | None = None


CUT_FIELDS = (
    "rows",
    "columns",
    "portions",
    "portion_size",
    "portion_grams",
    "portion_rule",
    "portion_shape",
    "wedges",
    "rings",
    "rings_by",
    "ring_width",
    "trim",
    "knife_width",
    "longest_side",
    "largest_mass",
    "baked_depth",
    "slab_grams",
    "bake_loss_percent",
)
LABELS = {
    "recipe": N_("Recipe"),
    "language": N_("Language of the recipe"),
    "decimal": N_("Decimal sign of the recipe"),
    "measures": N_("Spoons and cups"),
    "egg_class": N_("Eggs in the recipe"),
    "answer": N_("Answer to a question"),
    "tin": N_("Tin it was made in"),
    "depth": N_("Filled to"),
    "oven": N_("Oven"),
    "minutes": N_("Minutes in the oven"),
    "core": N_("Core when done"),
    "eggs": N_("Eggs at hand"),
    "want": N_("Tin wanted"),
    "tins": N_("How many tins"),
    "want_depth": N_("Filled to, in the tin wanted"),
    "pieces": N_("Dough pieces in the recipe"),
    "piece_grams": N_("Weight of a dough piece"),
    "dough": N_("The part that is divided into pieces"),
    "pieces_per_tin": N_("Dough pieces in each tin"),
    "pieces_per_cavity": N_("Dough pieces in each cavity"),
    "pieces_per_portion": N_("Dough pieces in each cut piece"),
    "rows": N_("Rows, top to bottom"),
    "columns": N_("Columns, left to right"),
    "portions": N_("So many pieces"),
    "portion_size": N_("Pieces of this size"),
    "portion_grams": N_("Pieces of this weight"),
    "portion_rule": N_("That weight is"),
    "portion_shape": N_("Shape of a piece"),
    "wedges": N_("Wedges of a round"),
    "rings": N_("Rings of a round: pieces in each"),
    "rings_by": N_("How rings are divided"),
    "ring_width": N_("Width of a ring"),
    "trim": N_("Trim all round"),
    "knife_width": N_("Lost at each cut"),
    "longest_side": N_("No side longer than"),
    "largest_mass": N_("No piece heavier than"),
    "baked_depth": N_("Height of the baked slab"),
    "cut_temperature": N_("Cut when the core is at"),
    "cool_place": N_("Where it cools"),
    "slab_grams": N_("Weight of the cooled slab"),
    "bake_loss_percent": N_("Bake loss"),
    "mix_grams": N_("Weight of the raw mix"),
    "slab": N_("Slab without a tin, length x width"),
    "ruler": N_("Ruler"),
    "own_tin": N_("Tin of the shop"),
    "order": N_("Orders of the day"),
    "bowl": N_("The mixing bowl holds"),
    "shelves": N_("Shelves in the oven"),
    "per_shelf": N_("Tins on one shelf"),
    "market": N_("Market of the label"),
    "may_contain": N_("May contain traces of"),
    "name": N_("Name of the job"),
    "batch": N_("Batch"),
    "lang": N_("Language of the card"),
}
_PLACES = {name: place for place, name in enumerate(LABELS)}
LISTS = frozenset({"may_contain", "answer", "eggs", "want", "rings", "own_tin", "order"})
load_query = adapter(CardQuery).validate_python


def entered_in(params: QueryParams) -> dict[str, str | list[str]]:
    """The filled-in fields of an address, answers of a form joined with those of the address.

    Args:
        params: the query. Empty fields and the parameters of formats are left out. `answer.3=TEXT` of a form is
            `answer=3:TEXT`; a written `other.3=TEXT` replaces it.
    """
    filled, answers = dict[str, list[str]](), dict[str, dict[str, str]]()
    for name, value in params.multi_items():
        if not value.strip() or name in NAMES:
            continue
        text = value.replace("\r\n", "\n")  # as a form sends the lines of a text
        if match := _ANSWER.fullmatch(name):
            answers.setdefault(match["line"], {})[match["kind"]] = text
        elif name in LABELS or name in filled or len(filled) < MAX_NAMES:
            filled.setdefault(name, []).append(text)
    if answers:
        kept = [each for each in filled.get("answer", ()) if each.partition(":")[0] not in answers]
        chosen = [f"{line}:{texts.get('other') or texts['answer']}" for line, texts in answers.items()]
        filled["answer"] = [*kept, *chosen]
    return {name: values if name in LISTS or len(values) > 1 else values[0] for name, values in filled.items()}


def query_string(entered: CardFields, **changes: str | list[str] | None) -> str:
    """The query of a card of this job, as short as an address may be written.

    Args:
        entered: the fields.
        changes: fields that are different; None leaves a field out.
    """
    pairs = pairs_of({**entered, **changes})
    return "&".join(f"{quote_plus(name)}={quote_plus(value, safe=_SAFE)}" for name, value in pairs)


_SAFE = "/:,;()!*'?@$~"  # characters that RFC 3986 allows in a query and that separate nothing here


def pairs_of(entered: Mapping[str, str | list[str] | None]) -> Iterator[tuple[str, str]]:
    """The fields as names and values, a pair for each value; in one order, so that a job has one address."""
    for name, value in sorted(entered.items(), key=lambda each: _PLACES.get(each[0], len(_PLACES))):
        values = [value] if isinstance(value, str) else value or []
        yield from ((name, each) for each in values)
