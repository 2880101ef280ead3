"""The outermost layer, plain ASGI: gives every request its id, and sees to its log line and its metrics."""

import logging
import re
import time
from collections.abc import Awaitable, Callable, Iterable
from http import HTTPMethod, HTTPStatus
from typing import Any

from starlette.requests import ClientDisconnect
from starlette.routing import BaseRoute, Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.observing.logs import REQUESTS, RequestRecord
from api.serving.observing.metrics import Metrics
from api.serving.request_ids import Identity, identify
from api.wire.problems import unexpected

NO_ROUTE, OTHER_METHOD = "none", "other"
# Not of RFC 9110, common practice of web servers: the caller went away before it had an answer.
CLIENT_CLOSED_REQUEST = 499
KEY_NAME, REQUEST_ID = "key_name", "request_id"  # in the scope's state
IS_CUT = "is_cut"  # there too, from a server that knows whether an answer arrived: a function without arguments
# What a client speaks and we do not: by RFC 9110 these are 5xx, and still no fault of ours.
_NOT_SPOKEN = frozenset({HTTPStatus.NOT_IMPLEMENTED.value, HTTPStatus.HTTP_VERSION_NOT_SUPPORTED.value})
_METHODS = frozenset(method.value for method in HTTPMethod)
_QUIET = frozenset({"/healthz", "/readyz", "/metrics"})  # asked every few seconds by machines
_log = logging.getLogger(REQUESTS)
Template = Callable[[str], str]


def templates(routes: Iterable[BaseRoute]) -> Template:
    """What names a path in logs and metrics: its route's template, or `none`; never the path itself.

    Answers for whatever is refused before it is routed too.
    """
    plain: dict[str, str] = {}
    others: list[tuple[re.Pattern[str], str]] = []
    for route in routes:
        if isinstance(route, Route):
            if route.param_convertors:
                others.append((route.path_regex, route.path))
            else:
                plain[route.path] = route.path

    def template_of(path: str) -> str:
        known = plain.get(path)
        if known is None:
            known = next((template for pattern, template in others if pattern.match(path)), NO_ROUTE)
        return known

    return template_of


class RequestLog:
    """Wraps the whole service; other kinds of connection than HTTP pass untouched."""

    def __init__(self, app: ASGIApp, *, template_of: Template, metrics: Metrics | None) -> None:
        """Without *metrics* nothing is counted."""
        self.app, self.template_of, self.metrics = app, template_of, metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, whatever happens inside."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun, seconds = time.perf_counter(), 0.0
        identity = identify(scope["headers"])
        scope.setdefault("state", {})[REQUEST_ID] = identity.request_id
        answer = _Answer(send, identity.request_id.encode())
        error: Exception | None = None
        if self.metrics is not None:
            self.metrics.in_work.inc()
        try:
            try:
                await self.app(scope, receive, answer)
            finally:
                seconds = time.perf_counter() - begun  # how long a client reads is not ours to shorten
                if self.metrics is not None:
                    self.metrics.in_work.dec()
            if (is_cut := scope["state"].get(IS_CUT)) is not None and await is_cut():
                answer.status = CLIENT_CLOSED_REQUEST
        except ClientDisconnect:
            answer.status = CLIENT_CLOSED_REQUEST
        except Exception as found:  # the last place where anything can be caught
            error = found
            if not answer.status:  # else the application has sent its problem document already
                await unexpected()(scope, receive, answer)
            elif not answer.complete:
                raise  # too late for another answer; the server must cut what was begun
        except BaseException:
            # The server stops and waits no longer; what it began to send is cut.
            answer.status = CLIENT_CLOSED_REQUEST
            raise
        finally:
            self._record(scope, identity, answer, seconds, error)

    def _record(
        self, scope: Scope, identity: Identity, answer: "_Answer", seconds: float, error: Exception | None
    ) -> None:
        method: str = scope["method"] if scope["method"] in _METHODS else OTHER_METHOD
        route = self.template_of(scope["path"])
        status = answer.status or HTTPStatus.INTERNAL_SERVER_ERROR.value
        level = logging.DEBUG if route in _QUIET else logging.INFO
        failed = status >= HTTPStatus.INTERNAL_SERVER_ERROR and status not in _NOT_SPOKEN
        if error is not None or (failed and route not in _QUIET):
            # Too much work is no fault of ours, and lasts: it should not bury what is.
            level = logging.WARNING if status == HTTPStatus.SERVICE_UNAVAILABLE else logging.ERROR
        if _log.isEnabledFor(level):
            fields: dict[str, Any] = {
                "request_id": identity.request_id,
                "method": method,
                "route": route,
                "status": status,
                "duration_ms": round(seconds * 1_000, 3),
                "body_bytes": answer.body_bytes,
            }
            if identity.trace_id is not None:
                fields["trace_id"] = identity.trace_id
            if (key := scope["state"].get(KEY_NAME)) is not None:
                fields["key"] = key
            _log.handle(RequestRecord(level, f"{method} {route} {status}", fields, error))
        if self.metrics is not None:
            self.metrics.observe(method, route, status, seconds, answer.body_bytes)


class _Answer:
    """Sends on, adds the request id, and remembers what went out."""

    __slots__ = ("body_bytes", "complete", "request_id", "send", "status")

    def __init__(self, send: Send, request_id: bytes) -> None:
        self.send, self.request_id = send, request_id
        self.status, self.body_bytes, self.complete = 0, 0, False

    def __call__(self, message: Message) -> Awaitable[None]:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            headers: list[Any] = [*message.get("headers", ()), (b"x-request-id", self.request_id)]
            message = {**message, "headers": headers}
        elif message["type"] == "http.response.body":
            self.body_bytes += len(message.get("body", b""))
            self.complete = not message.get("more_body", False)
        return self.send(message)  # not awaited here: a coroutine less for each message
