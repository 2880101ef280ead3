"""Ovens and bake times in people's words: `180C fan`, `200C/400F/Gas 6`, `th. 6`, `25 to 30 minutes`."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from domain.measures.temperatures import GAS_MARKS
from domain.reading.numbers import Amount, plain_number, read_amount
from domain.reading.settings import MAX_TEXT, SETTING_WORDS, all_words, decimal_text
from domain.reading.tokens import Token, tokenise
from domain.reading.values import Remark
from domain.reading.vocabulary import Vocabulary, vocabulary

DEGREES_A_MARK = 30  # French thermostat: mark 6 is 180 °C, common practice
FAN_OFFSET_C = 20  # common practice, only to compare settings that stand beside each other
SAME_SETTING_C = 15  # our own limit: printed settings of one sentence are rounded this much
_OVEN_SIGNS = frozenset(("/", "°", "º", "-", ".", ",", "(", ")"))


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
def read_oven_words(text: str) -> OvenWords | None:
    """The oven setting that a sentence or label names.

    Args:
        text: degrees, gas marks, a French thermostat or an oven word, one or several for one setting.
    Returns:
        The first setting, preferring the one without a fan; None if there is none.

    >>> read_oven_words("200C/180C fan/gas 6")
    OvenWords(setting='200 celsius', fan=False, remarks=())
    """
    if len(text) > MAX_TEXT:
        return None
    tokens = tokenise(text)
    settings = _oven_settings(tokens)
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
    without = any("nofan" in SETTING_WORDS.get(token.key, ()) for token in tokens)
    return OvenWords(
        setting=setting, fan=True if fan else False if said_fan or without else None, remarks=tuple(remarks)
    )


def read_minutes(tokens: list[Token]) -> float | None:
    """The minutes of a sentence about baking; the middle of a range."""
    words = vocabulary(None)
    for at, token in enumerate(tokens):
        kinds = SETTING_WORDS.get(token.key, {})
        if token.kind != "word" or not ("minute" in kinds or "hour" in kinds) or at == 0:
            continue
        per = 1 if "minute" in kinds else 60
        back = at - 1
        while (back > 0 and tokens[back].key in ("-", "to", "bis", "a", "/")) or tokens[back].kind in (
            "number",
            "vulgar",
        ):
            back -= 1
            if back < 0:
                break
        first = read_amount(tokens, back + 1, words, "point")
        if first is not None:
            second = read_amount(tokens, first.end + 1, words, "point") if first.end + 1 < at else None
            return float((first.value + (second or first).value) / 2 * per)
    return None


def _oven_settings(tokens: list[Token]) -> list[tuple[str, float, bool]]:
    """Every setting with its °C and whether it is for a fan."""
    settings: list[tuple[str, float, bool]] = []
    words = vocabulary(None)
    for at, token in enumerate(tokens):
        if token.kind != "number":
            continue
        before = [each.key for each in tokens[max(0, at - 3) : at] if each.key != "."]
        amount = _oven_amount(tokens, at, words)
        if amount is None or (at and tokens[at - 1].key in ("/", "⁄") and at > 1 and tokens[at - 2].kind == "number"):
            continue
        value = amount.value
        if before[-1:] in (["gas"], ["mark"], ["gasmark"]) and value <= 10:
            settings.append((f"gas mark {decimal_text(value)}", _gas_c(value), False))
            continue
        if before and "thermostat" in SETTING_WORDS.get(before[-1], ()) and value <= 10:
            celsius = value * DEGREES_A_MARK
            settings.append((f"{decimal_text(celsius)} celsius", float(celsius), False))
            continue
        end = amount.end
        while end < len(tokens) and tokens[end].key in ("°", "º", "degrees", "deg", "degres", "-"):
            end += 1
        scale = SETTING_WORDS.get(tokens[end].key, {}).get("degrees") if end < len(tokens) else None
        fan_before = bool(before) and "fan" in SETTING_WORDS.get(before[-1], ())
        if scale is None:
            bare_fan = fan_before or _fan_follows(tokens, end)
            degree = end > amount.end and tokens[end - 1].key in ("°", "º")
            if (bare_fan or degree) and 60 <= value <= 320:
                scale, end = "celsius", end - 1
            else:
                continue
        celsius_value = float(value) if scale == "celsius" else (float(value) - 32) * 5 / 9
        if not 30 <= celsius_value <= 500:
            continue
        fan = fan_before or _fan_follows(tokens, end + 1)
        settings.append((f"{decimal_text(value)} {scale}", celsius_value, fan))
    return settings


def _oven_amount(tokens: list[Token], at: int, words: Vocabulary) -> Amount | None:
    """A figure; 6/7 is between two marks, and only halves and quarters are fractions."""
    amount = read_amount(tokens, at, words, "point")
    if amount is None or amount.end != at + 3 or tokens[at + 1].key != "/" or tokens[at + 2].text in ("2", "4"):
        return amount
    ends = [plain_number(tokens[place].text, "point") for place in (at, at + 2)]
    if not all(ends) or ends[1][0] - ends[0][0] != 1:
        return Amount(ends[0], at + 1) if ends[0] else None
    return Amount(((ends[0][0] + ends[1][0]) / 2,), at + 3)


def _fan_follows(tokens: list[Token], at: int) -> bool:
    """Whether the words up to the next figure or sign say that the setting is for a fan."""
    for token in tokens[at : at + 4]:
        if token.kind == "number" or token.key in "/,;.":
            return False
        kinds = SETTING_WORDS.get(token.key, {})
        if "nofan" in kinds:
            return False
        if "fan" in kinds:
            return True
    return False


def _gas_c(mark: Fraction) -> float:
    return float(min(GAS_MARKS, key=lambda gas: abs(gas.mark - mark)).celsius)
