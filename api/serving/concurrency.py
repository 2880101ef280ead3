"""Limits how many requests are in progress at once, so that an overloaded process refuses quickly."""

import asyncio
from http import HTTPStatus

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.refusals import refuse
from api.wire.problems import RequestProblem

RETRY_AFTER_SECONDS = 1  # our own choice: a request is computed within milliseconds
# Supervisors and monitoring must be able to tell an overloaded process from a dead one.
ALWAYS_ANSWERED = frozenset({"/healthz", "/readyz", "/metrics"})


def overloaded(headers: dict[str, str] | None = None) -> RequestProblem:
    """The refusal of a request that would have to wait for too many others."""
    return RequestProblem(
        HTTPStatus.SERVICE_UNAVAILABLE,
        "overloaded",
        "The service has too many requests in progress; send the same request again in a moment.",
        headers={"Retry-After": str(RETRY_AFTER_SECONDS), **(headers or {})},
    )


class ConcurrencyLimit:
    """ASGI layer that answers 503 while `max_in_work` requests are waiting for their answer to be computed.

    It belongs inside the layer that reads the body: a request takes a slot once its body has arrived, and frees it when
    its answer begins, so neither slow senders nor slow readers occupy slots.
    """

    def __init__(self, app: ASGIApp, *, max_in_work: int) -> None:
        """Set the limit.

        Args:
            app: the application inside.
            max_in_work: number of slots.
        """
        self.app, self.max_in_work, self.in_work = app, max_in_work, 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse the request, or run it in a slot."""
        if scope["type"] != "http" or scope["path"] in ALWAYS_ANSWERED:
            await self.app(scope, receive, send)
            return
        if self.in_work >= self.max_in_work:
            await refuse(overloaded(), scope, receive, send)
            return
        self.in_work += 1
        has_slot = True

        def free_slot() -> None:
            nonlocal has_slot
            if has_slot:
                has_slot = False
                self.in_work -= 1

        async def sending(message: Message) -> None:
            free_slot()
            await send(message)

        try:
            # Our routes compute without awaiting anything. Yield once, so that all requests that have arrived are
            # counted before the first of them is computed.
            await asyncio.sleep(0)
            await self.app(scope, receive, sending)
        finally:
            free_slot()
