"""Long answers go out in slices, wait for their client, and use a bounded memory."""

import asyncio
import socket
from contextlib import ExitStack

import psutil
import pytest
from starlette.requests import ClientDisconnect
from starlette.types import Message, Receive, Scope, Send

from api.serving.response_slices import SLICE_BYTES, ResponseSlices
from tests.standing.wire import get, serving, wait_until

LONG = bytes(range(256)) * 4_000  # about a megabyte
SCOPE: Scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": []}


async def answer_long(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": LONG})


async def nothing_more() -> Message:
    return {"type": "http.disconnect"}


def test_a_long_answer_arrives_whole_in_slices() -> None:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(ResponseSlices(answer_long, seconds=30)(SCOPE, nothing_more, send))
    assert b"".join(message["body"] for message in sent[1:]) == LONG
    assert max(len(message["body"]) for message in sent[1:]) == SLICE_BYTES
    assert [message["more_body"] for message in sent[1:]] == [True] * (len(sent) - 2) + [False]


def test_each_slice_waits_until_the_client_accepts_it() -> None:
    async def first_slices() -> tuple[int, int]:
        accepted, writable = list[Message](), asyncio.Event()

        async def send(message: Message) -> None:
            if len(accepted) == 3:
                await writable.wait()
            accepted.append(message)

        answering = asyncio.create_task(ResponseSlices(answer_long, seconds=30)(SCOPE, nothing_more, send))
        await asyncio.sleep(0.01)
        before = len(accepted)
        writable.set()
        await answering
        return before, len(accepted)

    before, after = asyncio.run(first_slices())
    assert (before, after) == (3, 1 + -(-len(LONG) // SLICE_BYTES))


def test_a_client_that_accepts_nothing_is_disconnected_after_the_deadline() -> None:
    slices = ResponseSlices(answer_long, seconds=0.05)

    async def send(message: Message) -> None:
        if message["type"] == "http.response.body":
            await asyncio.sleep(60)

    with pytest.raises(ClientDisconnect):
        asyncio.run(slices(SCOPE, nothing_more, send))
    assert slices.waiting_bytes == 0


def test_while_too_many_bytes_wait_further_long_answers_are_refused() -> None:
    slices = ResponseSlices(answer_long, seconds=30, max_waiting_bytes=3 * len(LONG))

    async def crowd() -> list[int]:
        writable, statuses = asyncio.Event(), list[int]()

        async def send(message: Message) -> None:
            if message["type"] == "http.response.start":
                statuses.append(message["status"])
            elif message.get("more_body"):
                await writable.wait()

        clients = [asyncio.create_task(slices(SCOPE, nothing_more, send)) for _ in range(5)]
        await asyncio.sleep(0.01)
        writable.set()
        await asyncio.gather(*clients)
        await slices(SCOPE, nothing_more, send)  # afterwards there is room again
        return statuses

    assert asyncio.run(crowd()) == [200, 200, 200, 503, 503, 200]
    assert slices.waiting_bytes == 0


def test_unread_answers_do_not_fill_the_memory() -> None:
    with serving(write_seconds=2) as served, ExitStack() as clients:
        size = int(served.ask(get("/docs/swagger-ui-bundle.js")).headers["content-length"])
        process = psutil.Process(served.process.pid)
        before = process.memory_info().rss
        for _ in range(300):
            deaf = clients.enter_context(socket.socket())
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
            deaf.connect(("127.0.0.1", served.port))
            deaf.sendall(get("/docs/swagger-ui-bundle.js"))
        assert served.ask(get("/healthz")).status == 200
        grown = process.memory_info().rss - before
        print(f"\n300 unread answers of {size / 1e6:.1f} MB: {grown / 1e6:.0f} MB more")
        assert grown < 0.15 * 300 * size
        # After the deadline there is room for long answers again.
        wait_until(lambda: served.ask(get("/docs/swagger-ui-bundle.js")).status == 200)
