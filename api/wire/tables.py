"""Any answer as one table: rows and columns read from the declared model, the same for every request.

The rule, for every operation:

- One list of the answer makes the rows: the first list of objects that every answer of the model has (sources and
  warnings apart), and within its members again the first, and so on. A route may name another with
  `response_formats(rows=...)`. Without any: one row.
- A column is a figure of the model, named by its path in the JSON answer without positions (`parts.available.count`).
  Figures from further out are repeated in each row. The list's own name is left out where nothing stands outside it.
- What is not known is an empty cell; the header never changes.
- A list of texts or numbers is one cell, joined by `; `; sources are `source record`, warnings `code: message`.
- Other lists are left out of this table; `field` asks for the table of one of them.
"""

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from types import NoneType, UnionType
from typing import Annotated, Any, TypeAliasType, Union, get_args, get_origin
from xml.sax.saxutils import escape

import orjson
from pydantic import BaseModel

from api.wire.figures import plain, readable
from api.wire.schemas import SourceRef, Warned
from domain.errors import NeededError

Cell = str | float | bool | None
# What a sheet may take for a formula, in full width too.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_JOINED: dict[type[BaseModel], Callable[[dict[str, Any]], str]] = {
    SourceRef: lambda one: f"{one['source']} {one['record']}",
    Warned: lambda one: f"{one['code']}: {one['message']}",
}


@dataclass(frozen=True, slots=True)
class Column:
    """A figure of one member: where it lies in the member, and how it becomes a cell."""

    path: tuple[str, ...]
    cell: Callable[[Any], Cell]

    def of(self, member: Any) -> Cell:  # noqa: ANN401 - plain JSON
        """The cell of one member; None where the member does not have it."""
        for key in self.path:
            if member is None:
                return None
            member = member.get(key)
        return None if member is None else self.cell(member)


@dataclass(slots=True)
class Level:
    """One object on the way to the rows: its columns, its lists of objects by name, and the first it always has."""

    columns: list[Column] = field(default_factory=list)
    lists: dict[str, tuple[type[BaseModel], ...]] = field(default_factory=dict)
    first: str | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Levels from the outside in, each with the key of the list it is reached by, and the header of all."""

    levels: tuple[tuple[str, Level], ...]
    header: tuple[str, ...]

    def rows(self, answer: Any) -> Iterator[list[Cell]]:  # noqa: ANN401 - plain JSON
        """The cells of every row."""
        width = len(self.header)
        for row in self._rows(answer, 0, []):
            yield row + [None] * (width - len(row))

    def _rows(self, member: Any, depth: int, before: list[Cell]) -> Iterator[list[Cell]]:  # noqa: ANN401
        row = before + [column.of(member) for column in self.levels[depth][1].columns]
        if depth + 1 == len(self.levels):
            yield row
            return
        inner = member.get(self.levels[depth + 1][0]) or ()
        for one in inner:
            yield from self._rows(one, depth + 1, row)
        if not inner and row:
            yield row


def table_of(annotation: Any, answer: Any, rows: str | None = None) -> Table:  # noqa: ANN401 - what a route declares
    """The table of an answer.

    Args:
        annotation: the declared model, or a union of them, of which the answer's own is taken.
        answer: the answer, to tell the models of a union apart.
        rows: the dotted names of the lists that lead to the rows; None takes the first ones.
    """
    models = models_in(annotation)
    fitting = [model for model in models if _fits(model, answer)]
    way = None if rows is None else tuple(rows.split(".")) if rows else ()
    return _table(tuple(fitting[:1]) or models, way)


def part_of(annotation: Any, answer: Any, path: str) -> tuple[Any, str]:  # noqa: ANN401 - what a route declares
    """The declared type at a dotted path of an answer, and the name of the last key on the way.

    Raises:
        NeededError: the path leads into a part that has no model, so there is no table of it.
    """
    fitting = [model for model in models_in(annotation) if _fits(model, answer)]
    here: Any = fitting[0] if fitting else annotation
    last = ""
    for part in path.split("."):
        item = _item(here)
        if item is not None:
            here = item
            continue
        here, last = _field(models_in(here), part), part
        if here is None:
            raise NeededError("There is no table of that part; ask for JSON.", path=("field",), code="no-table")
    return here, last


def table_of_part(annotation: Any, last: str) -> tuple[Table, Callable[[Any], Any]]:  # noqa: ANN401
    """The table of a part of an answer, and how to wrap the part so that the table can read it."""
    item = _item(annotation)
    if item is not None and (models := models_in(item)):
        level = Level(lists={last: models})
        return _chain(level, (last,), first=True), lambda part: {last: part}
    if item is None and (models := models_in(annotation)):
        return _table(models, None), lambda part: part
    return Table((("", Level([Column((last,), _cell)])),), (last,)), lambda part: {last: part}


def as_csv(table: Table, answer: Any) -> bytes:  # noqa: ANN401 - plain JSON
    """RFC 4180: CRLF, a header, numbers with a point; text that a sheet would run as a formula is disarmed."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.header)
    for row in table.rows(answer):
        writer.writerow([_guarded(cell) if isinstance(cell, str) else text(cell) for cell in row])
    return out.getvalue().encode()


def as_xml(table: Table, answer: Any) -> bytes:  # noqa: ANN401 - plain JSON
    """`answer` holds a `row` for each row, a row an element for each column: no namespace, no attribute."""
    out = ["<?xml version='1.0' encoding='utf-8'?>\n<answer>"]
    for row in table.rows(answer):
        cells = [f"<{name}>{escape(text(cell))}</{name}>" for name, cell in zip(table.header, row, strict=True)]
        out.append(f"<row>{''.join(cells)}</row>")
    out.append("</answer>")
    return "".join(out).encode()


def text(cell: Cell) -> str:
    """A cell as text; nothing for what is not known."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(cell).lower()
    return readable(cell) if isinstance(cell, str) else plain(cell)


def _guarded(cell: str) -> str:
    return f"'{readable(cell)}" if cell.startswith(_FORMULA_STARTS) else readable(cell)


def models_in(annotation: Any) -> tuple[type[BaseModel], ...]:  # noqa: ANN401 - any annotation
    """Every model of an annotation that is a model or a union of models; none for anything else."""
    kinds = [kind for kind in _alternatives(annotation) if kind is not NoneType]
    models = tuple(kind for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel))
    return models if len(models) == len(kinds) else ()


def _alternatives(annotation: Any) -> list[Any]:  # noqa: ANN401 - any annotation
    if isinstance(annotation, TypeAliasType):
        return _alternatives(annotation.__value__)
    origin = get_origin(annotation)
    if origin is Annotated:
        return _alternatives(get_args(annotation)[0])
    if origin in {Union, UnionType}:
        return [kind for part in get_args(annotation) for kind in _alternatives(part)]
    return [annotation]


def _item(annotation: Any) -> Any:  # noqa: ANN401 - any annotation
    """The type of a list's members; None for what is no list."""
    kinds = [kind for kind in _alternatives(annotation) if kind is not NoneType]
    listed = len(kinds) == 1 and get_origin(kinds[0]) in {list, tuple, Sequence}
    return get_args(kinds[0])[0] if listed else None


def _fits(model: type[BaseModel], answer: Any) -> bool:  # noqa: ANN401 - plain JSON
    needed = {info.alias or name for name, info in model.model_fields.items() if info.is_required()}
    return isinstance(answer, dict) and needed <= answer.keys()


def _field(models: Sequence[type[BaseModel]], part: str) -> Any:  # noqa: ANN401 - any annotation
    for model in models:
        for name, info in model.model_fields.items():
            if (info.alias or name) == part:
                return info.annotation
    return None


@lru_cache(maxsize=256)
def _table(models: tuple[type[BaseModel], ...], way: tuple[str, ...] | None) -> Table:
    return _chain(_level(models), way or (), first=way is None)


def _chain(level: Level, way: tuple[str, ...], *, first: bool) -> Table:
    """Follow the named lists, then, if *first*, the first list of each level."""
    levels, header, prefix = [("", level)], [".".join(c.path) for c in level.columns], ""
    while way or (first and level.first):
        way = way or (level.first or "",)
        key, way = way[0], way[1:]
        level = _level(level.lists[key])
        prefix = f"{prefix}{key}." if header else ""
        levels.append((key, level))
        header += [prefix + ".".join(column.path) for column in level.columns]
    return Table(tuple(levels), tuple(header))


def _level(models: Sequence[type[BaseModel]]) -> Level:
    level = Level()
    for model in models:
        _read(model, (), level, frozenset())
    return level


def _read(model: type[BaseModel], before: tuple[str, ...], level: Level, seen: frozenset[type[BaseModel]]) -> None:
    for name, info in model.model_fields.items():
        path = (*before, info.alias or name)
        if any(column.path == path for column in level.columns):
            continue
        item = _item(info.annotation)
        if item is None:
            inner = [one for one in models_in(info.annotation) if one not in seen]
            for one in inner:
                _read(one, path, level, seen | {model})
            if not inner:
                level.columns.append(Column(path, _cell))
        elif not (listed := models_in(item)):
            level.columns.append(Column(path, _joined))
        elif listed[0] in _JOINED:
            level.columns.append(Column(path, _joiner(_JOINED[listed[0]])))
        elif not before:
            level.lists[path[0]] = listed
            if level.first is None and info.is_required():
                level.first = path[0]


def _cell(value: Any) -> Cell:  # noqa: ANN401 - plain JSON
    return value if isinstance(value, str | int | float) else orjson.dumps(value).decode()


def _joined(values: list[Any]) -> str:
    return "; ".join(text(_cell(value)) for value in values)


def _joiner(one_text: Callable[[dict[str, Any]], str]) -> Callable[[list[dict[str, Any]]], str]:
    return lambda values: "; ".join(one_text(value) for value in values)
