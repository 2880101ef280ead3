"""Everything that is wrong with a request is reported at once, and each error names a field that the caller sent.

For every operation of the OpenAPI document, a valid request is spoilt at one field after the other, and the errors of
each are noted. Then all those fields are spoilt together: every error noted must be there.
"""

import copy
import json
from collections.abc import Iterator
from functools import cache
from typing import Any
from urllib.parse import parse_qsl, urlencode

import httpx
import pytest

from tests.api.conftest import Call
from tests.api.samples import DOCUMENT, GETS, POSTS

NONSENSE = "zzz nonsense"
MAX_FIELDS = 12  # spoilt of one request; more would only take longer
# Fields that say how to read others, so that a fault in them is not independent of the rest.
SHARED = {"measures", "shape", "unit", "market"}

# The codes of errors that the document lists.
LISTED_CODES = set(DOCUMENT["components"]["schemas"]["ProblemError"]["properties"]["code"]["x-extensible-enum"])

Path = tuple[str | int, ...]
Fault = tuple[Path, str]


def operations() -> Iterator[tuple[str, str, str]]:
    for path, methods in DOCUMENT["paths"].items():
        for method, operation in methods.items():
            if path.startswith("/v1"):
                yield operation["operationId"], method.upper(), path


OPERATIONS = {name: (method, path) for name, method, path in operations()}


def sample(name: str) -> tuple[str, str, dict[str, Any] | None]:
    """A valid request of an operation: method, address and body."""
    method, path = OPERATIONS[name]
    if method == "GET":
        return method, GETS[path], None
    bodies = [example for example in POSTS.values() if example["path"].partition("?")[0] == path]
    example = max(bodies, key=lambda each: len(json.dumps(each["request"])))
    return method, path, copy.deepcopy(example["request"])


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(inner, (*path, key))
    else:
        yield path, value


def spoilt(name: str, faults: list[Fault], **more: str) -> tuple[str, str, dict[str, Any] | None]:
    """The request with nonsense in these fields, and more query parameters."""
    method, url, body = sample(name)
    address, _, query = url.partition("?")
    pairs = parse_qsl(query, keep_blank_values=True)
    for path, kind in faults:
        wrong: Any = NONSENSE if kind == "domain" else {"schema": 1}
        if body is None:
            pairs = [
                (key, NONSENSE if kind == "domain" else "x" * 400) if key == path[0] else (key, value)
                for key, value in pairs
            ]
        else:
            place: Any = body
            for part in path[:-1]:
                place = place[part]
            place[path[-1]] = wrong
    query = urlencode([*pairs, *more.items()])
    return method, f"{address}?{query}" if query else address, body


def send(call: Call, request: tuple[str, str, dict[str, Any] | None]) -> httpx.Response:
    method, url, body = request
    return call(method, url, json=body) if body is not None else call(method, url)


def places_of(answer: httpx.Response) -> set[tuple[str, str]]:
    """Where the errors of a problem are, and their codes."""
    assert answer.status_code == 422, answer.text[:400]
    assert answer.headers["content-type"] == "application/problem+json"
    assert {error["code"] for error in answer.json()["errors"]} <= LISTED_CODES
    return {
        (f"body {error['pointer']}" if "pointer" in error else f"query {error.get('parameter')}", error["code"])
        for error in answer.json()["errors"]
    }


def is_at(place: str, path: Path) -> bool:
    """Whether an error is at a field or inside it, and not somewhere else that refers to it."""
    kind, _, name = place.partition(" ")
    written = "".join(f"/{part}" for part in path)
    return name == path[0] if kind == "query" else name == written or name.startswith(f"{written}/")


def was_sent(place: str, request: tuple[str, str, dict[str, Any] | None]) -> bool:
    """Whether a pointer or parameter names something in the request."""
    _, url, body = request
    kind, _, name = place.partition(" ")
    if kind == "query":
        return name in {key for key, _ in parse_qsl(url.partition("?")[2], keep_blank_values=True)}
    value: Any = body
    for part in (escaped.replace("~1", "/").replace("~0", "~") for escaped in name.split("/")[1:]):
        if isinstance(value, list) and part.isdigit() and int(part) < len(value):
            value = value[int(part)]
        elif isinstance(value, dict) and part in value:
            value = value[part]
        else:
            return False
    return True


def fields_of(name: str) -> list[Path]:
    """The fields of the sample, spread over it."""
    _, url, body = sample(name)
    if body is None:
        pairs = parse_qsl(url.partition("?")[2])
        return list(dict.fromkeys((key,) for key, _ in pairs if key not in SHARED | {"format", "field"}))
    paths = [path for path, value in leaves(body) if isinstance(value, str) and path[-1] not in SHARED]
    return paths[:: max(1, len(paths) // MAX_FIELDS)][:MAX_FIELDS]


@cache
def single_faults(call: Call, name: str, kind: str) -> dict[Path, set[tuple[str, str]]]:
    """What is reported of each field that is spoilt alone, for the fields where something is."""
    by_path = {}
    for path in fields_of(name):
        answer = send(call, spoilt(name, [(path, kind)]))
        if answer.status_code == 422 and any(is_at(place, path) for place, _ in places_of(answer)):
            by_path[path] = {(place, code) for place, code in places_of(answer) if is_at(place, path)}
    return by_path


@pytest.fixture(params=OPERATIONS)
def operation(request: pytest.FixtureRequest) -> str:
    name: str = request.param
    return name


@pytest.mark.parametrize("kind", ["domain", "schema"])
@pytest.mark.parametrize("name", OPERATIONS)
def test_an_error_names_a_field_that_was_sent(call: Call, name: str, kind: str) -> None:
    for path in fields_of(name):
        request = spoilt(name, [(path, kind)])
        answer = send(call, request)
        for place, code in places_of(answer) if answer.status_code == 422 else ():
            # Only a required field is named without having been sent.
            sent = place.rpartition("/")[0] if code == "missing_field" else place
            assert was_sent(sent, request), (path, place, code)


def test_all_faults_that_the_domain_finds_are_reported(call: Call, operation: str) -> None:
    single = single_faults(call, operation, "domain")
    together = places_of(send(call, spoilt(operation, [(path, "domain") for path in single]))) if single else set()
    assert {place for places in single.values() for place, _ in places} <= {place for place, _ in together}


def test_all_faults_that_the_schema_finds_are_reported(call: Call) -> None:
    for name in OPERATIONS:
        single = single_faults(call, name, "schema")
        if single:
            together = places_of(send(call, spoilt(name, [(path, "schema") for path in single])))
            assert {place for places in single.values() for place, _ in places} <= {place for place, _ in together}, (
                name
            )


@pytest.mark.parametrize("name", OPERATIONS)
def test_an_unknown_format_does_not_hide_what_is_wrong_otherwise(call: Call, name: str) -> None:
    faults: list[Fault] = [(path, "domain") for path in list(single_faults(call, name, "domain"))[:1]]
    expected = {place for path, _ in faults for place, _ in single_faults(call, name, "domain")[path]}
    if not faults and OPERATIONS[name][0] == "GET":
        request = spoilt(name, [], surprise="1", format="nonsense")
        expected = {"query surprise"}
    else:
        request = spoilt(name, faults, format="nonsense")
    assert {"query format", *expected} <= {place for place, _ in places_of(send(call, request))}


def test_a_fault_of_the_schema_does_not_hide_one_of_the_domain(call: Call) -> None:
    tried = 0
    for name in OPERATIONS:
        schema, domain = single_faults(call, name, "schema"), single_faults(call, name, "domain")
        if OPERATIONS[name][0] == "GET":
            continue
        body = sample(name)[2] or {}
        for path in domain:
            request = spoilt(name, [(path, "domain")])
            _, url, spoilt_body = request
            answer = send(call, ("POST", url, {**(spoilt_body or {}), "surprise": 1}))
            places = {place for place, _ in places_of(answer)}
            assert "body /surprise" in places, name
            assert {place for place, _ in domain[path]} <= places, (name, path)
            tried += 1
        assert schema or not body
    assert tried > 10
