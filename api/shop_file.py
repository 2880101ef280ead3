"""The shop file, read once at start-up. A bad row stops the start with a message that has file, line and reason.

CSV has a header with the names below, in any order. Lines that start with # are ignored, and an empty cell means that
the value is not known. A cell with several values separates them with semicolons. JSON is an array of objects like
those in `own_ingredients` of a request. The columns are:

    name, ingredient, label_name, g_per_ml, grams_each, currency, usable_yield_percent
    packs        1.5 kg @ 1.29; 16 kg @ 11.20     a size, then @ and its price if it is known
    contains     wheat; milk                      added to what our table knows; the word none adds nothing
    may_contain  almond
    free_from    wheat                            removed from what our table knows, with a warning
    parts        wheat flour 52 %; sugar; salt    heaviest first
    water_g fat_g saturates_g trans_fat_g carbohydrate_g total_carbohydrate_g sugars_g polyols_g fibre_g protein_g
    organic_acids_g alcohol_g sodium_mg salt_g cholesterol_mg potassium_mg calcium_mg iron_mg vitamin_d_ug    in 100 g
    tin          rectangle 20 x 30 x 5 cm         a tin of the shop's: such a row has a name and a tin only
"""

import csv
import io
import json
import re
import stat
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from api.v1.job.schemas import Name
from api.v1.shop.reading import read_good
from api.v1.shop.schemas import NutritionIn, OwnIngredientIn
from api.v1.tins.schemas import TinText
from api.wire.schemas import Schema, adapter
from domain.errors import AmbiguousError, DomainError, DomainErrors, OutOfRangeError
from domain.shop.goods import EMPTY_BOOK, Book, Good, ShopTin, make_book

MAX_BYTES, MAX_ROWS, MAX_TINS, MAX_SHOWN = 5_000_000, 5_000, 40, 20  # our own limits
_TEXTS = ("name", "ingredient", "label_name", "currency", "tin")
_NUMBERS = ("g_per_ml", "grams_each", "usable_yield_percent")
_ALLERGENS = ("contains", "may_contain", "free_from")
_LISTS = ("packs", *_ALLERGENS, "parts")
_NUTRIENTS = tuple(NutritionIn.model_fields)
COLUMNS = (*_TEXTS, *_NUMBERS, *_LISTS, *_NUTRIENTS)
_PART = re.compile(r"(?P<name>.*?)\s+(?P<percent>[0-9]+(?:\.[0-9]+)?)\s*%")


class ShopTinIn(Schema):
    """A row that is a tin."""

    name: Name
    tin: TinText


_load_tin = adapter(ShopTinIn).validate_python


class ShopFileError(ValueError):
    """A shop file that cannot be used. The message gives file, line and reason of every bad row."""

    def __init__(self, path: Path, reasons: list[tuple[int, str]]) -> None:
        """Keep line and reason of every error; line 0 is the file as a whole."""
        places = (
            (f"{path.name}, line {line}" if line else f"TINWRIGHT_SHOP_FILE: {path}", why) for line, why in reasons
        )
        shown = [f"{place}: {why}" for place, why in islice(places, MAX_SHOWN)]
        more = len(reasons) - len(shown)
        super().__init__("\n".join([*shown, *([f"and {more} more"] if more > 0 else [])]))
        self.reasons = reasons


def load_shop(path: Path | None) -> Book:
    """The book of the shop file; an empty book without a file.

    Args:
        path: of the file.
    Returns:
        The book.
    Raises:
        ShopFileError: the file cannot be read or is too large, or a row is bad.
    """
    if path is None:
        return EMPTY_BOOK
    raw = _read_bytes(path)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise ShopFileError(path, [(line, "is not text in UTF-8; save the file in that encoding")]) from error
    return _book(path, _json_rows(path, text) if path.suffix.casefold() == ".json" else _csv_rows(path, text))


def _read_bytes(path: Path) -> bytes:
    """The content of the file; at most one byte over the limit is read, and no device or pipe is opened."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise ShopFileError(path, [(0, "is not a regular file")])
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise ShopFileError(path, [(0, f"cannot be read: {error.strerror}")]) from error
    if len(raw) > MAX_BYTES:
        raise ShopFileError(path, [(0, f"is larger than {MAX_BYTES:,} bytes")])
    return raw


def _book(path: Path, rows: Iterator[tuple[int, dict[str, Any] | str]]) -> Book:
    reasons: list[tuple[int, str]] = []
    lines: list[int] = []
    goods: list[Good] = []
    tins: list[ShopTin] = []
    for line, row in rows:
        if len(lines) == MAX_ROWS:
            raise ShopFileError(path, [(line, f"more than {MAX_ROWS:,} rows")])
        if isinstance(row, dict) and "tin" in row:
            _read_tin(line, row, tins, reasons)
            continue
        lines.append(line)
        if isinstance(row, str):
            reasons.append((line, row))
            continue
        try:
            goods.append(read_good(OwnIngredientIn.model_validate_json(json.dumps(row))))
        except ValidationError as error:
            reasons += [
                (line, f"{_place(detail['loc'])}: {detail['msg']}") for detail in error.errors(include_url=False)
            ]
        except DomainErrors as errors:
            reasons += [(line, f"{_place(error.path)}: {error.detail}") for error in errors.errors]
    if reasons:
        raise ShopFileError(path, reasons)
    try:
        return replace(make_book(goods), tins=tuple(tins))
    except DomainErrors as errors:
        raise ShopFileError(
            path, [(lines[int(error.path[0])], f"name: {error.detail}") for error in errors.errors]
        ) from errors


def _read_tin(line: int, row: dict[str, Any], tins: list[ShopTin], reasons: list[tuple[int, str]]) -> None:
    """The tin of a row; what is wrong with it is added to the reasons."""
    try:
        named = _load_tin(row)
        if len(tins) == MAX_TINS:
            raise OutOfRangeError(f"more than {MAX_TINS} tins", value=len(tins) + 1, limit=MAX_TINS)
        if any(named.name == tin.name for tin in tins):
            raise AmbiguousError("An earlier tin has this name.", path=("name",), code="good_twice")
        tins.append(ShopTin(name=named.name, tin=named.tin))
    except ValidationError as error:
        reasons += [(line, f"{_place(detail['loc'])}: {detail['msg']}") for detail in error.errors(include_url=False)]
    except DomainError as error:
        reasons.append((line, f"{_place(error.path)}: {error.detail}"))


def _place(path: tuple[int | str, ...]) -> str:
    return ".".join(str(part) for part in path if not str(part).startswith("<")) or "row"


def _csv_rows(path: Path, text: str) -> Iterator[tuple[int, dict[str, Any] | str]]:
    header: list[str] = []
    for line, cells in _csv_lines(path, text):
        if not header:
            header = cells
            if reason := _bad_header(header):
                raise ShopFileError(path, [(line, reason)])
        elif len(cells) != len(header):
            yield line, f"{len(cells)} cells under a header of {len(header)}"
        else:
            yield line, _row({name: cell for name, cell in zip(header, cells, strict=True) if cell})
    if not header:
        raise ShopFileError(path, [(1, "no header: the first row names the columns")])


def _csv_lines(path: Path, text: str) -> Iterator[tuple[int, list[str]]]:
    """Each row with its first line; empty rows and rows that start with # are left out."""
    reader = csv.reader(io.StringIO(text), strict=True)
    end = 0
    try:
        for cells in reader:
            start, end = end + 1, reader.line_num
            if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#"):
                yield start, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise ShopFileError(path, [(reader.line_num, f"not CSV: {error}")]) from error


def _bad_header(header: list[str]) -> str:
    columns = f"columns are {', '.join(COLUMNS)}"
    if unknown := [name for name in header if name not in COLUMNS]:
        return f"no such column: {', '.join(name or 'one without a name' for name in unknown)}; {columns}"
    if len(set(header)) != len(header):
        return "a column occurs twice"
    return "" if "name" in header else f"the column name is missing; {columns}"


def _row(cells: dict[str, str]) -> dict[str, Any] | str:
    row: dict[str, Any] = {name: cells[name] for name in _TEXTS if name in cells}
    nutrition: dict[str, float] = {}
    for name in (*_NUMBERS, *_NUTRIENTS):
        if name in cells:
            try:
                number = float(cells[name])
            except ValueError:
                return f"{name}: not a number; decimals are written with a point"
            (nutrition if name in _NUTRIENTS else row)[name] = number
    lists = {
        name: [item.strip() for item in cells[name].split(";") if item.strip()] for name in _LISTS if name in cells
    }
    for name in _ALLERGENS:
        if name in lists:
            row[name] = [] if [item.casefold() for item in lists[name]] == ["none"] else lists[name]
    if "packs" in lists:
        row["packs"] = [_pack(item) for item in lists["packs"]]
    if "parts" in lists:
        row["parts"] = [_part(item) for item in lists["parts"]]
    return row | ({"nutrition": nutrition} if nutrition else {})


def _pack(text: str) -> dict[str, str]:
    size, at, price = text.partition("@")
    return {"size": size.strip(), "price": price.strip()} if at else {"size": size.strip()}


def _part(text: str) -> dict[str, Any]:
    match = _PART.fullmatch(text)
    return {"name": match["name"], "percent": float(match["percent"])} if match else {"name": text}


def _json_rows(path: Path, text: str) -> Iterator[tuple[int, dict[str, Any] | str]]:
    """The elements of the array, decoded one by one, so that each has its line."""
    repeated: list[str] = []

    def once(fields: list[tuple[str, Any]]) -> dict[str, Any]:
        row: dict[str, Any] = {}
        for name, value in fields:
            if name in row:
                repeated.append(name)
            row[name] = value
        return row

    decoder = json.JSONDecoder(object_pairs_hook=once)
    place = _skip(text, 0)
    if not text.startswith("[", place):
        raise ShopFileError(path, [(1, "not a JSON array of rows")])
    place = _skip(text, place + 1)
    while not text.startswith("]", place):
        line = text.count("\n", 0, place) + 1
        try:
            row, place = decoder.raw_decode(text, place)
        except (json.JSONDecodeError, RecursionError) as error:
            raise ShopFileError(path, [(getattr(error, "lineno", line), "not JSON")]) from error
        if repeated:
            yield line, f"{repeated[0]} is given twice in one object"
            repeated.clear()
        else:
            yield line, row if isinstance(row, dict) else "not an object"
        place = _skip(text, place)
        if text.startswith(",", place):
            place = _skip(text, place + 1)
        elif not text.startswith("]", place):
            raise ShopFileError(path, [(text.count("\n", 0, place) + 1, "not JSON: a comma or ] is missing")])


def _skip(text: str, place: int) -> int:
    while place < len(text) and text[place] in " \t\r\n":
        place += 1
    return place
