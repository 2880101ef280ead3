"""The outermost layer, plain ASGI: HEAD and OPTIONS on every path, a limit on bodies, safe headers."""

from http import HTTPStatus
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.methods import Paths, allowed_methods
from api.problems import RequestProblem, problem

_SAFE_HEADERS = [
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
]


class Edge:
    """Wraps the application; other kinds of connection than HTTP pass untouched."""

    def __init__(self, app: ASGIApp, *, paths: Paths, max_body_bytes: int) -> None:
        """Keep what requests are checked against."""
        self.app, self.paths, self.max_body_bytes = app, paths, max_body_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer OPTIONS, turn HEAD into a GET without its body, and stop bodies that are too large."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        method = scope["method"]
        if method == "OPTIONS" and (allow := allowed_methods(self.paths, scope["path"])):
            await _no_content(send, ", ".join(allow))
            return
        if method == "HEAD":
            scope = {**scope, "method": "GET"}
        sender = _Sender(send, bodiless=method == "HEAD")
        declared = dict(scope["headers"]).get(b"content-length", b"0")
        if not declared.isdigit() or int(declared) > self.max_body_bytes:
            # Refused before a byte of it is read.
            refusal = too_large(self.max_body_bytes)
            response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
            await response(scope, receive, sender)
            return
        await self.app(scope, _limited(receive, self.max_body_bytes), sender)


def too_large(most: int) -> RequestProblem:
    """The refusal of a body above the limit."""
    return RequestProblem(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        "body-too-large",
        f"A body may have at most {most:,} bytes; send it in parts.",
        headers={"Connection": "close"},
    )


class _Sender:
    def __init__(self, send: Send, *, bodiless: bool) -> None:
        self.send, self.bodiless = send, bodiless

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message["headers"], *_SAFE_HEADERS]}
        elif self.bodiless and message["type"] == "http.response.body":
            message = {**message, "body": b""}
        await self.send(message)


def _limited(receive: Receive, most: int) -> Receive:
    got = 0

    async def limited() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        if got > most:
            raise too_large(most)
        return message

    return limited


async def _no_content(send: Send, allow: str) -> None:
    headers: list[Any] = [(b"allow", allow.encode()), *_SAFE_HEADERS]
    await send({"type": "http.response.start", "status": HTTPStatus.NO_CONTENT.value, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
