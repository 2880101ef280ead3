"""Compression: gzip for clients that accept it, with an entity tag of its own for the compressed bytes.

The framework's own middleware compresses with zlib, which costs a third of the whole request. isal costs a tenth.
"""

import asyncio
import re
from typing import Any

from isal import isal_zlib
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.wire.request_state import ACCEPTS_GZIP

MINIMUM_BYTES = 1_000  # our own choice: below it the headers weigh more than what gzip saves
LEVEL = 1  # the fastest; higher levels make our answers little smaller and cost much more time
GZIP_WINDOW = 31  # the largest window, with a gzip header
THREAD_BYTES = 131_072  # our own choice: more is compressed in a thread, so that other requests do not wait
_REFUSED = re.compile(rb"gzip\s*;\s*q\s*=\s*0(?:\.0*)?(?=\s*(?:,|$))", re.IGNORECASE)
_TAG = re.compile(rb'(?<=[0-9a-f])-gzip(?=")')
_ENCODED = (b"content-encoding", b"gzip")
_CODING = b"Accept-Encoding"
_Headers = list[tuple[bytes, bytes]]


class Compression:
    """ASGI layer that compresses long answers.

    A strong entity tag names exact bytes (RFC 9110, 8.8.3), so a compressed answer gets the suffix `-gzip` in its tag.
    The suffix is taken off `If-None-Match` before the application sees it. `gzip;q=0` counts as not accepted.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Wrap *app*."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and compress its answer if the client accepts that."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        has_compressed = accepts_gzip = False
        for name, value in scope["headers"]:
            if name == b"if-none-match" and _TAG.search(value):
                has_compressed = True
            elif name == b"accept-encoding" and b"gzip" in _REFUSED.sub(b"", value).lower():
                accepts_gzip = True
        scope.setdefault("state", {})[ACCEPTS_GZIP] = accepts_gzip
        if has_compressed:
            headers = [(name, _untagged(name, value)) for name, value in scope["headers"]]
            scope = {**scope, "headers": headers}
        await self.app(scope, receive, _Answer(send, accepts_gzip=accepts_gzip, has_compressed=has_compressed))


class _Answer:
    """Sends one answer, compressed if the client accepts that, and it is long enough and not compressed already."""

    __slots__ = ("_accepts_gzip", "_compressor", "_has_compressed", "_send", "_start")

    def __init__(self, send: Send, *, accepts_gzip: bool, has_compressed: bool) -> None:
        self._send, self._accepts_gzip, self._has_compressed = send, accepts_gzip, has_compressed
        self._start: Message | None = None  # held back until the length of the first part is known
        self._compressor: Any = None

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = _varied(message["headers"])
            is_compressed = _ENCODED in headers
            if is_compressed or (self._has_compressed and message["status"] == 304):
                headers = _tagged(headers)
            message = {**message, "headers": headers}
            if self._accepts_gzip and not is_compressed:
                self._start = message
                return
        elif message["type"] == "http.response.body":
            start, self._start = self._start, None
            more = message.get("more_body", False)
            if start is not None and (more or len(message.get("body", b"")) >= MINIMUM_BYTES):
                self._compressor = isal_zlib.compressobj(LEVEL, wbits=GZIP_WINDOW)
            if self._compressor is not None:
                message = {**message, "body": await self._compressed(message.get("body", b""), more=more)}
            if start is not None:
                await self._send(start if self._compressor is None else _encoded(start, message, more=more))
        await self._send(message)

    async def _compressed(self, body: bytes, *, more: bool) -> bytes:
        if len(body) > THREAD_BYTES:
            compressed: bytes = await asyncio.to_thread(self._compressor.compress, body)
        else:
            compressed = self._compressor.compress(body)
        return compressed if more else compressed + self._compressor.flush()


def _encoded(start: Message, first: Message, *, more: bool) -> Message:
    """The start of a compressed answer; its length is known if the first part is the only one."""
    headers = [(name, value) for name, value in _tagged(start["headers"]) if name.lower() != b"content-length"]
    if not more:
        headers.append((b"content-length", b"%d" % len(first["body"])))
    return {**start, "headers": [*headers, _ENCODED]}


def _varied(headers: _Headers) -> _Headers:
    """Say in `Vary` that the answer depends on Accept-Encoding; in one header line, since nginx reads only one."""
    varied = [value for name, value in headers if name.lower() == b"vary"]
    if any(_CODING in value for value in varied):
        return headers
    others = [header for header in headers if header[0].lower() != b"vary"] if varied else headers
    return [*others, (b"vary", b", ".join([*varied, _CODING]))]


def _tagged(headers: _Headers) -> _Headers:
    return [
        (name, value[:-1] + b'-gzip"') if name.lower() == b"etag" and value.endswith(b'"') else (name, value)
        for name, value in headers
    ]


def _untagged(name: bytes, value: bytes) -> bytes:
    return _TAG.sub(b"", value) if name == b"if-none-match" else value
