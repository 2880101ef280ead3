"""The weight class of a line's eggs: by a size word, or by the weight of each egg with its shell."""

from copy import replace
from fractions import Fraction

from domain.measures.units import UNITS
from domain.reading.measured import Measured
from domain.reading.settings import decimal_text
from domain.reading.tokens import Token
from domain.reading.unit_words import COUNTED
from domain.reading.values import Choice, Question, ReadingOptions, Remark
from domain.things.eggs import EGG_CLASSES, EggClass

REGION_OF = {"us": "us", "uk": "eu", "metric": "eu", "au": "au", "jp": "jp"}
_LETTERS = {"small": "s", "medium": "m", "large": "l", "extra_large": "xl"}
_SIZES = {letter: size for size, letter in _LETTERS.items()}
_SIZED = frozenset(_LETTERS)  # the sizes that a line can name
LIGHTEST_EGG_G, HEAVIEST_EGG_G = 35, 80  # our own limits: from pullets' eggs to the largest that shops sell
EGG_WEIGHT = "An egg's weight is written with or without its shell: write 3 eggs and their class, or grams of egg."
_SHELL = frozenset(("shell", "shells", "schale", "coquille"))


def egg_class_of(size: str, options: ReadingOptions) -> tuple[str, tuple[Question, ...], tuple[Remark, ...]]:
    """The weight class that a size word means in the caller's market.

    Args:
        size: such as `large`; "" if the line names none.
        options: whose market it is, and the class that the caller's eggs have.
    Returns:
        The class's id or "", what is asked if sizes differ by country, and a remark if the caller's class is another.
    """
    if not size:
        return "", (), ()
    region = _region(options)
    meant = next(
        (key for key in (f"{region}_{size}", f"{region}_{_LETTERS.get(size, size)}") if key in EGG_CLASSES), ""
    )
    if meant:
        if options.egg_class and options.egg_class != meant:
            message = f"The line says {size.replace('_', ' ')} ({meant}), and the eggs are {options.egg_class}."
            return meant, (), (Remark(code="disagreement", message=message),)
        return meant, (), ()
    if options.egg_class:
        return "", (), ()
    keys = [key for key in EGG_CLASSES if key.split("_", 1)[1] in (size, _LETTERS.get(size, size))]
    message = f"Egg sizes differ by country: say which {size.replace('_', ' ')} eggs are meant."
    return "", (_which_class(keys, message),), ()


def by_weight(
    measured: Measured, bracket: Measured | None, tokens: list[Token], options: ReadingOptions
) -> tuple[Measured, Question | None]:
    """Eggs whose weight stands beside their count: 4 eggs (59 g each), 4 x 59 g eggs.

    Args:
        measured: the count, or the weight of all of them where it was written as packs.
        bracket: the weight beside a count; None if there is none.
        tokens: of the line, which may say that the shell is weighed too.
        options: whose market it is, and the class that the caller's eggs have.
    Returns:
        The count, with the size of that weight if the line speaks of the shell; and what is asked, because an egg is
        weighed with or without its shell.
    """
    weighed = _weight_of_each(measured, bracket)
    if weighed is None or measured.size:
        return measured, None
    count, grams = weighed
    counted = replace(measured, values=(count,), unit="each", alternatives=(), rule="amount")
    if options.egg_class and _holds(EGG_CLASSES[options.egg_class], grams):
        return counted, None
    region = _region(options)
    keys = [key for key in EGG_CLASSES if key.startswith(region) and _holds(EGG_CLASSES[key], grams)]
    size = _SIZES.get(ending := keys[0].split("_", 1)[1], ending) if region and keys else ""
    if size in _SIZED and any(token.key in _SHELL for token in tokens):
        return replace(counted, size=size), None
    each, total = decimal_text(grams), f"{decimal_text(grams * count)} g"
    if not region:
        message = f"Egg classes differ by country: say which one has {each} g with the shell, or write {total} egg."
        return counted, _which_class(keys, message)
    without = Choice(text=f"{total} egg", label=f"{each} g each without the shell")
    named = size.replace("_", " ")
    sized = Choice(text=f"{decimal_text(count)} {named} egg", label=f"{each} g each with the shell: {named}")
    choices = (sized, without) if size in _SIZED else (without,)
    return measured, Question(code="egg_weight_unclear", message=EGG_WEIGHT, choices=choices)


def _region(options: ReadingOptions) -> str:
    """Whose classes a size word means; "" where nobody said it."""
    region = REGION_OF[options.measures] if options.measures else "eu" if options.language in ("de", "fr") else ""
    return options.egg_class.split("_", 1)[0] if not region and options.egg_class else region


def _holds(egg_class: EggClass, grams: Fraction) -> bool:
    return egg_class.min_g <= float(grams) < egg_class.max_g


def _which_class(keys: list[str], message: str) -> Question:
    choices = tuple(Choice(text=key, label=f"{EGG_CLASSES[key].region}, {EGG_CLASSES[key].label}") for key in keys)
    return Question(code="ambiguous_egg_class", message=message, choices=choices, field="egg_class")


def _weight_of_each(measured: Measured, bracket: Measured | None) -> tuple[Fraction, Fraction] | None:
    """The count and the grams of one egg; None without a weight, or if it is of all of them together."""
    packs = measured.rule == "packs"
    beside = measured if packs else bracket or next(iter(measured.alternatives), None)
    if beside is None or beside.unit not in ("g", "oz") or not (packs or measured.unit in COUNTED):
        return None
    grams, count = beside.value * UNITS[beside.unit].factor, measured.packs if packs else measured.value
    if not count:  # no eggs, whatever one weighs
        return None
    each = grams / count if packs else grams
    if not packs and count != 1 and each / count >= LIGHTEST_EGG_G:
        return None
    each = round(each, 2)  # 2 oz are the least of a class that is printed in hundredths of a gram
    return (count, each) if LIGHTEST_EGG_G <= each <= HEAVIEST_EGG_G else None
