"""One measure of a line, as it was read."""

from copy import replace
from fractions import Fraction
from typing import NamedTuple

MIN_PACK_RATIO = (
    3  # our own limit: no range before a pack ends at three times its start, so the first figure counts packs
)


class Measured(NamedTuple):
    """One amount of a unit. `unit` is a unit's id, a bare kitchen word, `each`, or "" where none was written.

    `low` and `high` are the ends of a range. A `pack` stands for a unit where its size is not written; `packs` is
    how many packs. `vessel` is a cup-like word without a fixed size, `vessel_unit` the measure of it in North America,
    `vague` a word that no standard fixes.

    A NamedTuple, because every line makes several.
    """

    values: tuple[Fraction, ...]
    unit: str
    end: int
    low: Fraction | None = None
    high: Fraction | None = None
    level: str = ""
    size: str = ""
    packing: str = ""
    pack: str = ""
    pack_word: str = ""
    packs: Fraction = Fraction(1)
    vessel: str = ""
    vessel_unit: str = ""
    vague: str = ""
    worded: bool = False
    alternatives: tuple["Measured", ...] = ()
    extra: tuple[str, ...] = ()
    rule: str = "amount"

    @property
    def value(self) -> Fraction:
        """The first meaning of the amount."""
        return self.values[0]


def ranged(measured: Measured, low: Fraction, high: Fraction) -> Measured:
    """A range, or packs that are counted: 1-12 oz bag; 2-8 oz packages.

    Args:
        measured: the middle of the two figures, with its unit.
        low: the first figure.
        high: the second figure.
    Returns:
        The range; the packs where a pack follows and the figures are no range.
    """
    if measured.pack_word and low.denominator == 1 and high >= MIN_PACK_RATIO * low:
        return replace(measured, values=(low * high,), packs=low, rule="packs")
    return replace(measured, low=low, high=high, rule="range")
