"""Sources cited are sources listed, in every answer that lists its sources."""

from collections.abc import Iterator
from typing import Any

import pytest

from api.contract.examples import load_examples
from tests.api.conftest import Call

EXAMPLES = {name: example for name, example in load_examples().items() if example.get("status") == 200}


def objects(part: Any) -> Iterator[dict[str, Any]]:
    if isinstance(part, dict):
        yield part
    for inner in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from objects(inner)


def cited_and_listed(answer: Any) -> tuple[set[str], set[str]]:
    """Ids of the sources that any part of an answer cites, and of those that it lists in full."""
    cited = {part["source"] for part in objects(answer) if {"source", "record"} <= part.keys()}
    return cited, {part["id"] for part in objects(answer) if {"id", "citation"} <= part.keys()}


LISTING = {name: cited_and_listed(example["response"]) for name, example in EXAMPLES.items() if "response" in example}
LISTING = {
    name: listing
    for name, listing in LISTING.items()
    if listing[1] and not EXAMPLES[name]["path"].startswith("/v1/sources")
}


def test_some_examples_list_their_sources() -> None:
    assert LISTING


@pytest.mark.parametrize("name", LISTING)
def test_every_cited_source_is_listed_and_every_listed_one_is_cited(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    answer = call(example["method"], example["path"], json=example.get("request")).json()
    cited, listed = cited_and_listed(answer)
    assert cited == listed
