"""Sends long answers in slices, so that uvicorn's flow control applies to them, within limits on time and memory."""

import asyncio

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.concurrency import overloaded
from api.serving.refusals import CLOSE, refuse

SLICE_BYTES = 65_536  # uvicorn pauses a writer that has this much unsent
MAX_WAITING_BYTES = 64_000_000  # our own limit, no source: of the long answers of all requests together


class ResponseSlices:
    """ASGI layer that sends the body of an answer in slices of 64 kB.

    Each slice waits until the client has accepted enough of those before. A client that accepts no slice within the
    deadline is disconnected. While too many bytes of long answers wait for their clients, further long answers are
    replaced by a 503.
    """

    def __init__(self, app: ASGIApp, *, seconds: float, max_waiting_bytes: int = MAX_WAITING_BYTES) -> None:
        """Set the limits.

        Args:
            app: the application inside.
            seconds: for a client to accept a slice.
            max_waiting_bytes: of all long answers that are being sent.
        """
        self.app, self.seconds, self.max_waiting_bytes = app, seconds, max_waiting_bytes
        self.waiting_bytes = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run the application and send what it answers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        start: Message | None = None  # held back until the size of the body's first part is known
        is_refused = False

        async def sending(message: Message) -> None:
            nonlocal start, is_refused
            if is_refused:
                return
            if message["type"] == "http.response.start":
                start = message
                return
            body: bytes = message.get("body", b"")
            if start is not None and len(body) > SLICE_BYTES and self._is_full(len(body)):
                is_refused = True
                await refuse(overloaded(CLOSE), scope, receive, send)
                return
            if start is not None:
                await send(start)
                start = None
            if len(body) > SLICE_BYTES:
                await self._send_slices(message, body, send)
            else:
                await send(message)

        await self.app(scope, receive, sending)

    def _is_full(self, more_bytes: int) -> bool:
        return self.waiting_bytes > 0 and self.waiting_bytes + more_bytes > self.max_waiting_bytes

    async def _send_slices(self, message: Message, body: bytes, send: Send) -> None:
        self.waiting_bytes += len(body)
        try:
            for begin in range(0, len(body), SLICE_BYTES):
                end = begin + SLICE_BYTES
                more = end < len(body) or message.get("more_body", False)
                async with asyncio.timeout(self.seconds):
                    await send({"type": "http.response.body", "body": body[begin:end], "more_body": more})
        except TimeoutError:
            raise ClientDisconnect from None
        finally:
            self.waiting_bytes -= len(body)
