"""How much is taken on at once, and what is refused instead: places for requests in work, kept by the server.

Our routes compute without a pause, so an ASGI layer never sees the queue before it: requests are counted by the
server's protocol (`api.serving.protocol`) from the moment they are whole. It puts a `Ticket` into each request's state;
the layer here answers what is refused, so that a refusal is logged and counted as any answer is, and gives places back.
Under a server that hands out no tickets nothing is refused.
"""

from functools import lru_cache
from http import HTTPStatus
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.serving.environment import read_settings
from api.serving.limits import overloaded
from api.settings import Settings
from api.wire.problems import RequestProblem, problem

TICKET, DESK = "ticket", "desk"  # in the state of a request's scope, and in that of the server
# Answered whatever else is refused: asked by those who decide what becomes of an overloaded process.
ALWAYS_ANSWERED = frozenset({"/healthz", "/readyz", "/metrics"})
# Our own limits, no source: of all bodies that are arriving together, and how many of the largest that is at least.
LEAST_BODY_BYTES, BODIES = 64_000_000, 4


class Desk:
    """What one process has taken on."""

    __slots__ = ("body_bytes", "in_work", "most_body_bytes", "most_in_work", "stopping", "watched")

    def __init__(self, most_in_work: int, most_body_bytes: int) -> None:
        """Nothing is in work yet."""
        self.most_in_work, self.most_body_bytes = most_in_work, most_body_bytes
        self.in_work = self.body_bytes = 0
        self.watched = False  # by a timer of the protocol
        self.stopping = False  # set by the server: no longer ready, and what is answered is the connection's last


@lru_cache(maxsize=1)
def process_settings() -> Settings:
    """The settings of this process, read once."""
    return read_settings()


def desk_of(state: dict[str, Any]) -> Desk:
    """The desk of one server, kept in the state that it shares with its application."""
    desk: Desk | None = state.get(DESK)
    if desk is None:
        limits = process_settings()
        desk = state[DESK] = Desk(limits.max_in_work, max(LEAST_BODY_BYTES, BODIES * limits.max_body_bytes))
    return desk


class Ticket:
    """What became of one request: whether it has a place, how much of its body is held, or why it is refused."""

    __slots__ = ("body_bytes", "desk", "has_place", "refusal")

    def __init__(self, desk: Desk) -> None:
        """A request that is still arriving holds no place."""
        self.desk = desk
        self.body_bytes, self.has_place = 0, False
        self.refusal: RequestProblem | None = None

    def hold(self, count: int) -> bool:
        """Count *count* more bytes of its body; whether they may be held."""
        self.body_bytes += count
        self.desk.body_bytes += count
        return self.desk.body_bytes <= self.desk.most_body_bytes

    def take_place(self) -> None:
        """Now it is whole: it has a place until `give_back`, or is refused."""
        desk = self.desk
        if self.refusal is None and desk.in_work < desk.most_in_work:
            desk.in_work += 1
            self.has_place = True
        elif self.refusal is None:
            self.refusal = overloaded()

    def give_back(self) -> None:
        """It is answered, or nobody waits for the answer any more; doing it twice does no harm."""
        self.desk.body_bytes -= self.body_bytes
        self.body_bytes = 0
        self.give_place_back()

    def give_place_back(self) -> None:
        """It waits for its client now, not for us."""
        if self.has_place:
            self.desk.in_work -= 1
            self.has_place = False


class Admission:
    """Answers what the server refuses; all else passes."""

    def __init__(self, app: ASGIApp) -> None:
        """Keep the application."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or let in and give the place back at the end, whatever the end is."""
        ticket: Ticket | None = scope.get("state", {}).get(TICKET)
        if ticket is None:
            await self.app(scope, receive, send)
            return
        try:
            if (refusal := ticket.refusal) is None or _passes(refusal, scope):
                await self.app(scope, _until_refused(receive, ticket), send)
            else:
                response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
                await response(scope, receive, send)
        finally:
            ticket.give_back()


def _passes(refusal: RequestProblem, scope: Scope) -> bool:
    return refusal.status == HTTPStatus.SERVICE_UNAVAILABLE and scope["path"] in ALWAYS_ANSWERED


def _until_refused(receive: Receive, ticket: Ticket) -> Receive:
    """The body as it comes, unless the request is refused while it does."""

    async def checked() -> Message:
        message = await receive()
        if ticket.refusal is not None:
            raise ticket.refusal
        return message

    return checked
