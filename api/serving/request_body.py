"""Reads the body of a request before the application runs, within limits on size, time and memory."""

import asyncio
from contextlib import suppress
from http import HTTPStatus

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.concurrency import overloaded
from api.serving.refusals import CLOSE, refuse
from api.wire.problems import RequestProblem

# Our own limits, no source.
SMALL_BODY_BYTES = 65_536  # a body up to this size is read even while the memory for bodies is in use
MIN_TOTAL_BYTES, MIN_TOTAL_BODIES = 64_000_000, 4  # memory for the bodies of all requests together
MAX_LENGTH_DIGITS = 18  # Python refuses to convert thousands of digits
DISCARD_SECONDS, DISCARD_BYTES = 2.0, 8_000_000  # of a refused body


class RequestBody:
    """ASGI layer that passes a request on once its body has arrived, as one message.

    A body with `Content-Length` may have `max_bytes`. A chunked body may have `SMALL_BODY_BYTES` only: each chunk
    costs a call in the HTTP parser, so a long body in one-byte chunks would cost a second of processor time. A proxy
    that buffers requests replaces the chunks by a `Content-Length`.
    """

    def __init__(self, app: ASGIApp, *, max_bytes: int, seconds: float) -> None:
        """Set the limits.

        Args:
            app: the application inside.
            max_bytes: of one body.
            seconds: for a body to arrive.
        """
        self.app, self.max_bytes, self.seconds = app, max_bytes, seconds
        self.max_total_bytes = max(MIN_TOTAL_BYTES, MIN_TOTAL_BODIES * max_bytes)
        self.total_bytes = 0  # of the bodies that are arriving or being answered

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Read the body, then run the application; or refuse with 400, 408, 413 or 503."""
        if scope["type"] != "http" or not (declared := _declared(scope)):
            await self.app(scope, receive, send)
            return
        body = bytearray()
        try:
            is_sized = b"content-length" in declared
            max_bytes = self.max_bytes if is_sized else min(self.max_bytes, SMALL_BODY_BYTES)
            try:
                if is_sized:
                    _check_length(declared[b"content-length"], max_bytes)
                async with asyncio.timeout(self.seconds):
                    await self._read(receive, body, max_bytes, is_sized=is_sized)
                if not body and declared.get(b"content-length") != b"0":
                    _check_upgrade(scope)
            except RequestProblem as refusal:
                if is_sized:
                    send = _discarding(receive, send)
                await refuse(refusal, scope, receive, send)
                return
            except TimeoutError:
                await refuse(_too_slow(self.seconds), scope, receive, send)
                return
            except asyncio.CancelledError:  # the server stops and waits no longer
                await refuse(_stopping(), scope, receive, send)
                return
            await self.app(scope, _replayed(bytes(body), receive), send)
        finally:
            self.total_bytes -= len(body)

    async def _read(self, receive: Receive, body: bytearray, max_bytes: int, *, is_sized: bool) -> None:
        more = True
        while more:
            message = await receive()
            if message["type"] == "http.disconnect":
                raise ClientDisconnect
            part: bytes = message.get("body", b"")
            if len(body) + len(part) > max_bytes:
                raise _too_large(max_bytes, is_sized=is_sized)
            body += part
            self.total_bytes += len(part)
            if len(body) > SMALL_BODY_BYTES and self.total_bytes > self.max_total_bytes:
                raise overloaded(CLOSE)
            more = message.get("more_body", False)


def _declared(scope: Scope) -> dict[bytes, bytes]:
    """The header fields that announce a body (RFC 9112, 6)."""
    return {name: value for name, value in scope["headers"] if name in (b"content-length", b"transfer-encoding")}


def _check_length(value: bytes, max_bytes: int) -> None:
    if not value.isdigit() or len(value) > MAX_LENGTH_DIGITS:
        raise RequestProblem(
            HTTPStatus.BAD_REQUEST, "malformed-http", "Content-Length is not a number of bytes.", headers=CLOSE
        )
    if int(value) > max_bytes:
        raise _too_large(max_bytes, is_sized=True)


def _check_upgrade(scope: Scope) -> None:
    """Refuse an empty body that the HTTP parser has skipped, because the request asks for another protocol."""
    if any(name == b"upgrade" for name, _ in scope["headers"]):
        raise RequestProblem(
            HTTPStatus.BAD_REQUEST,
            "upgrade_not_supported",
            "This service speaks HTTP/1.1 only: send the request again without the header `Upgrade`.",
            headers=CLOSE,
        )


def _too_large(max_bytes: int, *, is_sized: bool) -> RequestProblem:
    advice = "split it into several requests" if is_sized else "send a longer one with a Content-Length"
    kind = "A body" if is_sized else "A chunked body"
    return RequestProblem(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        "body-too-large",
        f"{kind} may have at most {max_bytes:,} bytes; {advice}.",
        headers=CLOSE,
    )


def _too_slow(seconds: float) -> RequestProblem:
    return RequestProblem(
        HTTPStatus.REQUEST_TIMEOUT,
        "request-too-slow",
        f"The body did not arrive within {seconds:g} s; send the whole request at once.",
        headers=CLOSE,
    )


def _stopping() -> RequestProblem:
    return RequestProblem(
        HTTPStatus.SERVICE_UNAVAILABLE,
        "stopping",
        "This process stopped before the body had arrived; send the request again.",
        headers={"Retry-After": "1", **CLOSE},
    )


def _replayed(body: bytes, receive: Receive) -> Receive:
    """The body as one message; later calls wait for the client to disconnect."""
    is_sent = False

    async def replayed() -> Message:
        nonlocal is_sent
        if is_sent:
            return await receive()
        is_sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replayed


def _discarding(receive: Receive, send: Send) -> Send:
    """Send an answer, read and discard what the client still sends, and only then end the answer.

    If the connection were closed with unread bytes, the operating system would reset it and the client would lose the
    answer (RFC 9112, 9.6).
    """

    async def sending(message: Message) -> None:
        if message["type"] != "http.response.body":
            await send(message)
            return
        await send({**message, "more_body": True})
        discarded = 0
        with suppress(TimeoutError):
            async with asyncio.timeout(DISCARD_SECONDS):
                while discarded < DISCARD_BYTES:
                    arrived = await receive()
                    discarded += len(arrived.get("body", b""))
                    if not arrived.get("more_body", False):
                        break
        await send({"type": "http.response.body", "body": b""})

    return sending
