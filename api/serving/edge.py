"""The innermost layer, plain ASGI: HEAD and OPTIONS on every path, limits on addresses and bodies."""

from http import HTTPStatus

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.limits import body_too_large, limited, url_too_long
from api.wire.methods import Paths, allowed_methods
from api.wire.problems import RequestProblem, in_a_cell_if_asked, problem

MOST_DIGITS = 18  # of a length; our own limit, beyond any real one


class Edge:
    """Wraps the application; other kinds of connection than HTTP pass untouched."""

    def __init__(self, app: ASGIApp, *, paths: Paths, max_body_bytes: int, max_url_bytes: int) -> None:
        """Keep what requests are checked against."""
        self.app, self.paths = app, paths
        self.max_body_bytes, self.max_url_bytes = max_body_bytes, max_url_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer OPTIONS, turn HEAD into a GET without its body, and stop addresses and bodies that are too large."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        method = scope["method"]
        if method == "OPTIONS" and (allow := allowed_methods(self.paths, scope["path"])):
            await _no_content(send, ", ".join(allow))
            return
        if method == "HEAD":
            scope, send = {**scope, "method": "GET"}, _without_body(send)
        if refusal := self._refusal(scope):
            response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
            await in_a_cell_if_asked(Request(scope), response)(scope, receive, send)
            return
        await self.app(scope, limited(receive, self.max_body_bytes), send)

    def _refusal(self, scope: Scope) -> RequestProblem | None:
        """What can be refused before a byte of the body is read."""
        if len(scope.get("raw_path") or scope["path"]) + len(scope["query_string"]) >= self.max_url_bytes:
            return url_too_long(self.max_url_bytes)
        declared = next((value for name, value in scope["headers"] if name == b"content-length"), b"0")
        # The number of digits first: Python refuses to read thousands of them.
        if not declared.isdigit() or len(declared) > MOST_DIGITS or int(declared) > self.max_body_bytes:
            return body_too_large(self.max_body_bytes)
        return None


def _without_body(send: Send) -> Send:
    async def sending(message: Message) -> None:
        await send({**message, "body": b""} if message["type"] == "http.response.body" else message)

    return sending


async def _no_content(send: Send, allow: str) -> None:
    headers = [(b"allow", allow.encode())]
    await send({"type": "http.response.start", "status": HTTPStatus.NO_CONTENT.value, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
