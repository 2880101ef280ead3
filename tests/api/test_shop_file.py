"""The shop file is checked at start-up, and every bad row is reported with its line."""

import os
from pathlib import Path

import pytest

from api import shop_file
from api.app import create_api
from api.contract.examples import FOLDER
from api.settings import Settings
from api.shop_file import COLUMNS, MAX_BYTES, MAX_ROWS, ShopFileError, load_shop
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


def test_the_demo_shop_file_is_valid() -> None:
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


def test_json_rows_have_the_fields_of_a_request(tmp_path: Path) -> None:
    path = json_file(
        tmp_path,
        '[\n {"name": "wharf flour", "ingredient": "plain flour", "currency": "GBP",\n'
        '  "packs": [{"size": "16 kg", "price": "11.20"}]},\n {"name": "salt", "contains": []}\n]\n',
    )
    assert names(load_shop(path)) == ["wharf flour", "salt"]


def test_without_a_file_the_book_is_empty() -> None:
    assert load_shop(None).goods == ()


def test_a_file_may_have_no_rows_and_a_byte_order_mark(tmp_path: Path) -> None:
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
def test_a_bad_csv_row_is_reported_with_file_line_and_reason(tmp_path: Path, text: str, line: int, reason: str) -> None:
    first, *_ = refusal(csv_file(tmp_path, text))
    assert first.startswith(f"shop.csv, line {line}: ")
    assert reason in first


BAD_JSON = [
    ('[\n{"name": "a"},\n{"name": "b", "colour": "white"}]', 3, "colour"),
    ('[\n{"name": "a"}\n{"name": "b"}]', 3, "comma"),
    ('[{"name": "a"},\n 7]', 2, "not an object"),
    # An allergen that is dropped without a word is not on the label.
    ('[{"name": "a"},\n{"name": "b", "contains": ["milk"], "contains": ["egg"]}]', 2, "contains is given twice"),
    ('[{"name": "a", "packs": [{"size": "1 kg", "price": "1", "price": "2"}]}]', 1, "price is given twice"),
    ('{"name": "a"}', 1, "not a JSON array"),
    ('[{"name": "a"},\n{"name": ]', 2, "not JSON"),
    ('[{"name": "a"}', 1, "comma or ]"),
    ("[" * 100_000, 1, "not JSON"),
    ('[{"name": "a", "g_per_ml": NaN}]', 1, "g_per_ml"),
]


@pytest.mark.parametrize(("text", "line", "reason"), BAD_JSON)
def test_a_bad_json_row_is_reported_with_file_line_and_reason(
    tmp_path: Path, text: str, line: int, reason: str
) -> None:
    first, *_ = refusal(json_file(tmp_path, text))
    assert first.startswith(f"shop.json, line {line}: ")
    assert reason in first


def test_all_bad_rows_are_reported_at_once(tmp_path: Path) -> None:
    rows = refusal(csv_file(tmp_path, "name,packs\na,x\nb,1 kg\nc,y\n"))
    assert [row.split(":")[0] for row in rows] == ["shop.csv, line 2", "shop.csv, line 4"]


def test_a_file_that_is_missing_or_not_utf_8_is_reported(tmp_path: Path) -> None:
    path = tmp_path / "shop.csv"
    assert refusal(path) == [f"TINWRIGHT_SHOP_FILE: {path}: cannot be read: No such file or directory"]
    path.write_bytes(b"name\n\xff\xfe")
    assert refusal(path) == ["shop.csv, line 2: is not text in UTF-8; save the file in that encoding"]


def test_the_number_of_rows_is_limited(tmp_path: Path) -> None:
    rows = "".join(f"good {i}\n" for i in range(MAX_ROWS + 1))
    assert "rows" in refusal(csv_file(tmp_path, "name\n" + rows))[0]


def test_a_file_that_is_too_large_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = csv_file(tmp_path, "name\n" + "x" * MAX_BYTES)
    assert refusal(path) == [f"TINWRIGHT_SHOP_FILE: {path}: is larger than 5,000,000 bytes"]
    with path.open("ab") as file:
        file.truncate(1 << 40)  # sparse: a terabyte that takes no space, and that no memory holds
    assert refusal(path) == [f"TINWRIGHT_SHOP_FILE: {path}: is larger than 5,000,000 bytes"]


def test_devices_pipes_and_folders_are_rejected(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (Path("/dev/zero"), pipe, tmp_path):
        assert refusal(path) == [f"TINWRIGHT_SHOP_FILE: {path}: is not a regular file"]


def test_every_bad_field_of_a_row_is_reported(tmp_path: Path) -> None:
    text = "name,ingredient,packs,contains\na,moon dust,1 mile; 2 miles,dust; milk; fog\n"
    places = [row.split(": ")[1] for row in refusal(csv_file(tmp_path, text))]
    assert places == ["ingredient", "packs.0.size", "packs.1.size", "contains.0", "contains.2"]


def test_every_column_is_documented() -> None:
    assert all(column in (shop_file.__doc__ or "") for column in COLUMNS)


def test_a_bad_file_stops_the_start_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(csv_file(tmp_path, "name,packs\nflour,2 miles\n")))
    with pytest.raises(ShopFileError, match=r"shop\.csv, line 2: packs\.0\.size"):
        create_api(Settings())


def test_a_valid_file_is_loaded_at_start_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(DEMO))
    assert names(create_api(Settings()).state.book)[0] == "wharf flour"


def test_a_row_may_be_a_tin_of_the_shop(tmp_path: Path) -> None:
    book = load_shop(DEMO)
    assert [(tin.name, tin.tin) for tin in book.tins][:2] == [
        ("23 cm square", "square 23 x 5 cm"),
        ("tray", "rectangle 20 x 30 x 5 cm"),
    ]
    rows = '[{"name": "tray", "tin": "rectangle 60 x 40 x 5 cm"}, {"name": "salt"}]'
    book = load_shop(json_file(tmp_path, rows))
    assert ([tin.name for tin in book.tins], names(book)) == (["tray"], ["salt"])


@pytest.mark.parametrize(
    ("rows", "reasons"),
    [
        ("name,tin\nmoon,moon\n", ["shop.csv, line 2: tin: Write a tin as"]),
        ("name,tin\n,square 20 cm\n", ["shop.csv, line 2: name: "]),
        ("name,tin\ntray,square 20 cm\ntray,square 30 cm\n", ["shop.csv, line 3: name: An earlier tin has this name."]),
        ("name,tin,packs\ntray,square 20 cm,1 kg\n", ["shop.csv, line 2: packs: "]),
        (
            "name,tin\n" + "".join(f"tin {i},square 20 cm\n" for i in range(41)),
            ["shop.csv, line 42: row: more than 40"],
        ),
    ],
)
def test_a_bad_tin_is_reported_with_its_line(tmp_path: Path, rows: str, reasons: list[str]) -> None:
    refused = refusal(csv_file(tmp_path, rows))
    assert len(refused) == len(reasons)
    assert all(line.startswith(reason) for line, reason in zip(refused, reasons, strict=True)), refused
