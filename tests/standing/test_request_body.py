"""Bodies are read within limits on size, time and memory, before the application runs."""

import asyncio
import time
from collections.abc import Awaitable, Callable, Iterator
from typing import Any

import httptools
import psutil
import pytest
from starlette.requests import ClientDisconnect
from starlette.types import Message, Receive, Scope, Send

from api.serving.request_body import SMALL_BODY_BYTES, RequestBody
from tests.standing.wire import CONVERT, Served, answer, get, is_closed, post, serving

BODY_SECONDS, LATE_SECONDS = 1.0, 10.0


class Client:
    """A client in process: sends its messages, then waits; counts what the layer takes."""

    def __init__(self, *parts: bytes, then_wait: bool = False) -> None:
        last = len(parts) - 1
        self.messages = [
            {"type": "http.request", "body": part, "more_body": i < last or then_wait} for i, part in enumerate(parts)
        ]
        self.taken, self.sent = 0, list[Message]()

    async def receive(self) -> Message:
        if self.taken == len(self.messages):
            await asyncio.sleep(60)
        self.taken += 1
        return self.messages[self.taken - 1]

    async def send(self, message: Message) -> None:
        self.sent.append(message)

    @property
    def status(self) -> int:
        status: int = self.sent[0]["status"]
        return status


def scope_of(*headers: tuple[bytes, bytes]) -> Scope:
    return {"type": "http", "method": "POST", "path": "/", "query_string": b"", "headers": list(headers)}


CHUNKED = scope_of((b"transfer-encoding", b"chunked"))


def sized(length: int) -> Scope:
    return scope_of((b"content-length", str(length).encode()))


async def echo(_scope: Scope, receive: Receive, send: Send) -> None:
    """Answers with the length of the first message's body."""
    message = await receive()
    assert message["more_body"] is False
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": str(len(message["body"])).encode()})


def layer(app: Callable[..., Awaitable[None]] = echo, **options: Any) -> RequestBody:
    return RequestBody(app, **{"max_bytes": 1_000_000, "seconds": 30.0, **options})


def test_the_application_gets_the_whole_body_as_one_message() -> None:
    client = Client(b"a" * 100, b"", b"b" * 50)
    asyncio.run(layer()(sized(150), client.receive, client.send))
    assert (client.status, client.sent[1]["body"]) == (200, b"150")


def test_a_body_in_one_byte_chunks_is_given_up_at_the_limit_of_chunked_bodies() -> None:
    client = Client(*[b" "] * 990_000)
    asyncio.run(layer()(CHUNKED, client.receive, client.send))
    assert client.status == 413
    assert client.taken == SMALL_BODY_BYTES + 1
    assert b"Content-Length" in client.sent[1]["body"]


@pytest.mark.parametrize("length", [b"x", b"-1", b"1e3", b"9" * 5_000])
def test_a_length_that_is_not_a_number_is_refused(length: bytes) -> None:
    client = Client(b"{}")
    asyncio.run(layer()(scope_of((b"content-length", length)), client.receive, client.send))
    assert client.status == 400


def test_a_body_that_does_not_arrive_is_refused_after_the_deadline() -> None:
    client = Client(b"{", then_wait=True)
    asyncio.run(layer(seconds=0.05)(sized(2), client.receive, client.send))
    assert client.status == 408


def test_a_client_that_disconnects_ends_the_request() -> None:
    client = Client(b"{", then_wait=True)
    client.messages.append({"type": "http.disconnect"})
    bodies = layer()
    with pytest.raises(ClientDisconnect):
        asyncio.run(bodies(sized(2), client.receive, client.send))
    assert (client.sent, bodies.total_bytes) == ([], 0)


async def held_back(bodies: RequestBody, count: int, size: int) -> tuple[list[int], list[int]]:
    """Statuses of a large and a small request while *count* bodies are arriving; and of those in the end."""
    finish = asyncio.Event()

    async def hold() -> int:
        client = Client(b" " * (size - 1), b" ")

        async def receive() -> Message:
            if client.taken == 1:
                await finish.wait()
            return await client.receive()

        await bodies(sized(size), receive, client.send)
        return client.status

    holding = [asyncio.create_task(hold()) for _ in range(count)]
    await asyncio.sleep(0.01)
    during = []
    for length in (size, SMALL_BODY_BYTES):
        client = Client(b" " * length)
        await bodies(sized(length), client.receive, client.send)
        during.append(client.status)
    finish.set()
    return during, await asyncio.gather(*holding)


def test_bodies_held_back_use_a_bounded_memory_and_small_bodies_are_still_read() -> None:
    bodies = layer()
    during, afterwards = asyncio.run(held_back(bodies, count=63, size=1_000_000))
    assert during == [200, 200]
    during, afterwards = asyncio.run(held_back(bodies, count=64, size=1_000_000))
    assert during == [503, 200]
    assert set(afterwards) == {200}
    assert bodies.total_bytes == 0


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(body_seconds=BODY_SECONDS) as running:
        yield running


@pytest.mark.parametrize("expect", [(), ("Expect: 100-continue",)], ids=["plain", "after 100"])
def test_a_slow_body_is_a_408(served: Served, expect: tuple[str, ...]) -> None:
    with served.connect() as connection:
        connection.sendall(post("/v1/convert", CONVERT, *expect)[: -len(CONVERT) + 3])
        if expect:
            assert connection.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
        begun = time.monotonic()
        late = answer(connection)
        assert (late.status, late.headers["connection"]) == (408, "close")
        assert late.problem["type"] == "/problems/request_too_slow"
        assert is_closed(connection)
    assert time.monotonic() - begun < BODY_SECONDS + LATE_SECONDS


def test_a_dripping_body_is_a_408(served: Served) -> None:
    body = CONVERT + b" " * 300
    with served.connect() as connection:
        connection.sendall(post("/v1/convert", body)[: -len(body)])
        connection.settimeout(0.05)
        for i in range(len(body)):
            connection.sendall(body[i : i + 1])
            try:
                connection.recv(1, 2)  # MSG_PEEK
                break
            except TimeoutError:
                continue
        connection.settimeout(LATE_SECONDS)
        assert answer(connection).status == 408


def test_slow_bodies_do_not_delay_other_clients(served: Served) -> None:
    with served.connections(80) as slow:  # more than the slots for requests in progress
        for connection in slow:
            connection.sendall(post("/v1/convert", CONVERT)[:-5])
        assert served.ask(post("/v1/convert", CONVERT)).status == 200
        assert served.ask(get("/v1/units")).status == 200


class Parsed:
    """What an unlimited server would do with each chunk."""

    def __init__(self) -> None:
        self.body = bytearray()

    def on_body(self, body: bytes) -> None:
        self.body += body


def test_one_byte_chunks_cost_the_server_a_fraction_of_parsing_them(served: Served) -> None:
    head = post("/v1/convert", b"").replace(b"Content-Length: 0", b"Transfer-Encoding: chunked")
    chunks = head + b"1\r\n \r\n" * 990_000 + b"0\r\n\r\n"
    parser = httptools.HttpRequestParser(Parsed())
    begin = time.process_time()
    for i in range(0, len(chunks), 65_536):
        parser.feed_data(chunks[i : i + 65_536])
    parsing = time.process_time() - begin
    process = psutil.Process(served.process.pid)
    before = sum(process.cpu_times()[:2])
    with served.connect() as connection:
        try:
            connection.sendall(chunks)
            assert answer(connection).status == 413
        except (ConnectionResetError, BrokenPipeError):
            pass  # refused and closed while we were sending
    served.ask(get("/healthz"))
    cost = sum(process.cpu_times()[:2]) - before
    print(f"\none-byte chunks: the server spent {cost / parsing:.2f} of the time to parse them all")
    assert cost < parsing


@pytest.mark.parametrize("framing", ["sized", "chunked"])
def test_a_body_lost_to_an_upgrade_is_explained(framing: str) -> None:
    upgrade = ("Connection: Upgrade, HTTP2-Settings", "Upgrade: h2c", "HTTP2-Settings: AAEAAEAA")
    request = post("/v1/convert", CONVERT, *upgrade)
    if framing == "chunked":
        sized, head = f"Content-Length: {len(CONVERT)}".encode(), request[: -len(CONVERT)]
        chunk = b"%x\r\n%b\r\n0\r\n\r\n" % (len(CONVERT), CONVERT)
        request = head.replace(sized, b"Transfer-Encoding: chunked") + chunk
    with serving() as served:
        refused = served.ask(request)
        assert refused.status == 400
        assert b"upgrade_not_supported" in refused.body
        assert served.ask(get("/v1/convert?amount=1&unit=kg&to=g", *upgrade)).status == 200
        assert served.ask(post("/v1/convert", CONVERT)).status == 200
