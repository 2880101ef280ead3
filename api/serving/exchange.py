"""How an exchange writes: head and body of an answer in one go, and whether they arrived.

It saves a call to the system for each answer; and a process that is killed between the two would leave a client, or a
proxy that could still ask elsewhere, with half an answer.
"""

from asyncio import CancelledError, Transport
from typing import Protocol

from uvicorn.protocols.http.httptools_impl import RequestResponseCycle

IS_CUT = "is_cut"


class Connection(Protocol):
    """What an exchange asks of its connection."""

    cut: bool  # lost while the client had an answer to take in

    def close(self) -> None:
        """End it after an answer."""


class OneWrite:
    """The connection as one exchange sees it: holds the head back until the body comes, and closes gently."""

    __slots__ = ("_connection", "_cycle", "_done", "_failed", "_head", "_transport", "is_closing")

    def __init__(self, cycle: RequestResponseCycle, transport: Transport, connection: Connection) -> None:
        """*connection* is what the transport belongs to."""
        self._cycle, self._transport, self._connection = cycle, transport, connection
        self._done = cycle.on_response
        self._head: bytes | None = None  # not yet written; empty once it is
        self._failed = False
        self.is_closing = transport.is_closing

    @classmethod
    def under(cls, cycle: RequestResponseCycle, connection: Connection) -> None:
        """Put one between an exchange and its connection; whoever logs the request may ask it whether it was cut."""
        one = cls(cycle, cycle.transport, connection)
        cycle.transport, cycle.on_response = one, one.complete  # type: ignore[assignment]
        cycle.scope["state"][IS_CUT] = one.is_cut

    def write(self, data: bytes) -> None:
        """The head, first of an answer, waits; with what follows it goes out."""
        if self._head is None:
            if self._cycle.response_started:
                self._head = data
                return
            self._transport.write(data)  # 100 Continue
        elif self._head:
            head, self._head = self._head, b""
            self._transport.writelines((head, data))
        else:
            self._transport.write(data)
        self._failed = self._transport.is_closing()

    def complete(self) -> None:
        """After the answer; one to HEAD has no body that could take its head along."""
        self._flush()
        self._done()

    def close(self) -> None:
        """End the connection; a head whose body never came is not sent, so that the client may safely ask again."""
        if self._cycle.response_complete:
            self._flush()
        self._connection.close()

    def _flush(self) -> None:
        if self._head:
            head, self._head = self._head, b""
            self._transport.write(head)
            self._failed = self._transport.is_closing()

    async def is_cut(self) -> bool:
        """Whether the client left, or was cut, before it had its answer; waits for one that still takes it in.

        Asked after the application is done. What the system has taken over counts as arrived, and so does what little
        (below the transport's low-water mark) may be left of an answer when the wait ends: more is not known here.
        """
        if self._failed or self._cycle.disconnected:
            return True
        if not self._cycle.flow.write_paused:
            return False
        try:
            await self._cycle.flow.drain()
        except CancelledError:  # the server stops and waits no longer; the exchange ends with this either way
            return True
        return self._connection.cut
