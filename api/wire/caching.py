"""Bytes that a cache may keep: strong entity tags, and 304 for a client that has them already (RFC 9110 and 9111)."""

import hashlib
from collections.abc import Mapping
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response


def entity_tag(body: bytes) -> str:
    """The strong entity tag of these bytes."""
    return f'"{hashlib.blake2b(body, digest_size=12).hexdigest()}"'


def is_cached(if_none_match: str, tag: str) -> bool:
    """Whether a client that sent this If-None-Match holds the bytes of *tag* already.

    RFC 9110, 13.1.2: a list, or `*`; the comparison is weak, so a `W/` in front does not matter.

    >>> is_cached('"other", W/"this"', '"this"')
    True
    """
    if not if_none_match:
        return False
    tags = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return "*" in tags or tag in tags


def cacheable_response(
    request: Request, body: bytes, *, media_type: str, max_age_seconds: int, headers: Mapping[str, str] | None = None
) -> Response:
    """An answer to a GET that a cache may keep.

    Args:
        request: whose If-None-Match may already name these bytes.
        body: the bytes.
        media_type: their Content-Type.
        max_age_seconds: how long they may be kept.
        headers: any others, sent with 304 too.
    Returns:
        200 with the bytes, or 304 without.
    """
    tag = entity_tag(body)
    sent = {**(headers or {}), "ETag": tag, "Cache-Control": f"public, max-age={max_age_seconds}"}
    if is_cached(request.headers.get("if-none-match", ""), tag):
        return Response(status_code=HTTPStatus.NOT_MODIFIED.value, headers=sent)
    return Response(body, media_type=media_type, headers=sent)
