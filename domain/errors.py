"""Errors that a caller can cause, without HTTP.

    DomainError
    ├── AmbiguousError       a word that means different things in different places
    ├── UnknownError         a name that is in none of our tables
    ├── MismatchError        two things that do not fit together (grams asked as millimetres)
    ├── OutOfRangeError      a figure outside its limits
    ├── UnreadableError      text that is not the amount, quantity or tin it should be
    └── NeededError          a figure without which the answer would be a guess

The API decides the status. `code` is public and stable; `candidates` is what would have worked.
"""

from collections.abc import Mapping
from functools import partial
from typing import Any

Path = tuple[str | int, ...]


class DomainError(ValueError):
    """Base of all errors; `path` names the argument or field, outermost part first."""

    code = "domain_error"

    def __init__(
        self,
        detail: str,
        *,
        path: Path = (),
        candidates: tuple[str, ...] = (),
        code: str = "",
        value: float | None = None,
        limit: float | None = None,
        unit: str = "",
    ) -> None:
        """Keep what the caller needs to know.

        Args:
            detail: a sentence that says what is wrong and what to do about it.
            path: keys and indexes into the request.
            candidates: values that would have been accepted, nearest first.
            code: a narrower public code than the class's own.
            value: the figure that is wrong.
            limit: the limit that it breaks.
            unit: the id of the unit of both; "" for a plain number.
        """
        super().__init__(detail)
        self.value, self.limit, self.unit = value, limit, unit
        self.detail, self.path, self.candidates = detail, path, candidates
        self.code = code or type(self).code

    def within(self, *path: str | int) -> "DomainError":
        """Put *path* before this error's own path, and return the error."""
        self.path = path + self.path
        return self

    def brief(self) -> "DomainError":
        """The same error without details that take long to find."""
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        """Support pickling, which calls the class with positional arguments only."""
        return type(self), (self.detail,), self.__dict__


class AmbiguousError(DomainError):
    """A word that means different things in different countries."""

    code = "ambiguous"


class UnknownError(DomainError):
    """A name in none of our tables."""

    code = "unknown"


class MismatchError(DomainError):
    """Two things that do not fit together."""

    code = "mismatch"


class OutOfRangeError(DomainError):
    """A figure outside its limits; the error always holds the figure and the limit."""

    code = "out_of_range"

    def __init__(
        self,
        detail: str,
        *,
        value: float,
        limit: float,
        unit: str = "",
        path: Path = (),
        candidates: tuple[str, ...] = (),
        code: str = "",
    ) -> None:
        """Keep what the caller needs to know; the arguments are those of `DomainError`."""
        super().__init__(detail, path=path, candidates=candidates, code=code, value=value, limit=limit, unit=unit)

    def __reduce__(self) -> tuple[Any, ...]:
        """Support pickling, which calls the class with positional arguments only."""
        return partial(type(self), value=0, limit=0), (self.detail,), self.__dict__


def broken_limit(value: float, low: float, high: float) -> float:
    """The limit that a figure breaks.

    Args:
        value: the figure, outside the limits.
        low: the least that is accepted.
        high: the most that is accepted.
    Returns:
        *low* or *high*.
    """
    return low if value < low else high


class UnreadableError(DomainError):
    """Text that is not what it should be."""

    code = "unreadable"


class NeededError(DomainError):
    """A figure without which the answer would be a guess."""

    code = "needed"


class DomainErrors(Exception):  # noqa: N818 - a group of errors
    """Several errors of one request, so that the caller can correct all of them at once."""

    def __init__(self, errors: list[DomainError]) -> None:
        """Keep the errors in the order they were found."""
        super().__init__(f"{len(errors)} errors")
        self.errors = errors


class at_path:  # noqa: N801 - used as a function; a class, because @contextmanager costs three times as much
    """Put *path* before the path of every error raised inside the block.

    >>> try:
    ...     with at_path("lines", 0):
    ...         raise UnknownError("no such thing")
    ... except UnknownError as error:
    ...     error.path
    ('lines', 0)
    """

    __slots__ = ("path",)

    def __init__(self, *path: str | int) -> None:
        """Set the path."""
        self.path = path

    def __enter__(self) -> None:
        """Nothing to prepare."""

    def __exit__(self, _: object, error: BaseException | None, __: object) -> None:
        """Place the errors."""
        if isinstance(error, DomainError):
            error.within(*self.path)
        elif isinstance(error, DomainErrors):
            for each in error.errors:
                each.within(*self.path)


class at_arguments:  # noqa: N801 - used as a function, as `at_path`
    """Replace an argument's name, at the head of every error raised inside the block, by that argument's own path.

    Use it where a function takes its arguments from different places. Other paths stay as they are.

    >>> try:
    ...     with at_arguments(have=("formula", "tin"), want=("targets", 0, "tin")):
    ...         raise NeededError("no depth", path=("want", "depth"))
    ... except NeededError as error:
    ...     error.path
    ('targets', 0, 'tin', 'depth')
    """

    __slots__ = ("paths",)

    def __init__(self, **paths: Path) -> None:
        """Set for each argument the place that its value came from."""
        self.paths = paths

    def __enter__(self) -> None:
        """Nothing to prepare."""

    def __exit__(self, _: object, error: BaseException | None, __: object) -> None:
        """Place the errors."""
        if isinstance(error, DomainError | DomainErrors):
            for each in error.errors if isinstance(error, DomainErrors) else [error]:
                each.path = _place_of(each.path, self.paths)


def _place_of(path: Path, paths: Mapping[str, Path]) -> Path:
    return (*paths.get(str(path[0]), path[:1]), *path[1:]) if path else path


class ErrorCollector:
    """Collects the errors of one request, so that the caller gets all of them at once.

    >>> errors = ErrorCollector()
    >>> with errors.at("lines", 0):
    ...     raise UnknownError("no such thing")
    >>> errors.errors[0].path
    ('lines', 0)
    """

    def __init__(self) -> None:
        """Start with no errors."""
        self.errors: list[DomainError] = []

    def at(self, *path: str | int) -> "_Recording":
        """Record any error raised inside the block under *path*, and continue after the block."""
        return _Recording(self.errors, path)

    def raise_if_any(self) -> None:
        """Raise every recorded error.

        Raises:
            DomainErrors: at least one error was recorded.
        """
        if self.errors:
            raise DomainErrors(self.errors)


class _Recording:
    """The block of `ErrorCollector.at`; a class, so that type checkers know that it can suppress an error."""

    __slots__ = ("errors", "path")

    def __init__(self, errors: list[DomainError], path: Path) -> None:
        self.errors, self.path = errors, path

    def __enter__(self) -> None:
        """Nothing to prepare."""

    def __exit__(self, _: object, error: BaseException | None, __: object) -> bool:
        if error is None:
            return False
        errors = error.errors if isinstance(error, DomainErrors) else [error]
        if not all(isinstance(each, DomainError) for each in errors):
            return False
        self.errors += [each.within(*self.path) for each in errors if isinstance(each, DomainError)]
        return True
