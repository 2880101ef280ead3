"""Gives errors and warnings the path of the field or parameter that was sent."""

from collections.abc import Iterable

from api.v1.job.schemas import Formula, Job, Target
from domain.errors import DomainError, Path

_OF_TARGET = {"depth": "depth"}


class QueryJob(Job):
    """A job that came as the parameters of a query."""


def place_as_sent(errors: Iterable[DomainError], body: Job) -> None:
    """Let each error name the field or parameter that was sent; see `as_sent`."""
    for error in errors:
        place = _line_number(error.path, body) if isinstance(body, QueryJob) else None
        if place is not None:
            error.detail = f"Line {place}: {error.detail}"
        error.path = as_sent(error.path, body)


def as_sent(path: Path, body: Job | None) -> Path:
    """A path of the domain as a path of the request.

    Args:
        path: in terms of the domain, which has one kind of tin.
        body: the request; None for a query that is not read yet.
    Returns:
        The same path with the field of the tin that was sent, since a text has no fields to point at; of a query, the
        parameter.
    """
    if body is None or isinstance(body, QueryJob):
        return _parameter(path)
    holder: Formula | Target | None = None
    at = 1
    if path[:2] == ("formula", "tin"):
        holder = body.formula
    elif path[:1] == ("targets",) and path[2:3] == ("tin",):
        # Without targets, the only one is the formula itself.
        holder, at = (body.targets[int(path[1])], 2) if body.targets else (body.formula, 1)
        path = path if body.targets else ("formula", *path[2:])
    if holder is None:
        return path
    if holder.tin_shape is not None:
        return (*path[:at], "tin_shape", *path[at + 1 :])
    return path[: at + 1]


def _parameter(path: Path) -> Path:
    if path[:1] == ("targets",):
        return (_OF_TARGET.get(str(path[2]), "want") if len(path) > 2 else "want",)
    if path[:1] != ("formula",) or len(path) == 1:
        return path[:1]
    if path[1] == "components":
        return ("line",) if "lines" in path else ("pieces",) if "pieces" in path else ("component",)
    if path[1] in {"bake", "cuts"}:
        whole = "oven" if path[1] == "bake" else "portions"
        return (str(path[2]) if len(path) > 2 else whole,)
    return path[1:2]


def _line_number(path: Path, body: Job) -> int | None:
    if path[:2] != ("formula", "components") or path[3:4] != ("lines",):
        return None
    before = sum(len(component.lines) for component in body.formula.components[: int(path[2])])
    return before + int(path[4]) + 1
