"""Keeps answering for a while after SIGTERM, so that proxies and load balancers stop sending requests here first."""

import asyncio
import select
import signal
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Our own choices, no source.
LAST_SECONDS = 0.2  # for the requests of the connections that were accepted last
MAX_SECONDS = 1.0  # longest wait for a moment at which no connection waits to be accepted


class Drain:
    """Whether this process is draining, and what it listens on."""

    __slots__ = ("is_draining", "listeners")

    def __init__(self) -> None:
        """A process starts ready."""
        self.is_draining = False
        self.listeners: Callable[[], Sequence[asyncio.Server]] = tuple

    def has_waiting_connections(self) -> bool:
        """Whether the kernel has accepted a connection that the process has not."""
        sockets = [each for listener in self.listeners() for each in listener.sockets]
        return bool(sockets) and bool(select.select(sockets, [], [], 0)[0])

    def stop_listening(self) -> None:
        """Refuse further connections; those that are accepted stay."""
        for listener in self.listeners():
            listener.close()


class Draining:
    """ASGI layer that delays SIGTERM.

    On SIGTERM readiness becomes 503 at once, and every answer closes its connection. After the delay the process stops
    listening at a moment when no connection waits, since closing the socket resets those that do. A little later the
    signal goes to the server, which finishes the requests in progress. A second SIGTERM ends the delay; SIGINT does not
    start one.
    """

    def __init__(self, app: ASGIApp, *, drain: Drain, seconds: float) -> None:
        """Set the delay.

        Args:
            app: the application inside.
            drain: the state that readiness reads.
            seconds: the delay.
        """
        self.app, self.drain, self.seconds = app, drain, seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Install the signal handler at startup; while draining, close connections."""
        if scope["type"] == "lifespan":
            receive = self._with_signal_handler(receive)
        elif scope["type"] == "http":
            send = _closing(send, self.drain)
        await self.app(scope, receive, send)

    def _with_signal_handler(self, receive: Receive) -> Receive:
        stop_server: Any = None

        async def receiving() -> Message:
            nonlocal stop_server
            message = await receive()
            if threading.current_thread() is not threading.main_thread():
                return message  # only the main thread gets signals
            if message["type"] == "lifespan.startup" and callable(server := signal.getsignal(signal.SIGTERM)):
                stop_server = server
                self._on_sigterm(lambda: server(signal.SIGTERM, None))
            elif message["type"] == "lifespan.shutdown" and stop_server is not None:
                asyncio.get_running_loop().remove_signal_handler(signal.SIGTERM)
                signal.signal(signal.SIGTERM, stop_server)
            return message

        return receiving

    def _on_sigterm(self, stop_server: Callable[[], object]) -> None:
        loop = asyncio.get_running_loop()

        def end(latest: float, *, was_quiet: bool = False) -> None:
            # Twice: the event loop loses a connection that it has accepted in this turn, and not yet attached.
            is_quiet = not self.drain.has_waiting_connections()
            if not (is_quiet and was_quiet) and loop.time() < latest:
                loop.call_soon(partial(end, latest, was_quiet=is_quiet))
            else:
                self.drain.stop_listening()
                loop.call_later(LAST_SECONDS, stop_server)

        def begin() -> None:
            if self.drain.is_draining or not self.seconds:
                stop_server()
            else:
                loop.call_later(self.seconds, end, loop.time() + self.seconds + MAX_SECONDS)
            self.drain.is_draining = True

        with suppress(NotImplementedError):  # the event loop of Windows has no signal handlers
            loop.add_signal_handler(signal.SIGTERM, begin)


def _closing(send: Send, drain: Drain) -> Send:
    async def sending(message: Message) -> None:
        if drain.is_draining and message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", ()), (b"connection", b"close")]}
        await send(message)

    return sending
