"""Keeps answering for a while after SIGTERM, so that proxies and load balancers stop sending requests here first."""

import asyncio
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send


class Drain:
    """Whether this process is draining."""

    __slots__ = ("is_draining",)

    def __init__(self) -> None:
        """A process starts ready."""
        self.is_draining = False


class Draining:
    """ASGI layer that delays SIGTERM.

    On SIGTERM readiness becomes 503 at once, and every answer closes its connection. After the delay the signal goes to
    the server, which accepts no more connections and finishes the requests in work. A second SIGTERM ends the delay;
    SIGINT does not start one.
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
        elif scope["type"] == "http" and self.drain.is_draining:
            send = _closing(send)
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

        def begin() -> None:
            if self.drain.is_draining or not self.seconds:
                stop_server()
            else:
                loop.call_later(self.seconds, stop_server)
            self.drain.is_draining = True

        with suppress(NotImplementedError):  # the event loop of Windows has no signal handlers
            loop.add_signal_handler(signal.SIGTERM, begin)


def _closing(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", ()), (b"connection", b"close")]}
        await send(message)

    return sending
