"""Reports the domain's errors beside schema errors, by reading what is left without the places at fault.

A request with a schema error cannot be computed. So that everything that is wrong is still reported at once, the places
at fault are removed, the rest is validated again, and the endpoint is called for its errors alone. Of these only those
count that cannot come from the removal.
"""

from collections.abc import Callable
from typing import Any

from pydantic import ValidationError

from domain.errors import AmbiguousError, DomainError, Path, UnknownError, UnreadableError

Places = set[Path]
MAX_ROUNDS = 3  # removing a place can leave an object without a required field
_REMOVED = object()


def removed(sent: Any, path: Path, *, missing: bool) -> Path:  # noqa: ANN401 - plain JSON
    """The place to remove for an error: the value itself, or the object that lacks a required field."""
    return path[:-1] if missing or not _exists(sent, path) else path


def without(sent: Any, places: Places) -> tuple[Any, dict[Path, list[int]]]:  # noqa: ANN401 - plain JSON
    """A copy without the places, and for each list that lost items the original positions of those it kept.

    >>> without({"a": [1, 2, 3], "b": 4}, {("a", 1), ("b",)})
    ({'a': [1, 3]}, {('a',): [0, 2]})
    """
    kept: dict[Path, list[int]] = {}
    return _without(sent, places, (), (), kept), kept


def _without(value: Any, places: Places, old: Path, new: Path, kept: dict[Path, list[int]]) -> Any:  # noqa: ANN401
    if old in places:
        return _REMOVED
    if isinstance(value, dict):
        copied = {key: _without(inner, places, (*old, key), (*new, key), kept) for key, inner in value.items()}
        return {key: inner for key, inner in copied.items() if inner is not _REMOVED}
    if isinstance(value, list):
        items: list[Any] = []
        positions: list[int] = []
        for position, inner in enumerate(value):
            item = _without(inner, places, (*old, position), (*new, len(items)), kept)
            if item is not _REMOVED:
                items.append(item)
                positions.append(position)
        if len(items) < len(value):
            kept[new] = positions
        return items
    return value


def original(path: Path, kept: dict[Path, list[int]]) -> Path:
    """A path in the copy as a path in the original.

    An item that a list does not hold keeps its position: the domain adds a target where a list is empty.

    >>> original(("a", 1), {("a",): [0, 2]}), original(("a", 0), {("a",): []})
    (('a', 2), ('a', 0))
    """
    return tuple(_original_part(part, kept.get(path[:i], [])) for i, part in enumerate(path))


def _original_part(part: str | int, positions: list[int]) -> str | int:
    return positions[part] if isinstance(part, int) and part < len(positions) else part


def validated(
    sent: Any,  # noqa: ANN401 - plain JSON
    places: Places,
    validate: Callable[[Any], Any],
) -> tuple[Any, dict[Path, list[int]]] | None:
    """What is left without the places, validated, with the positions kept; None if too little is left."""
    for _ in range(MAX_ROUNDS):
        if () in places:
            return None
        left, kept = without(sent, places)
        try:
            return validate(left), kept
        except ValidationError as error:
            for each in error.errors(include_url=False, include_input=False, include_context=False):
                missing = each["type"] == "missing"
                path = path_in(left, tuple(each["loc"]), missing=missing)
                places |= {original(removed(left, path, missing=missing), kept)}
    return None


def path_in(sent: object, loc: Path, *, missing: bool) -> Path:
    """The place of an error without the tags that pydantic adds for the alternative of a union that it tried.

    Args:
        sent: what was validated.
        loc: pydantic's location of the error.
        missing: whether the last part of *loc* is a required field that is not there.
    """
    path: list[str | int] = []
    for position, part in enumerate(loc):
        inside = (isinstance(sent, dict) and part in sent) or (
            isinstance(sent, list) and isinstance(part, int) and part < len(sent)
        )
        if inside:
            sent = sent[part]  # type: ignore[index]
            path.append(part)
        elif missing and position == len(loc) - 1:
            path.append(part)
    return tuple(path)


def independent(
    errors: list[DomainError],
    sent: Any,  # noqa: ANN401 - plain JSON
    places: Places,
    kept: dict[Path, list[int]],
    *,
    in_query: bool,
) -> list[DomainError]:
    """The domain's errors that would be there without the removal, with their paths in the original request.

    Args:
        errors: what the endpoint raised for the rest of the request.
        sent: the part of the request, as it was sent.
        places: what was removed from it.
        kept: the positions kept, as `without` returns them.
        in_query: whether the part is a query, where a path is one parameter.
    """
    for error in errors:
        error.path = error.path[:1] if in_query else original(error.path, kept)
    return [error for error in errors if _independent(error, sent, places)]


def _independent(error: DomainError, sent: Any, places: Places) -> bool:  # noqa: ANN401 - plain JSON
    """Whether an error would be there without the removal: it concerns one text that is still there."""
    if not isinstance(error, UnknownError | UnreadableError | AmbiguousError):
        return False  # a missing or ill-fitting figure may be one that was removed
    if any(error.path[: len(place)] == place or place[: len(error.path)] == error.path for place in places):
        return False
    if isinstance(error, AmbiguousError) and any(place[-1] == "measures" for place in places):
        return False
    if isinstance(error, UnknownError) and any(_defines_a_name(sent, place) for place in places):
        return False
    return _exists(sent, error.path)


def _defines_a_name(sent: Any, place: Path) -> bool:  # noqa: ANN401 - plain JSON
    value = sent
    for part in place:
        value = value[part]
    return place[-1] == "name" or (isinstance(value, dict | list) and _holds_a_name(value))


def _holds_a_name(value: Any) -> bool:  # noqa: ANN401 - plain JSON
    if isinstance(value, dict):
        return "name" in value or any(_holds_a_name(inner) for inner in value.values())
    return isinstance(value, list) and any(_holds_a_name(inner) for inner in value)


def _exists(sent: Any, path: Path) -> bool:  # noqa: ANN401 - plain JSON
    return bool(path) and path_in(sent, path, missing=False) == path
