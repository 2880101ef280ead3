"""Reading a table of conversions, a row an item: its usual form the quick way (`api.wire.quick`)."""

from types import SimpleNamespace
from typing import NamedTuple, Protocol, get_args

from msgspec.structs import astuple

from api.v1.convert.schemas import MAX_ITEMS, ConvertRequest
from api.wire.quick import limited, many, reader, struct
from api.wire.schemas import (
    AmountNumber,
    AmountText,
    Density,
    EggClassName,
    IngredientName,
    MeasuresName,
    PackingName,
    QuantityText,
    UnitName,
)
from domain.measures.units import Measures


class Parts(Protocol):
    """A quantity that was not sent as text."""

    amount: str | float
    unit: str


# quantity, to, ingredient, packing, g_per_ml, egg_class
Row = tuple[str | Parts, str, str | None, str | None, float | None, str | None]


class Table(NamedTuple):
    """Conversions as they were asked for."""

    rows: list[Row]
    measures: Measures | None


_PARTS = struct("Parts", amount=limited(AmountNumber) | limited(AmountText), unit=limited(UnitName))
_ROW = struct(
    "Row",
    quantity=_PARTS | limited(QuantityText),
    to=limited(UnitName),
    ingredient=limited(IngredientName) | None,
    packing=limited(PackingName) | None,
    g_per_ml=limited(Density) | None,
    egg_class=limited(EggClassName) | None,
)
_read = reader(struct("Table", items=many(_ROW, MAX_ITEMS), measures=get_args(MeasuresName.__value__)[0] | None))


def read_table(raw: bytes) -> Table | None:
    """A table in its usual form; None if it is in none, or wrong."""
    found = _read(raw)
    return found and Table(list(map(astuple, found.items)), found.measures)


def table_of(body: ConvertRequest | Table) -> Table:
    """The same from the model."""
    if isinstance(body, Table):
        return body
    rows = list[Row]()
    for item in body.items:
        quantity = item["quantity"]
        rows.append(
            (
                quantity if isinstance(quantity, str) else SimpleNamespace(**quantity),
                item["to"],
                item.get("ingredient"),
                item.get("packing"),
                item.get("g_per_ml"),
                item.get("egg_class"),
            )
        )
    return Table(rows, body.measures)
