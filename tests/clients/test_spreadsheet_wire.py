"""What a calc sheet sends over the wire, byte by byte, to a real server."""

import gzip
import socket
from urllib.parse import urlsplit

import pytest

URL = "/v1/convert?amount=1%20%c2%bd&unit=us_cup&to=ml&format=cell"
SHEET_HEADERS = "Accept: */*\r\nAccept-Encoding: deflate, gzip, br, zstd\r\n"


def talk(service: str, request: str) -> tuple[int, dict[str, str], bytes]:
    """Send a request as it is; the status, the headers and the body of the answer."""
    parts = urlsplit(service)
    with socket.create_connection((parts.hostname, parts.port), timeout=10) as connection:
        connection.sendall(request.encode())
        raw = b""
        while chunk := connection.recv(65536):
            raw += chunk
    head, _, body = raw.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    return int(first.split()[1]), {k.casefold(): v for k, _, v in (line.partition(": ") for line in lines)}, body


def request(method: str, url: str, version: str = "1.1", more: str = "") -> str:
    """One request, after which the connection closes."""
    return f"{method} {url} HTTP/{version}\r\nHost: localhost\r\nConnection: close\r\n{SHEET_HEADERS}{more}\r\n"


def test_options_head_range_and_get_in_turn(service: str) -> None:
    status, headers, body = talk(service, request("OPTIONS", URL))
    assert (status, headers["allow"], body) == (204, "GET, HEAD, OPTIONS, POST", b"")
    status, headers, body = talk(service, request("HEAD", URL))
    assert (status, body) == (200, b"")
    length = int(headers["content-length"])
    for more in ("Range: bytes=0-0\r\n", ""):
        status, headers, body = talk(service, request("GET", URL, more=more))
        assert (status, body) == (200, b"35488235475E-8")  # a cup and a half: exact, NIST Handbook 44, appendix C
        assert len(body) == length
        assert headers["content-type"] == "text/plain; charset=utf-8"


@pytest.mark.parametrize("method", ["HEAD", "GET"])
def test_http_1_0_is_answered(service: str, method: str) -> None:
    status, headers, body = talk(service, f"{method} {URL} HTTP/1.0\r\n{SHEET_HEADERS}\r\n")
    assert status == 200
    assert body == (b"" if method == "HEAD" else b"35488235475E-8")
    assert headers["content-length"] == "14"


def test_options_on_nothing_is_404(service: str) -> None:
    assert talk(service, request("OPTIONS", "/nothing"))[0] == 404


def test_a_raw_bar_in_the_address_is_taken(service: str) -> None:
    status, _, body = talk(service, request("GET", "/v1/convert/rows?item=1|us_cup||ml&item=1|kg&format=csv"))
    assert status == 200
    assert [line.split(b",")[1] for line in body.split(b"\r\n")[1:3]] == [b"236.5882365", b"1000"]


def test_latin_1_is_refused_and_not_misread(service: str) -> None:
    url = "/v1/convert?amount=1%BD&unit=us_cup&to=ml"
    assert talk(service, request("GET", url))[0] == 422
    assert talk(service, request("GET", f"{url}&format=cell"))[2].startswith(b"# amount: ")


def test_an_address_of_nine_thousand_characters_is_answered(service: str) -> None:
    rows = "&".join(["item=1%7Cus_cup%7Cplain-flour"] * 280)
    status, headers, body = talk(service, request("GET", f"/v1/convert/rows?{rows}&format=csv"))
    assert headers["content-encoding"] == "gzip"  # the sheet accepts it
    body = gzip.decompress(body)
    assert (status, body.count(b"\r\n")) == (200, 281)
