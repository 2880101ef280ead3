"""Any answer as one table: rows and columns are read from the declared model, so they are the same for every request.

The rule, for every operation:

- One list of the answer makes the rows: the first list of objects that every answer of the model has (apart from
  sources and warnings), and within its members again the first, and so on. A route may name another with
  `response_formats(rows=...)`. Without any list there is one row.
- A column is a figure of the model, named by its path in the JSON answer without positions (`parts.available.count`).
  The list's own name is left out where no column but a count of problems stands outside it, and so is `answer`, which
  stands beside `problem`.
- A row holds all columns of its own object. Of the objects around it, it holds only the names by which they are told
  apart (`OUTER_COLUMNS`); `field` gives the table of one of them.
- A missing value is an empty cell; the header is the same for every answer.
- A list of texts or numbers is one cell, joined by `; `; sources are `source record`, warnings `code: message`.
- Other lists, drawings and `figures` are left out of this table; `field` gives the table of one of the lists.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import groupby
from types import NoneType, UnionType
from typing import Annotated, Any, TypeAliasType, Union, get_args, get_origin

import orjson
from pydantic import BaseModel

from api.wire.field_masks import Mask, is_selected, mask_at
from api.wire.figures import NAMING_KEYS
from api.wire.schemas import SourceRef, Warned
from api.wire.table_writing import Cell, cell_text, check_cells
from domain.errors import NeededError

# What tells apart the objects around a row: names, and the two short figures that name a target without a label. A
# member that could not be answered has no rows inside, so its problem stands in one row only.
OUTER_COLUMNS = frozenset(
    {
        *((key,) for key in NAMING_KEYS),
        *((key,) for key in ("british", "american", "product_name", "tin", "factor")),
        ("problem", "type"),
        ("problem", "detail"),
    }
)
DRAWING, FIGURES, ANSWER = "drawing", "figures", "answer"
SUMMARY = ("problem_count",)  # says nothing of a row
_WHOLE_CELLS = (str, float)
_JOINED: dict[type[BaseModel], Callable[[dict[str, Any]], str]] = {
    SourceRef: lambda source: f"{source['source']} {source['record']}",
    Warned: lambda warning: f"{warning['code']}: {warning['message']}",
}


@dataclass(frozen=True, slots=True)
class Column:
    """A figure of one member: where it lies in the member, and how it becomes a cell."""

    path: tuple[str, ...]
    cell: Callable[[Any], Cell]


Groups = list[tuple[tuple[str, ...], list[tuple[str, Callable[[Any], Cell]]]]]


@dataclass(slots=True)
class Level:
    """One object on the way to the rows: its columns, its lists of objects by dotted name, and the first it has."""

    columns: list[Column] = field(default_factory=list)
    lists: dict[str, tuple[type[BaseModel], ...]] = field(default_factory=dict)
    first: str | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Levels from the outside in, each with the key of the list it is reached by, and the header of all."""

    levels: tuple[tuple[str, Level], ...]
    header: tuple[str, ...]
    kept: tuple[int, ...] = ()
    ending: tuple[Cell, ...] = ()

    def ending_with(self, heading: str, cell: Cell) -> "Table":
        """The same rows with one more column, which has the same cell in every row."""
        return replace(self, header=(*self.header, heading), ending=(*self.ending, cell))

    def only(self, columns: Mapping[str, str]) -> "Table":
        """The same rows with only some columns.

        Args:
            columns: their headings in the full table, in order, each with its new heading.
        """
        kept = tuple(self.header.index(name) for name in columns)
        return replace(self, header=tuple(columns.values()), kept=kept)

    def rows(self, answer: Any) -> Iterator[list[Cell]]:  # noqa: ANN401 - plain JSON
        """The cells of every row."""
        width = max(self.kept) + 1 if self.kept else len(self.header) - len(self.ending)
        groups = [_groups(level.columns) for _, level in self.levels]
        for row in self._rows(answer, 0, [], groups):
            whole = row + [None] * (width - len(row))
            yield [*([whole[place] for place in self.kept] if self.kept else whole), *self.ending]

    def check_size(self, answer: Any) -> None:  # noqa: ANN401 - plain JSON, or parts of it serialised already
        """Refuse an answer whose table would be too large, before it is built.

        Raises:
            OutOfRangeError: there would be more cells than any table may have.
        """
        check_cells(self._count(answer, 0), len(self.header))

    def _rows(
        self,
        member: Any,  # noqa: ANN401 - plain JSON
        depth: int,
        outer: list[Cell],
        groups: list[Groups],
    ) -> Iterator[list[Cell]]:
        row = outer + _cells(member, groups[depth])
        if depth + 1 == len(self.levels):
            yield row
            return
        inner = self._inner(member, depth)
        for item in inner:
            yield from self._rows(item, depth + 1, row, groups)
        if not inner and row:
            yield row

    def _count(self, member: Any, depth: int) -> int:  # noqa: ANN401 - plain JSON
        if depth + 1 == len(self.levels) or not isinstance(member, dict):
            return 1
        inner = self._inner(member, depth)
        if not isinstance(inner, list):
            return 1
        if depth + 2 == len(self.levels):
            return len(inner) or 1
        return sum(self._count(item, depth + 1) for item in inner) or 1

    def _inner(self, member: Any, depth: int) -> Any:  # noqa: ANN401 - a list, unless it is serialised already
        for part in self.levels[depth + 1][0].split("."):
            if not isinstance(member, dict):
                break
            member = member.get(part)
        return member or []


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


def selected_table(
    annotation: Any,  # noqa: ANN401 - what a route declares
    answer: Any,  # noqa: ANN401 - plain JSON
    rows: str | None,
    mask: Mask,
) -> tuple[Table, tuple[bool, ...]]:
    """The table of the selected parts of an answer, and for each of its columns whether it is selected.

    The rows are those of the usual list if it is selected, else of the first selected list.

    Args:
        annotation: the declared model, or a union of them.
        answer: the answer, to tell the models of a union apart.
        rows: the dotted names of the usual lists; None for the first ones.
        mask: the selected fields.
    Raises:
        NeededError: nothing that is selected makes a column.
    """
    models = models_in(annotation)
    fitting = [model for model in models if _fits(model, answer)]
    start = _level(tuple(fitting[:1]) or models)
    way, whole = _selected_way(start, rows, mask)
    table = _chain(start, way, first=whole and rows is None)
    keep: list[bool] = []
    keys: tuple[str, ...] = ()
    for key, around in table.levels:
        keys += tuple(key.split(".")) if key else ()
        keep += [is_selected((*keys, *column.path), mask) for column in around.columns]
    if not any(keep):
        raise NeededError("There is no table of these parts; ask for JSON.", path=("fields",), code="no_table")
    return table, tuple(keep)


def _selected_way(level: Level, rows: str | None, mask: Mask) -> tuple[tuple[str, ...], bool]:
    """The names on the way to the list that makes the rows, and whether that list is selected as a whole."""
    way: list[str] = []
    usual = (rows or "").split(".")
    inner: Mask | None = mask
    while inner is not None:
        listed = [name for name in level.lists if is_selected(tuple(name.split(".")), inner)]
        if not listed:
            break
        name = _preferred(listed, usual[len(way) :] if rows else [], level.first)
        way += name.split(".")
        inner = mask_at(tuple(name.split(".")), inner)
        level = _level(level.lists[name])
    if inner is None and rows and usual[: len(way)] == way:
        way = usual
    return tuple(way), inner is None


def _preferred(listed: list[str], ahead: list[str], first: str | None) -> str:
    """The selected list that is ahead on the usual way; without a usual way, the first list of the level."""
    preferred = [name for name in listed if ahead[: name.count(".") + 1] == name.split(".")]
    if preferred:
        return preferred[0]
    return first if first in listed and not ahead else listed[0]


def part_of(annotation: Any, answer: Any, path: str) -> tuple[Any, str]:  # noqa: ANN401 - what a route declares
    """The declared type at a dotted path of an answer, and the name of the last key on the way.

    Raises:
        NeededError: the path leads into a part that has no model, so there is no table of it.
    """
    fitting = [model for model in models_in(annotation) if _fits(model, answer)]
    declared: Any = fitting[0] if fitting else annotation
    last = ""
    for part in path.split("."):
        item = _item(declared)
        if item is not None:
            declared = item
            continue
        declared, last = _field(models_in(declared), part), part
        if declared is None or part == DRAWING:
            raise NeededError("There is no table of that part; ask for JSON.", path=("field",), code="no_table")
    return declared, last


def table_of_part(annotation: Any, last: str) -> tuple[Table, Callable[[Any], Any]]:  # noqa: ANN401
    """The table of a part of an answer, and how to wrap the part so that the table can read it."""
    item = _item(annotation)
    if item is not None and (models := models_in(item)):
        level = Level(lists={last: models})
        return _chain(level, (last,), first=True), lambda part: {last: part}
    if item is None and (models := models_in(annotation)):
        return _table(models, None), lambda part: part
    return Table((("", Level([Column((last,), _cell)])),), (last,)), lambda part: {last: part}


def models_in(annotation: Any) -> tuple[type[BaseModel], ...]:  # noqa: ANN401 - any annotation
    """Every model of an annotation that is a model or a union of models; none for anything else."""
    kinds = [kind for kind in alternatives(annotation) if kind is not NoneType]
    models = tuple(kind for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel))
    return models if len(models) == len(kinds) else ()


def alternatives(annotation: Any) -> list[Any]:  # noqa: ANN401 - any annotation
    """The members of a union; of any other type, itself without its annotations."""
    if isinstance(annotation, TypeAliasType):
        return alternatives(annotation.__value__)
    origin = get_origin(annotation)
    if origin is Annotated:
        return alternatives(get_args(annotation)[0])
    if origin in {Union, UnionType}:
        return [kind for part in get_args(annotation) for kind in alternatives(part)]
    return [annotation]


def _item(annotation: Any) -> Any:  # noqa: ANN401 - any annotation
    """The type of a list's members; None for what is no list."""
    kinds = [kind for kind in alternatives(annotation) if kind is not NoneType]
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
    levels = [("", level)]
    while way or (first and level.first):
        way = way or (level.first or "",)
        # A list inside an object of the level has a dotted name.
        length = next(n for n in range(1, len(way) + 1) if ".".join(way[:n]) in level.lists)
        key, way = ".".join(way[:length]), way[length:]
        level = _level(level.lists[key])
        levels.append((key, level))
    header: list[str] = []
    prefix = ""
    has_outside = False
    for key, around in levels:
        prefix = f"{prefix}{key}." if has_outside else ""
        shown = around if around is level else _outer(around)
        header += [prefix + _name(column.path) for column in shown.columns]
        has_outside = has_outside or any(column.path != SUMMARY for column in around.columns)
    return Table((*((key, _outer(around)) for key, around in levels[:-1]), levels[-1]), tuple(header))


def _name(path: tuple[str, ...]) -> str:
    return ".".join(path[1:] if path[0] == ANSWER and len(path) > 1 else path)


def _outer(level: Level) -> Level:
    """The level with only the columns that are repeated in the rows inside it."""
    return Level([column for column in level.columns if column.path in OUTER_COLUMNS], level.lists, level.first)


def _level(models: Sequence[type[BaseModel]]) -> Level:
    level = Level()
    for model in models:
        _read(model, (), level, frozenset())
    return level


def _read(model: type[BaseModel], before: tuple[str, ...], level: Level, above: frozenset[type[BaseModel]]) -> None:
    for name, info in model.model_fields.items():
        path = (*before, info.alias or name)
        if path[-1] in {DRAWING, FIGURES} or any(column.path == path for column in level.columns):
            continue
        item = _item(info.annotation)
        if item is None:
            inner = [part for part in models_in(info.annotation) if part not in above]
            for part in inner:
                _read(part, path, level, above | {model})
            if not inner:
                level.columns.append(Column(path, _cell))
        elif not (listed := models_in(item)):
            level.columns.append(Column(path, _joined))
        elif listed[0] in _JOINED:
            level.columns.append(Column(path, _joiner(_JOINED[listed[0]])))
        else:
            level.lists[".".join(path)] = listed
            if not before and level.first is None and info.is_required():
                level.first = path[0]


def _groups(columns: Sequence[Column]) -> Groups:
    """Columns that stand together in one object, which most members of a list lack."""
    return [
        (parents, [(column.path[-1], column.cell) for column in group])
        for parents, group in groupby(columns, key=lambda column: column.path[:-1])
    ]


def _cells(member: Any, groups: Groups) -> list[Cell]:  # noqa: ANN401 - plain JSON
    """The cells of one member; None where the member does not have them."""
    cells = list[Cell]()
    for parents, columns in groups:
        around = member
        for key in parents:
            around = around.get(key)
            if around is None:
                break
        if around is None:
            cells += [None] * len(columns)
            continue
        for key, cell in columns:
            value = around.get(key)
            cells.append(value if value is None or isinstance(value, _WHOLE_CELLS) else cell(value))
    return cells


def _cell(value: Any) -> Cell:  # noqa: ANN401 - plain JSON
    return value if isinstance(value, str | int | float) else orjson.dumps(value).decode()


def _joined(values: list[Any]) -> str:
    return "; ".join([cell_text(_cell(value)) for value in values])


def _joiner(item_text: Callable[[dict[str, Any]], str]) -> Callable[[list[dict[str, Any]]], str]:
    return lambda values: "; ".join([item_text(value) for value in values])
