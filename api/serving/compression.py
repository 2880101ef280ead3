"""Compression: gzip for clients that accept it, with an entity tag of its own for the compressed bytes."""

import re
from collections.abc import Iterable
from http import HTTPStatus

from isal import isal_zlib
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.wire.request_state import ACCEPTS_GZIP

MINIMUM_BYTES = 1_000  # our own choice: below it the headers weigh more than what gzip saves
LEVEL = 3  # of isal's 0 to 3; zlib's fastest level takes twice as long and leaves more bytes
GZIP_WINDOW = 31  # 15 for the largest window, 16 for the header of gzip
_REFUSED = re.compile(rb"gzip\s*;\s*q\s*=\s*0(?:\.0*)?(?=\s*(?:,|$))", re.IGNORECASE)
_TAG = re.compile(rb'(?<=[0-9a-f])-gzip(?=")')
_ENCODED = (b"content-encoding", b"gzip")


class Compression:
    """ASGI layer that compresses whole answers.

    A response that comes in parts passes through: large files of the documentation are compressed once, at start.
    A strong entity tag names exact bytes (RFC 9110, 8.8.3), so a compressed answer gets the suffix `-gzip` in its tag.
    The suffix is taken off `If-None-Match` before the application sees it. `gzip;q=0` counts as not accepted.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Wrap *app*."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; compress and mark the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        has_compressed = accepts_gzip = False
        headers = []
        for name, value in scope["headers"]:
            if name == b"if-none-match":
                has_compressed = _TAG.search(value) is not None
                headers.append((name, _TAG.sub(b"", value)))
            else:
                headers.append((name, value))
                if name == b"accept-encoding":
                    accepts_gzip = accepts_gzip or b"gzip" in _REFUSED.sub(b"", value).lower()
        if not (accepts_gzip or has_compressed):
            await self.app(scope, receive, _naming_the_coding(send))
            return
        scope.setdefault("state", {})[ACCEPTS_GZIP] = accepts_gzip
        start: Message = {}

        async def send_compressed(message: Message) -> None:
            nonlocal start
            if message["type"] == "http.response.start":
                start = message
                return
            if start:
                if accepts_gzip and not message.get("more_body"):
                    _compress(start, message)
                _mark(start, not_modified=has_compressed)
                await send(start)
                start = {}
            await send(message)

        await self.app({**scope, "headers": headers}, receive, send_compressed)


def _compress(start: Message, message: Message) -> None:
    """Compress the body of a whole answer in place, unless it is short or compressed already."""
    body = message.get("body", b"")
    headers = MutableHeaders(raw=list(start["headers"]))
    if len(body) < MINIMUM_BYTES or "content-encoding" in headers:
        return
    compressor = isal_zlib.compressobj(LEVEL, isal_zlib.DEFLATED, GZIP_WINDOW)
    message["body"] = compressor.compress(body) + compressor.flush()
    headers["content-encoding"] = "gzip"
    headers["content-length"] = str(len(message["body"]))
    start["headers"] = headers.raw


def _mark(start: Message, *, not_modified: bool) -> None:
    """Give a compressed answer its own tag, and name Accept-Encoding in `Vary`."""
    is_compressed = _ENCODED in start["headers"]
    if is_compressed or (not_modified and start["status"] == HTTPStatus.NOT_MODIFIED):
        start["headers"] = [_tagged(name, value) for name, value in start["headers"]]
    start["headers"] = _varied(start["headers"])


def _naming_the_coding(send: Send) -> Send:
    """Say in `Vary` that the answer depends on Accept-Encoding; one header line, since nginx reads only one."""

    async def send_varied(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = _varied(message["headers"])
        await send(message)

    return send_varied


def _varied(raw: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    headers = MutableHeaders(raw=list(raw))
    headers.add_vary_header("Accept-Encoding")
    return headers.raw


def _tagged(name: bytes, value: bytes) -> tuple[bytes, bytes]:
    return (name, value[:-1] + b'-gzip"') if name.lower() == b"etag" and value.endswith(b'"') else (name, value)
