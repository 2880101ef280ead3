"""The corpus: lines of recipes with the readings that a baker expects."""

from dataclasses import dataclass
from pathlib import Path

from domain.reading.values import LANGUAGES, ReadingOptions


@dataclass(frozen=True, slots=True, kw_only=True)
class CorpusLine:
    """One line: `outcome` is line, question, kept, or a kind of line that needs a look of its own."""

    text: str
    options: ReadingOptions
    outcome: str
    meaning: str
    quantity: str
    packing: str


def load() -> list[CorpusLine]:
    """All lines, English first."""
    lines = []
    for language in LANGUAGES:
        path = Path(__file__).parent / f"corpus_{language}.psv"
        for row in path.read_text("utf-8").splitlines():
            if row.startswith("#"):
                continue
            cells = row.split("|")
            measures = cells.pop(0) if language == "en" else "metric"
            text, outcome, meaning, quantity, packing = (*cells, "", "")[:5]
            options = ReadingOptions(
                language=None if measures == "-" else language,
                measures=None if measures == "-" else measures,  # type: ignore[arg-type]  # as the file says
            )
            lines.append(
                CorpusLine(
                    text=text, options=options, outcome=outcome, meaning=meaning, quantity=quantity, packing=packing
                )
            )
    return lines
