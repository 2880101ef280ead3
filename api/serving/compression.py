"""Compression: gzip for clients that accept it, with an entity tag of its own for the compressed bytes."""

import re

from starlette.datastructures import MutableHeaders
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.wire.request_state import ACCEPTS_GZIP

MINIMUM_BYTES = 1_000  # our own choice: below it the headers weigh more than what gzip saves
LEVEL = 1  # the fastest; higher levels make our answers little smaller and cost much more time
_REFUSED = re.compile(rb"gzip\s*;\s*q\s*=\s*0(?:\.0*)?(?=\s*(?:,|$))", re.IGNORECASE)
_TAG = re.compile(rb'(?<=[0-9a-f])-gzip(?=")')
_ENCODED = (b"content-encoding", b"gzip")


class Compression:
    """ASGI layer around Starlette's gzip middleware.

    A strong entity tag names exact bytes (RFC 9110, 8.8.3), so a compressed answer gets the suffix `-gzip` in its tag.
    The suffix is taken off `If-None-Match` before the application sees it. `gzip;q=0` counts as not accepted.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Wrap *app*."""
        self.plain = app
        self.app = GZipMiddleware(app, minimum_size=MINIMUM_BYTES, compresslevel=LEVEL)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and mark compressed answers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        has_compressed = accepts_gzip = False
        headers = []
        for name, value in scope["headers"]:
            if name == b"if-none-match":
                has_compressed = _TAG.search(value) is not None
                headers.append((name, _TAG.sub(b"", value)))
            elif name == b"accept-encoding":
                accepted = _REFUSED.sub(b"identity", value).lower()
                accepts_gzip = accepts_gzip or b"gzip" in accepted
                headers.append((name, accepted))
            else:
                headers.append((name, value))
        if not (accepts_gzip or has_compressed):
            await self.plain(scope, receive, _naming_the_coding(send))
            return
        scope.setdefault("state", {})[ACCEPTS_GZIP] = accepts_gzip

        async def send_marked(message: Message) -> None:
            if message["type"] == "http.response.start":
                is_compressed = _ENCODED in message["headers"]
                if is_compressed or (has_compressed and message["status"] == 304):
                    message["headers"] = [_tagged(name, value) for name, value in message["headers"]]
            await send(message)

        await self.app({**scope, "headers": headers}, receive, send_marked)


def _naming_the_coding(send: Send) -> Send:
    """Say in `Vary` that the answer depends on Accept-Encoding; one header line, since nginx reads only one."""

    async def send_varied(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(raw=list(message["headers"]))
            headers.add_vary_header("Accept-Encoding")
            message["headers"] = headers.raw
        await send(message)

    return send_varied


def _tagged(name: bytes, value: bytes) -> tuple[bytes, bytes]:
    return (name, value[:-1] + b'-gzip"') if name.lower() == b"etag" and value.endswith(b'"') else (name, value)
