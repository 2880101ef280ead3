"""The requests that a shop's three programs send in a day, each different, with the exact answer to each.

The answers are computed by the application in process. They do not prove the figures, which tests/published/ does; they
show whether a running service sends the same bytes while it is under load, stopped or killed.
"""

import asyncio
import hashlib
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

import httpx
import orjson
from starlette.types import ASGIApp

from api.app import create_app
from api.contract.examples import load_examples

_EXAMPLES = load_examples()
_THINGS = ("plain flour", "caster sugar", "butter", "ground almonds", "golden syrup", "whole milk", "rolled oats")
_UNITS = ("cup", "tbsp", "tsp", "oz", "g")

Draw = random.Random


@dataclass(frozen=True, slots=True)
class ExpectedExchange:
    """A request as bytes, and the expected answer."""

    kind: str
    wire: bytes
    status: int
    media_type: str
    digest: bytes

    def is_answered_by(self, status: int, media_type: str, body: bytes) -> bool:
        """Whether this is the expected answer, byte for byte."""
        return (status, media_type, digest_of(body)) == (self.status, self.media_type, self.digest)


def digest_of(body: bytes) -> bytes:
    """A digest of an answer, since twenty thousand answers would fill the driver's memory."""
    return hashlib.blake2b(body, digest_size=16).digest()


def requests(count: int, *, seed: int = 1) -> list[ExpectedExchange]:
    """Different requests in the shares of `_KINDS`; the same seed gives the same requests."""
    return asyncio.run(_answered(create_app(), list(_drawn(count, random.Random(seed)))))  # noqa: S311 - not a secret


def _drawn(count: int, draw: Draw) -> Iterator[tuple[str, str, str, bytes]]:
    kinds, weights = list(_KINDS), [share for share, _ in _KINDS.values()]
    seen: set[tuple[str, bytes]] = set()
    for _ in range(20 * count):
        kind = draw.choices(kinds, weights)[0]
        method, path, body = _KINDS[kind][1](draw)
        raw = b"" if body is None else orjson.dumps(body)
        if (path, raw) not in seen:
            seen.add((path, raw))
            yield kind, method, path, raw
        if len(seen) == count:
            return
    raise ValueError(f"there are not {count} different requests in the mix")


async def _answered(app: ASGIApp, drawn: list[tuple[str, str, str, bytes]]) -> list[ExpectedExchange]:
    transport = httpx.ASGITransport(app=app)
    requests_with_answers = []
    async with httpx.AsyncClient(transport=transport, base_url="http://service") as client:
        for kind, method, path, body in drawn:
            headers = {"Content-Type": "application/json"} if body else {}
            answer = await client.request(method, path, content=body, headers=headers)
            assert answer.status_code in {200, 422}, (kind, path, answer.text[:300])
            media_type = answer.headers["content-type"]
            wire = as_wire(method, path, body)
            requests_with_answers.append(
                ExpectedExchange(kind, wire, answer.status_code, media_type, digest_of(answer.content))
            )
    return requests_with_answers


def as_wire(method: str, path: str, body: bytes = b"") -> bytes:
    """A request in HTTP/1.1 that keeps the connection open."""
    typed = f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n" if body else ""
    return f"{method} {path} HTTP/1.1\r\nHost: localhost\r\n{typed}\r\n".encode() + body


def _parkin(draw: Draw) -> tuple[str, str, Any]:
    body = orjson.loads(orjson.dumps(_EXAMPLES["rescale-parkin"]["request"]))
    for component in body["formula"]["components"]:
        for line in component["lines"][:5]:
            if line["quantity"].endswith(" g"):
                line["quantity"] = f"{draw.randint(300, 3_000) / 10:g} g"
    body["targets"][0]["tin"] = f"rectangle {draw.randint(15, 40)} x {draw.randint(20, 60)} x 5 cm"
    body["targets"][1]["tins"] = draw.randint(1, 12)
    return "POST", "/v1/rescale", body


def _torte(draw: Draw) -> tuple[str, str, Any]:
    body = orjson.loads(orjson.dumps(_EXAMPLES["rescale-torte"]["request"]))
    lines = body["formula"]["components"][0]["lines"]
    lines[0]["quantity"] = f"{draw.randint(50, 400) / 100} cup"
    lines[1]["quantity"] = f"{draw.randint(50, 300) / 100} cup"
    body["targets"][0]["tin_shape"]["diameter"] = f"{draw.randint(160, 360)} mm"
    body["targets"][1]["tin_shape"]["count"] = draw.randint(6, 24)
    return "POST", "/v1/rescale", body


def _unknown(draw: Draw) -> tuple[str, str, Any]:
    method, path, body = _torte(draw)
    body["formula"]["components"][0]["lines"][0]["ingredient"] = f"moon dust {draw.randint(1, 9_999)}"
    return method, path, body


def _column(draw: Draw) -> tuple[str, str, Any]:
    items = [
        {
            "quantity": f"{draw.randint(1, 999) / 100:g} {draw.choice(_UNITS)}",
            "to": draw.choice(("g", "us_cup")),
            "ingredient": draw.choice(_THINGS),
        }
        for _ in range(draw.choice((5, 20, 100)))
    ]
    return "POST", "/v1/convert", {"measures": "us", "items": items}


def _cuts(draw: Draw) -> tuple[str, str, Any]:
    tin = f"rectangle {draw.randint(150, 450)} x {draw.randint(150, 600)} x 50 mm"
    query = {"tin": tin, "portions": draw.randint(4, 48), "slab_grams": draw.randint(500, 3_000)}
    return "GET", f"/v1/cuts?{urlencode(query)}", None


def _drawing(draw: Draw) -> tuple[str, str, Any]:
    query = {"tin": f"round {draw.randint(160, 360)} mm", "wedges": draw.randint(2, 16), "format": "svg"}
    return "GET", f"/v1/cuts?{urlencode(query)}", None


def _eggs(draw: Draw) -> tuple[str, str, Any]:
    query = {"whole": draw.randint(1, 5_000) / 10, "egg_class": draw.choice(("us_large", "eu_m"))}
    query["available_egg_classes"] = "eu_l"
    return "GET", f"/v1/eggs?{urlencode(query)}", None


def _measure(draw: Draw) -> tuple[str, str, Any]:
    tin = f"round {draw.randint(100, 400)} x {draw.randint(40, 120)} mm"
    return "GET", f"/v1/tins/measure?{urlencode({'tin': tin, 'filled_depth': '3 cm'})}", None


def _factor(draw: Draw) -> tuple[str, str, Any]:
    have, want = f"square {draw.randint(100, 400)} mm", f"round {draw.randint(100, 400)} mm"
    return "GET", f"/v1/tins/factor?{urlencode({'have': have, 'want': want})}", None


_KINDS: dict[str, tuple[int, Callable[[Draw], tuple[str, str, Any]]]] = {
    "rescale parkin": (30, _parkin),
    "rescale torte": (15, _torte),
    "rescale refused": (5, _unknown),
    "convert a column": (10, _column),
    "cuts": (10, _cuts),
    "cuts, drawn": (5, _drawing),
    "eggs": (10, _eggs),
    "tin measured": (5, _measure),
    "tin factor": (10, _factor),
}
