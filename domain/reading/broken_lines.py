"""Lines that a page's width has broken within a word: `2 table-` and `spoons plain flour`; `150 g Zuk-` and `ker`."""

import re
from collections.abc import Callable, Iterator
from copy import replace
from typing import NamedTuple

from domain.reading.values import LineReading

Readings = tuple[LineReading, ...]
Reader = Callable[[str], Readings]
MAX_JOINED = 40  # our own limit: pairs of lines of one text that are joined, each of which is read several times
_HYPHENS = ("-", "‐", "\u00ad")
_GOES_ON = re.compile(r"\s*+(?P<word>[^\W\d_]++)")
_JOINTS = frozenset(("and", "or", "und", "oder", "bzw", "et", "ou"))  # Mandel- und Nussmehl is not broken


class WrittenLine(NamedTuple):
    """A line of a text that is not empty, with its number and its place; `rest` is the line that may go on with it.

    A NamedTuple, because a text has hundreds of them.
    """

    number: int
    start: int
    text: str
    rest: str = ""


def written_lines(lines: list[str]) -> list[WrittenLine]:
    """The lines of a text that are not empty; each may go on in the next one."""
    written: list[WrittenLine] = []
    start = joined = 0
    for number, line in enumerate(lines, start=1):
        text = line.rstrip("\r")
        if text.strip():
            rest = (
                lines[number].rstrip("\r") if _is_broken(text) and number < len(lines) and joined < MAX_JOINED else ""
            )
            rest = rest if rest and _goes_on(rest) else ""
            joined += rest != ""
            written.append(WrittenLine(number, start, text, rest))
        start += len(line) + 1
    return written


def _is_broken(text: str) -> bool:
    """Whether a hyphen stands directly behind the last word of a line."""
    end = text.rstrip()
    return end.endswith(_HYPHENS) and end[-2:-1].isalpha()


def _goes_on(line: str) -> bool:
    match = _GOES_ON.match(line)
    return match is not None and match["word"][0].islower() and match["word"] not in _JOINTS


def read_joined(line: WrittenLine, read: Reader) -> Readings:
    """The reading of a broken line with its rest.

    Args:
        line: with a rest.
        read: reads a text as a line.
    Returns:
        The readings, at the place of both lines; none where the first line is an ingredient and the rest belongs to
        something else.
    """
    first: Readings = ()
    for text in _forms(line):
        readings = read(text)
        if all(each.kind == "line" for each in readings):
            return _placed(readings, line)
        first = first or readings
    alone = read(line.text.rstrip()[:-1])
    return () if alone[0].kind == "line" else _placed(first, line)


def _forms(line: WrittenLine) -> Iterator[str]:
    """Both lines as one: without the hyphen, with ck in place of German k-k, and with the hyphen of a compound."""
    head, rest = line.text.rstrip()[:-1], line.rest.lstrip()
    yield f"{head[:-1]}c{rest}" if head[-1] == rest[0] == "k" else head + rest
    yield f"{head}-{rest}"


def _placed(readings: Readings, line: WrittenLine) -> Readings:
    """The readings at the place of both lines, of which there may be several."""
    text = f"{line.text}\n{line.rest}"
    end = line.start + len(text)
    if len(readings) == 1:
        return (replace(readings[0], text=text, start=line.start, end=end),)
    return tuple(replace(each, start=line.start, end=end) for each in readings)
