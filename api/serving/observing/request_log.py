"""The request log as a plain ASGI layer: it gives every request an id, logs it and counts it, once.

It wraps all layers that can answer, so that refused requests are logged and counted too.
"""

import logging
import time
from collections.abc import Callable, Iterable
from http import HTTPMethod, HTTPStatus
from typing import Any

from starlette.requests import ClientDisconnect
from starlette.routing import BaseRoute, Match, Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.keys.tokens import remove_tokens
from api.serving.observing.logs import REQUESTS
from api.serving.observing.metrics import Metrics
from api.serving.request_ids import identify
from api.wire.problems import unexpected
from api.wire.request_state import KEY_NAME, REFUSED_STATUS, REQUEST_ID, TRACE_ID

NO_ROUTE, OTHER_METHOD = "none", "other"
# Not in RFC 9110, but common in the logs of web servers: the client closed the connection before the end of the answer.
CLIENT_CLOSED_REQUEST = 499
_METHODS = frozenset(method.value for method in HTTPMethod)
_QUIET_ROUTES = frozenset({"/healthz", "/readyz", "/metrics"})  # requested every few seconds by machines
_log = logging.getLogger(REQUESTS)
RouteTemplate = Callable[[str], str]


def templates(routes: Iterable[BaseRoute]) -> RouteTemplate:
    """Make a function that names a path in logs and metrics.

    It does not depend on the routing of a request, so that it also works for requests that were refused before.

    Args:
        routes: the routes of the service.

    Returns:
        A function from a path to the template of its route, or to `none`; it never returns an unknown path.
    """
    fixed: dict[str, str] = {}
    with_parameters: list[Route] = []
    for route in routes:
        if isinstance(route, Route):
            if "{" in route.path:
                with_parameters.append(route)
            else:
                fixed[route.path] = route.path

    def template_of(path: str) -> str:
        if path in fixed:
            return fixed[path]
        scope = {"type": "http", "method": "GET", "path": path}
        return next((route.path for route in with_parameters if route.matches(scope)[0] != Match.NONE), NO_ROUTE)

    return template_of


class RequestLog:
    """Logs and counts requests; connections of other kinds than HTTP pass unchanged."""

    def __init__(self, app: ASGIApp, *, template_of: RouteTemplate, metrics: Metrics | None) -> None:
        """Wrap an application.

        Args:
            app: the application.
            template_of: names a path, as `templates` does.
            metrics: where requests are counted; without them they are only logged.
        """
        self.app, self.template_of, self.metrics = app, template_of, metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, log it and count it, whatever happens inside."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = time.perf_counter()
        method = scope["method"] if scope["method"] in _METHODS else OTHER_METHOD  # inner layers may change the scope
        remove_tokens(scope)  # before anything can log the query
        identity = identify(scope["headers"])
        scope["state"][REQUEST_ID] = identity.request_id
        if identity.trace_id is not None:
            scope["state"][TRACE_ID] = identity.trace_id
        answer = _Answer(send, identity.request_id.encode())
        if self.metrics is not None:
            self.metrics.in_progress.inc()
        try:
            await self.app(scope, receive, answer)
        except ClientDisconnect:
            answer.status = CLIENT_CLOSED_REQUEST
        except Exception as exception:  # the last place that can catch it
            answer.error = exception
            if not answer.status:  # otherwise the application has sent its problem document already
                await unexpected()(scope, receive, answer)
            elif not answer.is_complete:
                raise  # the server must close the connection, since the answer has begun
        except BaseException:  # the server stops and cancels what is in progress
            answer.status = CLIENT_CLOSED_REQUEST
            raise
        finally:
            # A spreadsheet cell gets a refusal as 200, but it is a refusal.
            refused_status: int | None = scope["state"].get(REFUSED_STATUS)
            status = refused_status or answer.status or HTTPStatus.INTERNAL_SERVER_ERROR.value
            route, seconds = self.template_of(scope["path"]), time.perf_counter() - started
            self._write(scope, answer, {"method": method, "route": route, "status": status}, seconds)
            if self.metrics is not None:
                self.metrics.in_progress.dec()
                self.metrics.observe(method, route, status, seconds, answer.body_bytes)

    @staticmethod
    def _write(scope: Scope, answer: "_Answer", labels: dict[str, Any], seconds: float) -> None:
        level = _level(labels["route"], labels["status"], answer.error)
        if not _log.isEnabledFor(level):
            return
        fields: dict[str, Any] = {
            "request_id": scope["state"][REQUEST_ID],
            **labels,
            "duration_ms": round(seconds * 1_000, 3),
            "body_bytes": answer.body_bytes,
        }
        if TRACE_ID in scope["state"]:
            fields["trace_id"] = scope["state"][TRACE_ID]
        if KEY_NAME in scope["state"]:
            fields["key"] = scope["state"][KEY_NAME]
        _log.log(level, "%s %s %s", *labels.values(), extra=fields, exc_info=answer.error)


def _level(route: str, status: int, error: Exception | None) -> int:
    is_quiet = route in _QUIET_ROUTES
    if error is None and (is_quiet or status < HTTPStatus.INTERNAL_SERVER_ERROR):
        return logging.DEBUG if is_quiet else logging.INFO
    # Overload is no fault of the program and may last: it must not hide errors.
    return logging.WARNING if status == HTTPStatus.SERVICE_UNAVAILABLE else logging.ERROR


class _Answer:
    """Passes the answer on with the request id, and keeps what was sent."""

    __slots__ = ("_request_id", "_send", "body_bytes", "error", "is_complete", "status")

    def __init__(self, send: Send, request_id: bytes) -> None:
        self._send, self._request_id = send, request_id
        self.status, self.body_bytes, self.is_complete = 0, 0, False
        self.error: Exception | None = None

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            headers = [*message.get("headers", ()), (b"x-request-id", self._request_id)]
            message = {**message, "headers": headers}
        elif message["type"] == "http.response.body":
            self.body_bytes += len(message.get("body", b""))
            self.is_complete = not message.get("more_body", False)
        await self._send(message)
