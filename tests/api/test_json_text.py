"""A body that is no JSON is refused with the place of its fault."""

import pytest

from tests.api.conftest import Call
from tests.api.test_errors import JSON, refused


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b'{\n  "items": [\n    {"quantity": "1 lb", "to": "g"},\n  ]\n}', "line 4"),
        (b"{'items': []}", "line 1 column 2"),
        (b"quantity=1+lb", "line 1 column 1"),
        (
            '{"items": [{"quantity": "1 lb", "ingredient": "Muskatnuß"}]}'.encode("latin-1"),
            "UTF-8 (RFC 8259): see its byte 56",
        ),
        (b'{"items": [' + b"[1]," * 20_000 + b"}", "byte"),
        (b'{"items": [' + b'{"quantity": null},' * 2_000 + b"]}", "trailing comma at line 1"),
    ],
    ids=["nothing", "blank", "trailing comma", "quotes", "a form", "Latin-1", "many lists", "many nulls"],
)
def test_a_text_that_is_no_json_is_refused_with_the_place(call: Call, raw: bytes, words: str) -> None:
    body = refused(call("POST", "/v1/convert", content=raw, headers=JSON), 400)
    assert body["type"] == "/problems/malformed_json"
    assert words in body["detail"]
