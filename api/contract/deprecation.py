"""Announces operations that will be removed: `Deprecation` (RFC 9745), `Sunset` (RFC 8594) and a link to the page."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import format_datetime

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.wire.public_url import link_to

CHANGES = "/changes"  # the page that says how the contract changes
MIN_MONTHS = 12  # our own promise: how long an operation works after it was deprecated
Operation = tuple[str, str]  # method and path template, as in the OpenAPI document


@dataclass(frozen=True, slots=True, kw_only=True)
class Deprecated:
    """When an operation was deprecated, when it stops working, and what replaces it."""

    since: datetime
    until: datetime
    instead: str

    def __post_init__(self) -> None:
        """Check the dates.

        Raises:
            ValueError: they have no time zone, or the operation would be removed too soon.
        """
        if self.since.tzinfo is None or self.until.tzinfo is None:
            raise ValueError("give both dates a time zone")
        months = 12 * (self.until.year - self.since.year) + self.until.month - self.since.month
        if months < MIN_MONTHS:
            raise ValueError(f"an operation works for at least {MIN_MONTHS} months after it is deprecated")

    @property
    def headers(self) -> list[tuple[bytes, bytes]]:
        """The header fields of every answer of the operation."""
        return [
            (b"deprecation", f"@{int(self.since.timestamp())}".encode()),
            (b"sunset", format_datetime(self.until.astimezone(UTC), usegmt=True).encode()),
            (b"link", f'<{link_to(CHANGES)}>; rel="deprecation"; type="text/html"'.encode()),
        ]


# Add an entry here; the document, the headers and the page follow.
OPERATIONS: dict[Operation, Deprecated] = {}


class Deprecations:
    """ASGI layer that adds the header fields to the answers of deprecated operations."""

    def __init__(
        self, app: ASGIApp, *, operations: Mapping[Operation, Deprecated], template_of: Callable[[str], str]
    ) -> None:
        """Set the operations.

        Args:
            app: the application inside.
            operations: what is deprecated.
            template_of: the path template of a path.
        """
        self.app, self.operations, self.template_of = app, operations, template_of

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; its answer gets the header fields if its operation is deprecated."""
        method = "GET" if scope.get("method") == "HEAD" else scope.get("method", "")
        entry = self.operations.get((method, self.template_of(scope["path"]))) if scope["type"] == "http" else None

        async def sending(message: Message) -> None:
            if entry is not None and message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *entry.headers]}
            await send(message)

        await self.app(scope, receive, sending if entry is not None else send)
