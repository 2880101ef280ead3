"""Dispatches a request to a fixed path directly to its route's handler.

The framework tries one route after the other, opens and closes exit stacks for dependencies and wraps each request four
times, which takes as long as a short calculation. Paths with parameters and unknown paths are left to the framework;
the answers are the same either way.
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
    """ASGI application that finds the handler of a pure route by method and path."""

    def __init__(self, app: FastAPI, routes: Iterable[BaseRoute]) -> None:
        """Collect the handlers of the routes."""
        self.app = app
        self.handlers = {
            (method, route.path): route.handler
            for route in routes
            if isinstance(route, PureRoute) and not route.param_convertors
            for method in route.methods or ()
        }

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer the request, or pass it to the framework."""
        handler = self.handlers.get((scope["method"], scope["path"])) if scope["type"] == "http" else None
        if handler is None or scope.get("root_path"):
            await self.app(scope, receive, send)
            return
        scope["app"] = self.app  # handlers read the settings and the shop's book from its state
        request = Request(scope, receive, send)
        try:
            response: Response = await handler(request)
        except tuple(HANDLERS) as error:
            response = await _handler_of(error)(request, error)
        await response(scope, receive, send)


def _handler_of(error: Exception) -> Handler:
    """The most specific handler of an exception, as the framework chooses it."""
    return next(HANDLERS[kind] for kind in type(error).__mro__ if kind in HANDLERS)
