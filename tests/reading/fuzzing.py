"""Random texts from the words of recipes, to be read by the million: `python -m tests.reading.fuzzing 1000000`."""

import random
import sys
from contextlib import suppress

from domain.errors import DomainError
from domain.formulas.line_text import parse_line
from domain.measures.quantities import parse_quantity
from domain.measures.units import MEASURES
from domain.reading.ovens import read_oven_words
from domain.reading.quantities import read_quantity
from domain.reading.settings import read_tin_words
from domain.reading.texts import read_text
from domain.reading.values import LANGUAGES, ReadingOptions
from tests.reading.corpus import load

SIGNS = [
    "(",
    ")",
    ",",
    "/",
    "-",
    "–",
    "+",
    "x",
    "×",
    "½",
    "1/2",
    "1.500",
    "1,5",
    "'",
    "’",
    "°",
    "%",
    ".",
    ":",
    "\n",
    "\t",
    "\u00a0",
]
FIGURES = ["0", "1", "2", "3", "10", "250", "405", "999999", "1e9", "007", "1/0", "12345678901234567890"]


def fuzz(count: int, seed: int) -> dict[str, int]:
    """Read random texts and check that nothing but readings comes out.

    Args:
        count: number of texts.
        seed: of the random numbers.
    Returns:
        How many lines were read as what.
    """
    generator = random.Random(seed)  # noqa: S311 - a test
    lines = [line.text for line in load()]
    words = sorted({word for line in lines for word in line.split()})
    kinds = {"line": 0, "question": 0, "kept": 0}
    for _ in range(count):
        parts = generator.choices([words, SIGNS, FIGURES], [6, 2, 2], k=generator.randint(1, 10))
        text = " ".join(generator.choice(part) for part in parts)
        if generator.random() < 0.5:  # a line of the corpus with a word too many or another word
            line = generator.choice(lines).split(" ")
            place = generator.randrange(len(line))
            line[place : place + generator.randint(0, 1)] = [generator.choice(parts[0])]
            text = " ".join(line)
        if generator.random() < 0.1:  # letters of any script
            text = "".join(chr(generator.choice((*range(32, 0x250), 0x4E00, 0x1F370))) for _ in text)
        options = ReadingOptions(
            language=generator.choice((None, *LANGUAGES)), measures=generator.choice((None, *MEASURES))
        )
        reading = read_text(text, options)
        read_tin_words(text)
        read_oven_words(text)
        for read in (read_quantity, parse_line):
            with suppress(DomainError):
                read(text[:80], options.measures)
        covered = "".join("".join(each.reading.text.split()) for each in reading.lines)
        assert covered == "".join(text.split()), text
        for each in reading.lines:
            kinds[each.reading.kind] += 1
            if each.reading.kind == "line" and not each.reading.questions:
                try:
                    parse_quantity(each.reading.quantity, options.measures)
                except DomainError as error:
                    raise AssertionError(text) from error
    return kinds


if __name__ == "__main__":
    print(fuzz(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
