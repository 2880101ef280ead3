"""Every GET as JSON, CSV, XML, text and a spreadsheet's cell."""

import json
import re
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from tests.api.conftest import Call
from tests.api.samples import DOCUMENT, GETS, SHARED, leaves, table, url_with

CELL_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)E(0|-[1-9][0-9]*)")


def some_leaves(answer: Any) -> list[tuple[str, Any]]:
    """A few values of an answer, of every kind it has."""
    figures = [(path, value) for path, value in leaves(answer) if value is not None]
    return figures[:: max(1, len(figures) // 25)]


@pytest.mark.parametrize("path", GETS)
def test_json_is_the_default_and_the_same_with_its_name(call: Call, path: str) -> None:
    bare = call("GET", GETS[path])
    assert bare.status_code == 200
    assert bare.headers["content-type"] == "application/json"
    named = call("GET", url_with(GETS[path], format="json"), headers={"Accept": "text/csv"})
    assert (named.content, named.headers["content-type"]) == (bare.content, "application/json")


@pytest.mark.parametrize("path", GETS)
def test_csv_is_one_table_with_figures_of_the_json(call: Call, path: str) -> None:
    answer = call("GET", GETS[path]).json()
    got = call("GET", url_with(GETS[path], format="csv"))
    assert got.status_code == 200
    assert got.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert not got.content.startswith(b"\xef\xbb\xbf")
    assert got.content.endswith(b"\r\n")
    assert b"\n" not in got.content.replace(b"\r\n", b"")
    header, rows = table(got.content)
    assert len(set(header)) == len(header)
    assert rows
    assert {len(row) for row in rows} == {len(header)}
    numbers = {float(value) for _, value in leaves(answer) if type(value) in {int, float}}
    texts = [value for _, value in leaves(answer) if isinstance(value, str)]
    shown = [cell for row in rows for cell in row if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", cell) and cell not in texts]
    assert {float(cell) for cell in shown} <= numbers, "a figure that the JSON does not have"


@pytest.mark.parametrize("path", GETS)
def test_xml_is_the_same_table_without_attributes_or_namespaces(call: Call, path: str) -> None:
    got = call("GET", url_with(GETS[path], format="xml"))
    assert got.status_code == 200
    assert got.headers["content-type"] == "application/xml"
    root = ET.fromstring(got.content)  # noqa: S314 - our own answer
    assert root.tag == "answer"
    assert not [element for element in root.iter() if element.attrib or "}" in element.tag or ":" in element.tag]
    header, rows = table(call("GET", url_with(GETS[path], format="csv")).content)
    assert [[cell.tag for cell in row] for row in root] == [header] * len(rows)
    unguarded = [[re.sub(r"^'(?=[=+@-])", "", cell) for cell in row] for row in rows]
    assert [[cell.text or "" for cell in row] for row in root] == unguarded


@pytest.mark.parametrize("path", GETS)
def test_text_and_cell_show_any_single_value_exactly(call: Call, path: str) -> None:
    answer = call("GET", GETS[path]).json()
    for field, value in some_leaves(answer):
        as_text = call("GET", url_with(GETS[path], format="text", field=field))
        as_cell = call("GET", url_with(GETS[path], format="cell", field=field))
        assert as_text.status_code == as_cell.status_code == 200, field
        assert as_text.headers["content-type"] == as_cell.headers["content-type"] == "text/plain; charset=utf-8"
        if isinstance(value, bool):
            assert (as_text.text, as_cell.text) == (json.dumps(value), f"{int(value)}E0")
        elif isinstance(value, str):
            assert as_text.text == as_cell.text == " ".join(value.split())
        else:
            assert Decimal(as_text.text) == Decimal(as_cell.text) == Decimal(repr(value))
            assert float(as_text.text) == float(as_cell.text) == value
            assert CELL_NUMBER.fullmatch(as_cell.text)
            assert re.fullmatch(r"-?[0-9]+(\.[0-9]*[1-9])?", as_text.text)


@pytest.mark.parametrize(
    ("url", "field"),
    [
        ("/v1/convert?amount=1&unit=us_cup&to=ml", "amount"),
        ("/v1/tins/factor?have=square%2020%20cm&want=round%2023%20cm", "factor"),
        ("/v1/tins/measure?tin=round%2023%20x%207%20cm", "volume_ml"),
        ("/v1/tins/measure?tin=round%2023%20cm", "area_cm2"),
        ("/v1/eggs?whole=4&egg_class=us_large", "grams"),
    ],
)
def test_the_figure_that_a_bare_text_shows(call: Call, url: str, field: str) -> None:
    answer = call("GET", url).json()
    assert float(call("GET", url_with(url, format="text")).text) == answer[field]
    assert float(call("GET", url_with(url, format="cell")).text) == answer[field]


def test_members_of_a_list_may_be_named(call: Call) -> None:
    url = "/v1/eggs?whole=6&egg_class=us_large&available_egg_classes=eu_l&available_egg_classes=us_medium"
    named = call("GET", url_with(url, format="text", field="parts.whole.counts.us_medium.beaten_grams"))
    counted = call("GET", url_with(url, format="text", field="parts.0.counts.1.beaten_grams"))
    # USDA-SR28, NDB 01123: 50 g in a large egg without shell, 44 g in a medium one; 300 g is six and 36 g beaten.
    assert named.text == counted.text == "36"
    exact = call("GET", "/v1/units?format=text&field=units.us_cup.factor")
    assert exact.text == "236.5882365"  # exact: 1/16 of 231 cubic inches, NIST Handbook 44, appendix C


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"format": "yaml"}, "unknown_format"),
        ({"format": ""}, "unknown_format"),
        ({"format": "CSV"}, "unknown_format"),
        ({"format": "text", "field": "amuont"}, "unknown_answer_field"),
        ({"format": "text", "field": "cited.9.source"}, "unknown_answer_field"),
        ({"format": "text", "field": "cited.-1.source"}, "unknown_answer_field"),
        ({"format": "text", "field": "amount.real"}, "unknown_answer_field"),
        ({"format": "text", "field": "cited"}, "field_needed"),
        ({"format": "text", "field": ""}, "field_needed"),
        ({"format": "text", "field": "a" * 121}, "field_needed"),
        ({"format": "text", "field": "amount."}, "unknown_answer_field"),
        ({"format": "csv", "field": "cited.0.nothing"}, "unknown_answer_field"),
        ({"field": "amount"}, "field_not_used"),
        ({"format": "json", "field": "amount"}, "field_not_used"),
    ],
)
def test_an_invalid_format_or_field_is_refused_with_candidates(call: Call, more: dict[str, str], code: str) -> None:
    url = "/v1/convert?amount=1&unit=us_cup&to=g&ingredient=plain%20flour"
    refused = call("GET", url_with(url, **more))
    assert refused.status_code == 422
    assert refused.headers["content-type"] == "application/problem+json"
    (error,) = refused.json()["errors"]
    assert error["code"] == code
    assert error.get("candidates") or code == "field_needed"
    for candidate in error.get("candidates", ()) if code == "unknown_answer_field" else ():
        assert call("GET", url_with(url, format="text", field=candidate)).status_code == 200


def test_format_or_field_given_twice_is_refused(call: Call) -> None:
    for more in ("format=csv&format=xml", "format=text&field=unit&field=amount"):
        assert call("GET", f"/v1/convert?amount=1&unit=g&to=kg&{more}").status_code == 422


def test_a_list_shows_no_figure_until_one_is_named(call: Call) -> None:
    refused = call("GET", "/v1/units?format=text")
    assert refused.status_code == 422
    (error,) = refused.json()["errors"]
    assert call("GET", f"/v1/units?format=text&field={error['candidates'][0]}").status_code == 200


# Errors in a spreadsheet cell.

REFUSED = [
    "/v1/convert?amount=1&unit=cup&to=ml",
    "/v1/convert?amount=some&unit=us_cup&to=ml",
    "/v1/convert?unit=us_cup",
    "/v1/convert?amount=1&unit=us_cup&to=g&ingredient=moon%20dust",
    "/v1/convert?amount=1&unit=us_cup&to=ml&nonsense=1",
    "/v1/tins/factor?have=triangle&want=square%2020%20cm",
    "/v1/eggs?whole=4&egg_class=large",
    "/v1/ingredients/moon-dust?field=id",
    "/v1/units?field=units.parsec.factor",
    "/v1/units",
    "/v1/nothing",
]


@pytest.mark.parametrize("url", REFUSED)
def test_a_cell_shows_the_reason_for_an_error(call: Call, url: str) -> None:
    shown = call("GET", url_with(url, format="cell"))
    assert shown.status_code == 200
    assert shown.headers["content-type"] == "text/plain; charset=utf-8"
    assert shown.headers["cache-control"] == "no-store"
    assert re.match(r"# [A-Za-z']", shown.text)
    assert "\n" not in shown.text
    assert 10 < len(shown.text) <= 250
    for format_name in ("csv", "xml", "text"):
        refused = call("GET", url_with(url, format=format_name))
        if url != "/v1/units" or format_name == "text":  # of which a table can be made
            assert refused.status_code in {404, 422}, format_name
            assert refused.headers["content-type"] == "application/problem+json"


def test_a_cell_shows_the_candidates(call: Call) -> None:
    assert "us_large" in call("GET", "/v1/eggs?whole=4&egg_class=large&format=cell").text
    assert "amount" in call("GET", "/v1/convert?amount=1&unit=g&to=kg&format=cell&field=amuont").text


def test_other_methods_and_formats_keep_their_status(call: Call) -> None:
    assert call("POST", "/v1/units?format=cell").status_code == 405
    assert call("POST", "/v1/convert?format=cell", json={"items": []}).status_code == 422


# Caching.


@pytest.mark.parametrize("path", GETS)
def test_every_format_has_a_tag_of_its_own(call: Call, path: str) -> None:
    answer = call("GET", GETS[path]).json()
    single = [
        (isinstance(value, str), name) for name, value in leaves(answer) if isinstance(value, float | str) and value
    ]
    is_text, field = min(single, key=lambda pair: pair[0])  # a number, if there is one
    more = {name: {"format": name} | ({"field": field} if name in {"text", "cell"} else {}) for name in SHARED}
    tags = {}
    for name in SHARED:
        url = url_with(GETS[path], **more[name])
        got = call("GET", url)
        tags[name] = got.headers["etag"]
        assert got.headers["vary"].startswith("Accept")
        again = call("GET", url, headers={"If-None-Match": tags[name]})
        assert (again.status_code, again.content, again.headers["vary"][:6]) == (304, b"", "Accept")
        head = call("HEAD", url)
        assert (head.status_code, head.content) == (200, b"")
        assert head.headers["content-length"] == got.headers["content-length"]
        assert head.headers["content-type"] == got.headers["content-type"]
    assert len(set(tags.values())) == len(SHARED) - is_text  # words look the same as text and in a cell
    stale = call("GET", GETS[path], headers={"If-None-Match": tags["csv"]})
    assert stale.status_code == 200


# The contract.


@pytest.mark.parametrize("path", GETS)
def test_the_contract_names_every_format_and_media_type(path: str) -> None:
    operation = DOCUMENT["paths"][path]["get"]
    (parameter,) = [part for part in operation["parameters"] if part["name"] == "format"]
    assert set(parameter["schema"]["enum"]) >= set(SHARED)
    assert "field" in {part["name"] for part in operation["parameters"]}
    documented = set(operation["responses"]["200"]["content"])
    assert documented >= {"application/json", "text/csv", "application/xml", "text/plain"}
    assert ("svg" in parameter["schema"]["enum"]) == ("image/svg+xml" in documented)
