"""What RFC 9112 asks of a request's head beyond what the parser sees to: its version, its host, how its body is framed.

Refused here is what two programs on the way could read in two ways, which is how one request is smuggled in another.
"""

import re
from collections.abc import Iterable, Sequence
from http import HTTPStatus
from ipaddress import AddressValueError, IPv6Address

import httptools

from api.serving.limits import CLOSE, malformed_http
from api.wire.problems import RequestProblem

SPOKEN = frozenset({"1.0", "1.1"})
_NO_VERSION = "0.0"  # of a parser that has read none yet
_FRAMING = frozenset({b"content-length", b"transfer-encoding"})
# RFC 9110, 7.2, and RFC 3986, 3.2.2 and 3.2.3: a name (which may be empty), an IPv4 address, which looks like one, or
# an address in brackets, of IPv6 or of a later version; then perhaps a port.
_HOST = re.compile(
    rb"(?:(?:[A-Za-z0-9._~!$&'()*+,;=-]|%[0-9A-Fa-f]{2})*"
    rb"|\[(?:([0-9A-Fa-f:.]+)|[vV][0-9A-Fa-f]+\.[A-Za-z0-9._~!$&'()*+,;=:-]+)\])(?::[0-9]*)?"
)


def check_head(version: str, headers: Iterable[tuple[bytes, bytes]]) -> None:
    """Whether a head can be answered as what it says it is.

    Args:
        version: of HTTP, as `1.1`.
        headers: names in lower case and values.

    Raises:
        RequestProblem: 505 for a version that is not spoken here; 400 for a host that is missing in HTTP/1.1, given
            twice or none (RFC 9112, 3.2); 501 for a transfer coding that is not known here (6.1), and 400 where the
            last of them is not `chunked`, so that nobody can know where the body ends (6.3).
    """
    if version not in SPOKEN:
        raise _version_not_supported()
    hosts: list[bytes] = []
    codings: list[bytes] = []
    for name, value in headers:
        if name == b"host":
            hosts.append(value)
        elif name == b"transfer-encoding":
            codings += value.lower().split(b",")
    if len(hosts) != 1:
        if hosts or version == "1.1":
            raise _invalid_host("is there more than once" if hosts else "is missing")
    elif not _is_host(hosts[0].strip(b" \t")):
        raise _invalid_host("is neither a name nor an address, with or without a port")
    if codings and [one.strip(b" \t") for one in codings] != [b"chunked"]:
        raise _unsupported_coding() if codings[-1].strip(b" \t") == b"chunked" else malformed_http()


def unreadable(error: httptools.HttpParserError, version: str) -> RequestProblem:
    """Why a request was not read on.

    Args:
        error: what the parser raised.
        version: of HTTP, as far as the parser had read it: of this request, or of the one before.

    Returns:
        The refusal that one of the parser's listeners raised; else 505 for a version not spoken here, 400 for the rest.
    """
    if isinstance(error.__context__, RequestProblem):
        return error.__context__
    return malformed_http() if version in SPOKEN or version == _NO_VERSION else _version_not_supported()


def framing_alone(headers: Sequence[tuple[bytes, bytes]]) -> bytes:
    """A head that frames its body as another one does, and says nothing else."""
    fields = (b"%s: %s\r\n" % field for field in headers if field[0] in _FRAMING)
    return b"".join([b"POST / HTTP/1.1\r\n", *fields, b"\r\n"])


def _is_host(value: bytes) -> bool:
    found = _HOST.fullmatch(value)
    if found is None or found[1] is None:
        return found is not None
    try:
        IPv6Address(found[1].decode())
    except AddressValueError:
        return False
    return True


def _invalid_host(why: str) -> RequestProblem:
    return RequestProblem(
        HTTPStatus.BAD_REQUEST,
        "invalid-host",
        f"The Host header field {why}; send it once, as the address has it: Host: shop.example or Host: 10.0.0.5:8000.",
        headers=CLOSE,
    )


def _version_not_supported() -> RequestProblem:
    return RequestProblem(
        HTTPStatus.HTTP_VERSION_NOT_SUPPORTED,
        "http-version-not-supported",
        "HTTP/1.1 and HTTP/1.0 are spoken here; send the request in one of them.",
        headers=CLOSE,
    )


def _unsupported_coding() -> RequestProblem:
    return RequestProblem(
        HTTPStatus.NOT_IMPLEMENTED,
        "unsupported-transfer-encoding",
        "The only transfer coding known here is chunked; send the body as it is, with Transfer-Encoding: chunked or"
        " with Content-Length.",
        headers=CLOSE,
    )
