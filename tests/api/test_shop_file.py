"""The shop file: read once, checked at start, and every bad row named with its line."""

from pathlib import Path

import pytest

from api.app import create_api
from api.contract.examples import FOLDER
from api.settings import Settings
from api.v1.shop import file as shop
from api.v1.shop.file import COLUMNS, MAX_ROWS, ShopFileError, load_shop
from domain.shop.goods import Book

DEMO = FOLDER / "shop" / "halfmoon-wharf.csv"


def csv_file(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "shop.csv"
    path.write_text(text, "utf-8")
    return path


def json_file(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "shop.json"
    path.write_text(text, "utf-8")
    return path


def refusal(path: Path) -> list[str]:
    with pytest.raises(ShopFileError) as refused:
        load_shop(path)
    return str(refused.value).splitlines()


def names(book: Book) -> list[str]:
    return [good.name for good in book.goods]


def test_the_demo_shop_is_a_good_file() -> None:
    book = load_shop(DEMO)
    assert names(book)[:2] == ["wharf flour", "salted butter"]
    flour = book.goods[0]
    assert flour.ingredient is not None
    assert flour.ingredient.id == "plain-flour"
    assert [float(pack.price or 0) for pack in flour.packs] == [11.2, 1.29]
    assert (flour.contains, flour.may_contain, flour.parts[0].name) == (("wheat",), ("soybeans",), "wheat flour")
    assert flour.composition is not None
    assert flour.composition.per_100g["protein_g"] == 10.3
    crumbs = book.goods[-1]
    assert (crumbs.ingredient, crumbs.parts[0].percent) == (None, 38)


def test_json_rows_are_those_of_a_request(tmp_path: Path) -> None:
    path = json_file(
        tmp_path,
        '[\n {"name": "wharf flour", "ingredient": "plain flour", "currency": "GBP",\n'
        '  "packs": [{"size": "16 kg", "price": "11.20"}]},\n {"name": "salt", "contains": []}\n]\n',
    )
    assert names(load_shop(path)) == ["wharf flour", "salt"]


def test_no_file_is_an_empty_book() -> None:
    assert load_shop(None).goods == ()


def test_a_file_may_be_empty_of_rows_and_start_with_a_mark(tmp_path: Path) -> None:
    assert load_shop(csv_file(tmp_path, "\ufeffname,packs\n")).goods == ()
    assert load_shop(json_file(tmp_path, " [ ] ")).goods == ()


BAD_CSV = [
    ("name,packs\nflour,1 kg\nbutter,2 miles\n", 3, "packs.0.size"),
    ("name,g_per_ml\nflour,heavy\n", 2, "g_per_ml"),
    ("name,currency,packs\nflour,GBP,1 kg @ cheap\n", 2, "packs.0.price"),
    ("name,packs\nflour,1 kg @ 2\n", 2, "currency"),
    ("name,currency,packs\nflour,XYZ,1 kg @ 2\n", 2, "currency"),
    ("name,contains\nflour,dust\n", 2, "contains.0"),
    ("name,ingredient\nx,moon dust\n", 2, "ingredient"),
    ("name,usable_yield_percent\nx,120\n", 2, "usable_yield_percent"),
    ("name,fat_g,saturates_g\nx,2,9\n", 2, "nutrition.saturates_g"),
    ("name,fat_g,protein_g\nx,70,70\n", 2, "nutrition"),
    ("name,salt_g,sodium_mg\nx,2,2\n", 2, "nutrition.salt_g"),
    ("name,packs\nflour\n", 2, "1 cells under a header of 2"),
    ("name\nflour\n\n# a remark\nflour\n", 5, "name"),
    ('name,label_name\nflour,"two\nlines"\n,nameless\n', 4, "name"),
    ("name,colour\nflour,white\n", 1, "no such column: colour"),
    ("name,name\nflour,flour\n", 1, "twice"),
    ("ingredient\nflour\n", 1, "the column name is missing"),
    ("", 1, "no header"),
    ('name\n"flour\n', 2, "not CSV"),
]


@pytest.mark.parametrize(("text", "line", "reason"), BAD_CSV)
def test_a_bad_row_is_named_with_file_line_and_reason(tmp_path: Path, text: str, line: int, reason: str) -> None:
    first, *_ = refusal(csv_file(tmp_path, text))
    assert first.startswith(f"shop.csv, line {line}: ")
    assert reason in first


BAD_JSON = [
    ('[\n{"name": "a"},\n{"name": "b", "colour": "white"}]', 3, "colour"),
    ('[\n{"name": "a"}\n{"name": "b"}]', 3, "comma"),
    ('[{"name": "a"},\n 7]', 2, "not an object"),
    ('{"name": "a"}', 1, "not a JSON array"),
    ('[{"name": "a"},\n{"name": ]', 2, "not JSON"),
    ('[{"name": "a"}', 1, "comma or ]"),
    ("[" * 100_000, 1, "not JSON"),
    ('[{"name": "a", "g_per_ml": NaN}]', 1, "g_per_ml"),
]


@pytest.mark.parametrize(("text", "line", "reason"), BAD_JSON)
def test_a_bad_json_row_is_named_too(tmp_path: Path, text: str, line: int, reason: str) -> None:
    first, *_ = refusal(json_file(tmp_path, text))
    assert first.startswith(f"shop.json, line {line}: ")
    assert reason in first


def test_all_bad_rows_are_named_at_once(tmp_path: Path) -> None:
    rows = refusal(csv_file(tmp_path, "name,packs\na,x\nb,1 kg\nc,y\n"))
    assert [row.split(":")[0] for row in rows] == ["shop.csv, line 2", "shop.csv, line 4"]


def test_a_file_that_is_not_there_or_not_text_is_named(tmp_path: Path) -> None:
    path = tmp_path / "shop.csv"
    assert refusal(path) == [f"TINWRIGHT_SHOP_FILE: {path}: cannot be read: No such file or directory"]
    path.write_bytes(b"name\n\xff\xfe")
    assert refusal(path) == ["shop.csv, line 2: is not text in UTF-8; save the file in that encoding"]


def test_a_file_has_a_limit(tmp_path: Path) -> None:
    rows = "".join(f"good {i}\n" for i in range(MAX_ROWS + 1))
    assert "rows" in refusal(csv_file(tmp_path, "name\n" + rows))[0]


def test_every_column_is_written_down_where_a_shopkeeper_reads() -> None:
    assert all(column in (shop.__doc__ or "") for column in COLUMNS)


def test_a_bad_file_stops_the_start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(csv_file(tmp_path, "name,packs\nflour,2 miles\n")))
    with pytest.raises(ShopFileError, match=r"shop\.csv, line 2: packs\.0\.size"):
        create_api(Settings())


def test_a_good_file_is_there_from_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(DEMO))
    assert names(create_api(Settings()).state.book)[0] == "wharf flour"
