"""Sources of figures, and citations of them."""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType

from domain.errors import UnknownError
from domain.reference import rows

MAX_COMPARED, MAX_CANDIDATES = 80, 5  # our own limits: characters of an unknown id, and ids to suggest

# How a figure is known, the best first: the text itself was read; a text that quotes it was read; it was recalled
# without a text; it is the figure of a similar thing; it is our own limit, assumption or judgement.
CONFIDENCES = ("read", "quoted", "recalled", "borrowed", "own")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A publication; `confidence` says how far it was read (`CONFIDENCES`)."""

    id: str
    citation: str
    licence: str
    used_for: str
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # `cite` makes one object for each citation
class Cited:
    """The place of a figure in a source; `confidence` is one of `CONFIDENCES`."""

    source: str
    record: str
    confidence: str = "read"

    def __post_init__(self) -> None:
        """Reject a citation that /v1/sources could not explain."""
        if self.source not in SOURCES or not self.record or self.confidence not in CONFIDENCES:
            raise ValueError(f"not a citation: {self}")


@cache
def cite(source: str, record: str, confidence: str = "read") -> Cited:
    """The citation of a record; always the same object, so that comparing and hashing are fast."""
    return Cited(source=source, record=record, confidence=confidence)


def cited(row: dict[str, str]) -> Cited:
    """The citation in a reference row's `source`, `record` and (if the table has it) `confidence`.

    A figure is no better known than its source. A row whose `use` is `analogy` is borrowed from a similar thing.
    """
    of_source, of_row = SOURCES[row["source"]].confidence, row.get("confidence") or "read"
    confidence = "borrowed" if row.get("use") == "analogy" else max(of_source, of_row, key=CONFIDENCES.index)
    return cite(row["source"], row["record"], confidence)


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRange:
    """A figure that is not known for this oven, kitchen or bake, with the range that a window of time covers."""

    parameter: str
    meaning: str
    unit: str
    low: float
    central: float
    high: float
    cited: Cited


def figure_range(row: dict[str, str]) -> FigureRange:
    """The range in a reference row."""
    low, central, high = (float(row[name]) for name in ("low", "central", "high"))
    return FigureRange(
        parameter=row["parameter"],
        meaning=row["meaning"],
        unit=row["unit"],
        low=low,
        central=central,
        high=high,
        cited=cited(row),
    )


SOURCES = MappingProxyType({row["id"]: Source(**row) for row in rows("sources")})


def find_source(key: str) -> Source:
    """The source with an id.

    Args:
        key: the id, as citations name it.
    Returns:
        The source.
    Raises:
        UnknownError: no source has this id.

    >>> find_source("usda-sr28").confidence
    'read'
    """
    try:
        return SOURCES[key]
    except KeyError:
        near = tuple(get_close_matches(key[:MAX_COMPARED], SOURCES, n=MAX_CANDIDATES, cutoff=0.0))
        raise UnknownError("No source has this id.", candidates=near, code="unknown_source") from None
