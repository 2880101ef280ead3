"""The short way: a request to a fixed path goes straight to its route's handler.

The framework tries one route after the other, opens and closes what dependencies might need and wraps each request
four times; for a pure function of one request that is as long as the function itself takes. What has a parameter in
its path, and whatever is none of ours, still goes the framework's way, and both ways give the same answer.
"""

from collections.abc import Iterable

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute
from starlette.types import Receive, Scope, Send

from api.wire.problems import HANDLERS, Handler
from api.wire.routing import PureRoute


class DirectDispatch:
    """Wraps the application; knows the handlers of its pure routes by method and path."""

    def __init__(self, app: FastAPI, routes: Iterable[BaseRoute]) -> None:
        """Take the handlers that the routes made for the framework."""
        self.app = app
        self.handlers = {
            (method, route.path): route.handler
            for route in routes
            if isinstance(route, PureRoute) and not route.param_convertors
            for method in route.methods or ()
        }

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or hand on."""
        handler = self.handlers.get((scope["method"], scope["path"])) if scope["type"] == "http" else None
        if handler is None or scope.get("root_path"):
            await self.app(scope, receive, send)
            return
        scope["app"] = self.app  # handlers look for the settings and the shop's book in its state
        request = Request(scope, receive, send)
        try:
            response: Response = await handler(request)
        except tuple(HANDLERS) as error:
            response = await _refusing(error)(request, error)
        await response(scope, receive, send)


def _refusing(error: Exception) -> Handler:
    """The most particular handler of an exception, as the framework looks it up."""
    return next(HANDLERS[kind] for kind in type(error).__mro__ if kind in HANDLERS)
