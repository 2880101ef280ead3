"""Reading a table of conversions: its usual form by msgspec, which reads a thousand rows four times as fast as a model.

What that does not take goes to the model, which knows every form and says what is wrong. What it takes the model takes
too, and it means the same: the limits are the model's own, and a test holds one to the other.
"""

from dataclasses import asdict
from types import SimpleNamespace
from typing import Annotated, Any, NamedTuple, Protocol, get_args

import msgspec

from api.schemas import (
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
from api.v1.convert_schemas import MAX_ITEMS, ConvertRequest
from domain.units import Measures


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


def _limited(annotation: Any) -> Any:  # noqa: ANN401 - a type, with the limits of its field as msgspec writes them
    kind, field = get_args(annotation)[:2]
    limits: dict[str, Any] = {name: limit for one in field.metadata for name, limit in asdict(one).items()}
    return Annotated[kind, msgspec.Meta(**limits)]


def _struct(name: str, **fields: Any) -> Any:  # noqa: ANN401 - types of fields, and a type
    may_be_left_out = [(field, kind, None) for field, kind in fields.items() if type(None) in get_args(kind)]
    needed = [(field, kind) for field, kind in fields.items() if type(None) not in get_args(kind)]
    # Rows hold no row, so the collector need not look at them.
    return msgspec.defstruct(name, [*needed, *may_be_left_out], forbid_unknown_fields=True, frozen=True, gc=False)


_PARTS = _struct("Parts", amount=_limited(AmountNumber) | _limited(AmountText), unit=_limited(UnitName))
_ROW = _struct(
    "Row",
    quantity=_PARTS | _limited(QuantityText),
    to=_limited(UnitName),
    ingredient=_limited(IngredientName) | None,
    packing=_limited(PackingName) | None,
    g_per_ml=_limited(Density) | None,
    egg_class=_limited(EggClassName) | None,
)
_READER = msgspec.json.Decoder(
    _struct(
        "Table",
        items=Annotated[list[_ROW], msgspec.Meta(min_length=1, max_length=MAX_ITEMS)],  # type: ignore[valid-type]
        measures=get_args(MeasuresName.__value__)[0] | None,
    )
)


def read_table(raw: bytes) -> Table | None:
    """A table in its usual form; None if it is in none, or wrong."""
    try:
        found = _READER.decode(raw)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        return None
    rows: list[Any] = list(map(msgspec.structs.astuple, found.items))
    return Table(rows, found.measures)


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
