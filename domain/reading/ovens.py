"""Ovens in people's words: `180C fan`, `200C/400F/Gas 6`, `th. 6`."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from domain.measures.temperatures import GAS_MARKS
from domain.measures.units import Measures
from domain.reading.degrees import DEGREE_SIGNS
from domain.reading.numbers import Amount, plain_number, read_amount
from domain.reading.setting_words import SETTING_WORDS, all_words
from domain.reading.settings import MAX_TEXT, decimal_text
from domain.reading.times import DEGREES, is_degree, read_minutes
from domain.reading.tokens import Token, tokenise
from domain.reading.unit_words import english_unit
from domain.reading.values import Choice, Question, Remark
from domain.reading.vocabulary import Vocabulary, vocabulary
from domain.reference import rows

DEGREES_A_MARK = 30  # French thermostat: mark 6 is 180 °C, common practice
FAN_OFFSET_C = 20  # common practice, only to compare settings that stand beside each other
LONGEST_BAKE = 100  # our own limit: a greater number beside a word for fan is degrees, not minutes
COOLEST_SETTING_C = 45  # our own limit: a prover is cooler, an oven that dries meringues is not
COOLEST_OVEN_C = 110  # our own limit: a cooler figure beside a hotter one is a core, not an oven
SAME_SETTING_C = 15  # our own limit: printed settings of one sentence are rounded this much
_OVEN_RANGES: dict[str, tuple[float, float]] = {}  # °F; the sources of one word together
for _row in rows("oven_words"):
    _low, _high = float(_row["fahrenheit_low"]), float(_row["fahrenheit_high"])
    _before = _OVEN_RANGES.get(_row["word"], (_low, _high))
    _OVEN_RANGES[_row["word"]] = min(_low, _before[0]), max(_high, _before[1])
HOTTEST_C = 320  # our own limit: a larger figure without a scale is in Fahrenheit
COOLEST_F = 200  # our own limit: no American oven is set lower
HOTTEST_F = 600  # our own limit: no oven is set hotter in Fahrenheit
COOLEST_C = 60  # our own limit: a lower figure without a scale is no setting in Celsius
HIGHEST_MARK = 10  # the last gas mark
_FOR = frozenset(("for", "fur", "pour"))
_OF_OTHERS = frozenset(("minute", "hour", "length", "degrees"))
_SET_AT = frozenset(("@", "at", "to", "in", "bei", "auf", "a", "sur"))  # before the degrees of an oven
# German for no fan, of which "ober" is the word of the vocabulary: O/U-Hitze, Ober- und Unterhitze.
_TOP_AND_BOTTOM = re.compile(
    r"(?<!\w)O(?:ber)?(?:hitze)?\.?-? ?(?:/|&|\+|und\b) ?U(?:nter)?\.?(?:[ -]?Hitze)?(?!\w)", re.IGNORECASE
)
_OVEN_SIGNS = frozenset(("/", "°", "º", "-", ".", ",", ":", "(", ")"))


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenWords:
    """An oven setting as `parse_oven` takes it; `fan` is None if nothing was said."""

    setting: str
    fan: bool | None
    remarks: tuple[Remark, ...] = ()


def oven_in_words(text: str) -> OvenWords | None:
    """The setting of a text that is about an oven and nothing else.

    Args:
        text: a field that holds an oven setting, such as `180C fan` or `200C/400F/Gas 6`.
    Returns:
        As `read_oven_words`; None where a word or a figure is left over.
    """
    if len(text) > MAX_TEXT:
        return None
    text = top_and_bottom(text)
    tokens = tokenise(text)
    figures = [token for token in tokens if token.kind == "number"]
    signs = {token.key for token in tokens if token.kind == "sign"} - _OVEN_SIGNS
    pairs = sum(
        token.key == "/" and tokens[at].kind == "number" and tokens[at + 2].kind == "number"
        for at, token in enumerate(tokens[1:-1])
    )
    if signs or not all_words(tokens) or len(_oven_settings(tokens)) != len(figures) - pairs:
        return None
    return read_oven_words(text)


@lru_cache(maxsize=1024)
def read_oven_words(text: str, measures: Measures | None = None) -> OvenWords | None:
    """The oven setting that a sentence or label names.

    Args:
        text: degrees, gas marks, a French thermostat or an oven word, one or several for one setting.
        measures: whose degrees are meant where no scale is written; Fahrenheit in the USA.
    Returns:
        The first setting, preferring the one without a fan; None if there is none.

    >>> read_oven_words("200C/180C fan/gas 6")
    OvenWords(setting='200 celsius', fan=False, remarks=())
    """
    if len(text) > MAX_TEXT:
        return None
    tokens = tokenise(top_and_bottom(text))
    settings = _oven_settings(tokens, measures)
    if any(celsius >= COOLEST_OVEN_C for _, celsius, _ in settings):  # bake at 180 C to a core of 93 C
        settings = [each for each in settings if each[1] >= COOLEST_OVEN_C or each[2]]
    if not settings:
        return None
    said_fan = any(fan for _, _, fan in settings)
    first = next((each for each in settings if not each[2]), settings[0])
    setting, celsius, fan = first
    remarks = []
    for other, other_c, other_fan in settings:
        conventional = other_c + (FAN_OFFSET_C if other_fan and said_fan else 0)
        if abs(conventional - celsius - (FAN_OFFSET_C if fan else 0)) > SAME_SETTING_C:
            remarks.append(
                Remark(code="disagreement", message=f"{setting} and {other} are not the same; {setting} is taken.")
            )
    bracketed = any(
        "fan" in SETTING_WORDS.get(token.key, ()) and tokens[at].key == "(" and tokens[at + 2].key == ")"
        for at, token in enumerate(tokens[1:-1])
    )
    if len(settings) == 1 and bracketed:  # 165 C 45 min (fan)
        fan = True
    without = any("nofan" in SETTING_WORDS.get(token.key, ()) for token in tokens)
    return OvenWords(
        setting=setting, fan=True if fan else False if said_fan or without else None, remarks=tuple(remarks)
    )


def top_and_bottom(text: str) -> str:
    """The text with one word for heat from the top and the bottom, which is no fan, in place of its short forms.

    >>> top_and_bottom("O/U-Hitze: 180 °C")
    'Ober: 180 °C'
    """
    return _TOP_AND_BOTTOM.sub("Ober", text) if "u" in text or "U" in text else text


def bare_settings(text: str) -> tuple[str, ...]:
    """The settings that a figure without a scale may stand for, as `parse_oven` takes them.

    Args:
        text: a field that holds an oven setting.
    Returns:
        A gas mark, or degrees of the scales in which an oven is set so; empty if the text is not one figure.

    >>> bare_settings("180"), bare_settings("4"), bare_settings("220 °")
    (('180 celsius',), ('gas mark 4',), ('220 celsius', '220 fahrenheit'))
    """
    tokens = [token for token in tokenise(text[:MAX_TEXT]) if token.key not in DEGREE_SIGNS]
    amount = read_amount(tokens, 0, vocabulary(None), "point")
    if amount is None or amount.worded or amount.end != len(tokens):
        return ()
    value, figure = amount.value, decimal_text(amount.value)
    settings = [f"gas mark {figure}"] if 0 < value <= HIGHEST_MARK else []
    settings += [f"{figure} celsius"] if COOLEST_C <= value <= HOTTEST_C else []
    settings += [f"{figure} fahrenheit"] if COOLEST_F <= value <= HOTTEST_F else []
    return tuple(settings)


def ask_degrees(text: str, tokens: list[Token]) -> Question | None:
    """A question about an oven that is named by a word: a moderate oven covers a range of degrees.

    Args:
        text: the sentence.
        tokens: of the sentence.
    Returns:
        The question with the ends and the middle of the range as choices; None if no oven word stands there.
    """
    keys = [token.key for token in tokens]
    for at, key in enumerate(keys):
        if key != "oven":
            continue
        word = next((word for length in (2, 1) if (word := " ".join(keys[at - length : at])) in _OVEN_RANGES), "")
        if not word:
            continue
        low, high = _OVEN_RANGES[word]
        degrees = dict.fromkeys(round((f - 32) * 5 / 9) for f in (low, (low + high) / 2, high))
        choices = tuple(Choice(text=f"{celsius} C: {text}", label=f"{celsius} °C") for celsius in degrees)
        message = f"A {word} oven covers a range of settings: give degrees or a gas mark."
        return Question(code="oven_needed", message=message, choices=choices)
    return None


def _oven_settings(tokens: list[Token], measures: Measures | None = None) -> list[tuple[str, float, bool]]:
    """Every setting with its °C and whether it is for a fan."""
    settings = (_oven_setting(tokens, at, measures) for at, token in enumerate(tokens) if token.kind == "number")
    return [setting for setting in settings if setting is not None]


def _oven_setting(tokens: list[Token], at: int, measures: Measures | None) -> tuple[str, float, bool] | None:
    """The setting whose figure is at a place: a gas mark, a French thermostat, or degrees; None if it is no setting."""
    amount = _oven_amount(tokens, at, vocabulary(None))
    if amount is None or (at > 1 and tokens[at - 1].key in ("/", "⁄") and tokens[at - 2].kind == "number"):
        return None
    before = [each.key for each in tokens[max(0, at - 3) : at] if each.key not in ".:"][-1:]
    kinds = SETTING_WORDS.get(before[0], {}) if before else {}
    value = amount.value
    if before in (["gas"], ["mark"], ["gasmark"]) and value <= HIGHEST_MARK:
        return f"gas mark {decimal_text(value)}", _gas_c(value), False
    if "thermostat" in kinds and value <= HIGHEST_MARK:
        celsius = value * DEGREES_A_MARK
        return f"{decimal_text(celsius)} celsius", float(celsius), False
    return _in_degrees(tokens, at, amount, measures, after_fan="fan" in kinds)


def _in_degrees(
    tokens: list[Token], at: int, amount: Amount, measures: Measures | None, *, after_fan: bool
) -> tuple[str, float, bool] | None:
    end, value = amount.end, amount.value
    while end < len(tokens) and tokens[end].key in DEGREES:
        end += 1
    scale = SETTING_WORDS.get(tokens[end].key, {}).get("degrees") if end < len(tokens) else None
    after_scale = end if scale is None else end + 1
    if scale is None:
        degree = end > amount.end and tokens[end - 1].key in DEGREES - {"-"}
        if degree and (value > HOTTEST_C or (measures == "us" and value >= COOLEST_F)):
            scale = "fahrenheit"
        elif (degree or after_fan or _fan_follows(tokens, end)) and COOLEST_C <= value <= HOTTEST_C:
            scale = "celsius"
        else:
            scale = _bare_scale(tokens, at, end, value, measures)
    if not scale:
        return None
    celsius = float(value) if scale == "celsius" else (float(value) - 32) * 5 / 9
    if not COOLEST_SETTING_C <= celsius <= 500:
        return None
    return f"{decimal_text(value)} {scale}", celsius, after_fan or _fan_follows(tokens, after_scale)


def is_set_at(tokens: list[Token], at: int) -> bool:
    """Whether a figure without degrees may be an oven's: bake at 180; @ 375 for 10 minutes.

    Args:
        tokens: of the sentence.
        at: the place of the figure.
    Returns:
        True for a whole number hot enough, after a word such as "at" and before no unit, or before a time.
    """
    if not (tokens[at].text.isdigit() and len(tokens[at].text) == 3):
        return False
    if is_set_before_time(tokens, at):
        return int(tokens[at].text) >= COOLEST_OVEN_C
    before = tokens[at - 1 - (tokens[at - 1].key == ":")].key if at else ""
    if before not in _SET_AT and not {"oven", "bake"} & SETTING_WORDS.get(before, {}).keys():
        return False
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    bare = after is None or after.kind == "sign" or not _OF_OTHERS & SETTING_WORDS.get(after.key, {}).keys()
    grams = after is not None and (english_unit(after.key) is not None or after.key in "%x")
    return bare and not grams and int(tokens[at].text) >= COOLEST_OVEN_C


def is_set_before_time(tokens: list[Token], at: int) -> bool:
    """Whether a figure in tens of degrees stands before a time: 350 10-12 min; 4 x 8 pan 350 for 1 hr."""
    if not (tokens[at].text.isdigit() and len(tokens[at].text) == 3 and tokens[at].text[-1] in "05"):
        return False
    after = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].key in _FOR)
    return (
        after < len(tokens) and tokens[after].kind == "number" and read_minutes(tokens[after : after + 6]) is not None
    )


def _bare_scale(tokens: list[Token], at: int, end: int, value: Fraction, measures: Measures | None) -> str | None:
    """The scale of a figure without degrees; None where it may be either."""
    if end != at + 1 or not is_set_at(tokens, at):
        return None
    if value > HOTTEST_C or (measures == "us" and value >= COOLEST_F):
        return "fahrenheit"
    return "celsius" if value < COOLEST_F or measures not in (None, "us") else None


def _oven_amount(tokens: list[Token], at: int, words: Vocabulary) -> Amount | None:
    """A figure; 6/7 is between two marks, and only halves and quarters are fractions."""
    amount = read_amount(tokens, at, words, "point")
    if amount is not None and amount.end == at + 1 and at + 2 < len(tokens) and tokens[at + 1].key == "-":
        following = plain_number(tokens[at + 2].text, "point") if tokens[at + 2].kind == "number" else ()
        if following and following[0] - amount.value == 1:  # th. 5-6
            return Amount(((amount.value + following[0]) / 2,), at + 3)
    if amount is None or amount.end != at + 3 or tokens[at + 1].key != "/" or tokens[at + 2].text in ("2", "4"):
        return amount
    ends = [plain_number(tokens[place].text, "point") for place in (at, at + 2)]
    if not all(ends) or ends[1][0] - ends[0][0] != 1:
        return Amount(ends[0], at + 1) if ends[0] else None
    return Amount(((ends[0][0] + ends[1][0]) / 2,), at + 3)


def _fan_follows(tokens: list[Token], at: int) -> bool:
    """Whether the words up to the next figure or sign say that the setting is for a fan."""
    for place, token in enumerate(tokens[at : at + 4], at):
        if token.kind == "number" or token.key in "/,;.":
            return False
        kinds = SETTING_WORDS.get(token.key, {})
        if "nofan" in kinds:
            return False
        if "fan" in kinds:
            return not _degrees_follow(tokens, place + 1)
    return False


def _degrees_follow(tokens: list[Token], at: int) -> bool:
    """Whether a word before this place is of the next setting: 200 °C (fan 180 °C)."""
    at += at < len(tokens) and tokens[at].key == ":"
    if at >= len(tokens) or tokens[at].kind != "number":
        return False
    value = plain_number(tokens[at].text, "point")
    ranged = at + 1 < len(tokens) and tokens[at + 1].key == "-"  # fan 45-50 min
    return (is_degree(tokens, at + 1) and not ranged) or (bool(value) and value[0] >= LONGEST_BAKE)


def _gas_c(mark: Fraction) -> float:
    return float(min(GAS_MARKS, key=lambda gas: abs(gas.mark - mark)).celsius)
