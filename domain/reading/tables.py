"""Tables of a spreadsheet or word processor: headings say which columns have the name, the amount and the unit."""

import csv
import re
from collections.abc import Callable
from copy import replace
from dataclasses import dataclass

from domain.reading.phrases import phrase_length
from domain.reading.setting_words import SETTING_WORDS, has_kind
from domain.reading.tokens import Token, fold, phrase_key, tokenise
from domain.reading.unit_words import english_unit
from domain.reading.values import LineReading
from domain.reading.vocabulary import Vocabulary

Readings = tuple[LineReading, ...]
Reader = Callable[[str], Readings]
MAX_COLUMNS = 12  # our own limit: a wider table is no recipe
MAX_HEAD = 200  # characters of a row of headings; our own limit
MIN_COMMA_COLUMNS = 3  # headings that a row with commas must have, because a sentence has commas too; our own limit
_WORDS = re.compile(r"[^\W\d_]++")
_SPACES = re.compile(r" {2,}")
_SIGNS = ("\t", ";", "|", "  ", ",")
_UNITS = frozenset(("g", "kg", "ml", "cl", "l", "oz", "lb"))
_SETTING_KINDS = ("tin", "shape", "named", "oven", "thermostat", "bake")
_AMBIGUOUS = "ambiguous_ingredient"
_SENTENCE_SIGNS = ("  ", ",")  # sentences have them too
_FIGURE = re.compile(r"[0-9¼-¾⅐-⅞]")


@dataclass(frozen=True, slots=True)
class Columns:
    """The places of a table's columns; `amounts` are places with the unit that the heading names, or ""."""

    sign: str
    count: int
    name: int
    amounts: tuple[tuple[int, str], ...]
    unit: int | None
    notes: tuple[int, ...]


def read_columns(line: str, words: Vocabulary) -> Columns | None:
    """The columns that a row of headings names.

    Args:
        line: a line of a text.
        words: of the language.
    Returns:
        The columns; None if the line does not name at least an ingredient's and an amount's.
    """
    if len(line) > MAX_HEAD or line.rstrip().endswith(".") or _FIGURE.search(line):  # a sentence, or an amount
        return None
    if not any(sign in line for sign in _SIGNS):
        return None
    if all(words.value("column", fold(word)) != "name" for word in _WORDS.findall(line)):
        return None
    for sign in _SIGNS:
        cells = _cells(line, sign)
        if not 2 <= len(cells) <= MAX_COLUMNS:
            continue
        roles = [_role(cell, words) for cell in cells]
        places = {kind: tuple(at for at, (role, _) in enumerate(roles) if role == kind) for kind in _KINDS}
        headings = sum(role != "" for role, _ in roles)
        if len(places["name"]) != 1 or not places["amount"] or (sign == "," and headings < MIN_COMMA_COLUMNS):
            continue
        return Columns(
            sign=sign,
            count=len(cells),
            name=places["name"][0],
            amounts=tuple((at, roles[at][1]) for at in places["amount"]),
            unit=next(iter(places["unit"]), None),
            notes=places["note"],
        )
    return None


_KINDS = ("name", "amount", "unit", "note")


def _role(cell: str, words: Vocabulary) -> tuple[str, str]:
    """What a heading says of its column, and the unit that it names: Menge (g); Grams; Notes."""
    keys = [key for key in phrase_key(cell).split() if key not in "()[]:/"]
    if not keys:
        return "", ""
    role = words.value("column", " ".join(keys)) or words.value("column", keys[0]) or ""
    unit = words.value("unit", keys[-1]) or english_unit(keys[-1]) or ""
    if unit in _UNITS and (role == "amount" or len(keys) == 1):
        return "amount", unit
    return role, ""


def _cells(line: str, sign: str) -> list[str]:
    """The cells of a row, without the strokes at its ends."""
    if sign not in line or "\r" in line:
        return []
    if sign == "  ":
        return _SPACES.split(line.strip())
    row = line.strip().strip("|") if sign == "|" else line
    return [cell.strip() for cell in next(csv.reader([row], delimiter=sign), [])]


def read_row(base: LineReading, columns: Columns, words: Vocabulary, read: Reader, *, once: bool) -> Readings:
    """The reading of a row below the headings.

    Args:
        base: the row as a line that is kept.
        columns: of the table.
        words: of the language.
        read: reads a text as a line.
        once: whether the row may be read only once, without its notes.
    Returns:
        The row's reading; that of the plain line where no cell has an amount, or where it is of the tin or the oven.
    """
    cells = _cells(base.text, columns.sign)
    amount, name = _amount(cells, columns), cells[columns.name] if columns.name < len(cells) else ""
    whole = columns.sign not in _SENTENCE_SIGNS or len(cells) == columns.count
    tokens = tokenise(name) if amount and whole else []
    if not tokens or _is_setting(tokens, words):
        return read(base.text)
    if phrase_length(tokens, len(tokens) - 1, "total", words):  # dough total
        return (replace(base, rule="total"),)
    if _is_time(amount):  # prove 60 min
        plain = read(base.text)
        return plain if plain[0].kind == "kept" else (base,)
    notes = ", ".join(cells[at] for at in columns.notes if at < len(cells) and cells[at])
    readings = read(f"{amount} {name}") if once else _read_cells(amount, name, notes, read)
    if not once and (len(readings) != 1 or readings[0].kind == "kept"):
        return read(base.text)
    left = ", ".join(part for part in (readings[0].preparation, notes) if part) if once else readings[0].preparation
    return (replace(readings[0], text=base.text, start=base.start, end=base.end, preparation=left),)


def _read_cells(amount: str, name: str, notes: str, read: Reader) -> Readings:
    """The reading of the cells as one line; the notes may name a size, a packing or a kind, or mean nothing to it."""
    readings = read(f"{amount} {name}")
    if readings[0].kind == "question" and "," in name:  # corn syrup, light
        turned = read(f"{name} {amount}")
        readings = turned if turned[0].kind == "line" else readings
    if not notes or (readings[0].kind != "line" and _AMBIGUOUS not in {each.code for each in readings[0].questions}):
        return readings
    noted = read(f"{amount} {name}, {notes}")
    if len(noted) == 1 and noted[0].kind == "line":
        return noted
    left = ", ".join(part for part in (readings[0].preparation, notes) if part)
    return tuple(replace(each, preparation=left) for each in readings)


def _is_setting(tokens: list[Token], words: Vocabulary) -> bool:
    """Whether a row's name is of the tin, the oven, the yield or the total: Tin; Bake; Ergibt; Summe."""
    if phrase_length(tokens, 0, ("yield", "total"), words):
        return True
    return len(tokens) == 1 and has_kind(tokens, *_SETTING_KINDS)


def _is_time(amount: str) -> bool:
    """Whether an amount is minutes or hours."""
    _, _, unit = amount.rpartition(" ")
    kinds = SETTING_WORDS.get(fold(unit.rstrip(".")), {})
    return amount.count(" ") == 1 and ("minute" in kinds or "hour" in kinds)


def _amount(cells: list[str], columns: Columns) -> str:
    """The amount of a row with its unit; a second one stands in brackets."""
    unit = cells[columns.unit] if columns.unit is not None and columns.unit < len(cells) else ""
    amounts = [
        f"{cells[at]} {of or (unit if place == 0 else '')}".strip()
        for place, (at, of) in enumerate(columns.amounts)
        if at < len(cells) and _FIGURE.search(cells[at])
    ]
    return amounts[0] + "".join(f" ({each})" for each in amounts[1:]) if amounts else ""
