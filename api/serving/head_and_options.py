"""HEAD and OPTIONS for every path, so that no route has to declare them."""

from http import HTTPStatus

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.wire.methods import Paths, allowed_methods


class HeadAndOptions:
    """ASGI layer that answers OPTIONS, and HEAD as a GET without its body."""

    def __init__(self, app: ASGIApp, *, paths: Paths) -> None:
        """Set the paths.

        Args:
            app: the application inside.
            paths: the methods of every path.
        """
        self.app, self.paths = app, paths

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer OPTIONS here; pass everything else on."""
        if scope["type"] == "http":
            if scope["method"] == "OPTIONS" and (allow := allowed_methods(self.paths, scope["path"])):
                await _send_allow(send, ", ".join(allow))
                return
            if scope["method"] == "HEAD":
                scope, send = {**scope, "method": "GET"}, _without_body(send)
        await self.app(scope, receive, send)


def _without_body(send: Send) -> Send:
    async def sending(message: Message) -> None:
        await send({**message, "body": b""} if message["type"] == "http.response.body" else message)

    return sending


async def _send_allow(send: Send, allow: str) -> None:
    headers = [(b"allow", allow.encode())]
    await send({"type": "http.response.start", "status": HTTPStatus.NO_CONTENT.value, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
