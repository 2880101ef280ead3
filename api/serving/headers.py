"""What every answer tells a browser: load nothing, be framed by nobody, be read by no other origin, keep to https."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# RFC 6797, 6.1. A year is common practice; other hosts of the domain are not ours to speak for.
HSTS = (b"strict-transport-security", b"max-age=31536000")
# Of an answer that is not one of our pages, should a browser be led to show it as one.
_DATA_POLICY = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")
_EVERYWHERE = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),  # an address may hold a key
    (b"x-frame-options", b"DENY"),  # for browsers before frame-ancestors
)
_ON_PAGES = (
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()"),
)


class SafeHeaders:
    """Wraps the whole service, so that whatever answers, the answer has them."""

    def __init__(self, app: ASGIApp, *, for_other_origins: bool, tls_in_front: bool) -> None:
        """Put the headers together.

        Args:
            app: what answers.
            for_other_origins: whether pages elsewhere may show what is here, such as a drawing; else only our own.
            tls_in_front: whether all who ask come by https.
        """
        resource = b"cross-origin" if for_other_origins else b"same-origin"
        everywhere = [*_EVERYWHERE, (b"cross-origin-resource-policy", resource), *((HSTS,) if tls_in_front else ())]
        self.app, self.of_data, self.of_pages = app, [*everywhere, _DATA_POLICY], [*everywhere, *_ON_PAGES]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with the headers added; an answer that has a policy of its own is a page."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", ()))
                is_page = any(name == _DATA_POLICY[0] for name, _ in given)
                message = {**message, "headers": given + (self.of_pages if is_page else self.of_data)}
            await send(message)

        await self.app(scope, receive, sending)
