"""Reading of one line of a recipe, by rules that are tried in a fixed order; every reading names its rule."""

from copy import replace

from domain.reading.kept import keep, keep_first
from domain.reading.leads import skip_bullet, skip_number_of_list, without_leaders
from domain.reading.meanings import by_share, share_of
from domain.reading.measured import Measured
from domain.reading.measures import MeasureReader
from domain.reading.names import TYPE_DIGITS, NameReading, look_up, read_name, suggest
from domain.reading.parts import read_parts
from domain.reading.phrases import IMPLIED, Phrase, split_phrase
from domain.reading.resolving import SEVERAL_AMOUNTS, ambiguous, asking, finish, resolve, unknown
from domain.reading.scanned import as_figures, with_scanned
from domain.reading.settings import decimal_text
from domain.reading.several import split_line
from domain.reading.tokens import Token, tokenise
from domain.reading.unit_words import COUNTED, english_unit
from domain.reading.values import Choice, LineReading, Question, ReadingOptions
from domain.reading.vocabulary import Vocabulary, vocabulary
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import INGREDIENTS

MAX_LINE = 240  # our own limit: a longer line is method text
MAX_TOKENS = 64  # the same in words and signs
MAX_UNKNOWN_WORDS = 4  # of a name that is not known, before an amount at the end of the line
MAX_EGGS = 30  # a tray: a larger figure after the name, without a unit, may be grams; our own limit
MAX_NAME_TOKENS = 8  # before an amount that stands last
_FLOURS = ("mehl", "dunst", "schrot")


def read_line(text: str, options: ReadingOptions, start: int = 0, *, split: bool = True) -> tuple[LineReading, ...]:
    """How a line reads.

    Args:
        text: one line.
        options: language, measures and so on.
        start: the line's place in the whole text.
        split: whether the parts of a line with several ingredients are read one by one.
    Returns:
        One reading; several if the line names several ingredients with amounts; together they cover the line.
    """
    words = vocabulary(options.language)
    if (figures := as_figures(text, words)) != text:
        return with_scanned(read_line(figures, options, start, split=split), text, figures, start)
    base = LineReading(text=text, start=start, end=start + len(text), kind="kept", rule="text", kept_as="text")
    if len(text) > MAX_LINE:
        return (keep(base, tokenise(text[:MAX_LINE]), words),)
    tokens = without_leaders(tokenise(text))
    if not tokens or len(tokens) > MAX_TOKENS:
        return (keep(base, tokens[:MAX_TOKENS], words),)
    at = skip_bullet(tokens)
    if at + 1 < len(tokens) and words.value("plus", tokens[at].key) is not None:  # the second half of a divided line
        at += 1
    if (kept := keep_first(base, tokens[at:], words, options)) is not None:
        return (kept,)
    at = skip_number_of_list(tokens, at)
    reader = MeasureReader(tokens, words, options)
    for rule in (_amount_first, _part_first, _name_first):
        readings = rule(base, at, reader)
        if readings:
            break
    else:
        readings = (keep(base, tokens[at:], words),)
    several = SEVERAL_AMOUNTS in readings[0].questions
    if split and (several or (readings[0].rule in ("text", "unclear") and any(t.key == ":" for t in tokens))):
        parts = split_line(base, tokens, words, lambda part, place: read_line(part, options, place, split=False))
        return parts or readings
    return readings


def _amount_first(base: LineReading, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:
    """250 g plain flour; 3 large eggs; 1 lemon, juiced; je 1 TL Zimt."""
    tokens, words, options = reader.tokens, reader.words, reader.options
    start = at + 1 if tokens[at].key in ("je", "jeweils") else at
    measured = reader.read(start)
    if measured is None:
        return ()
    if measured.worded and not measured.unit and not measured.pack and not measured.vague and not measured.vessel:
        phrase = split_phrase(tokens, _past_joints(measured.end, reader), words)
        if not _names_something(phrase, options):
            return _part_first(base, at, reader) or _name_first(base, at, reader)
    if _is_step(tokens, at):
        return ()
    end = reader.skip(measured.end, "apiece") if measured.unit else measured.end
    together = end > measured.end or start > at
    return _with_phrase(base, measured, _past_joints(end, reader), reader, together=together)


def _is_step(tokens: list[Token], at: int) -> bool:
    """1. Rub the butter in; 2) Bake: the number of a step, not an amount."""
    return (
        at + 2 < len(tokens)
        and tokens[at].kind == "number"
        and tokens[at + 1].key in (".", ")")
        and tokens[at + 2].kind == "word"
    )


def _past_joints(at: int, reader: MeasureReader) -> int:
    tokens = reader.tokens
    while at < len(tokens) and tokens[at].key in (".", "-", ":", "|", "x"):
        at += 1
    return reader.skip(at, "of")


def _names_something(phrase: Phrase, options: ReadingOptions) -> bool:
    return bool(phrase.keys) and bool(
        read_name(phrase.keys, options.language).ids or phrase.fruit or suggest(phrase.keys, options.language)
    )


def _part_first(base: LineReading, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:
    """Juice of 1 lemon; zest of 2 oranges; yolks of 3 eggs."""
    tokens, words = reader.tokens, reader.words
    if both := _both_parts(base, at, reader):
        return both
    part = read_parts(tokens, reader.skip(at, "of"), reader, words)
    if part is None:
        return ()
    identity, measured, end = part
    opened = next((i for i in range(end, len(tokens)) if tokens[i].key in "(["), len(tokens))
    if any(token.kind in ("number", "vulgar") for token in tokens[end:opened]):  # and juice of ½
        return (asking(base, measured, SEVERAL_AMOUNTS, rule="part"),)
    rest = split_phrase(tokens, end, words)
    ingredient = INGREDIENTS[identity]
    return (finish(base, measured, ingredient, rest, reader, rule="part"),)


def _both_parts(base: LineReading, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:
    """Zest and juice of 1 lemon: two readings, of which the second covers the rest of the line."""
    tokens, words, options = reader.tokens, reader.words, reader.options
    joint = next((i for i in range(at, min(len(tokens), at + 5)) if _joins(tokens[i], words)), 0)
    if not joint:
        return ()
    firsts = [token for token in tokens[at:joint] if words.value("part", token.key) in ("juice", "zest")]
    place = next((i for i in range(joint, min(len(tokens), joint + 3)) if words.value("part", tokens[i].key)), None)
    if len(firsts) != 1 or place is None or any(words.value("part", each.key) for each in tokens[place + 1 :]):
        return ()
    cut = tokens[joint].start
    rest = base.text[tokens[place].end :]
    second = read_line(base.text[tokens[place].start :], options, base.start + cut)
    first = read_line(firsts[0].text + rest, options, base.start)
    if len(first) != 1 or len(second) != 1 or not (first[0].ingredient_id and second[0].ingredient_id):
        return ()
    return (
        replace(first[0], text=base.text[:cut], end=base.start + cut),
        replace(second[0], text=base.text[cut:], end=base.end),
    )


def _joins(token: Token, words: Vocabulary) -> bool:
    return token.key in ("+", "&", "/") or words.value("plus", token.key) is not None


def _name_first(base: LineReading, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:  # noqa: C901, PLR0911 - one branch for each form
    """Butter 250 g; flour, plain, 250 g; Sugar: 100 g."""
    tokens, words = reader.tokens, reader.words
    last = min(len(tokens), at + MAX_NAME_TOKENS + 2)
    place = next((i for i in range(at, last) if _starts_amount(tokens, i, at, words)), None)
    if place is None and tokens[-1].key == "%":
        return _percentage(base, at, reader)
    if place is None or not at < place <= at + MAX_NAME_TOKENS:
        return ()
    closed = tokens[place - 1].key == "(" and tokens[-1].key == ")"  # eggs (3)
    if tokens[place - 1].key == "(" and not closed:
        return ()
    start = place
    while start - 1 > at and (length := _about_before(tokens, start, words)):
        start -= length
    measured = reader.read(start)
    named = range(at, start - (tokens[start - 1].key == "x"))  # eggs x 3
    keys = [tokens[i].key for i in named if _is_of_name(tokens, i, at, words)]
    if measured is None or not keys or (tokens[place - 1].key == "%" and not measured.unit):
        return ()
    name, left_at = _name_before(tokens[at:start], keys, reader.options)
    if (share := share_of(tokens[at:start])) is not None:
        name = replace(name, ids=by_share(name.ids, share))
    ends = measured.end >= len(tokens) - closed or _ends_cell(base.text, tokens, measured.end)
    weighed = measured.unit not in (*COUNTED, "each") or not closed  # brioche (20 pieces)
    few = sum(key.isalpha() for key in keys) <= MAX_UNKNOWN_WORDS  # farine de gruau T45
    if not name.ids and measured.unit and weighed and ends and few:
        names = Phrase(keys=keys, texts=tuple(t.text for t in tokens[at:start] if t.kind == "word"))
        return (unknown(base, measured, names, reader.options),)
    if not name.ids:
        return ()
    rest = split_phrase(tokens, measured.end, words)
    measured, ends = _with_size(measured, rest, tokens, words, ends=ends)
    if not (measured.unit or measured.pack or measured.vague or ends):
        return _unknown_unit(base, measured, tokens)
    if len(name.ids) > 1:
        return (ambiguous(base, measured, name.ids, rule="name_first"),)
    another = (
        tokens[start - 1].key == ":" and read_name(rest.keys, reader.options.language).ids
    )  # marzipan: 100 g almonds
    if rest.amounts or rest.counted or another:
        return (asking(base, measured, SEVERAL_AMOUNTS, rule="name_first"),)
    if not measured.unit and name.ids[0] in EGG_PARTS and measured.value > MAX_EGGS and tokens[start - 1].key != "x":
        return (_eggs_or_grams(base, measured, INGREDIENTS[name.ids[0]].british),)
    left = base.text[tokens[at + left_at].start : tokens[start - 1].end].strip("()@: ") if left_at else ""
    phrase = replace(rest, segments=(left, " ".join(rest.texts), *rest.segments), texts=(), keys=[])
    return (finish(base, measured, INGREDIENTS[name.ids[0]], phrase, reader, rule="name_first", name=name),)


def _ends_cell(text: str, tokens: list[Token], at: int) -> bool:
    """Whether a tab stands before a token."""
    return at < len(tokens) and "\t" in text[tokens[at - 1].end : tokens[at].start]


def _with_size(
    measured: Measured, rest: Phrase, tokens: list[Token], words: Vocabulary, *, ends: bool
) -> tuple[Measured, bool]:
    """Eggs, 3 large; Eier: 3 (Größe L): the size after the number, and whether the line ends there."""
    size = words.value("size", tokens[-1].key) if measured.end == len(tokens) - 1 and not measured.unit else None
    if size:
        return replace(measured, size=size, end=len(tokens)), True
    if rest.keys or measured.size or measured.unit not in ("", *COUNTED):
        return measured, ends
    bracketed = tokens[-1].key == ")" and any(token.key == "(" for token in tokens[measured.end : measured.end + 1])
    return replace(measured, size=rest.size), bool(ends or rest.size or bracketed)  # Eier: 3 (zimmerwarm)


def _about_before(tokens: list[Token], at: int, words: Vocabulary) -> int:
    """The number of tokens of a word such as "ca." before an amount."""
    length = 1 + (tokens[at - 1].key == ".")
    return length if words.value("about", tokens[at - length].key) is not None else 0


def _eggs_or_grams(base: LineReading, measured: Measured, name: str) -> LineReading:
    """Whole egg 750: a table of grams, or a great many eggs."""
    value = decimal_text(measured.value)
    choices = tuple(Choice(text=f"{value} {unit} {name}", label=f"{value} {unit}") for unit in ("g", "each"))
    question = Question(code="unit_needed", message="The amount has no unit: say which.", choices=choices)
    return asking(base, measured, question, rule="name_first")


def _is_of_name(tokens: list[Token], at: int, first: int, words: Vocabulary) -> bool:
    """Whether a token is a word or figure of a name; the scale of a temperature is none."""
    if tokens[at].kind == "word":
        return not at or tokens[at - 1].key not in ("°", "º")
    degrees = at + 1 < len(tokens) and tokens[at + 1].key in ("°", "º")
    return (
        tokens[at].kind == "number" and not degrees and (_of_name(tokens, at) or _ends_name(tokens, at, first, words))
    )


def _percentage(base: LineReading, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:
    """Salt 2 %: a baker's percentage, which needs the weight of the flour."""
    tokens = reader.tokens
    named = tokens[at : len(tokens) - 2]  # without the figure and its sign
    if not read_name([token.key for token in named if token.kind != "sign"], reader.options.language).ids:
        return ()
    message = "A percentage says how much only beside the flour's weight: write grams."
    question = Question(code="unit_needed", message=message)
    return (replace(base, kind="question", kept_as="", rule="name_first", questions=(question,)),)


def _unknown_unit(base: LineReading, measured: Measured, tokens: list[Token]) -> tuple[LineReading, ...]:
    """Milk 2 churns; water 62 4960: a name and a figure with a word that is no unit, or with another figure."""
    if tokens[measured.end].kind in ("number", "vulgar") and not measured.worded:
        message = "The line has two figures: write the amount and its unit only."
        return (asking(base, measured, Question(code="unit_needed", message=message), rule="name_first"),)
    if len(tokens) > measured.end + 1 or tokens[-1].kind != "word" or measured.worded:
        return ()
    message = f"'{tokens[-1].text}' is no unit of ours: write g, ml, spoons or pieces."
    return (asking(base, measured, Question(code="unit_needed", message=message), rule="name_first"),)


def _name_before(tokens: list[Token], keys: list[str], options: ReadingOptions) -> tuple[NameReading, int]:
    """The name before an amount, and the place of the words that do not belong to it, 0 without any.

    A comma may turn the name round; brackets, a temperature or a percentage may follow it.
    """
    name, left_at = read_name(keys, options.language), 0
    for sign in (",", "(", "@", "%"):
        cut = next((i for i, token in enumerate(tokens) if token.key == sign), 0) - (sign == "%")
        if len(name.ids) == 1 or cut <= 0:
            continue
        after = [t.key for t in tokens[cut:] if t.kind == "word"] if sign == "," else []
        if sign == "(" and len(name.ids) > 1:  # yeast (fresh)
            end = next((i for i in range(cut, len(tokens)) if tokens[i].key == ")"), cut)
            inside = [t.key for t in tokens[cut:end] if t.kind == "word"]
            turned = read_name(inside + [t.key for t in tokens[:cut] if t.kind == "word"], options.language)
            if len(turned.ids) == 1:
                return turned, 0
        turned = read_name(after + [t.key for t in tokens[:cut] if t.kind == "word"], options.language)
        if turned.ids and not (name.ids and len(turned.ids) > 1):
            name, left_at = turned, cut if sign != "," else 0
    return name, left_at


def _starts_amount(tokens: list[Token], at: int, first: int, words: Vocabulary) -> bool:
    """A figure that is no part of a name, or a number word after a comma: salt, a pinch."""
    token = tokens[at]
    if token.kind in ("number", "vulgar"):
        return not _of_name(tokens, at) and not _ends_name(tokens, at, first, words)
    after_sign = at > first and tokens[at - 1].key in (",", ":", "-")
    implied = words.value("unit", token.key) or english_unit(token.key)
    return after_sign and (words.value("number", token.key) is not None or implied in IMPLIED)


def _ends_name(tokens: list[Token], at: int, first: int, words: Vocabulary) -> bool:
    """Whether a number is the last word of a name and an amount follows: Weizenmehl 405 1000 g; Mehl 550: 1 kg."""
    after = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].key in (":", "-", "|"))
    if at == first or after >= len(tokens) or tokens[after].kind not in ("number", "vulgar"):
        return False
    keys = [token.key for token in tokens[first : at + 1] if token.kind != "sign"]
    return look_up(" ".join(keys), words.languages) != () or _is_type(tokens[at], tokens[at - 1])


def _is_type(figure: Token, before: Token) -> bool:
    """Whether a figure is a flour's type, known to us or not: Weizenmehl 812 1,5 kg."""
    return len(figure.text) in TYPE_DIGITS and figure.text.isdigit() and before.key.endswith(_FLOURS)


def _of_name(tokens: list[Token], at: int) -> bool:
    """Whether a number belongs to a name, such as Type 405, T55 or 70 %."""
    before = tokens[at - 1].key if at else ""
    after = tokens[at + 1].key if at + 1 < len(tokens) else ""
    bracketed = before == "(" and after == ")" and at + 2 < len(tokens) and tokens[at + 2].kind == "number"
    return before in ("type", "typ", "t") or after in ("%", "°") or bracketed


def _with_phrase(  # noqa: PLR0911 - one branch for each form
    base: LineReading, measured: Measured, at: int, reader: MeasureReader, *, together: bool
) -> tuple[LineReading, ...]:
    tokens, words, options = reader.tokens, reader.words, reader.options
    phrase = split_phrase(tokens, at, words)
    if phrase.next_amount is not None and read_name(phrase.keys, options.language).ids:
        cut = tokens[phrase.next_amount].start
        head = replace(base, text=base.text[:cut], end=base.start + cut)
        first = resolve(head, measured, split_phrase(tokens[: phrase.next_amount], at, words), reader)
        others = read_line(base.text[cut:], options, base.start + cut)
        if any(each.kind == "kept" and each.kept_as != "no_amount" for each in others):
            return (asking(base, measured, SEVERAL_AMOUNTS),)
        return (first, *others)
    if together and (several := _each_of(base, measured, at, reader)):
        return several
    if not phrase.keys and phrase.notes:  # 50 g for the work surface
        return (replace(base, kept_as="no_amount", rule="note"),)
    if not phrase.keys and not phrase.segments:
        if not measured.unit:
            return ()
        message = "The line has an amount and no ingredient."
        return (asking(base, measured, Question(code="ingredient_needed", message=message)),)
    return (resolve(base, measured, phrase, reader),)


def _each_of(base: LineReading, measured: Measured, at: int, reader: MeasureReader) -> tuple[LineReading, ...]:
    """1/2 tsp each ground ginger and cinnamon."""
    tokens, words = reader.tokens, reader.words
    cuts = [i for i in range(at, len(tokens)) if tokens[i].key == "," or words.value("plus", tokens[i].key) is not None]
    ends = [*cuts, len(tokens)]
    readings, start, text_start = [], at, 0
    for end in ends:
        phrase = split_phrase(tokens[:end], start, words)
        text_end = tokens[end].start if end < len(tokens) else len(base.text)
        part = replace(
            base, text=base.text[text_start:text_end], start=base.start + text_start, end=base.start + text_end
        )
        reading = resolve(part, measured, phrase, reader)
        if not reading.ingredient_id and reading.questions[0].code != "ambiguous_ingredient":
            return ()
        readings.append(reading)
        start, text_start = end + 1, text_end
    return tuple(readings) if len(readings) > 1 else ()
