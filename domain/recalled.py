"""Which answers rest on figures that were recalled, because no text with them was opened."""

from dataclasses import dataclass

from domain.reference import rows, words
from domain.sources import CONFIDENCES, cited


@dataclass(frozen=True, slots=True, kw_only=True)
class RecalledFigures:
    """The recalled figures of a table: how many of its figures, and what rests on them."""

    answers: str
    figures: int
    of: int


def confidence_of(row: dict[str, str]) -> str:
    """The confidence of a reference row, which is that of the least known of its sources."""
    return max((cited(row | {"source": source}).confidence for source in words(row["source"])), key=CONFIDENCES.index)


def recalled_figures() -> tuple[RecalledFigures, ...]:
    """The recalled figures of every table that holds some, as `recalled_topics.csv` names what rests on them."""
    topics = []
    for topic in rows("recalled_topics"):
        confidences = [confidence_of(row) for row in rows(topic["table"]) if row["source"]]
        figures = confidences.count("recalled")
        topics.append(RecalledFigures(answers=topic["answers"], figures=figures, of=len(confidences)))
    return tuple(topics)


RECALLED = recalled_figures()
