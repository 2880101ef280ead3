"""Baker's percentages beside the flour's weight: `Flour weight 2000 g`, `Water 66 %`, `1.8 % salt`."""

from copy import replace
from fractions import Fraction

from domain.measures.units import UNITS
from domain.reading.leads import skip_bullet
from domain.reading.lines import read_line
from domain.reading.measures import MeasureReader
from domain.reading.names import read_name
from domain.reading.numbers import plain_number
from domain.reading.phrases import phrase_length
from domain.reading.settings import decimal_text
from domain.reading.tokens import Token, joined_text, tokenise
from domain.reading.values import LineReading, ReadingOptions, Remark
from domain.reading.vocabulary import vocabulary
from domain.reference import rows

MAX_SHARES = 60  # lines of a component; our own limit
MAX_SHARE_TOKENS = 12  # of a line that is a name and a share; our own limit
_ALL = Fraction(100)  # percent of the flour, which is all of it by definition
_SLIP = Fraction(1)  # percent that rounded shares of the flours may be off; our own limit
_FLOURS = frozenset(row["ingredient"] for row in rows("flours"))
_JOINTS = frozenset((":", "(", ")", "-", "|", "="))


def by_flour_weight(readings: list[LineReading], options: ReadingOptions) -> list[LineReading]:
    """The readings with grams in place of percentages, where one line says what the flour weighs.

    Args:
        readings: of a recipe, in order.
        options: of the recipe.
    Returns:
        The readings; the same ones where no flour's weight is written, or where the flours are not 100 % together.
    """
    unread = [at for at, each in enumerate(readings) if "%" in each.text and each.kind != "line"]
    if not 1 < len(unread) <= MAX_SHARES:
        return readings
    shares = {at: share for at in unread if (share := _share(readings[at].text, options)) is not None}
    if not shares:
        return readings
    weights = {at: grams for at, each in enumerate(readings) if (grams := _flour_weight(each, options))}
    if len(weights) != 1:
        return readings
    ((place, grams),) = weights.items()
    weighed = {at: _weighed(readings[at], name, percent, grams, options) for at, (name, percent) in shares.items()}
    flours = sum(percent for at, (_, percent) in shares.items() if weighed[at].ingredient_id in _FLOURS)
    if abs(flours - _ALL) > _SLIP:
        return readings
    kept = replace(readings[place], kind="kept", rule="flour_weight", kept_as="text", questions=())
    return [kept if at == place else weighed.get(at, each) for at, each in enumerate(readings)]


def _flour_weight(reading: LineReading, options: ReadingOptions) -> Fraction | None:
    """The grams of a line such as "Flour weight 2000 g"; None for any other."""
    words = vocabulary(options.language)
    tokens = tokenise(reading.text) if reading.kind != "line" else []
    start = skip_bullet(tokens) if 0 < len(tokens) <= MAX_SHARE_TOKENS else 0
    length = phrase_length(tokens, start, "flourweight", words) if tokens else 0
    if not length:
        return None
    at = start + length
    while at < len(tokens) and tokens[at].key in _JOINTS:
        at += 1
    measured = MeasureReader(tokens, words, options).read(at)
    if measured is None or measured.unit not in ("g", "kg") or measured.end < len(tokens):
        return None
    if len(measured.values) > 1 or measured.low is not None:
        return None
    return measured.value * UNITS[measured.unit].factor


def _share(text: str, options: ReadingOptions) -> tuple[str, Fraction] | None:
    """The name and the percent of a line that is no more than that: Water 66 %; 66 % water; Water (66 %)."""
    tokens = tokenise(text)
    tokens = tokens[skip_bullet(tokens) :] if 0 < len(tokens) <= MAX_SHARE_TOKENS else []
    places = [at for at, token in enumerate(tokens[:-1]) if token.kind == "number" and tokens[at + 1].key == "%"]
    if len(places) != 1:
        return None
    at = places[0]
    name = _without_joints([*tokens[:at], *tokens[at + 2 :]])
    values = plain_number(tokens[at].text, options.decimal_sign or "point")
    ids = read_name([token.key for token in name if token.kind != "sign"], options.language).ids
    first_or_last = at == 0 or all(token.kind == "sign" for token in tokens[at + 2 :])
    return (joined_text(name), values[0]) if ids and values and first_or_last else None


def _without_joints(tokens: list[Token]) -> list[Token]:
    return [token for token in tokens if token.key not in _JOINTS]


def _weighed(
    reading: LineReading, name: str, percent: Fraction, grams: Fraction, options: ReadingOptions
) -> LineReading:
    """A share of the flour's weight as a line in grams."""
    share, weight = decimal_text(percent * grams / _ALL), decimal_text(grams)
    (line, *_) = read_line(f"{share} g {name}", options, reading.start, split=False)
    message = f"{decimal_text(percent)} % of {weight} g of flour is taken as {share} g."
    remarks = (*line.remarks, Remark(code="taken", message=message))
    return replace(line, text=reading.text, start=reading.start, end=reading.end, rule="percentage", remarks=remarks)
