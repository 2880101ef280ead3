"""Measures as recipes write them: `1 lb 4 oz`, `2 x 400 g tins`, `1 heaped tsp`, `225 g (8 oz)`, `2–3 tbsp`."""

from collections.abc import Mapping
from copy import replace
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from domain.reading.measured import Measured, ranged
from domain.reading.names import look_up, packing_word
from domain.reading.numbers import Amount, read_amount
from domain.reading.tokens import Token, within_initials
from domain.reading.unit_words import COUNTED, english_unit, longest_unit, ratio
from domain.reading.values import ReadingOptions
from domain.reading.vocabulary import LONGEST_PHRASE, Vocabulary

MAX_FILLERS = 3  # adjectives between an amount and its unit; our own limit
_NONE: Mapping[str, int] = MappingProxyType({})
_RANGE = frozenset(("-", "to", "bis"))
_JOINTS = _RANGE | {"and", "or", "und", "oder", "ou", "et", "/"}


class MeasureReader:
    """Reads measures from the tokens of one line."""

    __slots__ = ("decimal", "measures", "options", "tokens", "words")

    def __init__(self, tokens: list[Token], words: Vocabulary, options: ReadingOptions) -> None:
        """Keep the line and what decides about its words."""
        self.tokens, self.words, self.options = tokens, words, options
        self.decimal, self.measures = options.decimal_sign, options.measures

    def read(self, at: int) -> Measured | None:
        """The measure that starts at a token, with its alternatives and sums; None if there is none."""
        measured = self.simple(at)
        if measured is None:
            return None
        measured = self._compound(self._far_range(measured))
        return self._alternatives(measured)

    def simple(self, at: int) -> Measured | None:
        """One amount with its unit, range, level and pack."""
        level = self.words.value("level", self._key(at)) or ""  # knapp 1 TL
        at = self.skip(at, "level") if level else at
        at = self.skip(at, "about")
        if self._key(at) in ("between", "zwischen", "entre"):
            at += 1
        amount = read_amount(self.tokens, at, self.words, self.decimal)
        if amount is None:
            return self._implied(at)
        end, low, high = amount.end, None, None
        if (second := self._range(amount)) is not None:
            low, high = amount.value, second.value
            if low > high:  # 1-1/2 has been read before as a mixed number
                low, high = None, None
            else:
                end = second.end
                amount = Amount(((low + high) / 2,), end, amount.worded)
        if self._key(end) == "x" and (times := self._times(amount, end)):
            return times
        if self._key(end) == "x":
            end += 1
        if low is None and (inner := self._inner_size(amount, end)):
            return inner
        if low is None and (spaced := self._spaced_thousands(at, amount)):
            amount, end = spaced, spaced.end
        measured = self._unit(amount, end)
        if level and not measured.level and measured.unit not in COUNTED:
            measured = replace(measured, level=level)
        return measured if low is None or high is None else ranged(measured, low, high)

    def _far_range(self, measured: Measured) -> Measured:
        """100 g - 150 g: a range whose unit is written twice."""
        at = measured.end
        if not measured.unit or measured.low is not None or not (self._key(at) in _RANGE or self._is_to(at)):
            return measured
        second = self.simple(at + 1)
        if second is None or second.unit != measured.unit or second.value <= measured.value or second.low is not None:
            return measured
        middle = (measured.value + second.value) / 2
        low, high = measured.value, second.value
        return replace(measured, values=(middle,), low=low, high=high, end=second.end, rule="range")

    def _is_to(self, at: int) -> bool:
        """Whether the word is the French à; a bare a counts only in French."""
        text = self.tokens[at].text if at < len(self.tokens) else ""
        return text == "à" or (text == "a" and self.words.languages[0] == "fr")

    def skip(self, at: int, kind: str) -> int:
        """Past words of a kind, and the full stops after them."""
        while at < len(self.tokens) and self.tokens[at].kind == "word":
            length = self._phrase_length(kind, at)
            if not length:
                break
            at += length
            if self._key(at) == ".":
                at += 1
        return at

    def _key(self, at: int) -> str:
        return self.tokens[at].key if at < len(self.tokens) else ""

    def _phrase_length(self, kind: str, at: int) -> int:
        """The number of tokens at *at* that form a phrase of a kind."""
        longest = self.words.longest.get(self._key(at), _NONE).get(kind, 0)
        for length in range(min(longest, LONGEST_PHRASE), 0, -1):
            key = " ".join(token.key for token in self.tokens[at : at + length])
            if self.words.value(kind, key) is not None:
                return length
        return 0

    def _range(self, amount: Amount) -> Amount | None:
        end = amount.end
        if len(amount.values) > 1 or end >= len(self.tokens):
            return None
        if self._key(end) not in _JOINTS and not self._is_to(end):
            return None
        second = read_amount(self.tokens, end + 1, self.words, self.decimal)
        if second is None or second.worded or len(second.values) > 1 or self._is_apart(end, amount, second):
            return None
        if self._key(end) in ("and", "und", "et") and self._key(max(0, end - 2)) not in (
            "between",
            "zwischen",
            "entre",
        ):
            return None
        if self._key(end) in ("or", "oder", "ou") and amount.value >= second.value:
            return None
        return second

    def _is_apart(self, at: int, first: Amount, second: Amount) -> bool:
        """Whether a stroke does not join the ends of a range, as in 100/120 g."""
        return self._key(at) == "/" and not first.value < second.value <= 2 * first.value

    def _times(self, amount: Amount, at: int) -> Measured | None:
        """2 x 400 g tins."""
        each = read_amount(self.tokens, at + 1, self.words, self.decimal)
        if each is None or each.worded:
            return None
        inner = self._unit(each, each.end)
        if inner.unit in COUNTED:
            return None
        values = tuple(value * amount.value for value in inner.values)
        return replace(inner, values=values, packs=amount.value, rule="packs")

    def _inner_size(self, amount: Amount, at: int) -> Measured | None:
        """1 (14 oz) can; 1 14-oz can; 2 400 g tins; half a 7 g sachet; 2 boîtes de 400 ml."""
        if self.words.value("size", self._key(at)) is not None and self._pack(at + 1):  # 1 small tin (170 g)
            at += 1
        opened = self._key(at) == "("
        pack_first = self._pack(at)
        inner_at = at + 1 if opened else pack_first[1] if pack_first else at
        if pack_first and self._key(inner_at) in ("de", "of", "a", "mit", "("):
            opened = self._key(inner_at) == "("
            inner_at += 1
        inner_at = self.skip(inner_at, "about") if opened else inner_at
        if not opened and self.words.value("number", self._key(inner_at)) == "1":  # half a 7 g sachet
            inner_at += 1
        if opened and self._key(inner_at) in ("a", "je"):
            inner_at += 1
        each = read_amount(self.tokens, inner_at, self.words, self.decimal)
        if each is None or each.worded or self.tokens[inner_at].kind == "word":
            return None
        inner = self._unit(each, each.end)
        if inner.unit in COUNTED or inner.vague:
            return None
        end = inner.end
        if opened:
            end = self.skip(end, "apiece")
            if self._key(end) != ")":
                return None
            end += 1
        pack = pack_first or self._pack(end)
        if pack is None and not inner.pack_word:
            return None
        values = tuple(value * amount.value for value in inner.values)
        ending = end if pack_first or inner.pack_word or pack is None else pack[1]
        return replace(inner, values=values, packs=amount.value, end=ending, pack="", pack_word="pack", rule="packs")

    def _spaced_thousands(self, at: int, amount: Amount) -> Amount | None:
        """1 500 g, which in English may also be one bag of 500 g."""
        if amount.end != at + 1 or at + 1 >= len(self.tokens):
            return None
        first, second = self.tokens[at], self.tokens[at + 1]
        if second.start - first.end > 1:  # two columns
            return None
        if not (first.text.isdigit() and second.text.isdigit() and len(second.text) == 3 and len(first.text) <= 3):
            return None
        if first.text.startswith("0"):
            return None
        grouped = Fraction(int(first.text + second.text))
        if self.decimal == "comma":
            return Amount((grouped,), at + 2)
        return Amount((grouped, Fraction(int(first.text)) * int(second.text)), at + 2)

    def _pack(self, at: int) -> tuple[str, int, str] | None:
        """A pack noun: its kind, where it ends, and the word."""
        key = self._key(at)
        kind = self.words.value("pack", key)
        if kind is None:
            return None
        end = at + 1
        return kind or key, end + (self._key(end) == "."), key

    def _names(self, at: int) -> bool:
        """Whether a pack noun is part of a name, such as cake flour."""
        keys = [token.key for token in self.tokens[at : at + 3]]
        return any(look_up(" ".join(keys[:length]), self.words.languages) for length in (2, 3))

    def _implied(self, at: int) -> Measured | None:
        """Pinch of salt, dash of rum: the amount is one."""
        measured = self._unit(Amount((Fraction(1),), at, worded=True), at)
        if measured.unit in ("pinch", "dash"):
            return measured
        length = self._phrase_length("vague", at)
        if length:
            length += self._phrase_length("vague", at + length)  # a few drops
            word = " ".join(token.text for token in self.tokens[at : at + length])
            return Measured(values=(Fraction(1),), unit="", vague=word, end=at + length, rule="vague")
        return None

    def _unit(self, amount: Amount, at: int) -> Measured:
        """The unit after an amount, with the words between; without one, a bare number."""
        bare = measured = Measured(values=amount.values, unit="", end=at, worded=amount.worded)
        end = at
        for _ in range(MAX_FILLERS + 1):
            hyphen = self._key(end) == "-" and end < len(self.tokens) - 1
            word = self._measure_word(end + hyphen)
            if word and not (word[0] == "each" and self._names(end + hyphen)):  # 3 whole cloves
                return self._with_word(measured, amount, *word)
            filler = self._filler(end)
            if filler is None:
                return bare
            kind, meaning, end, text = filler
            meant: dict[str, Any] = {} if kind == "adverb" else {kind: meaning}  # fields of Measured
            measured = replace(measured, extra=(*measured.extra, text), **meant)
        return bare

    def _with_word(self, measured: Measured, amount: Amount, unit: str, end: int, kind: str, word: str) -> Measured:  # noqa: PLR0917 - as `_measure_word` returns them
        if kind == "vague":
            return replace(measured, end=end, vague=word, rule="vague")
        if kind == "vessel":
            return replace(measured, end=end, vessel=word, vessel_unit=unit, rule="vessel")
        if kind == "pack":
            return replace(measured, end=end, pack=unit, pack_word=word, packs=amount.value, rule="pack")
        if kind == "stick":
            count, _, of = unit.partition(" ")
            values = tuple(value * int(count) for value in amount.values)
            return replace(measured, end=end, values=values, unit=of, pack_word=word, rule="stick")
        if unit not in ("pinch", "each", "piece") and (pack := self._pack(end)) and not self._names(end):
            return replace(measured, unit=unit, pack_word=pack[2], end=pack[1], rule="packs")
        return self._with_level_after(replace(measured, unit=unit, end=end))

    def _with_level_after(self, measured: Measured) -> Measured:
        """The level or the packing that stands after a unit: cuillère à soupe rase; 1 cup (packed) sugar."""
        level = self.words.value("level", self._key(measured.end))
        if not measured.level and level and level != "generous":
            measured = replace(measured, level=level, end=measured.end + 1)
        end = measured.end
        if self._key(end) == "(" and self._key(end + 2) == ")":
            packing = packing_word(self._key(end + 1), self.words)
            measured = replace(measured, packing=packing, end=end + 3) if packing else measured
        return replace(measured, rule="level" if measured.level else "amount")

    def _filler(self, at: int) -> tuple[str, str, int, str] | None:
        """A word between an amount and its unit: its kind, what it means, where it ends and the word."""
        opened = self._key(at) == "("
        place = at + opened
        kinds = self.words.words.get(self._key(place))
        if kinds is None or (opened and self._key(place + 1) != ")"):
            return None
        kind = next((kind for kind in ("level", "packing", "size", "adverb") if kind in kinds), None)
        if kind is None:
            return None
        end = place + (2 if opened else 1)
        end += self._key(end) == "." and "level" in kinds  # gestr. TL
        return kind, kinds[kind], end, self.tokens[place].text

    def _measure_word(self, at: int) -> tuple[str, int, str, str] | None:  # noqa: PLR0911 - one branch for each form
        """A unit, vessel, pack or vague word: what it means, where it ends, its kind and the word."""
        if unit := self._unit_at(at):
            return (*unit, "unit", self._key(at))
        if length := self._phrase_length("vague", at):
            return "", at + length, "vague", " ".join(token.text for token in self.tokens[at : at + length])
        kinds = self.words.words.get(self._key(at))
        if kinds is None:
            return None
        text = self.tokens[at].text
        end = at + 1 + (self._key(at + 1) == ".")
        if "stick" in kinds:
            return kinds["stick"], end, "stick", text
        if "cupunit" in kinds:
            return kinds["cupunit"], end, "vessel", text
        if "pack" in kinds:
            return kinds["pack"] or self._key(at), end, "pack", text
        return None

    def _unit_at(self, at: int) -> tuple[str, int] | None:  # noqa: C901 - one branch for each form
        """The unit at a token: its id or kitchen word, and where it ends."""
        if at >= len(self.tokens):
            return None
        token = self.tokens[at]
        if token.kind != "word":
            return ("lb", at + 1) if token.key == "#" and at else None
        keys: list[str] = []
        ends: list[int] = []
        place = at
        while place < len(self.tokens) and len(keys) < LONGEST_PHRASE:
            if self.tokens[place].key in "._" and keys:
                ends[-1] = place + 1
            elif self.tokens[place].kind == "word":
                keys.append(self.tokens[place].key)
                ends.append(place + 1)
            else:
                break
            place += 1
        if place < len(self.tokens) and self.tokens[place].key == "." and keys:
            ends[-1] = place + 1
        short = self.words.value("shortunit", token.text) if len(token.text) == 1 else None
        longest = max(1, self.words.longest.get(token.key, _NONE).get("unit", 0), longest_unit(token.key))
        for length in range(min(len(keys), longest), 0, -1):
            if length == 1 and short:
                return short, at + 1 + (self._key(at + 1) == ".")
            phrase = " ".join(keys[:length])
            if (unit := self.words.value("unit", phrase)) or (unit := english_unit(phrase)):
                if length > 1 and within_initials(self.tokens, ends[length - 1]):  # 1 c. S.R. flour
                    continue
                return unit, ends[length - 1]
        return None

    def _compound(self, measured: Measured) -> Measured:  # noqa: PLR0911 - one branch for each form
        """1 lb 4 oz; 2 tbsp + 1 tsp; 1 + 1/2 tsp; 1/2 cup plus 2 tablespoons."""
        at = measured.end
        joined = self._key(at) == "+" or self.words.value("plus", self._key(at)) is not None
        if not measured.unit and not joined:
            return measured
        if measured.vague or measured.pack or measured.vessel or measured.level:
            return measured
        start = at + 1 if joined else at
        if start >= len(self.tokens) or self.tokens[start].kind not in ("number", "vulgar", "word"):
            return measured
        if not joined and self.tokens[start].kind == "word":
            return measured
        second = self.simple(start)
        if second is None or second.unit in COUNTED or second.low is not None or second.pack_word:
            return measured
        if not measured.unit:  # 1 + 1/2 tsp
            if measured.size or self._key(at) != "+":
                return measured
            return replace(second, values=(measured.value + second.value,), rule="sum")
        times = ratio(measured.unit, second.unit, self.measures)
        if times is None or (not joined and times <= 1):
            return measured
        if times >= 1:
            total, unit = measured.value * times + second.value, second.unit
        else:
            total, unit = measured.value + second.value / times, measured.unit
        return replace(measured, values=(total,), unit=unit, end=second.end, rule="sum")

    def _alternatives(self, measured: Measured) -> Measured:
        """225 g (8 oz); 200g/7oz; 175 g or 6 oz: the first one is taken."""
        others: list[Measured] = []
        end = measured.end
        while end < len(self.tokens) and len(others) < LONGEST_PHRASE:
            key = self._key(end)
            bracket = key == "("
            if not bracket and key not in ("/", "|", "=") and self.words.value("or", key) is None:
                break
            start = end + 1
            while bracket and self._key(start) in ("=", "a", "je", "~"):
                start += 1
            if start >= len(self.tokens) or not (bracket or self.tokens[start].kind in ("number", "vulgar")):
                break
            other = self.simple(start)
            if other is None or not (other.unit or other.pack) or other.unit in ("each", "piece"):
                break
            other = self._compound(other)
            other_end = other.end
            while bracket and self._key(other_end) in (";", ",", "/", "|"):
                further = self.simple(other_end + 1)
                if further is None or not further.unit or further.unit in ("each", "piece"):
                    break
                others.append(further)
                other_end = further.end
            if bracket:
                other, other_end = self._in_bracket(other, measured, other_end)
                if not other_end:
                    break
            others.append(other)
            end = other_end
        return replace(measured, alternatives=tuple(others), end=end) if others else measured

    def _in_bracket(self, other: Measured, measured: Measured, end: int) -> tuple[Measured, int]:
        """A measure and where its bracket ends, 0 if it does not: 3 cups (120 g each) are 360 g."""
        closing = self.skip(end, "apiece")
        if closing > end and measured.unit not in COUNTED:
            other = replace(other, values=tuple(value * measured.value for value in other.values))
        return other, closing + 1 if self._key(closing) == ")" else 0
