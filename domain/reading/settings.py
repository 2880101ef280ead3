"""Tins in people's words: `20 x 30 cm`, `23 cm springform`, `2 lb loaf tin`."""

import re
from copy import replace
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from domain.measures.quantities import MAX_DIGITS
from domain.reading.depths import DEPTH, LENGTHS, depth_text, read_depths
from domain.reading.numbers import plain_number, read_amount
from domain.reading.setting_words import SETTING_WORDS, all_words, counts_cups, cups_counted, has_kind
from domain.reading.tokens import INCH_SIGNS, Token, fold, tokenise
from domain.reading.values import Choice, Question, Remark
from domain.reading.vocabulary import vocabulary
from domain.reference import rows

MAX_TEXT = 200  # our own limit: characters of a sentence about a tin or an oven
LONGEST_TIN_IN = 40  # our own limit: no oven takes a metre
MAX_SLENDER = 8  # our own limit: no tin is longer for its width; the first figure counts tins
MM_PER = MappingProxyType({"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)})
# The decimal places of a fraction with a short decimal, by its denominator.
_DECIMAL_PLACES = {2**i * 5**j: max(i, j) for i in range(10) for j in range(10) if 1 < 2**i * 5**j <= 10**6}
_BY = frozenset(("x", "*", "by", "mal", "sur"))

_OF_SETTINGS = frozenset(("minute", "hour", "degrees", "thermostat", "fan", "nofan", "oven"))
_GAS = frozenset(("gas", "mark", "stufe", "°", "º"))
# Between a number and a size, these begin another part of the sentence.
_SIGNS = frozenset((".", ",", ";", ":"))
_ARTICLES = frozenset(("a", "an", "the", "einer", "einem", "eine", "einen", "der", "un", "une", "la", "le"))
_PREPOSITIONS = frozenset(("in", "into", "en", "dans", "for", "fur", "pour", "from", "bei", "at", "auf"))
_AFTER_OTHER_COUNTS = _SIGNS | _ARTICLES | _PREPOSITIONS
# "in" before one of these is the preposition, not inches.
_AFTER_IN = _ARTICLES | {"one", "two", "three", "four", "your", "my", "each", "lined", "greased"}
_N = r"[0-9]++(?:[.,][0-9]++)?+(?: [0-9]++/[0-9]++)?+[¼-¾⅐-⅞]?+"
_U = rf"(?:[ -]?(?:{LENGTHS}|[\"″”])(?![^\W\d_])\.?)?+"
_COUNT = rf"(?:[0-9]{{1,2}}+ ?(?:[x×*]|mal)?+ ?(?=[^\W\d_])(?!(?:{LENGTHS})(?![^\W\d_])))?"  # 2 x square 20 cm
_ONE_TIN = re.compile(
    rf"{_COUNT}(?P<before>(?:[^\W\d_]++[ ,:]*+)*+)(?:{_N}{_U})(?: ?(?:[x×*]|by|mal|sur) ?{_N}{_U})*+"
    r"(?P<after>(?:[^\W\d_]|[ ().,-])*+)",
    re.IGNORECASE,
)
# The same size in another unit: 20 cm (8 in), 20cm/8in.
_BOTH = re.compile(
    rf"(?P<first>{_N})(?P<unit>{_U}) ?(?:/ ?(?P<second>{_N})(?P<other>{_U})|"
    rf"\((?P<inner>{_N})(?P<within>{_U})\))(?P<rest>.*+)",
    re.IGNORECASE,
)
_SAME_SIZE = Fraction(1, 20)  # our own limit: printed sizes are rounded to whole inches
_BARE = re.compile(r"(?P<before>[^\d]*+)(?P<size>[0-9]++(?:[.,][0-9]++)?+) ?(?P<after>[^\d]*+)")
_OF_ONE_SIZE = ("square", "round", "hexagon", "octagon")  # beside the depth
MAX_TINS = 10  # our own limit: up to it, a first figure that can be no size counts tins
_NOMINAL = rows("nominal_tins")


@dataclass(frozen=True, slots=True, kw_only=True)
class TinWords:
    """A tin as `parse_tin` takes it, how many there are, how deep they are filled, what was taken; or a question."""

    tin: str = ""
    tins: int = 1
    filled_depth: str = ""
    remarks: tuple[Remark, ...] = ()
    question: Question | None = None


def tin_in_words(text: str) -> TinWords | None:
    """The tin of a text that is about a tin and nothing else.

    Args:
        text: a field that holds a tin, such as `27,5 x 18 x 4,5 cm` or `2 lb loaf tin`.
    Returns:
        As `read_tin_words`; None where a word or sign is left over, which might change the tin.
    """
    if len(text) > MAX_TEXT:
        return None
    text = _one_unit(text)
    tokens = tokenise(text)
    named = has_kind(tokens, "named") and (has_kind(tokens, "tin") or counts_cups(tokens))
    if (question := _bare_size(text)) is not None:
        return question
    match = _ONE_TIN.fullmatch(" ".join(DEPTH.sub("", text, count=1).split()))
    if not named and (match is None or not all_words(tokenise(f"{match['before']} {match['after']}"))):
        return None
    return read_tin_words(text)


def _one_unit(text: str) -> str:
    """The text without a second size that says the first one again in another unit."""
    for match in _BOTH.finditer(text):
        second, other = match["second"] or match["inner"], match["other"] or match["within"] or ""
        sizes = [_mm(match["first"], match["unit"]), _mm(second, other)]
        if sizes[0] and sizes[1] and abs(sizes[0] - sizes[1]) <= _SAME_SIZE * sizes[0]:
            return f"{text[: match.start()]}{match['first']}{match['unit']}{match['rest']}"
    return text


def _mm(figure: str, unit: str) -> Fraction:
    """A length in millimetres; 0 if it cannot be read."""
    key = fold(unit.strip(" -."))
    of = "in" if key in INCH_SIGNS else SETTING_WORDS.get(key, {}).get("length", "")
    amount = read_amount(tokenise(figure), 0, vocabulary(None), "point")
    return amount.value * MM_PER[of] if amount is not None and of else Fraction(0)


def _bare_size(text: str) -> TinWords | None:
    """The question about a tin of a shape with one size that has no unit: `Springform 26`; None for any other text."""
    match = _BARE.fullmatch(" ".join(text.split()))
    tokens = tokenise(f"{match['before']} {match['after']}") if match else []
    shape = _shape(tokens)
    if match is None or shape not in ("round", "square") or not all_words(tokens):
        return None
    if has_kind(tokens, "length") or any(token.kind == "sign" for token in tokens):
        return None
    values = plain_number(match["size"], "point")
    if not values:
        return None
    units = [("cm", "centimetres"), ("in", "inches")] if values[0] <= LONGEST_TIN_IN else [("cm", "centimetres")]
    choices = tuple(Choice(text=f"{shape} {_text([values[0]], unit)}", label=label) for unit, label in units)
    message = "The size of the tin has no unit: say whether it is centimetres or inches."
    return TinWords(question=Question(code="unit_needed", message=message, choices=choices))


def _shape(tokens: list[Token]) -> str:
    """The shape that the first word for one names, or ""."""
    return next((value for token in tokens if (value := SETTING_WORDS.get(token.key, {}).get("shape"))), "")


@lru_cache(maxsize=1024)
def read_tin_words(text: str, unit_taken: str = "") -> TinWords | None:
    """The tin that a sentence or label names.

    Args:
        text: sizes with or without a shape; the words around them do not matter.
        unit_taken: `cm` or `in`, of sizes without a unit; "" where nobody said whose measures they are.
    Returns:
        The tin or a question; None if there is neither a size nor a nominal tin.

    >>> read_tin_words("Line a 20 x 30 cm tin").tin, read_tin_words("23 cm springform").tin
    ('rectangle 20 x 30 cm', 'round 23 cm')
    """
    if len(text) > MAX_TEXT:
        return None
    tokens = tokenise(text)
    named = _named(tokens)
    shape = _shape(tokens)
    if named in ("muffin", "bun"):
        return _cavities(tokens, named)
    depth, filling = read_depths(text)
    sized = text[: min(each.start() for each in (depth, filling) if each)] if depth or filling else text
    sizes, unit, count = _sizes(tokens if sized == text else tokenise(sized))
    remarks: tuple[Remark, ...] = ()
    if filling is not None and sizes:
        message = f"'{filling[0]}' is taken as the depth of the filling, not of the tin."
        remarks = (Remark(code="taken", message=message),)
    if depth is not None and sizes and unit:
        deep = plain_number(depth["amount"], "point")
        of = SETTING_WORDS[fold(depth["unit"])]["length"]
        sizes = [*sizes, deep[0] * MM_PER[of] / MM_PER[unit]] if deep else sizes
    if named == "loaf" and len(sizes) < 2:
        return _loaf(tokens)
    if not sizes:
        return None
    if not unit:
        metric = max(sizes) > LONGEST_TIN_IN
        if not (metric or unit_taken):
            return _ask_unit(sizes, shape)
        taken = "cm" if metric else unit_taken
        message = f"The sizes have no unit: {'inches' if taken == 'in' else 'centimetres'} are taken."
        unit, remarks = taken, (*remarks, Remark(code="taken", message=message))
    made = _shaped(sizes, unit, shape, count, remarks)
    return made if made is None or filling is None else replace(made, filled_depth=depth_text(filling))


def _named(tokens: list[Token]) -> str:
    """The tin with a nominal size; a cake tin is one in French only."""
    french = any(token.key in ("moule", "moules") for token in tokens)
    values = (SETTING_WORDS.get(token.key, {}).get("named") for token in tokens if french or token.key != "cake")
    return next((value for value in values if value), "")


def _sizes(tokens: list[Token]) -> tuple[list[Fraction], str, int]:
    """The first run of sizes joined by x, their unit, and the number of tins."""
    words, count, of_tins = vocabulary(None), 1, False
    at = 0
    while at < len(tokens):
        amount = read_amount(tokens, at, words, "point")
        if amount is None or (
            tokens[at].kind == "word" and amount.end < len(tokens) and not _is_size(tokens, amount.end)
        ):
            count = int(amount.value) if amount and amount.value > 1 and amount.value.denominator == 1 else count
            of_tins = of_tins or (count > 1 and "tin" in SETTING_WORDS.get(tokens[at].key, ()))  # 2 tins, square 20 cm
            count = 1 if _ends_count(tokens[at]) and not of_tins else count
            at += 1
            continue
        sizes, units = [amount.value], list[str]()
        end = _unit_end(tokens, amount.end, units)
        while end < len(tokens) and tokens[end].key in _BY:
            following = read_amount(tokens, end + 1, words, "point")
            if following is None:
                break
            sizes.append(following.value)
            end = _unit_end(tokens, following.end, units)
        if units or len(sizes) > 1:
            unit = units[-1] if units else ""
            if len(set(units)) > 1 or (units and tokens[end - 1].kind in ("number", "vulgar")):
                return [], "", count
            return sizes, unit, count
        is_count = amount.value.denominator == 1 and amount.value <= 50 and not (at and _is_setting(tokens[at - 1]))
        count = int(amount.value) or 1 if is_count else 1
        at = amount.end
    return [], "", count


def _ends_count(token: Token) -> bool:
    """Whether a number before this word or sign is no number of tins: 45 minutes, makes 24 in a tin."""
    return token.key in _AFTER_OTHER_COUNTS or _is_setting(token)


def _is_setting(token: Token) -> bool:
    """Whether a number beside this word is of an oven or a time: gas 4, 45 minutes."""
    return token.key in _GAS or not _OF_SETTINGS.isdisjoint(SETTING_WORDS.get(token.key, ()))


def _is_size(tokens: list[Token], at: int) -> bool:
    return "length" in SETTING_WORDS.get(tokens[at].key, ())


def _unit_end(tokens: list[Token], at: int, units: list[str]) -> int:
    if at < len(tokens) and tokens[at].key == "-" and at + 1 < len(tokens):
        at += 1
    if at < len(tokens):
        key = tokens[at].key
        if key in INCH_SIGNS:
            units.append("in")
            return at + 1
        if (unit := SETTING_WORDS.get(key, {}).get("length")) and not _is_preposition(tokens, at):
            units.append(unit)
            return at + 1 + (at + 1 < len(tokens) and tokens[at + 1].key == ".")
    return at


def _is_preposition(tokens: list[Token], at: int) -> bool:
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    return tokens[at].key == "in" and after is not None and (after.kind == "number" or after.key in _AFTER_IN)


def _shaped(sizes: list[Fraction], unit: str, shape: str, count: int, remarks: tuple[Remark, ...]) -> TinWords | None:
    if _is_count(sizes, shape):
        count, sizes = int(sizes[0]), sizes[1:]
    if len(sizes) == 1 and shape not in _OF_ONE_SIZE:
        return _ask_of_one_size(sizes, unit, shape)
    if shape in ("", "square") and len(sizes) > 1 and sizes[0] == sizes[1]:
        shape, sizes = "square", sizes[1:]
    if len(sizes) > (2 if shape in _OF_ONE_SIZE else 3):
        return None
    shape = shape if shape in (*_OF_ONE_SIZE, "ring") else "rectangle"
    return TinWords(tin=f"{shape} {_text(sizes, unit)}", tins=max(1, count), remarks=remarks)


def _ask_of_one_size(sizes: list[Fraction], unit: str, shape: str) -> TinWords:
    """What a tin with one size leaves open: whether it is round or square, or how wide the tube of a ring is."""
    if shape == "ring":
        message = "A ring tin has a tube: give its diameter too, such as ring 25 x 8 cm, or fill the tin and measure."
        return TinWords(question=Question(code="tin_tube_needed", message=message))
    choices = tuple(Choice(text=f"{each} {_text(sizes, unit)}", label=f"{each} tin") for each in ("round", "square"))
    message = "A tin with one size is round or square: say which."
    return TinWords(question=Question(code="tin_shape_needed", message=message, choices=choices))


def _is_count(sizes: list[Fraction], shape: str) -> bool:
    """Whether the first figure counts tins: 1 x 23 cm, 2 x 20 cm round tins, 2 x 20 x 30 cm."""
    if len(sizes) < 2 or sizes[0].denominator != 1:
        return False
    if len(sizes) == 2:
        return sizes[0] < sizes[1] / MAX_SLENDER or (shape == "round" and sizes[0] < sizes[1] and sizes[0] <= MAX_TINS)
    # As a size it would be of a tin that is deeper than twice its length.
    return len(sizes) == 3 and shape in ("", "rectangle") and sizes[0] < MAX_TINS and sizes[2] > 2 * sizes[0]


def _text(sizes: list[Fraction], unit: str) -> str:
    return f"{' x '.join(decimal_text(size) for size in sizes)} {unit}"


def decimal_text(value: Fraction) -> str:
    """An exact amount as a decimal if it has a short one, else as a mixed number."""
    bottom = value.denominator
    if bottom == 1 and value.numerator < 10**MAX_DIGITS:
        return str(value.numerator)
    whole, top = divmod(value.numerator, bottom)
    if (places := _DECIMAL_PLACES.get(bottom)) and len(str(whole)) + places <= MAX_DIGITS and whole >= 0:
        grouped = places == 3 and whole  # 1.125 could be read as 1,125
        return f"{whole}.{top * 10**places // bottom:0{places}}{'0' if grouped else ''}"
    if len(f"{whole}{top}{bottom}") > MAX_DIGITS:
        return f"{float(value):.6f}".rstrip("0").rstrip(".")
    return f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"


def _ask_unit(sizes: list[Fraction], shape: str) -> TinWords | None:
    choices = []
    for unit, label in (("cm", "centimetres"), ("in", "inches")):
        made = _shaped(list(sizes), unit, shape, 1, ())
        if made is not None and made.tin:
            choices.append(Choice(text=made.tin, label=label))
    if len(sizes) < 2 or not choices:
        return None
    message = "The sizes of the tin have no unit: say whether they are centimetres or inches."
    return TinWords(question=Question(code="unit_needed", message=message, choices=tuple(choices)))


def _loaf(tokens: list[Token]) -> TinWords:
    keys = " ".join(token.key for token in tokens)
    choices = [
        row for row in _NOMINAL if row["name"] == "loaf" and row["size"] in keys.replace("lb", " lb").replace("  ", " ")
    ]
    offered = choices or [row for row in _NOMINAL if row["name"] == "loaf"]
    message = "A loaf tin is named by its bread, and makers' sizes differ: measure it inside, or take a nominal size."
    return TinWords(
        question=Question(
            code="nominal_tin",
            message=message,
            choices=tuple(Choice(text=row["tin"], label=f"{row['label']}, {row['record']}") for row in offered),
        )
    )


def _is_depth(tokens: list[Token]) -> bool:
    """Whether these are a sign of multiplication, a number and a unit of length."""
    return len(tokens) == 3 and tokens[0].key in _BY and tokens[1].kind == "number" and bool(_length_of(tokens[2]))


def _length_of(token: Token) -> str:
    return str(SETTING_WORDS.get(token.key, {}).get("length", ""))


def _cavities(tokens: list[Token], named: str) -> TinWords:
    figures = (token.text for token in tokens if token.kind == "number" and token.text.isdigit())
    count = cups_counted(tokens) or next(figures, "12")
    for at, token in enumerate(tokens[:-1]):
        if token.kind == "number" and tokens[at + 1].key == "ml":
            deep = tokens[at + 2 : at + 5]
            depth = f" x {deep[1].text.replace(',', '.')} {_length_of(deep[2])}" if _is_depth(deep) else ""
            others = [*tokens[:at], *tokens[at + (5 if depth else 1) :]]
            whole = next((t.text for t in others if t.kind == "number" and t.text.isdigit()), "12")
            return TinWords(tin=f"cavities {whole} x {token.text} ml{depth}")
    message = "The volume of one cup is needed: fill it with water to the rim and weigh that, or take a nominal volume."
    rows_of = [row for row in _NOMINAL if row["name"] in (named, "muffin")]
    choices = tuple(
        Choice(text=row["tin"].replace("12", count, 1), label=f"{row['label']}, {row['record']}") for row in rows_of
    )
    return TinWords(question=Question(code="cavity_volume_needed", message=message, choices=choices))
