"""Volumes in household measures: a cascade from the gallon to an eighth of a teaspoon, and marked part cups."""

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from domain.measures.units import KITCHEN_WORDS, UNITS, Measures, Unit
from domain.notices import Notice
from domain.reference import rows
from domain.sources import Cited, cited

EIGHTHS = 8  # the finest measuring spoon in common sets is an eighth of a teaspoon: common practice
CASCADE = ("gallon", "quart", "pint", "cup", "tbsp", "tsp")  # the largest first
ABBREVIATED = {"gallon": "gal", "quart": "qt", "pint": "pt"}
HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A number of one measure; whole, but for teaspoons, which go to eighths."""

    amount: Fraction
    unit: Unit
    word: str

    @property
    def text(self) -> str:
        """As it is written: `2 cup`, `1 1/8 tsp`."""
        whole, rest = divmod(self.amount, 1)
        return f"{' '.join(str(part) for part in (whole, rest) if part)} {self.word}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cascade:
    """A volume in the measures of one country, the largest first. `ml` is their exact sum."""

    measures: tuple[Measure, ...]
    ml: Fraction
    error_percent: float

    @property
    def text(self) -> str:
        """As it is written: `1 qt + 2 cup + 1/8 tsp`."""
        return " + ".join(measure.text for measure in self.measures)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedCup:
    """A part of a cup whose measure is marked with other millilitres than the exact part has."""

    unit: Unit
    part: Fraction
    ml: Fraction
    cited: Cited

    @property
    def exact_ml(self) -> Fraction:
        """The exact part of the cup."""
        return self.part * self.unit.factor


def cascade(ml: Fraction, measures: Measures) -> Cascade | None:
    """A volume as a baker without a scale measures it.

    Args:
        ml: exact, above 0.
        measures: whose measures.
    Returns:
        As many as possible of each measure, the largest first, to the nearest eighth of a teaspoon; None if it is less
        than half of that.

    >>> cascade(Fraction(1000), "us").text
    '1 qt + 3 tbsp + 1 7/8 tsp'
    """
    sizes = _SIZES[measures]
    left, counts = ml, [0] * len(sizes)
    for i, (_, unit) in enumerate(sizes[:-1]):
        counts[i], left = divmod(left, unit.factor)
    word, teaspoon = sizes[-1]
    eighths = int(left / teaspoon.factor * EIGHTHS + HALF)
    rounded = ml - left + Fraction(eighths, EIGHTHS) * teaspoon.factor
    if left and rounded > ml:
        # Rounding up may fill the next measure, such as 3 tsp a US tablespoon, and this the one after it.
        left = rounded
        for i, (_, unit) in enumerate(sizes[:-1]):
            counts[i], left = divmod(left, unit.factor)
        eighths = int(left / teaspoon.factor * EIGHTHS + HALF)
    parts = [
        Measure(amount=Fraction(count), unit=unit, word=name)
        for count, (name, unit) in zip(counts, sizes, strict=True)
        if count
    ]
    if eighths:
        parts.append(Measure(amount=Fraction(eighths, EIGHTHS), unit=teaspoon, word=word))
    if not parts:
        return None
    total = sum((part.amount * part.unit.factor for part in parts), Fraction(0))
    return Cascade(measures=tuple(parts), ml=total, error_percent=float((total - ml) / ml * 100))


def has_cup(measures: Measures) -> bool:
    """Whether the measures have a cup; without one, a cascade counts spoons up to the pint.

    Args:
        measures: whose measures.
    Returns:
        False for measures in which large dry amounts are only weighed.

    >>> has_cup("us"), has_cup("uk")
    (True, False)
    """
    return KITCHEN_WORDS["cup"].meanings.get(measures) is not None


def marked_cup(amount: Fraction, unit: Unit) -> MarkedCup | None:
    """The marked measure of a part of a cup.

    Args:
        amount: of the unit; only its part after whole cups is looked at.
        unit: a cup.
    Returns:
        The marked measure, if its millilitres are not those of the exact part.

    >>> marked = marked_cup(Fraction(4, 3), UNITS["metric_cup"])
    >>> int(marked.ml), round(float(marked.exact_ml), 1)
    (80, 83.3)
    """
    return _MARKED.get((unit.id, amount % 1))


def marked_cup_notice(amount: Fraction, unit: Unit) -> Notice | None:
    """The warning that a marked part cup holds more or less than the exact part.

    Args:
        amount: of the unit.
        unit: of a quantity.
    Returns:
        The warning, or None where they agree or no marked measure is known.
    """
    marked = marked_cup(amount, unit)
    if marked is None:
        return None
    message = (
        f"A measure of {marked.part} {unit.id} is marked {float(marked.ml):g} ml in Australia; the exact "
        f"part is {float(marked.exact_ml):.1f} ml, which is used here. Give {float(marked.ml):g} ml if that was meant."
    )
    return Notice("marked_cup_differs", message, (), float(marked.ml), float(marked.exact_ml), "ml")


def _sizes(measures: Measures) -> tuple[tuple[str, Unit], ...]:
    words = ((word, KITCHEN_WORDS[word].meanings.get(measures)) for word in CASCADE)
    return tuple((ABBREVIATED.get(word, word), UNITS[unit]) for word, unit in words if unit is not None)


_SIZES: MappingProxyType[Measures, tuple[tuple[str, Unit], ...]] = MappingProxyType(
    {measures: _sizes(measures) for measures in ("us", "uk", "metric", "au", "jp")}
)
_MARKED = MappingProxyType(
    {
        (row["unit"], Fraction(row["part"])): MarkedCup(
            unit=UNITS[row["unit"]], part=Fraction(row["part"]), ml=Fraction(row["ml"]), cited=cited(row)
        )
        for row in rows("marked_cups")
    }
)
