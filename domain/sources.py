"""Sources of figures, and citations of them."""

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from domain.reference import rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A publication. `read` is `yes`, `secondary` (read in a text that quotes it) or `no` (recalled)."""

    id: str
    citation: str
    licence: str
    used_for: str
    read: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # `cite` makes one object for each citation
class Cited:
    """The place of a figure in a source; `confidence` is `read` or `memory` (recalled, not opened)."""

    source: str
    record: str
    confidence: str = "read"

    def __post_init__(self) -> None:
        """Reject a citation that /v1/sources could not explain."""
        if self.source not in SOURCES or not self.record or self.confidence not in {"read", "memory"}:
            raise ValueError(f"not a citation: {self}")


@cache
def cite(source: str, record: str, confidence: str = "read") -> Cited:
    """The citation of a record; always the same object, so that comparing and hashing are fast."""
    return Cited(source=source, record=record, confidence=confidence)


def cited(row: dict[str, str]) -> Cited:
    """The citation in a reference row's `source`, `record` and (if the table has it) `confidence`.

    Without a `confidence` column, a source that was not opened counts as recalled.
    """
    recalled = SOURCES[row["source"]].read == "no"
    return cite(row["source"], row["record"], row.get("confidence") or ("memory" if recalled else "read"))


SOURCES = MappingProxyType({row["id"]: Source(**row) for row in rows("sources")})
