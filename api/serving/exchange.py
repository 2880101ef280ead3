"""How an exchange writes: head and body of an answer in one go.

It saves a call to the system for each answer; and a process that is killed between the two would leave a client, or a
proxy that could still ask elsewhere, with half an answer.
"""

from asyncio import Transport
from collections.abc import Callable

from uvicorn.protocols.http.httptools_impl import RequestResponseCycle


class OneWrite:
    """The connection as one exchange sees it: holds the head back until the body comes, and closes gently."""

    __slots__ = ("_close", "_cycle", "_done", "_head", "_transport", "is_closing")

    def __init__(self, cycle: RequestResponseCycle, transport: Transport, close: Callable[[], None]) -> None:
        """*close* ends the connection after an answer."""
        self._cycle, self._transport, self._close = cycle, transport, close
        self._done = cycle.on_response
        self._head: bytes | None = None  # not yet written; empty once it is
        self.is_closing = transport.is_closing

    @classmethod
    def under(cls, cycle: RequestResponseCycle, close: Callable[[], None]) -> None:
        """Put one between an exchange and its connection."""
        one = cls(cycle, cycle.transport, close)
        cycle.transport, cycle.on_response = one, one.complete  # type: ignore[assignment]

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

    def complete(self) -> None:
        """After the answer; one to HEAD has no body that could take its head along."""
        self._flush()
        self._done()

    def close(self) -> None:
        """End the connection; a head whose body never came is not sent, so that the client may safely ask again."""
        if self._cycle.response_complete:
            self._flush()
        self._close()

    def _flush(self) -> None:
        if self._head:
            head, self._head = self._head, b""
            self._transport.write(head)
