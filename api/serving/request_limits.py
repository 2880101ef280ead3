"""Limits on the URL and on the header fields of a request, checked before its body is read.

Uvicorn has parsed both by then. These limits protect what comes after; the proxy limits what is parsed.
"""

from http import HTTPStatus

from starlette.types import ASGIApp, Receive, Scope, Send

from api.serving.refusals import CLOSE, refuse
from api.wire.problems import RequestProblem


class RequestLimits:
    """ASGI layer that answers 414 to a URL, and 431 to header fields, above the limits."""

    def __init__(self, app: ASGIApp, *, max_url_bytes: int, max_header_bytes: int, max_headers: int) -> None:
        """Set the limits.

        Args:
            app: the application inside.
            max_url_bytes: of path and query together.
            max_header_bytes: of the names and values of all header fields together.
            max_headers: number of header fields.
        """
        self.app = app
        self.max_url_bytes, self.max_header_bytes, self.max_headers = max_url_bytes, max_header_bytes, max_headers

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse the request, or pass it on."""
        if scope["type"] == "http" and (refusal := self._refusal(scope)) is not None:
            await refuse(refusal, scope, receive, send)
        else:
            await self.app(scope, receive, send)

    def _refusal(self, scope: Scope) -> RequestProblem | None:
        query: bytes = scope["query_string"]
        if len(scope.get("raw_path") or scope["path"]) + len(query) + bool(query) > self.max_url_bytes:
            return RequestProblem(
                HTTPStatus.REQUEST_URI_TOO_LONG,
                "url_too_long",
                f"Path and query may have at most {self.max_url_bytes:,} bytes together; POST the same as a JSON body.",
                headers=CLOSE,
            )
        headers = scope["headers"]
        if (
            len(headers) > self.max_headers
            or sum(len(name) + len(value) for name, value in headers) > self.max_header_bytes
        ):
            return RequestProblem(
                HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE,
                "headers_too_large",
                f"A request may have at most {self.max_headers} header fields with {self.max_header_bytes:,} bytes"
                " together; send fewer.",
                headers=CLOSE,
            )
        return None
