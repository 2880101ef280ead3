"""Parts of answers that the topics share, as dictionaries."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import orjson

from api.wire.problems import pointer_to
from domain.notices import Notice
from domain.sources import SOURCES, Cited


@lru_cache(maxsize=1024)
def source_refs(cited: tuple[Cited, ...]) -> orjson.Fragment:
    """Citations, serialised once: they are half of a long answer, and few of them differ."""
    return as_json_fragment([{"source": c.source, "record": c.record, "confidence": c.confidence} for c in cited])


def as_json_fragment(part: object) -> orjson.Fragment:
    """A part of an answer as JSON; formats other than JSON parse it again (`api.wire.routing`)."""
    return orjson.Fragment(orjson.dumps(part))


def as_plain_data(answer: dict[str, Any]) -> dict[str, Any]:
    """An answer as its readers see it: its JSON fragments are dictionaries and lists again."""
    plain: dict[str, Any] = orjson.loads(orjson.dumps(answer))
    return plain


def warnings(notices: Iterable[Notice], *, in_query: bool = False) -> list[dict[str, Any]]:
    """Each warning once, with pointers into the body or the names of query parameters."""
    field = "parameters" if in_query else "pointers"
    by_text: dict[tuple[str, str], dict[str, Any]] = {}
    for code, message, path, value, limit, unit in notices:
        warning = by_text.get((code, message))
        if warning is None:
            warning = by_text[code, message] = {"code": code, "message": message, field: []}
            if value is not None:
                warning["value"] = value
            if limit is not None:
                warning["limit"] = limit
            if unit:
                warning["unit"] = unit
        if path:
            place = str(path[0]) if in_query else pointer_to(path)
            if place not in warning[field]:
                warning[field].append(place)
    return list(by_text.values())


def sources(cited: Iterable[Cited]) -> orjson.Fragment:
    """The full text of each cited source, once, sorted by id."""
    return _sources(frozenset([c.source for c in cited]))


@lru_cache(maxsize=1024)
def _sources(keys: frozenset[str]) -> orjson.Fragment:
    return as_json_fragment([source(key) for key in sorted(keys)])


def source(key: str) -> dict[str, str]:
    """The citation of one source."""
    publication = SOURCES[key]
    return {"id": publication.id, "citation": publication.citation, "confidence": publication.confidence}


def source_details(key: str) -> dict[str, str]:
    """The citation of one source, and what we take from it."""
    publication = SOURCES[key]
    return {**source(key), "licence": publication.licence, "used_for": publication.used_for}


def without_none(**fields: object) -> dict[str, Any]:
    """The fields that have a value; unknown values are left out instead of null."""
    return {name: value for name, value in fields.items() if value is not None}
