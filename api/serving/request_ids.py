"""The request id and the trace id: the caller's where they are valid, else an id of our own."""

import re
import secrets
from collections.abc import Iterable
from typing import NamedTuple

MAX_ID_LETTERS = 128  # our own limit: longer than common formats, short enough for a log line
_SAFE_ID = re.compile(rb"[A-Za-z0-9._:+/=-]{1,%d}" % MAX_ID_LETTERS)
_ID_BYTES = 16
# W3C Trace Context, W3C Recommendation, section 3.2 "traceparent header": lower-case hexadecimal, fixed widths.
_TRACEPARENT = re.compile(rb"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-[0-9a-f]{2}(-.*)?")
_NO_TRACE, _NO_PARENT = b"0" * 32, b"0" * 16
_FIRST_VERSION, _FORBIDDEN_VERSION = b"00", b"ff"


class Identity(NamedTuple):
    """The request id that is sent back to the caller, and the id of the trace it belongs to, if any."""

    request_id: str
    trace_id: str | None


def identify(headers: Iterable[tuple[bytes, bytes]]) -> Identity:
    """Read both ids from a request's headers.

    Args:
        headers: names in lower case and values, as ASGI has them.

    Returns:
        `X-Request-ID` if it is up to 128 safe ASCII characters, else a new one of 32 hexadecimal digits; and the trace
        id of `traceparent`, if there is one such header and it is valid.
    """
    own_id: bytes | None = None
    traces: list[bytes] = []
    for name, value in headers:
        if name == b"x-request-id":
            own_id = value
        elif name == b"traceparent":
            traces.append(value)
    safe = _SAFE_ID.fullmatch(own_id) if own_id is not None else None
    request_id = safe[0].decode() if safe else secrets.token_hex(_ID_BYTES)
    # Several traceparent headers are ambiguous, so they are ignored.
    return Identity(request_id, trace_id_of(traces[0]) if len(traces) == 1 else None)


def trace_id_of(traceparent: bytes) -> str | None:
    """The trace id of a `traceparent` header.

    Args:
        traceparent: the header's value.

    Returns:
        32 lower-case hexadecimal digits; `None` if the value is invalid, since the standard
        then treats the request as untraced.

    Source: W3C Trace Context, W3C Recommendation, sections 3.2 and 4.3 (from memory).

    >>> trace_id_of(b"00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01")
    '4bf92f3577b34da6a3ce929d0e0e4736'
    >>> trace_id_of(b"00-00000000000000000000000000000000-00f067aa0ba902b7-01") is None
    True
    """
    match = _TRACEPARENT.fullmatch(traceparent.strip(b" \t"))
    if match is None:
        return None
    version, trace, parent, more = match.groups()
    # Only a later version than the first may have fields after the flags.
    if version == _FORBIDDEN_VERSION or (version == _FIRST_VERSION and more is not None):
        return None
    return None if trace == _NO_TRACE or parent == _NO_PARENT else trace.decode()
