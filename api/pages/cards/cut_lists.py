"""Where the knife goes: every cut of a layout with its number, in lists that a ruler, an angle or a tape can follow."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from api.drawings.language import Language
from api.drawings.rulers import Measure, mark_text
from api.pages.cards.words import Words
from domain.cutting.knife_cuts import RadialCut, radial_cuts, slanting_cuts, trim_cuts
from domain.cutting.layouts import CutLayout
from domain.cutting.marks import Mark, ObliqueMark

ROWS_A_LIST, MAX_LISTS = 12, 4  # rows of one list; the rest continue in lists beside it, as many as fit a sheet of A4
MAX_ROWS = 120  # our own limit: more do not fit a sheet of A4, and the last ones repeat the step of the first
Cells = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutList:
    """Cuts along one ruler: the number of each cut, then its figures in the order of `columns`."""

    caption: str
    columns: Cells
    rows: tuple[Cells, ...]


def cut_lists(layout: CutLayout, words: Words, language: Language, measure: Measure) -> Iterator[CutList]:
    """The lists of all cuts, numbered through: the last number is that of the cuts to make.

    Args:
        layout: how the slab is divided.
        words: of the page's language.
        language: of the figures.
        measure: the unit of the ruler and the tape.
    """
    number, left = 0, MAX_ROWS
    for caption, columns, rows in _all_lists(layout, words, language, measure):
        cells = list(islice(rows, left))
        numbered = [(str(number + i), *row) for i, row in enumerate(cells, start=1)]
        number, left = number + len(cells), left - len(cells)
        yield from _parts(caption, columns, numbered, words)


def _all_lists(
    layout: CutLayout, words: Words, language: Language, measure: Measure
) -> Iterator[tuple[str, Cells, Iterable[Cells]]]:
    marks = layout.marks
    if trims := trim_cuts(layout):
        edge = (mark_text(layout.cutting.trim_mm, measure, language),)
        yield words.text("Trim"), (words.text("%(unit)s from the edge", unit=measure),), [edge] * trims
    for caption, places in (
        (words.text("From the left"), marks.length),
        (words.text("From the top"), marks.width),
        (words.text("From the middle"), marks.radius),
    ):
        if places:
            yield caption, (measure,), [(_place(mark, words, language, measure),) for mark in places]
    cuts = radial_cuts(layout)
    for ring in sorted({cut.start.ring for cut in cuts}):
        of_ring = [cut for cut in cuts if cut.start.ring == ring]
        caption = words.text("Round the rim")
        if layout.layout == "rings":
            caption = words.text("Round ring %(number)s", number=ring + 1)
        tape = words.text("tape, %(unit)s", unit=measure)
        yield caption, (words.text("angle"), tape), [_radial(cut, language, measure) for cut in of_ring]
    if slanting := slanting_cuts(layout):
        columns = (words.text("from, %(unit)s", unit=measure), words.text("to, %(unit)s", unit=measure))
        yield (
            words.text("Slanting: from the left, from the top"),
            columns,
            [_slanting(cut, language, measure) for cut in slanting],
        )


def _place(mark: Mark, words: Words, language: Language, measure: Measure) -> str:
    place = mark_text(mark.mm, measure, language)
    if mark.kind == "trim":
        return words.text("%(place)s trim", place=place)
    return words.text("%(place)s offcut", place=place) if mark.kind == "offcut" else place


def _radial(cut: RadialCut, language: Language, measure: Measure) -> Cells:
    angle, tape = f"{language.figure(cut.start.degrees)}°", mark_text(cut.start.rim_mm, measure, language)
    if cut.end is None:
        return angle, tape
    return (
        f"{angle} – {language.figure(cut.end.degrees)}°",
        f"{tape} – {mark_text(cut.end.rim_mm, measure, language)}",
    )


def _slanting(cut: ObliqueMark, language: Language, measure: Measure) -> Cells:
    def point(x_mm: float, y_mm: float) -> str:
        return f"{mark_text(x_mm, measure, language)}; {mark_text(y_mm, measure, language)}"

    return point(cut.from_x_mm, cut.from_y_mm), point(cut.to_x_mm, cut.to_y_mm)


def _parts(caption: str, columns: Cells, rows: list[Cells], words: Words) -> Iterator[CutList]:
    """One list, or several of about equal length side by side."""
    if not rows:
        return
    lists = min(MAX_LISTS, -(-len(rows) // ROWS_A_LIST))
    size = -(-len(rows) // lists)
    for i in range(lists):
        part = tuple(rows[i * size : (i + 1) * size])
        named = words.text("%(list)s, part %(number)s", list=caption, number=i + 1) if lists > 1 else caption
        if part:
            yield CutList(caption=named, columns=columns, rows=part)
