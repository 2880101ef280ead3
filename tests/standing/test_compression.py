"""Compression: who gets gzip, and how entity tags keep compressed and plain bytes apart."""

import asyncio
import gzip
import zlib
from collections.abc import Callable

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.app import create_app
from api.serving.compression import MINIMUM_BYTES, Compression
from api.settings import Settings
from api.wire.caching import cacheable_response

LONG, SHORT = b"flour " * 1_000, b"x" * (MINIMUM_BYTES - 1)


async def long(request: Request) -> Response:
    return cacheable_response(request, LONG, media_type="text/plain", max_age_seconds=60, headers={"Vary": "Accept"})


async def short(request: Request) -> Response:
    return cacheable_response(request, SHORT, media_type="text/plain", max_age_seconds=60)


Ask = Callable[..., httpx.Response]


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


async def ask(path: str, **headers: str) -> httpx.Response:
    app = Compression(Starlette(routes=[Route("/long", long), Route("/short", short)]))
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
        sent = {"accept-encoding": "identity"} | {name.replace("_", "-"): value for name, value in headers.items()}
        return await client.get(path, headers=sent)


@pytest.mark.anyio
@pytest.mark.parametrize("accepted", ["gzip", "gzip, deflate, br", "br;q=1.0, gzip;q=0.5", "GZIP;q=1".lower()])
async def test_a_long_answer_is_compressed_for_who_accepts_it(accepted: str) -> None:
    answer = await ask("/long", accept_encoding=accepted)
    assert answer.headers["content-encoding"] == "gzip"
    assert answer.content == LONG  # httpx decodes it
    assert int(answer.headers["content-length"]) < len(LONG) / 10
    assert {part.strip() for part in answer.headers["vary"].split(",")} == {"Accept", "Accept-Encoding"}


@pytest.mark.anyio
@pytest.mark.parametrize("accepted", ["identity", "br", "gzip;q=0", "br, gzip; q=0.0, identity"])
async def test_other_clients_get_plain_bytes_with_the_same_vary_header(accepted: str) -> None:
    answer = await ask("/long", accept_encoding=accepted)
    assert "content-encoding" not in answer.headers
    assert answer.content == LONG
    assert "Accept-Encoding" in answer.headers["vary"]
    assert len(answer.headers.get_list("vary")) == 1  # nginx reads only one line


@pytest.mark.anyio
async def test_a_short_answer_is_not_compressed() -> None:
    answer = await ask("/short", accept_encoding="gzip")
    assert "content-encoding" not in answer.headers
    assert answer.content == SHORT


@pytest.mark.anyio
async def test_each_coding_has_its_own_strong_tag_and_both_are_recognised() -> None:
    plain, packed = await ask("/long"), await ask("/long", accept_encoding="gzip")
    assert packed.headers["etag"] == plain.headers["etag"][:-1] + '-gzip"'
    for tag, accepted in ((plain.headers["etag"], "identity"), (packed.headers["etag"], "gzip")):
        again = await ask("/long", accept_encoding=accepted, if_none_match=f'"other", {tag}')
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["etag"] == tag
    other = await ask("/long", accept_encoding="gzip", if_none_match='"0123-gzip"')
    assert other.status_code == 200


@pytest.mark.anyio
async def test_an_answer_that_never_changes_is_compressed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    app = create_app(Settings())
    monkeypatch.setattr(zlib, "compressobj", None)  # so that compressing a request's answer fails
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
        for path in ("/openapi.json", "/docs/swagger-ui.css", "/v1/ingredients", "/v1/units", "/v1/eggs/classes"):
            plain, packed = [
                await client.get(path, headers={"accept-encoding": coding}) for coding in ("identity", "gzip")
            ]
            assert "content-encoding" not in plain.headers
            assert packed.headers["content-encoding"] == "gzip"
            assert packed.content == plain.content
            assert int(packed.headers["content-length"]) < len(plain.content) / 3
            assert packed.headers["etag"] == plain.headers["etag"][:-1] + '-gzip"'
            assert "Accept-Encoding" in plain.headers["vary"]
            assert "Accept-Encoding" in packed.headers["vary"]


@pytest.mark.anyio
async def test_a_setting_leaves_compression_to_the_proxy() -> None:
    app = create_app(Settings(compression=False))
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
        for path in ("/v1/ingredients", "/openapi.json", "/v1/cuts?tin=square 20 cm&rows=4&columns=4"):
            answer = await client.get(path, headers={"accept-encoding": "gzip"})
            assert answer.status_code == 200
            assert "content-encoding" not in answer.headers


@pytest.mark.anyio
async def test_head_has_the_headers_of_get() -> None:
    app = create_app(Settings())
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
        for path in ("/v1/ingredients", "/v1/oven?setting=180 c"):
            got, head = await client.get(path), await client.head(path)
            for name in ("content-length", "etag", "vary", "content-encoding"):
                assert head.headers.get(name) == got.headers.get(name), (path, name)


def test_gzip_of_the_standard_library_reads_what_is_sent() -> None:
    # The wire bytes themselves: httpx decodes before the tests above see them.
    sent: list[bytes] = []

    async def run() -> None:
        async def send(message: dict[str, object]) -> None:
            body = message.get("body", b"")
            assert isinstance(body, bytes)
            sent.append(body)

        async def receive() -> dict[str, object]:
            return {"type": "http.request", "body": b"", "more_body": False}

        app = Compression(Starlette(routes=[Route("/long", long)]))
        scope = {
            "type": "http",
            "method": "GET",
            "path": "/long",
            "query_string": b"",
            "root_path": "",
            "scheme": "http",
            "headers": [(b"accept-encoding", b"gzip"), (b"host", b"x")],
            "http_version": "1.1",
            "server": ("x", 80),
        }
        await app(scope, receive, send)  # type: ignore[arg-type]  # plain dictionaries are messages

    asyncio.run(run())
    assert gzip.decompress(b"".join(sent)) == LONG
