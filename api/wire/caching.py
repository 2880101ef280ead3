"""Responses that a client may cache: strong entity tags, and 304 for a client that has the bytes already.

RFC 9110 (conditional requests) and RFC 9111 (caching).
"""

import gzip
import hashlib
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass
from http import HTTPStatus

import orjson
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from api.wire.request_state import ACCEPTS_GZIP

# RFC 5861: a cache may use an old copy for a day while it fetches a new one, and for a week while the service is down.
_STALE = "stale-while-revalidate=86400, stale-if-error=604800"
SLICE_BYTES = 65_536  # what is written at once of a large response; the server waits for the client between slices


@dataclass(frozen=True, slots=True)
class SerializedAnswer:
    """The bytes of an answer and their entity tag; for an answer that never changes, compressed too."""

    body: bytes
    etag: str
    gzipped: bytes = b""


def serialize_answer(answer: object) -> SerializedAnswer:
    """An answer as JSON, with the entity tag of its bytes."""
    return tagged(orjson.dumps(answer))


def static_answer(body: str | bytes) -> SerializedAnswer:
    """A body that never changes, compressed once instead of for each request."""
    content = body.encode() if isinstance(body, str) else body
    return SerializedAnswer(content, entity_tag(content), gzip.compress(content, mtime=0))


def accepts_gzip(request: Request) -> bool:
    """Whether the client accepts gzip and this service compresses."""
    return bool(request.scope.get("state", {}).get(ACCEPTS_GZIP))


def tagged(body: str | bytes) -> SerializedAnswer:
    """A body with its entity tag."""
    content = body.encode() if isinstance(body, str) else body
    return SerializedAnswer(content, entity_tag(content))


def entity_tag(body: bytes) -> str:
    """The strong entity tag of these bytes."""
    return f'"{hashlib.blake2b(body, digest_size=12).hexdigest()}"'


def is_cached(if_none_match: str, tag: str) -> bool:
    """Whether a client that sent this If-None-Match has the bytes of *tag* already.

    RFC 9110, 13.1.2: a list, or `*`; the comparison is weak, so a leading `W/` does not matter.

    >>> is_cached('"other", W/"this"', '"this"')
    True
    """
    if not if_none_match:
        return False
    tags = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return "*" in tags or tag in tags


def cache_control(max_age_seconds: int) -> str:
    """The Cache-Control of a response that any cache may keep."""
    return f"public, max-age={max_age_seconds}, {_STALE}"


def cacheable_response(
    request: Request,
    body: bytes | SerializedAnswer,
    *,
    media_type: str,
    max_age_seconds: int,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """A response to a GET that a cache may keep.

    Args:
        request: its If-None-Match may already name these bytes.
        body: the bytes, with their entity tag if it is known already; a large body is sent in slices, so that no copy
            waits for a slow client.
        media_type: their Content-Type.
        max_age_seconds: how long they may be cached.
        headers: any others, sent with 304 too.
    Returns:
        200 with the bytes, or 304 without.
    """
    content = body if isinstance(body, SerializedAnswer) else tagged(body)
    tag, body = content.etag, content.body
    sent = {**(headers or {}), "ETag": tag, "Cache-Control": cache_control(max_age_seconds)}
    if content.gzipped:
        sent["Vary"] = ", ".join(filter(None, (sent.get("Vary"), "Accept-Encoding")))
    if is_cached(request.headers.get("if-none-match", ""), tag):
        return Response(status_code=HTTPStatus.NOT_MODIFIED.value, headers=sent)
    if content.gzipped and accepts_gzip(request):
        body = content.gzipped
        sent["Content-Encoding"] = "gzip"
    if len(body) <= SLICE_BYTES:
        return Response(body, media_type=media_type, headers=sent)
    return StreamingResponse(_slices(body), media_type=media_type, headers={**sent, "Content-Length": str(len(body))})


async def _slices(body: bytes) -> AsyncIterator[bytes]:
    for start in range(0, len(body), SLICE_BYTES):
        yield body[start : start + SLICE_BYTES]
