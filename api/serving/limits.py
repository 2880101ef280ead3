"""What is refused for its size or its slowness, each as a problem that says what to do."""

from http import HTTPStatus

from starlette.types import Message, Receive

from api.wire.problems import RequestProblem

RETRY_AFTER_SECONDS = 1  # our own choice: what is in work takes milliseconds
CLOSE = {"Connection": "close"}  # nothing more is read after such a refusal


def overloaded(*, close: bool = False) -> RequestProblem:
    """The refusal of a request that would wait behind too many others; the next may fare better."""
    return RequestProblem(
        HTTPStatus.SERVICE_UNAVAILABLE,
        "overloaded",
        "Too much is in work here; send the same request again in a moment.",
        headers={"Retry-After": str(RETRY_AFTER_SECONDS), **(CLOSE if close else {})},
    )


def body_too_large(most_bytes: int) -> RequestProblem:
    """The refusal of a body above the limit."""
    return RequestProblem(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        "body-too-large",
        f"A body may have at most {most_bytes:,} bytes; send it in parts.",
        headers=CLOSE,
    )


def url_too_long(most_bytes: int) -> RequestProblem:
    """The refusal of an address above the limit."""
    return RequestProblem(
        HTTPStatus.REQUEST_URI_TOO_LONG,
        "url-too-long",
        f"Path and query may have at most {most_bytes:,} bytes together; POST the same as a JSON body.",
        headers=CLOSE,
    )


def headers_too_large(most_bytes: int, most: int) -> RequestProblem:
    """The refusal of too many or too large header fields."""
    return RequestProblem(
        HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE,
        "headers-too-large",
        f"Header fields may be at most {most} and have at most {most_bytes:,} bytes together; send fewer.",
        headers=CLOSE,
    )


def too_slow(what: str, seconds: float) -> RequestProblem:
    """The refusal of a request of which *what* took too long to arrive."""
    return RequestProblem(
        HTTPStatus.REQUEST_TIMEOUT,
        "request-too-slow",
        f"The {what} did not arrive within {seconds:g} s; send the whole request at once.",
        headers=CLOSE,
    )


def malformed_http() -> RequestProblem:
    """The refusal of what is no HTTP/1.1."""
    return RequestProblem(
        HTTPStatus.BAD_REQUEST,
        "malformed-http",
        "This is not a request as RFC 9112 has it; see that nothing on the way changes it.",
        headers=CLOSE,
    )


def limited(receive: Receive, most_bytes: int) -> Receive:
    """A body as it comes, up to a limit.

    Args:
        receive: where it comes from.
        most_bytes: the largest body that is read.

    Returns:
        The same messages.

    Raises:
        RequestProblem: by the returned function, at the first byte above the limit.
    """
    got = 0

    async def counted() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        if got > most_bytes:
            raise body_too_large(most_bytes)
        return message

    return counted
