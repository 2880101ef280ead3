"""What the proxy refuses itself, as problem documents (RFC 9457)."""

from dataclasses import dataclass

import orjson

from api.wire.problems import title_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """One status that nginx answers without the service.

    `nginx_status` is nginx's number for the case. For some cases nginx has a number that is not a status of HTTP.
    """

    nginx_status: int
    status: int
    code: str
    detail: str
    retry_after: int | None = None

    def document(self, root: str) -> str:
        """The body, without a character that nginx would interpret.

        Args:
            root: what stands before a path of the service in a link.
        """
        fields = {
            "type": f"{root}/problems/{self.code}",
            "title": title_of(self.code),
            "status": self.status,
            "detail": self.detail,
            "errors": [],
        }
        return orjson.dumps(fields).decode()


def _refusal(status: int, code: str, detail: str, *, nginx: int | None = None, retry: int | None = None) -> Refusal:
    return Refusal(nginx_status=nginx or status, status=status, code=code, detail=detail, retry_after=retry)


_MALFORMED = "The request line, a header field or the framing of the body is malformed. Use an HTTP library."
_RETRY = "Every request is a calculation, so it is safe to send it again."

REFUSALS = (
    _refusal(400, "malformed_http", _MALFORMED),
    _refusal(404, "not_found", "Nothing is at this path."),
    _refusal(405, "method_not_allowed", "This method is not supported. Use GET, HEAD, POST or OPTIONS."),
    _refusal(411, "malformed_http", "Send the length of the body in Content-Length, or send the body in chunks."),
    _refusal(
        412, "precondition_failed", "The current answer is not the one that If-Match or If-Unmodified-Since names."
    ),
    _refusal(
        413, "body_too_large", "The request body is larger than the limit. Send fewer items or targets at a time."
    ),
    _refusal(414, "url_too_long", "The address is too long. POST the same question as a JSON body."),
    _refusal(421, "unknown_host", "This server does not answer for the host in the request. Check the address."),
    _refusal(
        429, "too_many_requests", "Too many requests or connections from one address. Send them more slowly.", retry=1
    ),
    _refusal(431, "headers_too_large", "The header fields are too large. Send fewer or shorter ones.", nginx=494),
    _refusal(400, "https_needed", "This port speaks HTTPS. Use an address that begins with https.", nginx=497),
    _refusal(
        500, "internal_error", "The proxy could not process the request. The operator finds the reason in its log."
    ),
    _refusal(501, "unsupported_transfer_encoding", "The only supported transfer coding is chunked."),
    _refusal(
        502, "no_answer", f"The service did not answer, or stopped while it worked on the request. {_RETRY}", retry=1
    ),
    _refusal(504, "no_answer", f"The service did not answer in time. {_RETRY}", retry=1),
    _refusal(505, "http_version_not_supported", "Send the request in HTTP/1.1 or HTTP/1.0."),
)
CODES = frozenset(refusal.code for refusal in REFUSALS)
