"""Security headers of every answer: nothing is loaded, framed or read by other origins, and https is kept."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# RFC 6797, 6.1. A year is common practice; subdomains are left to their owners.
HSTS = (b"strict-transport-security", b"max-age=31536000")
# For answers that are not pages, in case a browser displays one as a page.
_DATA_POLICY = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")
_EVERYWHERE = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),  # a URL may hold a key
    (b"x-frame-options", b"DENY"),  # for browsers that do not know frame-ancestors
)
_ON_PAGES = (
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()"),
)


class SecurityHeaders:
    """ASGI layer around the whole service that adds security headers to every answer."""

    def __init__(self, app: ASGIApp, *, for_other_origins: bool, tls_in_front: bool) -> None:
        """Build the lists of headers.

        Args:
            app: the application inside.
            for_other_origins: whether pages of other origins may embed answers, such as a drawing.
            tls_in_front: whether all clients use https.
        """
        resource = b"cross-origin" if for_other_origins else b"same-origin"
        everywhere = [*_EVERYWHERE, (b"cross-origin-resource-policy", resource), *((HSTS,) if tls_in_front else ())]
        self.app, self.data_headers, self.page_headers = app, [*everywhere, _DATA_POLICY], [*everywhere, *_ON_PAGES]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Add the headers; an answer that has a content security policy of its own is a page."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = list(message.get("headers", ()))
                is_page = any(name == _DATA_POLICY[0] for name, _ in headers)
                message = {**message, "headers": headers + (self.page_headers if is_page else self.data_headers)}
            await send(message)

        await self.app(scope, receive, sending)
