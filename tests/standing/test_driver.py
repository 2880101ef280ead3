"""The load driver distinguishes every outcome of a request; shown with servers that send each of them."""

import asyncio
from collections.abc import Awaitable, Callable
from functools import partial

import httpx
import pytest

from tests.clients.server import free_port
from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import ExpectedExchange, as_wire, digest_of, requests

ASKED = ExpectedExchange("fixed", as_wire("GET", "/"), 200, "text/plain", digest_of(b"12 eggs"))
CHUNKS = b"7\r\n12 eggs\r\n0\r\n\r\n"
RIGHT = b"HTTP/1.1 200 OK\r\nConnection: close\r\nContent-Type: text/plain\r\nContent-Length: 7\r\n\r\n12 eggs"
PROBLEM = RIGHT.replace(b"200 OK", b"503 Busy").replace(b"text/plain", b"application/problem+json")
LIES = {
    "right": (RIGHT, Outcome.RIGHT),
    "right, in chunks": (
        RIGHT.replace(b"Content-Length: 7", b"Transfer-Encoding: chunked").replace(
            b"12 eggs", b"7\r\n12 eggs\r\n0\r\n\r\n"
        ),
        Outcome.RIGHT,
    ),
    "wrong bytes": (RIGHT.replace(b"12", b"13"), Outcome.WRONG),
    "wrong status": (RIGHT.replace(b"200 OK", b"201 Created"), Outcome.WRONG),
    "wrong media type": (RIGHT.replace(b"plain", b"html"), Outcome.WRONG),
    "503 of a proxy": (RIGHT.replace(b"200 OK", b"503 Busy"), Outcome.WRONG),
    "503 without Retry-After": (PROBLEM, Outcome.WRONG),
    "503 as a problem": (PROBLEM.replace(b"\r\n\r\n", b"\r\nRetry-After: 1\r\n\r\n"), Outcome.REFUSED),
    "cut in the body": (RIGHT[:-1], Outcome.CUT),
    "cut in the head": (RIGHT[:30], Outcome.CUT),
    "not HTTP": (b"twelve eggs\r\n\r\n", Outcome.CUT),
    "nothing": (b"", Outcome.LOST),
}
Handler = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]


async def answer(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, *, lie: bytes, hold_s: float = 0) -> None:
    """Read one request, send these bytes, close."""
    await reader.readuntil(b"\r\n\r\n")
    await asyncio.sleep(hold_s)
    writer.write(lie)
    await writer.drain()
    writer.close()


async def ask_once(handler: Handler) -> Tally:
    server = await asyncio.start_server(handler, "127.0.0.1", 0)
    async with server:
        stop = asyncio.Event()
        asyncio.get_running_loop().call_later(0.1, stop.set)
        return await load(server.sockets[0].getsockname()[1], [ASKED], seconds=1, connections=1, stop=stop)


@pytest.mark.parametrize(("lie", "outcome"), LIES.values(), ids=LIES)
def test_each_outcome_is_distinguished(lie: bytes, outcome: Outcome) -> None:
    counts = asyncio.run(ask_once(partial(answer, lie=lie))).counts
    assert set(counts) == {outcome}


def test_the_requests_in_work_at_a_moment_are_counted() -> None:
    tally = asyncio.run(ask_once(partial(answer, lie=RIGHT, hold_s=0.2)))
    (began,), (ended,) = tally.began, tally.ended
    assert [tally.in_work_at(moment) for moment in (began, (began + ended) / 2, ended, ended + 0.001)] == [0, 1, 1, 0]
    tally = asyncio.run(ask_once(partial(answer, lie=b"", hold_s=0.2)))
    (lost,) = tally.failures
    assert tally.in_work_at((lost.began + lost.ended) / 2) == 1


def test_without_a_server_requests_are_refused_and_the_driver_does_not_spin() -> None:
    tally = asyncio.run(load(free_port(), [ASKED], seconds=0.3, connections=2))
    assert set(tally.counts) == {Outcome.REFUSED}
    assert len(tally.failures) <= 2 * 0.3 / 0.02 + 2


def test_a_number_of_requests_can_end_a_load() -> None:
    tally = asyncio.run(load(free_port(), [ASKED], seconds=30, connections=2, most=5))
    assert len(tally.failures) == 5


def test_the_mix_has_the_requests_of_the_shop_and_their_answers() -> None:
    mix = requests(80)
    assert len({request.wire for request in mix}) == len(mix)
    assert [request.wire for request in requests(80)] == [request.wire for request in mix]
    assert {request.status for request in mix} == {200, 422}
    assert {request.media_type.partition(";")[0] for request in mix} == {
        "application/json",
        "application/problem+json",
        "image/svg+xml",
    }
    refused = {request.kind for request in mix if request.status != 200}
    assert refused == {"rescale refused"}
    head, _, body = next(request.wire for request in mix if request.kind == "rescale parkin").partition(b"\r\n\r\n")
    request = httpx.Request("POST", "http://service/v1/rescale", content=body)
    assert f"Content-Length: {request.headers['content-length']}".encode() in head
