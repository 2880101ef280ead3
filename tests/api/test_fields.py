"""The parameter `fields`, which selects parts of any answer, in JSON and in tables."""

import csv
import io
from typing import Any

import httpx
import pytest

from tests.api.conftest import Call
from tests.api.samples import DOCUMENT, GETS, POSTS, url_with

JSON_OPERATIONS = [
    (method, path) for path, methods in DOCUMENT["paths"].items() for method in methods if path.startswith("/v1")
]


def sample(call: Call, method: str, path: str, **more: str) -> httpx.Response:
    if method == "get":
        return call("GET", url_with(GETS[path], **more))
    body = next(example["request"] for example in POSTS.values() if example["path"] == path)
    return call("POST", url_with(path, **more), json=body)


def first_list(answer: dict[str, Any]) -> str | None:
    return next(
        (name for name, value in answer.items() if isinstance(value, list) and value and isinstance(value[0], dict)),
        None,
    )


@pytest.mark.parametrize(("method", "path"), JSON_OPERATIONS)
def test_each_field_of_every_answer_can_be_selected(call: Call, method: str, path: str) -> None:
    whole = sample(call, method, path).json()
    for name in whole:
        assert sample(call, method, path, fields=name).json() == {name: whole[name]}
    both = ",".join(list(whole)[:2])
    assert sample(call, method, path, fields=both).json() == {name: whole[name] for name in list(whole)[:2]}
    if (listed := first_list(whole)) is not None:
        inner = next(iter(whole[listed][0]))
        selected = sample(call, method, path, fields=f"{listed}({inner})").json()
        assert selected == {listed: [{inner: item[inner]} if inner in item else {} for item in whole[listed]]}


@pytest.mark.parametrize(("method", "path"), JSON_OPERATIONS)
def test_an_unknown_field_is_refused_with_candidates(call: Call, method: str, path: str) -> None:
    answer = sample(call, method, path, fields="nonsense,more_nonsense")
    assert answer.status_code == 422
    errors = answer.json()["errors"]
    assert [(error["parameter"], error["code"]) for error in errors] == [("fields", "unknown_answer_field")] * 2
    for candidate in errors[0]["candidates"][:3]:
        assert sample(call, method, path, fields=candidate).status_code == 200


def rows(answer: httpx.Response) -> list[dict[str, str]]:
    assert answer.status_code == 200, answer.text
    return list(csv.DictReader(io.StringIO(answer.text)))


def test_a_table_leaves_columns_out(call: Call) -> None:
    url = "/v1/ingredients"
    some = rows(call("GET", url_with(url, format="csv", fields="ingredients(id)")))
    assert some == [{"id": each["id"]} for each in call("GET", url).json()["ingredients"]]
    assert len(some) > 50
    xml = call("GET", url_with(url, format="xml", fields="ingredients(id)")).text
    assert xml.count("<id>") == len(some)
    assert "<british>" not in xml


def test_the_rows_of_a_table_follow_the_selection(call: Call) -> None:
    url = "/v1/eggs?whole=2&egg_class=eu_m"
    answer = call("GET", url).json()
    listed = first_list(answer)
    assert listed is not None
    name = next(name for name, value in answer[listed][0].items() if isinstance(value, str))
    cells = rows(call("GET", url_with(url, format="csv", fields=f"{listed}({name})")))
    assert [value for row in cells for value in row.values()] == [item[name] for item in answer[listed]]


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"fields": "amount("}, "unreadable_mask"),
        ({"fields": "amount", "format": "cell"}, "field_not_used"),
        ({"fields": "amount", "format": "csv", "field": "sources"}, "field_not_used"),
        ({"fields": "amount(x)"}, "unreadable_mask"),
    ],
)
def test_a_selection_that_cannot_be_made_is_refused(call: Call, more: dict[str, str], code: str) -> None:
    answer = call("GET", url_with("/v1/convert?amount=1&unit=us_cup&to=g&ingredient=butter", **more))
    if more.get("format") == "cell":
        assert answer.text.startswith("# fields")
        return
    (error,) = answer.json()["errors"]
    assert (error["parameter"], error["code"]) == ("fields", code)


def test_the_parameter_is_documented_once(call: Call) -> None:
    shared = call("GET", "/openapi.json").json()["components"]["parameters"]
    assert [part["name"] for part in shared.values()].count("fields") == 1
