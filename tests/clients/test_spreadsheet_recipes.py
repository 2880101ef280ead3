"""The addresses of openapi-examples/spreadsheets.md: each is answered, and fits the limits that the text states."""

import csv
import re
from io import StringIO
from urllib.parse import parse_qsl, urlencode, urlsplit

import httpx
import pytest

from api.contract.examples import FOLDER

TEXT = (FOLDER / "spreadsheets.md").read_text("utf-8")
CELLS = re.findall(r"```address cell\n(\S+)\n```", TEXT)
TABLES = re.findall(r"```address table\n(\S+)\n```", TEXT)
IMPORTED = re.findall(r'=IMPORTDATA\("([^"]+)"\)', TEXT)
QUERIES = re.findall(r"```\n(let\n.*?)```", TEXT, re.DOTALL)
EXCEL_ADDRESS, EXCEL_ANSWER = 2_048, 32_767  # characters; Microsoft's documentation of WEBSERVICE


def ask(service: str, path: str, query: list[tuple[str, str]]) -> str:
    sent = [(name, value) for name, value in query if name != "access_token"]
    answer = httpx.get(f"{service}{path}?{urlencode(sent)}")
    assert answer.status_code == 200, answer.text
    assert len(answer.text) <= EXCEL_ANSWER
    return answer.text


def answer_of(service: str, address: str) -> str:
    """What the service answers to an address of the text, which is for another host."""
    assert len(address) <= EXCEL_ADDRESS
    parts = urlsplit(address)
    return ask(service, parts.path, parse_qsl(parts.query, strict_parsing=True))


def table_of(text: str) -> list[dict[str, str]]:
    rows = list(csv.DictReader(StringIO(text)))
    assert rows
    assert not [row for row in rows if row.get("problem")]
    return rows


def test_the_text_has_every_kind_of_recipe() -> None:
    assert (len(CELLS), len(IMPORTED), len(QUERIES)) == (1, 1, 1)
    assert TABLES


def test_a_cell_shows_the_figure(service: str) -> None:
    # USDA-SR28, NDB 20081: one cup of flour is 125 g.
    assert float(answer_of(service, CELLS[0])) == 1.5 * 125


@pytest.mark.parametrize("address", [*TABLES, *IMPORTED], ids=lambda address: urlsplit(address).path)
def test_a_table_has_a_figure_in_each_row(service: str, address: str) -> None:
    rows = table_of(answer_of(service, address))
    column = "grams" if "grams" in rows[0] else "amount"
    assert all(float(row[column]) > 0 for row in rows)


def test_the_power_query_asks_for_the_columns_that_it_types(service: str) -> None:
    text = QUERIES[0]
    path = re.findall(r'RelativePath = "([^"]+)"', text)[0]
    block = re.findall(r"Query = \[(.*?)\n        \]", text, re.DOTALL)[0]
    query = [
        (name, value)
        for name, values in re.findall(r"(\w+) = (\{[^}]*\}|\"[^\"]*\")", block)
        for value in re.findall(r'"([^"]*)"', values)
    ]
    rows = table_of(ask(service, f"/{path}", query))
    typed = re.findall(r'\{"(\w+)", type number\}', text)
    assert typed
    assert all(float(row[name]) > 0 for row in rows for name in typed)
