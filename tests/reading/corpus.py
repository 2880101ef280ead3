"""The corpus: lines of recipes, and whole recipes, with the readings that a baker expects."""

from dataclasses import dataclass
from pathlib import Path

from domain.reading.values import LANGUAGES, ReadingOptions

FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True)
class CorpusLine:
    """One line: `outcome` is line, question, kept, or a kind of line that needs a look of its own."""

    text: str
    options: ReadingOptions
    outcome: str
    meaning: str
    quantity: str
    packing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorpusRecipe:
    """A whole recipe: its lines, and what the formula and its lines say of the tin, the oven and the time."""

    name: str
    lines: tuple[CorpusLine, ...]
    options: ReadingOptions
    tin: str
    oven: str
    fan: bool | None
    minutes: float | None
    yields: int | None

    @property
    def text(self) -> str:
        """The recipe as it is pasted."""
        return "\n".join(line.text for line in self.lines)


def load() -> list[CorpusLine]:
    """All lines, English first."""
    lines = []
    for language in LANGUAGES:
        for row in _rows(language):
            if row.startswith("#"):
                continue
            cells = row.split("|")
            measures = cells.pop(0) if language == "en" else "metric"
            options = ReadingOptions(
                language=None if measures == "-" else language,
                measures=None if measures == "-" else measures,  # type: ignore[arg-type]  # as the file says
            )
            lines.append(_line(cells, options))
    return lines


def _rows(language: str) -> list[str]:
    """The rows of every file of a language."""
    paths = sorted(FOLDER.glob(f"corpus_{language}*.psv"))
    return [row for path in paths for row in path.read_text("utf-8").split("\n") if row]


def load_recipes() -> list[CorpusRecipe]:
    """All whole recipes; the first row of a file has language, measures, tin, oven, fan, minutes and yield if any."""
    recipes = []
    for path in sorted((FOLDER / "recipes").glob("*.psv")):
        head, *rows = path.read_text("utf-8").splitlines()
        language, measures, tin, oven, fan, minutes, yields = (cell.strip() for cell in head[1:].split("|"))
        options = ReadingOptions(language=language, measures=measures)  # type: ignore[arg-type]  # as the file says
        recipes.append(
            CorpusRecipe(
                name=path.stem,
                lines=tuple(_line(row.split("|"), options) for row in rows),
                options=options,
                tin=tin,
                oven=oven,
                fan={"True": True, "False": False}.get(fan),
                minutes=float(minutes) if minutes else None,
                yields=int(yields) if yields else None,
            )
        )
    return recipes


def _line(cells: list[str], options: ReadingOptions) -> CorpusLine:
    text, outcome, meaning, quantity, packing = (*cells, "", "", "", "")[:5]
    return CorpusLine(text=text, options=options, outcome=outcome, meaning=meaning, quantity=quantity, packing=packing)
