"""Texts for the parsers: texts that people write, changed and recombined. The same seed gives the same texts."""

import random
from collections.abc import Iterator
from functools import lru_cache

from domain.baking.oven import OVEN_WORDS
from domain.measures.units import KITCHEN_WORDS, UNITS
from domain.things.ingredients import INGREDIENTS
from domain.tins.text import NAMED_TINS

AMOUNTS = (
    "1",
    "1.5",
    "0",
    "-2",
    "1/3",
    "1 1/2",
    "1½",
    "½",
    "⅞",
    "1⁄3",
    "1 1⁄2",
    "0.333333333333333",
    "999999",
    "1000000",
)
NUMBERISH = (
    "1e3",
    "1E400",
    "0x10",
    "1_000",
    "1,5",
    "1.000,5",
    "+1",
    "--1",
    "1//2",
    "1/0",
    "0/0",
    "٣",
    "１２",
    "²",
    "Ⅷ",
    "①",
    "nan",
    "inf",
    "-0",
    "1.",
    ".5",
    "1 2/3/4",
    "9" * 16,
    "0" * 40,
    "1/" + "9" * 15,
    "½½",
    "1 ½ ½",
    "1-1/2",
    "∞",
    "१",
    "𝟙",
)
SIGNS = (
    " ",
    "  ",
    "\t",
    "\n",
    "\u00a0",
    "\u2009",
    "\u200b",
    "\u200e",
    "\u202e",
    "\u2066",
    "\ufeff",
    "\u0301",
    "\u0308",
    "\ud800",
    "\udfff",
    "\U0001f382",
    "/",
    "\u2044",
    "\u2215",
    ".",
    ",",
    "-",
    "\u2212",
    "\u2013",
    "x",
    "×",
    "*",
    "by",
    "|",
    ";",
    ":",
    "%",
    "@",
    "°",
    "º",
    '"',
    "″",
    "'",
    "′",
    "’",
    "(",
    "[",
    "{",
    "\\",
    "ß",
    "İ",
    "ı",
    "ﬁ",
    "K",
    "Å",
    "_",
    "\x00",
    "\x1f",
    "\x7f",
)
TINS = (
    "square 20 cm",
    "rectangle 20 x 30 x 5 cm",
    "round 23 x 7 cm",
    "round 9 in",
    'square 8"',
    "ring 25 x 8 x 9 cm",
    "hexagon 20 cm",
    "octagon 20 x 5 cm",
    "cavities 12 x 80 ml",
    "20 x 30 cm rectangle tin",
    "gn-1-1 x 65 mm",
    "9 1/2 in round",
    "half sheet",
    "9½ x 13 in rectangle",
)
OVENS = (
    "180 celsius",
    "180 °C",
    "350F",
    "350 degrees f",
    "gas mark 4",
    "gas mark 4½",
    "mark 1/4",
    "moderate oven",
    "-10 c",
)
SIZES = ("30 x 20 cm", "12 x 8 in", "300 mm x 20 cm", '12" x 8"', "9½ x 7¼ in")
SHAPES = ("square", "3:2", "1.5:1", "1½:1", "4/3 : 1")
MONEY = ("1.29", "12.30", "0", "1000000", "3", "0.005")
OTHERS = ("GBP", "wheat flour 52 %", "1.5 kg @ 1.29", "spooned", "eu_m", "us_large", "large", "jpy", "medium")
ROWS = ("1.5|us_cup|plain-flour", "200|g|butter|us_tbsp", "1/3|us_cup|dark-brown-sugar||packed", "1|each|egg||")


@lru_cache(maxsize=1)
def words() -> tuple[str, ...]:
    """Every name of the reference tables."""
    names = [
        name
        for ingredient in INGREDIENTS.values()
        for name in (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names)
    ]
    tins = [name for tin in NAMED_TINS.values() for name in (tin.name, *tin.other_names)]
    return tuple(dict.fromkeys([*names, *UNITS, *KITCHEN_WORDS, *OVEN_WORDS, *tins, *OTHERS]))


@lru_cache(maxsize=1)
def quantities() -> tuple[str, ...]:
    """Amounts with units."""
    return tuple(f"{amount} {unit}" for amount in AMOUNTS for unit in (*UNITS, "cup", "tbsp", "Tablespoons", "fl. oz"))


@lru_cache(maxsize=1)
def rows() -> tuple[str, ...]:
    """Table rows, with parts that fit together and parts that do not."""
    chance = random.Random(0)  # noqa: S311 - repeatable, not secret
    names = [ingredient.id for ingredient in INGREDIENTS.values()]
    parts = (
        AMOUNTS,
        tuple(UNITS),
        (*names, *words()[:50]),
        ("", *UNITS),
        ("", "spooned", "packed", "sifted", "unstated"),
    )
    return (*ROWS, *("|".join(chance.choice(part) for part in parts) for _ in range(3_000)))


@lru_cache(maxsize=1)
def every() -> tuple[str, ...]:
    """Texts that a parser accepts."""
    return (
        *AMOUNTS,
        *NUMBERISH,
        *quantities(),
        *TINS,
        *OVENS,
        *SIZES,
        *SHAPES,
        *MONEY,
        *OTHERS,
        *rows()[:20],
        *words(),
    )


def texts(seeds: tuple[str, ...], seed: int, count: int, longest: int) -> Iterator[str]:
    """Random texts of limited length.

    Args:
        seeds: texts that the parser accepts, to start from.
        seed: of the random generator.
        count: number of texts.
        longest: number of characters, the limit of the contract for this parser.
    """
    chance = random.Random(seed)  # noqa: S311 - repeatable, not secret
    for _ in range(count):
        yield _text(chance, seeds)[:longest]


def _text(chance: random.Random, seeds: tuple[str, ...]) -> str:
    kind = chance.random()
    if kind < 0.1:
        return chance.choice(seeds)
    if kind < 0.65:
        return _changed(chance, chance.choice(seeds))
    if kind < 0.7:
        return chance.choice(every())
    if kind < 0.9:
        pools = (AMOUNTS, NUMBERISH, SIGNS, words(), seeds, (" ",), (" ",))
        return "".join(chance.choice(chance.choice(pools)) for _ in range(chance.randint(1, 7)))
    if kind < 0.99:
        return "".join(
            chr(chance.choice((chance.randrange(128), chance.randrange(0x110000))))
            for _ in range(chance.randint(0, 40))
        )
    return chance.choice((*SIGNS, *NUMBERISH, "1", "a", "1 ", "1x", "½")) * chance.choice((100, 10_000))


def _changed(chance: random.Random, text: str) -> str:
    """A text with a few characters removed, doubled, swapped or replaced."""
    for _ in range(chance.randint(1, 3)):
        at = chance.randint(0, len(text))
        piece = chance.choice(chance.choice((SIGNS, NUMBERISH, AMOUNTS)))
        cut = min(len(text), at + chance.randint(0, 3))
        text = chance.choice(
            (
                text[:at] + piece + text[at:],
                text[:at] + text[cut:],
                text[:at] + piece + text[cut:],
                text[:at] + text[at:cut] * 2 + text[cut:],
                text[at:] + text[:at],
                text.upper(),
                text.swapcase(),
            )
        )
    return text
