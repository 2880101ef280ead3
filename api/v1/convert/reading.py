"""From the requests of `/v1/convert` to the domain: what is converted, and how much of it."""

from collections import defaultdict
from typing import Any, NamedTuple, Protocol, get_args

import msgspec

from api.v1.convert.schemas import MAX_ITEMS, ConversionQuery, ConversionRowsQuery, ConversionsRequest
from api.wire.figures import readable
from api.wire.quick import limited, many, reader, struct
from api.wire.reading import TooManyWordedError, count_worded, read_egg_class, read_thing
from api.wire.schemas import (
    AmountText,
    Density,
    EggClassName,
    IngredientName,
    MeasuresName,
    PackingName,
    QuantityText,
    UnitName,
)
from domain.errors import DomainError, DomainErrors, ErrorCollector, NeededError, UnreadableError
from domain.measures.quantities import amount_ratio, check_amount
from domain.measures.units import Measures, Unit
from domain.reading.quantities import plain_quantity, read_comma, read_number, read_quantity, read_unit
from domain.things.conversion import Rate, Thing, constant_rate
from domain.things.ingredients import check_packing

ROW_PARTS = ("amount", "unit", "ingredient", "to", "packing")
Ratio = tuple[int, int]  # an amount as numerator and denominator, as `amount_ratio` returns it


class Question(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A conversion without its amount, as written; a struct, because a request builds and hashes thousands of them."""

    unit: str | None
    to: str | None
    ingredient: str | None = None
    packing: str | None = None
    g_per_ml: float | None = None
    egg_class: str | None = None
    measures: Measures | None = None


class Conversion(NamedTuple):
    """A question that was understood; `rate` is None for temperatures, which have no constant rate."""

    unit: Unit
    to: Unit
    thing: Thing
    rate: Rate | None


class Row(Protocol):
    """One row of `POST /v1/convert`."""

    quantity: str | None
    amount: str | None
    unit: str | None
    to: str
    ingredient: str | None
    packing: str | None
    g_per_ml: float | None
    egg_class: str | None


class Table(Protocol):
    """The body of `POST /v1/convert`."""

    items: list[Row]
    measures: Measures | None


_ROW = struct(
    "Row",
    quantity=limited(QuantityText) | None,
    amount=limited(AmountText) | None,
    unit=limited(UnitName) | None,
    to=limited(UnitName),
    ingredient=limited(IngredientName) | None,
    packing=limited(PackingName) | None,
    g_per_ml=limited(Density) | None,
    egg_class=limited(EggClassName) | None,
)
_TABLE = struct("Table", items=many(_ROW, MAX_ITEMS), measures=get_args(MeasuresName.__value__)[0] | None)
read_table = reader(_TABLE, "items")


def as_table(body: ConversionsRequest | Table) -> Table:
    """The body as a table, whichever of the two readers read it."""
    if not isinstance(body, ConversionsRequest):
        return body
    table: Table = _TABLE(items=[_ROW(**item) for item in body.items], measures=body.measures)
    return table


def read_conversion(question: Question) -> Conversion:
    """The domain's units and thing for a question.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the question, each under the name of its field.
    """
    errors = ErrorCollector()
    with errors.at("unit"):
        unit = read_unit(_needed(question.unit, "unit"), question.measures)
    with errors.at("to"):
        to = read_unit(_needed(question.to, "to"), question.measures)
    egg_class = thing = None
    with errors.at():
        egg_class = read_egg_class(question.egg_class, "egg_class")
    with errors.at():
        thing = read_thing(question.ingredient, question.packing, question.g_per_ml, egg_class)
    if errors.errors:
        with errors.at("packing"):
            check_packing(question.packing, None if thing is None else thing.ingredient)
    if errors.errors or thing is None:
        raise DomainErrors(errors.errors)
    return Conversion(unit, to, thing, constant_rate(unit, to, thing))


def read_query(query: ConversionQuery) -> tuple[Ratio, Question]:
    """The amount and the question of a GET; the question has been checked too if the amount is wrong."""
    return _read(query.amount, question_of(query))


def question_of(query: ConversionQuery | ConversionRowsQuery, **row: str) -> Question:
    """The question of a GET, or of one row of it: what the row leaves out is taken from the query."""
    fields: dict[str, Any] = {name: row.get(name) or getattr(query, name) for name in Question.__struct_fields__}
    return Question(**fields)


def read_item(written: str, query: ConversionRowsQuery, worded: set[str]) -> tuple[Ratio, Question]:
    """The amount and the question of one `item` of a GET; `worded` takes an amount that is not in figures."""
    parts = [part.strip() for part in written.split("|")]
    if len(parts) > len(ROW_PARTS):
        raise UnreadableError(f"Write a row as {'|'.join(ROW_PARTS)}.")
    row = dict(zip(ROW_PARTS, parts, strict=False))
    return _read(row.pop("amount") or None, question_of(query, **row), worded)


def item_ingredient(written: str, query: ConversionRowsQuery) -> str | None:
    """The ingredient of one `item` as it was sent; None without one."""
    row = dict(zip(ROW_PARTS, (part.strip() for part in written.split("|")), strict=False))
    name = row.get("ingredient") or query.ingredient
    return None if name is None else readable(name)


def _read(amount: str | None, question: Question, worded: set[str] | None = None) -> tuple[Ratio, Question]:
    try:
        if amount is None:
            raise NeededError(f"Give an amount: {'|'.join(ROW_PARTS)}.")
        ratio = read_ratio(amount, worded)
        check_amount(*ratio)
    except DomainError as error:
        error.path = ("amount",)
        raise DomainErrors([error, *_errors_of(question)]) from None
    return ratio, question


def _errors_of(question: Question) -> list[DomainError]:
    try:
        read_conversion(question)
    except DomainError as error:
        return [error]
    except DomainErrors as several:
        return several.errors
    return []


_FIELDS_OF_A_ROW = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


def rows_by_question(
    table: Table, refusals: dict[int, DomainError | DomainErrors]
) -> dict[Question, tuple[list[int], list[Ratio]]]:
    """The indexes and amounts of the rows, grouped by their question: a table has few different ones.

    Args:
        table: the rows.
        refusals: takes the first error of each row whose quantity cannot be read.
    """
    groups = defaultdict[tuple[Any, ...], tuple[list[int], list[Ratio]]](lambda: ([], []))
    measures, worded = table.measures, set[str]()
    for index, row in enumerate(table.items):
        try:
            if row.quantity is None and (written := row.amount) is not None and (unit := row.unit) is not None:
                amount = read_ratio(written, worded)
            else:
                amount, unit = _read_quantity(row, measures, worded)
        except DomainError as error:
            refusals[index] = error
            continue
        # Tuples, because a row's tuple is made and hashed in half the time of a Question.
        indexes, amounts = groups[unit, row.to, row.ingredient, row.packing, row.g_per_ml, row.egg_class]
        indexes.append(index)
        amounts.append(amount)
    return {
        Question(**dict(zip(_FIELDS_OF_A_ROW, fields, strict=True)), measures=measures): rows
        for fields, rows in groups.items()
    }


def _read_quantity(row: Row, measures: Measures | None, worded: set[str] | None = None) -> tuple[Ratio, str]:
    """The amount and the unit of a row; `worded` takes what only the reader of recipes can read."""
    amount, unit, quantity = row.amount, row.unit, row.quantity
    if quantity is None and amount is not None and unit is not None:
        return read_ratio(amount, worded), unit
    if quantity is None or amount is not None or unit is not None:
        raise _one_form_needed(row)
    parsed = plain_quantity(quantity, measures)
    if parsed is None:
        if worded is not None:
            count_worded(worded, quantity)
        parsed = read_quantity(quantity, measures)
    return parsed.amount.as_integer_ratio(), parsed.unit.id


def read_ratio(amount: str, worded: set[str] | None = None) -> Ratio:
    """An amount as two integers, as `read_number` reads it; `worded` takes one that is not in figures."""
    if "," not in amount:  # the usual form, which is faster
        try:
            return amount_ratio(amount)
        except UnreadableError:
            pass
    elif (comma := read_comma(amount)) is not None:
        return comma.as_integer_ratio()
    if worded is not None:
        count_worded(worded, amount)
    return read_number(amount).as_integer_ratio()


def _one_form_needed(row: Row) -> NeededError:
    parts = {"amount": row.amount, "unit": row.unit}
    # The part that is missing beside the other one, or that is too much beside quantity.
    wrong = [name for name, part in parts.items() if (part is None) == (row.quantity is None)]
    field = wrong[0] if len(wrong) == 1 else "quantity"
    return NeededError(
        "Give quantity, or amount and unit.",
        path=(field,),
        candidates=("quantity", "amount and unit"),
        code="one_of_needed",
    )


def _question(row: Row, unit: str | None, measures: Measures | None) -> Question:
    return Question(
        unit=unit,
        to=row.to,
        ingredient=row.ingredient,
        packing=row.packing,
        g_per_ml=row.g_per_ml,
        egg_class=row.egg_class,
        measures=measures,
    )


def row_errors(row: Row, measures: Measures | None, refusal: DomainError | DomainErrors) -> list[DomainError]:
    """Everything that is wrong with a row, found after its first refusal; each error has its place in the row.

    Args:
        row: the row.
        measures: whose kitchen words are meant.
        refusal: the error that the row failed with, which is the whole answer if nothing can be read from it anew.
    """
    if isinstance(refusal, TooManyWordedError):
        refusal.path = ("amount",) if row.quantity is None else ("quantity",)
        return [refusal]
    errors = list[DomainError]()
    unit = row.unit
    try:
        ratio, unit = _read_quantity(row, measures)
        check_amount(*ratio)
    except DomainError as error:
        if error.code != "one_of_needed":
            error.path = ("amount",) if row.quantity is None else ("quantity",)
        errors.append(error)
    of_question = _errors_of(_question(row, unit, measures))
    errors += [error for error in of_question if unit is not None or error.path != ("unit",)]
    if not errors:
        errors = refusal.errors if isinstance(refusal, DomainErrors) else [refusal]
    for placed in errors:
        if row.quantity is not None and placed.code != "one_of_needed" and placed.path in {("amount",), ("unit",)}:
            placed.path = ("quantity",)
    return errors


def _needed(written: str | None, name: str) -> str:
    if written is None:
        raise NeededError(f"Give `{name}`.")
    return written
