"""Oven settings: Celsius, Fahrenheit, gas marks, with a fan or without; oven words only as ranges."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from domain.errors import (
    AmbiguousError,
    DomainError,
    ErrorCollector,
    MismatchError,
    NeededError,
    OutOfRangeError,
    UnknownError,
    UnreadableError,
    broken_limit,
)
from domain.measures.quantities import Quantity, parse_amount
from domain.measures.temperatures import GAS_MARKS, Temperature, convert_temperature
from domain.measures.units import UNITS, expect
from domain.notices import Notice
from domain.reading.degrees import read_degrees
from domain.reading.ovens import bare_settings, oven_in_words
from domain.reading.values import Remark
from domain.reference import rows
from domain.sources import Cited, cited

COLDEST_OVEN_C, HOTTEST_OVEN_C = 30, 500  # our own limits: from a proving cabinet to a stone oven
MAX_FAN_OFFSET_C = 50  # our own limit, no source
_GAS = re.compile(r"(?:gas(?:[ _]mark)?|mark)\s+(?P<amount>[0-9¼-¾][0-9 ./¼-¾]*)")
_HOW = "Write an oven setting as 180 celsius, 350 fahrenheit, gas mark 4, or a word such as moderate."


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenWord:
    """The range that one source gives for a word, in °C without a fan."""

    word: str
    celsius_low: Fraction
    celsius_high: Fraction
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """A setting: a temperature or a word (then `quantity` is None), of a conventional or a fan oven.

    `fan_offset_c` is how much lower a fan oven is set; None for common practice. `remarks` say what was taken where
    several settings were written.
    """

    quantity: Quantity | None = None
    word: str = ""
    fan: bool = False
    fan_offset_c: Fraction | None = None
    remarks: tuple[Remark, ...] = ()

    def __post_init__(self) -> None:
        """Reject settings that no oven has; several errors are raised together."""
        errors = ErrorCollector()
        with errors.at("fan_offset_celsius"):
            if self.fan_offset_c is not None and not 0 <= self.fan_offset_c <= MAX_FAN_OFFSET_C:
                raise OutOfRangeError(
                    f"The fan offset must be from 0 to {MAX_FAN_OFFSET_C} °C.",
                    value=float(self.fan_offset_c),
                    limit=0 if self.fan_offset_c < 0 else MAX_FAN_OFFSET_C,
                    unit="celsius",
                )
        if self.quantity is not None:
            with errors.at("setting"):
                expect(self.quantity.unit, "temperature")
                celsius = _celsius(self.quantity).amount
                if not COLDEST_OVEN_C <= celsius <= HOTTEST_OVEN_C:
                    raise OutOfRangeError(
                        f"An oven is set from {COLDEST_OVEN_C} to {HOTTEST_OVEN_C} °C.",
                        value=float(celsius),
                        limit=COLDEST_OVEN_C if celsius < COLDEST_OVEN_C else HOTTEST_OVEN_C,
                        unit="celsius",
                    )
            with errors.at("fan"):
                if self.fan and self.quantity.unit.id == "gas_mark":
                    raise MismatchError(
                        "A gas mark is a setting without a fan: leave fan out; the answer has fan_celsius too.",
                        code="gas_mark_with_fan",
                    )
        if len(errors.errors) == 1:
            raise errors.errors[0]
        errors.raise_if_any()

    @property
    def offset_c(self) -> Fraction:
        """The caller's offset, or common practice's."""
        return FAN_OFFSETS[0].amount if self.fan_offset_c is None else self.fan_offset_c

    @property
    def notices(self) -> tuple[Notice, ...]:
        """The remarks as warnings about `setting`."""
        return tuple(Notice(remark.code, remark.message, ("setting",)) for remark in self.remarks)


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenScale:
    """A setting on one scale; `amount` is None for words, which are only ranges."""

    amount: Fraction | None
    low: Fraction
    high: Fraction

    def through(self, change: Callable[[Fraction], Fraction]) -> "OvenScale":
        """The same scale with an increasing function applied to every value."""
        amount = None if self.amount is None else change(self.amount)
        return OvenScale(amount=amount, low=change(self.low), high=change(self.high))


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenReading:
    """A setting on every scale; the gas mark is None outside the table."""

    celsius: OvenScale
    fan_celsius: OvenScale
    fan_offset: OvenScale
    gas_mark: OvenScale | None
    words: tuple[OvenWord, ...]
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...]


@lru_cache(maxsize=1024)  # exact fractions are slow, and ovens have few settings
def parse_oven(written: str, *, fan: bool = False, fan_offset_c: Fraction | None = None) -> Oven:
    """An oven setting from text.

    Args:
        written: degrees (`180 celsius`, `350 F`, `180C fan`), a gas mark (`gas mark 4`), several for one setting
            (`200C/400F/gas 6`), a French thermostat (`th. 6`) or an oven word.
        fan: whether the setting is for a fan oven.
        fan_offset_c: how much lower a fan oven is set; None for common practice.
    Returns:
        The setting.
    Raises:
        UnreadableError: not a setting.
        MismatchError, OutOfRangeError: no oven has this setting; several errors come as DomainErrors.

    >>> parse_oven("gas mark 4½").quantity.amount
    Fraction(9, 2)
    """
    text = " ".join(written.casefold().replace("-", " ").removesuffix(" oven").split())
    if text in OVEN_WORDS:
        return Oven(word=text, fan=fan, fan_offset_c=fan_offset_c)
    remarks: tuple[Remark, ...] = ()
    try:
        quantity = _parse_setting(text)
    except UnreadableError as error:
        in_words = oven_in_words(written)
        if in_words is None:
            refusal = _ask(written) or error
            refusal.path = ("setting",)
            raise refusal from None
        fan = fan if in_words.fan is None else in_words.fan
        quantity, remarks = _parse_setting(in_words.setting), in_words.remarks
    except DomainError as error:
        error.path = ("setting",)
        raise
    return Oven(quantity=quantity, fan=fan, fan_offset_c=fan_offset_c, remarks=remarks)


@lru_cache(maxsize=1024)
def read_oven(oven: Oven) -> OvenReading:
    """A setting on every scale.

    Args:
        oven: the setting.
    Returns:
        Celsius for a conventional oven and for a fan oven; the gas mark, interpolated between marks; the words
        whose ranges contain it. Without the caller's own fan offset, low and high of the other kind of oven span
        the sources.
    Raises:
        OutOfRangeError: a gas mark outside the table.
    Source:
        gas_marks.csv, oven_words.csv, fan_offsets.csv.

    >>> reading = read_oven(parse_oven("170 celsius", fan=True))
    >>> float(reading.celsius.amount), float(reading.celsius.low), float(reading.celsius.high)
    (190.0, 190.0, 198.0)
    """
    offset_range = _offset(oven)
    setting, sources = _setting(oven)
    sign = 1 if oven.fan else -1
    other = OvenScale(
        amount=None if setting.amount is None else setting.amount + sign * oven.offset_c,
        low=setting.low + min(sign * offset_range.low, sign * offset_range.high),
        high=setting.high + max(sign * offset_range.low, sign * offset_range.high),
    )
    celsius, fan_celsius = (other, setting) if oven.fan else (setting, other)
    gas_mark, marks_cited, notices = _gas_mark(oven, celsius)
    words = _words_for(oven, celsius)
    offsets = () if oven.fan_offset_c is not None else tuple(offset.cited[0] for offset in FAN_OFFSETS)
    return OvenReading(
        celsius=celsius,
        fan_celsius=fan_celsius,
        fan_offset=offset_range,
        gas_mark=gas_mark,
        words=words,
        cited=tuple(dict.fromkeys((*sources, *marks_cited, *(word.cited for word in words), *offsets))),
        notices=(*oven.notices, *notices),
    )


def fan_offset_matters(reference: Oven | None, target: Oven | None) -> bool:
    """Whether one of two ovens has a fan, and it is not known by how much it is set lower.

    Args:
        reference: of the bake that works; None if it is not known.
        target: of the bake to estimate; None if it is not known.
    """
    with_fan = [oven for oven in (reference, target) if oven is not None and oven.fan]
    return len(with_fan) == 1 and with_fan[0].fan_offset_c is None


def conventional_c(oven: Oven, usual_offset_c: float) -> float:
    """The equivalent setting of a conventional oven.

    Args:
        oven: the setting, with or without a fan.
        usual_offset_c: used if the oven has no fan offset of its own.
    Returns:
        °C.
    Raises:
        NeededError: an oven word, which is only a range.
    """
    own, offset = setting_c(oven), usual_offset_c if oven.fan_offset_c is None else float(oven.fan_offset_c)
    return own + offset if oven.fan else own


def setting_c(oven: Oven) -> float:
    """The setting in °C, as it stands on the oven.

    Args:
        oven: in degrees or a gas mark.
    Returns:
        °C.
    Raises:
        NeededError: an oven word, which is only a range.
    """
    if oven.quantity is None:
        raise NeededError("An oven word covers a range: give degrees or a gas mark.", code="oven_needed")
    return float(_celsius(oven.quantity).amount)


def fahrenheit(celsius: OvenScale) -> OvenScale:
    """The same setting in Fahrenheit, exactly."""
    return celsius.through(lambda c: c * 9 / 5 + 32)


def nearest_half_mark(mark: Fraction) -> Fraction:
    """The nearest setting of a gas oven: quarter, half, one and the halves from there."""
    return min((Fraction(1, 4), *(Fraction(n, 2) for n in range(1, 21))), key=lambda setting: abs(setting - mark))


def _parse_setting(text: str) -> Quantity:
    if gas := _GAS.fullmatch(text):
        return Quantity(amount=parse_amount(gas["amount"]), unit=UNITS["gas_mark"])
    try:
        return read_degrees(text)
    except (UnreadableError, UnknownError, AmbiguousError):
        raise UnreadableError(_HOW, code="unreadable_oven", candidates=tuple(OVEN_WORDS)) from None


def _ask(written: str) -> UnreadableError | None:
    """What is asked about a figure without its scale, or about a range; None for any other text."""
    if settings := bare_settings(written):
        message = f"Give the scale: write {' or '.join(settings)}."
        return UnreadableError(message, code="unreadable_oven", candidates=settings)
    try:
        read_degrees(written)
    except UnreadableError as error:
        if error.candidates:
            return UnreadableError(error.detail, code="unreadable_oven", candidates=error.candidates)
    except DomainError:
        pass
    return None


def _offset(oven: Oven) -> OvenScale:
    if oven.fan_offset_c is not None:
        return OvenScale(amount=oven.fan_offset_c, low=oven.fan_offset_c, high=oven.fan_offset_c)
    return OvenScale(amount=oven.offset_c, low=FAN_OFFSETS[0].amount, high=FAN_OFFSETS[-1].amount)


def _setting(oven: Oven) -> tuple[OvenScale, tuple[Cited, ...]]:
    if oven.quantity is None:
        entries = OVEN_WORDS[oven.word]
        low, high = min(e.celsius_low for e in entries), max(e.celsius_high for e in entries)
        return OvenScale(amount=None, low=low, high=high), ()
    reading = _celsius(oven.quantity)
    return OvenScale(amount=reading.amount, low=reading.low, high=reading.high), reading.cited


def _celsius(quantity: Quantity) -> Temperature:
    return convert_temperature(quantity, UNITS["celsius"])


def _gas_mark(oven: Oven, celsius: OvenScale) -> tuple[OvenScale | None, tuple[Cited, ...], tuple[Notice, ...]]:
    if oven.quantity is not None and oven.quantity.unit.id == "gas_mark":
        mark = oven.quantity.amount
        return OvenScale(amount=mark, low=mark, high=mark), (), ()
    first, last = GAS_MARKS[0], GAS_MARKS[-1]
    middle = (celsius.low + celsius.high) / 2 if celsius.amount is None else celsius.amount
    if not first.celsius <= middle <= last.celsius:
        message = (
            f"Gas marks run from {first.mark} ({round(first.celsius)} °C) to {last.mark} ({round(last.celsius)} °C)."
        )
        limit = broken_limit(float(middle), float(first.celsius), float(last.celsius))
        return None, (), (Notice("no_gas_mark", message, ("setting",), float(middle), limit, "celsius"),)
    scale = celsius.through(lambda c: _mark(min(max(c, first.celsius), last.celsius)))
    sources = dict.fromkeys(g.cited for g in GAS_MARKS if scale.low - 1 < g.mark < scale.high + 1)
    return scale, tuple(sources), ()


def _mark(celsius: Fraction) -> Fraction:
    return convert_temperature(Quantity(amount=celsius, unit=UNITS["celsius"]), UNITS["gas_mark"]).amount


def _words_for(oven: Oven, celsius: OvenScale) -> tuple[OvenWord, ...]:
    if celsius.amount is None:
        return OVEN_WORDS[oven.word]
    return tuple(
        entry
        for entries in OVEN_WORDS.values()
        for entry in entries
        if entry.celsius_low <= celsius.amount <= entry.celsius_high
    )


def _load_words() -> MappingProxyType[str, tuple[OvenWord, ...]]:
    table: dict[str, tuple[OvenWord, ...]] = {}
    for row in rows("oven_words"):
        exact = [(Fraction(row[f"fahrenheit_{end}"]) - 32) * 5 / 9 for end in ("low", "high")]
        printed = [Fraction(row[f"celsius_{end}"]) for end in ("low", "high") if row[f"celsius_{end}"]]
        entry = OvenWord(
            word=row["word"], celsius_low=min(exact + printed), celsius_high=max(exact + printed), cited=cited(row)
        )
        table[entry.word] = (*table.get(entry.word, ()), entry)
    return MappingProxyType(table)


def _load_offsets() -> tuple[Temperature, ...]:
    offsets = sorted((Fraction(row["celsius"]), cited(row)) for row in rows("fan_offsets"))
    return tuple(Temperature(amount=c, low=c, high=c, cited=(source,)) for c, source in offsets)


OVEN_WORDS = _load_words()
FAN_OFFSETS = _load_offsets()
