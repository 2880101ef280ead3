"""A load of real requests over keep-alive connections; every answer is compared and every failure recorded.

This is our own code, since load generators do not compare the bytes of answers, and do not record which requests were
in progress when a process was killed.
"""

import asyncio
import itertools
import statistics
import time
from array import array
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from http import HTTPStatus

import httptools

from tests.standing.mix import ExpectedExchange

_PATIENCE_S = 15.0  # for one answer or one connection, far above what either takes
_PAUSE_S = 0.02  # after a refused connection, so that the driver does not spin


class Outcome(StrEnum):
    """The outcome of a request."""

    RIGHT = "right"
    WRONG = "wrong"  # a complete answer that differs from the expected one
    CUT = "cut"  # the connection ended within the answer
    REFUSED = "refused"  # no connection, or a 503 problem with Retry-After
    LOST = "lost"  # sent, but the connection ended without an answer


@dataclass(frozen=True, slots=True)
class Failure:
    """A request that failed, on the client's port *port*; times are `time.monotonic()`."""

    outcome: Outcome
    kind: str
    port: int
    began: float
    ended: float
    detail: str


@dataclass(slots=True)
class Tally:
    """The outcomes of a load. Of right answers only the times are kept, since there may be a million."""

    began: "array[float]" = field(default_factory=lambda: array("d"))
    ended: "array[float]" = field(default_factory=lambda: array("d"))
    failures: list[Failure] = field(default_factory=list)
    late: "array[float]" = field(default_factory=lambda: array("d"))

    @property
    def counts(self) -> Counter[Outcome]:
        """The number of requests of each outcome."""
        return Counter({Outcome.RIGHT: len(self.began)}) + Counter(failure.outcome for failure in self.failures)

    def in_work_at(self, moment: float) -> int:
        """The number of requests sent before *moment* and finished after it."""
        right = sum(began < moment <= ended for began, ended in zip(self.began, self.ended, strict=True))
        return right + sum(failure.began < moment <= failure.ended for failure in self.failures)

    def right_between(self, start: float, end: float) -> int:
        """The number of right answers completed between two moments."""
        return sum(start <= ended < end for ended in self.ended)

    def milliseconds(self, *quantiles: float) -> list[float]:
        """Quantiles of the time to a right answer; at a fixed rate, from the time when the request was due."""
        if len(self.late) < 2:
            return [float("nan")] * len(quantiles)
        cuts = statistics.quantiles(self.late, n=1_000, method="inclusive")
        return [1_000 * cuts[max(0, round(1_000 * quantile) - 1)] for quantile in quantiles]

    def __str__(self) -> str:
        """One line for the report."""
        counted = ", ".join(f"{self.counts[outcome]} {outcome}" for outcome in Outcome)
        p50, p99, p999 = self.milliseconds(0.5, 0.99, 0.998)
        return f"{counted}; p50 {p50:.1f} ms, p99 {p99:.1f} ms, p99.8 {p999:.1f} ms"


async def load(
    port: int,
    requests: Sequence[ExpectedExchange],
    *,
    seconds: float,
    connections: int = 8,
    per_second: float | None = None,
    most: int | None = None,
    stop: asyncio.Event | None = None,
) -> Tally:
    """Send requests over several connections; each sends its next request when the last is answered.

    Args:
        port: of a service on this machine.
        requests: sent in turn, repeated from the start.
        seconds: for how long requests are sent.
        connections: number of connections.
        per_second: a fixed rate; by default as fast as the connections allow.
        most: number of requests that ends the load.
        stop: ends the load early.
    Returns:
        The outcome of every request.
    """
    tally, numbers = Tally(), itertools.count()
    begin = time.monotonic()

    async def client() -> None:
        connection: _Connection | None = None
        while time.monotonic() < begin + seconds and not (stop and stop.is_set()):
            number = next(numbers)
            if most is not None and number >= most:
                break
            due = begin + number / per_second if per_second else 0.0
            if (wait := due - time.monotonic()) > 0:
                await asyncio.sleep(wait)
            connection = await _send(port, connection, requests[number % len(requests)], due, tally)
        if connection:
            connection.close()

    await asyncio.gather(*(client() for _ in range(connections)))
    return tally


async def _send(
    port: int, connection: "_Connection | None", request: ExpectedExchange, due: float, tally: Tally
) -> "_Connection | None":
    """Send one request and record its outcome; return the connection if it can be reused."""
    began, own_port = time.monotonic(), 0

    def failed(outcome: Outcome, detail: str) -> None:
        tally.failures.append(Failure(outcome, request.kind, own_port, began, time.monotonic(), detail))

    if connection is None or connection.closed:
        try:
            async with asyncio.timeout(_PATIENCE_S):
                loop = asyncio.get_running_loop()
                _, connection = await loop.create_connection(_Connection, "127.0.0.1", port)
        except (OSError, TimeoutError) as error:
            failed(Outcome.REFUSED, f"no connection: {error}")
            await asyncio.sleep(_PAUSE_S)
            return None
        began = time.monotonic()
    own_port = connection.port
    try:
        async with asyncio.timeout(_PATIENCE_S):
            status, media_type, retry_after, body = await connection.ask(request.wire)
    except (ConnectionError, TimeoutError, httptools.HttpParserError) as error:
        failed(Outcome.CUT if connection.got else Outcome.LOST, repr(error))
        connection.close()
        return None
    if request.is_answered_by(status, media_type, body):
        ended = time.monotonic()
        tally.began.append(began)
        tally.ended.append(ended)
        tally.late.append(ended - (due or began))
    elif status == HTTPStatus.SERVICE_UNAVAILABLE and media_type == "application/problem+json" and retry_after:
        failed(Outcome.REFUSED, f"{status} {body[:200]!r}")
    else:
        failed(Outcome.WRONG, f"{status} {media_type} {body[:200]!r}")
    return None if connection.closed else connection


class _Connection(asyncio.Protocol):
    """One keep-alive connection; asyncio's streams would hide bytes that arrived before a reset."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self.transport, self.closed, self.got = transport, False, 0
        self.port: int = transport.get_extra_info("sockname")[1]
        self.answer: asyncio.Future[tuple[int, str, str, bytes]] | None = None

    def ask(self, wire: bytes) -> "asyncio.Future[tuple[int, str, str, bytes]]":
        self.parser, self.body, self.got = httptools.HttpResponseParser(self), bytearray(), 0
        self.headers: dict[str, str] = {}
        self.answer = asyncio.get_running_loop().create_future()
        if self.closed:
            self.answer.set_exception(ConnectionResetError("closed before the request was sent"))
        else:
            self.transport.write(wire)
        return self.answer

    def data_received(self, data: bytes) -> None:
        self.got += len(data)
        if self.answer is None or self.answer.done():
            self.close()  # unexpected bytes must not be taken for the answer to the next request
            return
        try:
            self.parser.feed_data(data)
        except httptools.HttpParserError as error:
            if not self.answer.done():
                self.answer.set_exception(error)

    def on_header(self, name: bytes, value: bytes) -> None:
        self.headers[name.decode().casefold()] = value.decode()

    def on_body(self, body: bytes) -> None:
        self.body += body

    def on_message_complete(self) -> None:
        if self.answer is not None and not self.answer.done():
            if not self.parser.should_keep_alive():
                self.close()
            named = self.headers.get("content-type", ""), self.headers.get("retry-after", "")
            self.answer.set_result((self.parser.get_status_code(), *named, bytes(self.body)))

    def connection_lost(self, exc: Exception | None) -> None:
        self.closed = True
        if self.answer is not None and not self.answer.done():
            self.answer.set_exception(ConnectionResetError(f"{self.got} bytes had come: {exc}"))

    def close(self) -> None:
        self.closed = True
        self.transport.close()
