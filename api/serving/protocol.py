"""HTTP/1.1 for the open world: uvicorn's protocol with limits of our own on time and size; a refusal is a problem.

Refusals go through the application like any request, so that they are logged, counted and dressed like its answers:
the protocol puts them into the request's ticket (`api.serving.admission`), and makes up a request where none was read.
"""

import asyncio
from math import inf
from typing import Any

import httptools
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol, RequestResponseCycle

from api.serving.admission import TICKET, Ticket, desk_of, process_settings
from api.serving.exchange import OneWrite
from api.serving.framing import check_head, framing_alone, unreadable
from api.serving.limits import headers_too_large, overloaded, too_slow, url_too_long
from api.wire.problems import RequestProblem

LOOK_SECONDS = 0.25  # how often deadlines are looked at
LINGER_SECONDS, LINGER_BYTES = 2.0, 8_000_000  # for a client to read its refusal while it is still sending
SPARE_CONNECTIONS, SPARE_SECONDS = 32, 2.0  # beyond the limit: for those who ask whether the service is well
MOST_PIPELINED = 16
LEAST_READ_BYTES = 10_000  # that a client takes in before its time is over; then it has as long again


class Protocol(HttpToolsProtocol):
    """One connection. What it waits for has a deadline; four times a second all are looked at for who is late."""

    def __init__(self, *args: Any, **options: Any) -> None:  # noqa: ANN401 - uvicorn's own
        """As uvicorn has it."""
        super().__init__(*args, **options)
        self.limits = process_settings()
        self.desk = desk_of(self.app_state)
        self.deadline = self.write_deadline = inf
        self.idle_since, self.unwritten_bytes = 0.0, 0  # the second when the client was last expected to read
        self.begun = False  # a request, of which the headers are not complete
        self.receiving = False  # a body
        self.spare = False  # beyond the limit of connections
        self.ended: RequestProblem | None = None  # nothing more is read
        self.lingering = False  # all is said; what still arrives is thrown away
        self.head_bytes = self.unseen_bytes = self.thrown_bytes = 0
        self.ticket: Ticket
        self.replaying = self.cut = False  # cut: lost while the client had an answer to take in

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request, or turn away who comes when too many are here."""
        beyond = len(self.connections) - self.limits.max_connections
        self.idle_since = self.loop.time()
        if beyond >= SPARE_CONNECTIONS and not self._make_room():
            transport.abort()
            self.transport = transport
            return
        super().connection_made(transport)
        self.spare = beyond >= 0
        self.deadline = self.loop.time() + (SPARE_SECONDS if self.spare else self.limits.header_seconds)
        if not self.desk.watched:
            self.desk.watched = True
            self.loop.call_later(LOOK_SECONDS, self._look_at_all)

    def _make_room(self) -> bool:
        """Close who has asked nothing for longest; connections that only wait must not make the service deaf."""
        idle = [one for one in self.connections if isinstance(one, Protocol) and one.is_idle()]
        if idle:
            min(idle, key=lambda one: one.idle_since).transport.abort()
        return bool(idle)

    def is_idle(self) -> bool:
        """Whether nothing of a request has come, and nothing is being said."""
        return not (self.begun or self.receiving or self.lingering or self.unseen_bytes or self._is_answering())

    def connection_lost(self, exc: Exception | None) -> None:
        """Give back the places of requests that will not be begun; the others do it themselves when they end."""
        self.cut = self in self.connections and self.flow.write_paused
        super().connection_lost(exc)
        for cycle, _ in self.pipeline:
            cycle.scope["state"][TICKET].give_back()
        self.pipeline.clear()

    def eof_received(self) -> bool:  # type: ignore[override]
        """A client that has sent all may close its half; it still gets the answer that is in work."""
        answering = self._is_answering() and not self.receiving
        if answering:
            self.cycle.keep_alive = False
        return answering

    def data_received(self, data: bytes) -> None:
        """Parse, within the limits; after a refusal throw away."""
        if self.ended is not None or self.lingering:
            self.thrown_bytes += len(data)
            if self.thrown_bytes > LINGER_BYTES:
                self.transport.abort()
            return
        self._unset_keepalive_if_required()
        if self.deadline == inf and not self._is_answering():
            self.deadline = self.loop.time() + self.limits.header_seconds
        self.unseen_bytes += len(data)
        try:
            self._feed(data)
        except httptools.HttpParserError as error:
            self._end(unreadable(error, self.parser.get_http_version()))
            return
        # Names, values and extensions that do not end are told of nowhere else.
        if self.unseen_bytes > self.limits.max_header_bytes + self.limits.max_url_bytes:
            self._end(self._head_too_large())

    def _feed(self, data: bytes) -> None:
        try:
            self.parser.feed_data(data)
        except httptools.HttpParserUpgrade as upgrade:
            # Nothing is upgraded here (RFC 9110, 7.8), but the parser leaves the body to others: one that saw only
            # how the body is framed goes on in its place.
            self.parser = httptools.HttpRequestParser(self)
            self.replaying = True
            self.parser.feed_data(framing_alone(self.headers))
            self.replaying = False
            if rest := data[upgrade.args[0] :]:
                self._feed(rest)

    def on_message_begin(self) -> None:
        """A ticket for each request."""
        if self.replaying:
            return
        self.unseen_bytes = self.head_bytes = 0
        if len(self.pipeline) >= MOST_PIPELINED:
            raise overloaded(close=True)
        super().on_message_begin()
        self.begun = True
        self.ticket = Ticket(self.desk)
        self.scope["state"][TICKET] = self.ticket

    def on_url(self, url: bytes) -> None:
        """Count its length."""
        if self.replaying:
            return
        self.unseen_bytes = 0
        super().on_url(url)
        if len(self.url) > self.limits.max_url_bytes:
            raise url_too_long(self.limits.max_url_bytes)

    def on_header(self, name: bytes, value: bytes) -> None:
        """Count its length; fields behind a body (trailers) are counted and dropped."""
        if self.replaying:
            return
        self.unseen_bytes = 0
        self.head_bytes += len(name) + len(value)
        if self.head_bytes > self.limits.max_header_bytes or len(self.headers) >= self.limits.max_headers:
            raise self._head_too_large()
        if not self.receiving:
            super().on_header(name, value)

    def on_headers_complete(self) -> None:
        """Hand over to the application, which may wait for the body."""
        if self.replaying:
            return
        check_head(self.parser.get_http_version(), self.headers)
        super().on_headers_complete()
        self.begun, self.receiving = False, True
        self.deadline = self.loop.time() + self.limits.body_seconds
        OneWrite.under(self.cycle, self)
        if self.spare:
            self.ticket.refusal = overloaded(close=True)
            self.cycle.keep_alive = False

    def on_body(self, body: bytes) -> None:
        """Count what is held of it, with that of all others."""
        self.unseen_bytes = 0
        if not self.cycle.response_complete and not self.ticket.hold(len(body)):
            raise overloaded(close=True)
        super().on_body(body)

    def on_message_complete(self) -> None:
        """Now it is the application's turn alone, and the request takes its place there."""
        self.unseen_bytes = 0
        if self.parser.should_upgrade():
            return  # more of it may follow
        self.receiving = False
        if self.cycle.response_complete:
            self.deadline = self.loop.time() + self.limits.keep_alive_seconds
            return
        self.deadline = inf
        if self.desk.stopping:
            self.cycle.keep_alive = False
        if not self.flow.write_paused:
            self.ticket.take_place()
        super().on_message_complete()

    def on_response_complete(self) -> None:
        """Wait for the next request, unless this was the last."""
        self.idle_since = self.loop.time()
        if self.lingering:
            self.server_state.total_requests += 1
        else:
            super().on_response_complete()

    def pause_writing(self) -> None:
        """The client does not read; it has a while to begin, and its requests keep no places from others meanwhile."""
        super().pause_writing()
        for cycle in (self.cycle, *(cycle for cycle, _ in self.pipeline)):
            cycle.scope["state"][TICKET].give_place_back()
        self._expect_reading(self.loop.time())

    def _expect_reading(self, now: float) -> None:
        self.write_deadline = now + self.limits.write_seconds
        self.unwritten_bytes = self.transport.get_write_buffer_size()

    def resume_writing(self) -> None:
        """It reads."""
        super().resume_writing()
        self.write_deadline = inf

    def close(self) -> None:
        """End after an answer; where more may be on its way, so that the client still reads the answer.

        Closed at once, what is unread here would make the system reset the connection, and the client lose the answer
        (RFC 9112, 9.6).
        """
        unread = (self.receiving or self.ended is not None) and not self.lingering
        if self.transport.is_closing() or not unread or not self.transport.can_write_eof():
            self.transport.close()
            return
        self.lingering = True
        self.deadline = self.loop.time() + LINGER_SECONDS
        self.transport.write_eof()
        self.flow.resume_reading()

    def _end(self, refusal: RequestProblem) -> None:
        """Read nothing more, and answer why; what is in work is answered before."""
        self.ended, self.deadline = refusal, inf
        if self.receiving:
            if self.cycle.response_complete:
                self.close()
                return
            self.ticket.refusal = refusal
            self.cycle.message_event.set()  # wakes who waits for the body
            return
        super().on_message_begin()
        self.scope.update({"method": "", "path": "", "raw_path": b"", "query_string": b""})
        self.ticket = Ticket(self.desk)
        self.ticket.refusal = refusal
        self.scope["state"][TICKET] = self.ticket
        must_wait, self.cycle = self._is_answering(), self._cycle_of_none()
        if must_wait:
            self.pipeline.appendleft((self.cycle, self.app))
        else:
            self._start_asgi_task(self.cycle, self.app)

    def _is_answering(self) -> bool:
        cycle: RequestResponseCycle | None = self.cycle
        return cycle is not None and not cycle.response_complete

    def _cycle_of_none(self) -> RequestResponseCycle:
        """The exchange of a request that was not read."""
        cycle = RequestResponseCycle(
            scope=self.scope,
            transport=self.transport,
            flow=self.flow,
            logger=self.logger,
            access_logger=self.access_logger,
            access_log=False,
            default_headers=self.server_state.default_headers,
            message_event=asyncio.Event(),
            expect_100_continue=False,
            keep_alive=False,
            on_response=self.on_response_complete,
        )
        cycle.more_body = False
        OneWrite.under(cycle, self)
        return cycle

    def _head_too_large(self) -> RequestProblem:
        return headers_too_large(self.limits.max_header_bytes, self.limits.max_headers)

    def _look_at_all(self) -> None:
        now = self.loop.time()
        for connection in list(self.connections):
            if isinstance(connection, Protocol):
                connection.look(now)
        self.desk.watched = bool(self.connections)
        if self.desk.watched:
            self.loop.call_later(LOOK_SECONDS, self._look_at_all)

    def look(self, now: float) -> None:
        """Act if a deadline is over."""
        if now > self.write_deadline:
            if self.unwritten_bytes - self.transport.get_write_buffer_size() < LEAST_READ_BYTES:
                self.transport.abort()
            else:
                self._expect_reading(now)
        elif self.transport.is_closing() and self.write_deadline == inf:
            self._expect_reading(now)  # closing waits for the client to read what is left, and would wait forever
        elif now > self.deadline:
            if self.lingering:
                self.transport.close()
            elif self.receiving:
                self._end(too_slow("body", self.limits.body_seconds))
            elif self.begun:
                self._end(too_slow("headers", self.limits.header_seconds))
            else:
                self.transport.close()
