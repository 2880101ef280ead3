"""Everything a caller can cause, without HTTP.

    DomainError
    ├── AmbiguousError       a word that means different things in different places
    ├── UnknownError         a name that is in none of our tables
    ├── MismatchError        two things that do not fit together (grams asked as millimetres)
    ├── OutOfRangeError      a figure outside its limits
    ├── UnreadableError      text that is not the amount, quantity or tin it should be
    └── NeededError          a figure without which the answer would be a guess

The API decides the status. `code` is public and stable; `candidates` is what would have worked.
"""

Path = tuple[str | int, ...]


class DomainError(ValueError):
    """Base of all refusals; `path` says where in the request, outermost first."""

    code = "domain-error"

    def __init__(self, detail: str, *, path: Path = (), candidates: tuple[str, ...] = (), code: str = "") -> None:
        """Keep what to tell the caller.

        Args:
            detail: a sentence that says what is wrong and what to do about it.
            path: keys and indexes into the request.
            candidates: values that would have been accepted, nearest first.
            code: a narrower public code than the class's own.
        """
        super().__init__(detail)
        self.detail, self.path, self.candidates = detail, path, candidates
        self.code = code or type(self).code

    def under(self, *path: str | int) -> "DomainError":
        """The same refusal, seen from further out."""
        self.path = path + self.path
        return self

    def brief(self) -> "DomainError":
        """The same refusal without what it would cost to look for."""
        return self

    def __reduce__(self) -> tuple[type["DomainError"], tuple[str], dict[str, object]]:
        """Survive pickling, which calls the class with positional arguments only."""
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
    """A figure outside its limits."""

    code = "out-of-range"


class UnreadableError(DomainError):
    """Text that is not what it should be."""

    code = "unreadable"


class NeededError(DomainError):
    """A figure without which the answer would be a guess."""

    code = "needed"


class DomainErrors(Exception):  # noqa: N818 - the plural says it: several refusals at once
    """Several refusals of one request, so that the caller mends them in one go."""

    def __init__(self, errors: list[DomainError]) -> None:
        """Keep the refusals in the order they were found."""
        super().__init__(f"{len(errors)} refusals")
        self.errors = errors


class Under:
    """Puts a path before the path of any refusal raised inside the block; made by `under`.

    A class, since a generator's context manager costs several times as much and a formula has many lines.
    """

    __slots__ = ("path",)

    def __init__(self, path: Path) -> None:
        """Keep the path."""
        self.path = path

    def __enter__(self) -> None:
        """Nothing to do."""

    def __exit__(self, _: object, error: BaseException | None, __: object) -> None:
        """Lengthen the path of what is on its way out."""
        if isinstance(error, DomainError):
            error.under(*self.path)
        elif isinstance(error, DomainErrors):
            for one in error.errors:
                one.under(*self.path)


def under(*path: str | int) -> Under:
    """A block whose refusals lie under *path*.

    >>> try:
    ...     with under("lines", 0):
    ...         raise UnknownError("no such thing")
    ... except UnknownError as error:
    ...     error.path
    ('lines', 0)
    """
    return Under(path)


class _At:
    """As `Under`, but the refusal is noted and goes no further."""

    __slots__ = ("errors", "path")

    def __init__(self, path: Path, errors: list[DomainError]) -> None:
        self.path, self.errors = path, errors

    def __enter__(self) -> None:
        """Nothing to do."""

    def __exit__(self, _: object, error: BaseException | None, __: object) -> bool:
        if not isinstance(error, DomainError):
            return False
        self.errors.append(error.under(*self.path))
        return True


class Findings:
    """Collects refusals while a request is read, instead of stopping at the first.

    >>> findings = Findings()
    >>> with findings.at("lines", 0):
    ...     raise UnknownError("no such thing")
    >>> findings.errors[0].path
    ('lines', 0)
    """

    def __init__(self) -> None:
        """Start with none."""
        self.errors: list[DomainError] = []

    def at(self, *path: str | int) -> _At:
        """A block whose refusal is noted under *path*; what follows the block goes on."""
        return _At(path, self.errors)

    def raise_if_any(self) -> None:
        """Raise what was found, all of it.

        Raises:
            DomainErrors: at least one refusal was noted.
        """
        if self.errors:
            raise DomainErrors(self.errors)
