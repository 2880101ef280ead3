"""Direct dispatch and the framework's routing give the same answers to valid and invalid requests."""

import asyncio
from typing import Any

import httpx
import pytest

from api.app import ROUTERS, create_api
from api.contract import docs
from api.contract.examples import load_examples
from api.settings import Settings
from api.wire.direct_dispatch import DirectDispatch

API = create_api(Settings())
SHORT = DirectDispatch(API, (route for router in ROUTERS for route in router.routes))
EXAMPLES = load_examples()
REFUSED: list[tuple[str, str, dict[str, Any]]] = [
    ("POST", "/v1/convert", {"content": b"{", "headers": {"Content-Type": "application/json"}}),
    ("POST", "/v1/convert", {"content": b"{}", "headers": {"Content-Type": "text/plain"}}),
    ("POST", "/v1/rescale", {"json": {"formula": 3}}),
    ("GET", "/v1/convert?amount=1&unit=cup&to=g&format=cell", {}),
    ("GET", "/v1/units?nonsense=1", {}),
    ("DELETE", "/v1/convert", {}),
]


def both_ways(method: str, url: str, **more: Any) -> list[tuple[int, bytes, str]]:
    async def ask(app: Any) -> tuple[int, bytes, str]:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
            answer = await client.request(method, url, **more)
            return answer.status_code, answer.content, str(sorted(answer.headers.items()))

    return [asyncio.run(ask(app)) for app in (SHORT, API)]


def test_most_operations_are_dispatched_directly() -> None:
    assert len(SHORT.handlers) > 20


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_is_answered_alike(name: str) -> None:
    example = EXAMPLES[name]
    more = {"json": example["request"]} if "request" in example else {}
    short, long = both_ways(example["method"], example["path"], **more)
    assert short == long


@pytest.mark.parametrize(("method", "url", "more"), REFUSED)
def test_a_refusal_is_the_same(method: str, url: str, more: dict[str, Any]) -> None:
    short, long = both_ways(method, url, **more)
    assert short == long


def test_without_the_committed_contract_one_is_made(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    committed = both_ways("GET", "/openapi.json")[0]
    monkeypatch.setattr(docs, "COMMITTED", tmp_path / "none.json")
    alone = create_api(Settings())

    async def ask() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=alone), base_url="http://tinwright") as client:
            return await client.get("/openapi.json")

    assert asyncio.run(ask()).json() == httpx.Response(200, content=committed[1]).json()
