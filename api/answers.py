"""Parts of answers that every topic shares, as the dictionaries that go out."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from api.problems import pointer_to
from domain.notices import Notice
from domain.sources import SOURCES, Cited


@lru_cache(maxsize=4096)
def source_refs(cited: tuple[Cited, ...]) -> list[dict[str, str]]:
    """Citations as a list; shared between answers, so nobody may change it."""
    return [{"source": c.source, "record": c.record, "confidence": c.confidence} for c in cited]


def warnings(notices: Iterable[Notice], *, in_query: bool = False) -> list[dict[str, Any]]:
    """Warnings with their place in the request."""
    return [
        {
            "code": notice.code,
            "message": notice.message,
            "pointer": (str(notice.path[0]) if notice.path else "") if in_query else pointer_to(notice.path),
        }
        for notice in notices
    ]


def sources(cited: Iterable[Cited]) -> list[dict[str, str]]:
    """Every source cited, once, in full, by id."""
    return [source(key) for key in sorted({c.source for c in cited})]


def source(key: str) -> dict[str, str]:
    """One source in full."""
    found = SOURCES[key]
    return {
        "id": found.id,
        "citation": found.citation,
        "licence": found.licence,
        "used_for": found.used_for,
        "read": found.read,
    }


def known(**fields: object) -> dict[str, Any]:
    """The fields that have a value; what is not known is left out rather than null."""
    return {name: value for name, value in fields.items() if value is not None}
