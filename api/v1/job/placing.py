"""Gives errors the path of the field that was sent, where the domain only knows a tin."""

from collections.abc import Iterable

from api.v1.job.schemas import Formula, Job, Target
from domain.errors import DomainError, Path


def place_as_sent(errors: Iterable[DomainError], body: Job) -> None:
    """Let each error about a tin name `tin` or `tin_shape`, as it was sent. A text has no fields to point at."""
    for error in errors:
        error.path = as_sent(error.path, body)


def as_sent(path: Path, body: Job) -> Path:
    """A path of the domain as a path of the request.

    Args:
        path: in terms of the domain, which has one kind of tin.
        body: the request.
    Returns:
        The same path, with the field of the tin that was sent.
    """
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
