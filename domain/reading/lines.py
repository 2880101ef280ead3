"""Reading of one line of a recipe, by rules that are tried in a fixed order; every reading names its rule."""

from dataclasses import replace

from domain.reading.drafts import Draft, draft
from domain.reading.kept import keep, keep_first
from domain.reading.measures import Measured, MeasureReader
from domain.reading.names import NameReading, packing_word, read_name, suggest, written_name
from domain.reading.phrases import Phrase, read_parts, split_phrase
from domain.reading.tokens import Token, tokenise
from domain.reading.values import Choice, LineReading, Question, ReadingOptions, Remark
from domain.reading.vocabulary import PACK_WEIGHTS, Vocabulary, vocabulary
from domain.things.ingredients import INGREDIENTS, PACKINGS, Ingredient, normal_name

MAX_LINE = 240  # our own limit: a longer line is method text
MAX_TOKENS = 64  # the same in words and signs
MOST_NAME_TOKENS = 8  # before an amount that stands last
_BULLETS = frozenset("-*•·☐□▢◦‣–—+")


def read_line(text: str, options: ReadingOptions, start: int = 0) -> tuple[LineReading, ...]:
    """How a line reads.

    Args:
        text: one line.
        options: language, measures and so on.
        start: the line's place in the whole text.
    Returns:
        One reading; several if the line names several ingredients with amounts; together they cover the line.
    """
    base = LineReading(text=text, start=start, end=start + len(text), kind="kept", rule="text", kept_as="text")
    words = vocabulary(options.language)
    if len(text) > MAX_LINE:
        return (keep(base, tokenise(text[:MAX_LINE]), words),)
    tokens = tokenise(text)
    if not tokens or len(tokens) > MAX_TOKENS:
        return (keep(base, tokens[:MAX_TOKENS], words),)
    at = _skip_bullet(tokens)
    if at + 1 < len(tokens) and words.value("plus", tokens[at].key) is not None:  # the second half of a divided line
        at += 1
    if (kept := keep_first(base, tokens[at:], words)) is not None:
        return (kept,)
    reader = MeasureReader(tokens, words, options)
    for rule in (_amount_first, _part_first, _name_first):
        readings = rule(base, tokens, at, reader, words, options)
        if readings:
            return readings
    return (keep(base, tokens[at:], words),)


def _skip_bullet(tokens: list[Token]) -> int:
    at = 0
    while at < len(tokens) - 1 and tokens[at].kind == "sign" and tokens[at].text in _BULLETS:
        at += 1
    if tokens[at].key == "[" and at + 2 < len(tokens) and "]" in (tokens[at + 1].key, tokens[at + 2].key):
        at += 2 if tokens[at + 1].key == "]" else 3
    return at


def _amount_first(
    base: LineReading, tokens: list[Token], at: int, reader: MeasureReader, words: Vocabulary, options: ReadingOptions
) -> tuple[LineReading, ...]:
    """250 g plain flour; 3 large eggs; 1 lemon, juiced; je 1 TL Zimt."""
    start = reader.skip(at, "apiece")
    measured = reader.read(start)
    if measured is None:
        return ()
    if measured.worded and not measured.unit and not measured.pack and not measured.vague and not measured.vessel:
        phrase = split_phrase(tokens, _past_joints(measured.end, reader), words)
        if not _names_something(phrase, options):
            return _part_after_article(base, tokens, at, reader, words, options)
    if _is_step(tokens, at):
        return ()
    end = reader.skip(measured.end, "apiece") if measured.unit else measured.end
    together = end > measured.end
    return _with_phrase(base, tokens, measured, _past_joints(end, reader), words, options, together=together)


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


def _part_after_article(
    base: LineReading, tokens: list[Token], at: int, reader: MeasureReader, words: Vocabulary, options: ReadingOptions
) -> tuple[LineReading, ...]:
    return _part_first(base, tokens, at, reader, words, options) or _name_first(
        base, tokens, at, reader, words, options
    )


def _part_first(
    base: LineReading, tokens: list[Token], at: int, reader: MeasureReader, words: Vocabulary, options: ReadingOptions
) -> tuple[LineReading, ...]:
    """Juice of 1 lemon; zest of 2 oranges; yolks of 3 eggs."""
    part = read_parts(tokens, reader.skip(at, "of"), reader, words)
    if part is None:
        return ()
    identity, measured, end = part
    rest = split_phrase(tokens, end, words)
    ingredient = INGREDIENTS[identity]
    return (_finish(base, measured, ingredient, ingredient.british, rest, options, words, rule="part"),)


def _name_first(
    base: LineReading, tokens: list[Token], at: int, reader: MeasureReader, words: Vocabulary, options: ReadingOptions
) -> tuple[LineReading, ...]:
    """Butter 250 g; flour, plain, 250 g; Sugar: 100 g."""
    place = next(
        (i for i in range(at, len(tokens)) if tokens[i].kind in ("number", "vulgar") and not _of_name(tokens, i)), None
    )
    if place is None or not at < place <= at + MOST_NAME_TOKENS or tokens[place - 1].key in ("(", "%"):
        return ()
    start = place
    while start - 1 > at and words.value("about", tokens[start - 1].key) is not None:
        start -= 1
    measured = reader.read(start)
    keys = [token.key for token in tokens[at:start] if token.kind == "word"]
    if measured is None or not keys:
        return ()
    name = read_name(keys, options.language)
    if not name.ids and any(token.key == "," for token in tokens[at:start]):
        cut = next(i for i in range(at, start) if tokens[i].key == ",")
        turned = [t.key for t in tokens[cut:start] if t.kind == "word"] + [t.key for t in tokens[at:cut]]
        name = read_name(turned, options.language)
    if not name.ids and any(token.key == "(" for token in tokens[at:start]):
        cut = next(i for i in range(at, start) if tokens[i].key == "(")
        name = read_name([t.key for t in tokens[at:cut]], options.language)
    if not name.ids:
        return ()
    rest = split_phrase(tokens, measured.end, words)
    if not measured.unit and not measured.pack and not measured.vague:
        if measured.end < len(tokens) or len(name.ids) > 1:
            return ()
    if len(name.ids) > 1:
        return (_ambiguous(base, measured, name.ids, rule="name_first"),)
    ingredient = INGREDIENTS[name.ids[0]]
    phrase = replace(rest, segments=(" ".join(rest.texts), *rest.segments), texts=(), keys=[])
    return (
        _finish(base, measured, ingredient, ingredient.british, phrase, options, words, rule="name_first", name=name),
    )


def _of_name(tokens: list[Token], at: int) -> bool:
    """Whether a number belongs to a name, such as Type 405, T55 or 70 %."""
    before = tokens[at - 1].key if at else ""
    after = tokens[at + 1].key if at + 1 < len(tokens) else ""
    return before in ("type", "typ", "t") or after == "%"


def _with_phrase(
    base: LineReading,
    tokens: list[Token],
    measured: Measured,
    at: int,
    words: Vocabulary,
    options: ReadingOptions,
    *,
    together: bool,
) -> tuple[LineReading, ...]:
    phrase = split_phrase(tokens, at, words)
    if phrase.next_amount is not None and read_name(phrase.keys, options.language).ids:
        cut = tokens[phrase.next_amount].start
        head = replace(base, text=base.text[:cut], end=base.start + cut)
        first = _resolve(head, measured, split_phrase(tokens[: phrase.next_amount], at, words), words, options)
        return (first, *read_line(base.text[cut:], options, base.start + cut))
    if together and (several := _each_of(base, tokens, measured, at, words, options)):
        return several
    if not phrase.keys and not phrase.segments:
        return ()
    return (_resolve(base, measured, phrase, words, options),)


def _each_of(
    base: LineReading, tokens: list[Token], measured: Measured, at: int, words: Vocabulary, options: ReadingOptions
) -> tuple[LineReading, ...]:
    """1/2 tsp each ground ginger and cinnamon."""
    cuts = [i for i in range(at, len(tokens)) if tokens[i].key == "," or words.value("plus", tokens[i].key) is not None]
    ends = [*cuts, len(tokens)]
    readings, start, text_start = [], at, 0
    for end in ends:
        phrase = split_phrase(tokens[:end], start, words)
        text_end = tokens[end].start if end < len(tokens) else len(base.text)
        part = replace(
            base, text=base.text[text_start:text_end], start=base.start + text_start, end=base.start + text_end
        )
        reading = _resolve(part, measured, phrase, words, options)
        if not reading.ingredient_id:
            return ()
        readings.append(reading)
        start, text_start = end + 1, text_end
    return tuple(readings) if len(readings) > 1 else ()


def _resolve(
    base: LineReading, measured: Measured, phrase: Phrase, words: Vocabulary, options: ReadingOptions
) -> LineReading:
    """The ingredient that a phrase names, with what stands after commas and in brackets."""
    measured, phrase = _egg_size(measured, phrase)
    if phrase.fruit and not measured.unit and not measured.pack:
        return _fruit(base, measured, phrase, options, words)
    keys, remarks = phrase.keys, []
    name = read_name(keys, options.language)
    joined = _joined(phrase, measured, options)
    if joined is not None and (len(name.ids) != 1 or joined[0] != name.ids[0]):
        name = NameReading(joined[:1])
        place = joined[1]
        phrase = replace(
            phrase,
            segments=phrase.segments[:place] + phrase.segments[place + 1 :],
            segment_keys=phrase.segment_keys[:place] + phrase.segment_keys[place + 1 :],
        )
    elif not name.ids and phrase.other:
        name = read_name(phrase.other, options.language)
    if name.ids and phrase.other:
        remarks.append(Remark(code="taken", message=f"'{' '.join(phrase.texts)}' is taken; the line names another."))
    if phrase.amounts and not (len(name.ids) == 1 and not phrase.amounts_in_name):
        message = "The line has several amounts: give every ingredient a line of its own."
        return _question(base, measured, Question(code="several_amounts", message=message))
    if not name.ids:
        return _unknown(base, measured, phrase, options)
    if len(name.ids) > 1 and measured.pack:  # only one of them comes in such packs: a cube of yeast
        packed = tuple(
            key for key in name.ids if any(key == of and measured.pack == pack for _, pack, of in PACK_WEIGHTS)
        )
        name = NameReading(packed if len(packed) == 1 else name.ids, name.before, name.after)
    if len(name.ids) > 1:
        return _ambiguous(base, measured, name.ids)
    if changed := _changed(phrase, words):
        message = f"'{changed}' may make it another ingredient: name it in full."
        choice = Choice(
            text=f"{_plain_amount(measured)}{INGREDIENTS[name.ids[0]].british}", label=INGREDIENTS[name.ids[0]].british
        )
        return _question(base, measured, Question(code="unknown_ingredient", message=message, choices=(choice,)))
    ingredient = INGREDIENTS[name.ids[0]]
    if phrase.amounts:
        message = "The line has several amounts: give every ingredient a line of its own."
        return _question(base, measured, Question(code="several_amounts", message=message))
    written = written_name(phrase.name, ingredient)
    return _finish(base, measured, ingredient, written, phrase, options, words, name=name, remarks=tuple(remarks))


def _egg_size(measured: Measured, phrase: Phrase) -> tuple[Measured, Phrase]:
    return (replace(measured, size=phrase.size) if phrase.size and not measured.size else measured), phrase


def _joined(phrase: Phrase, measured: Measured, options: ReadingOptions) -> tuple[str, int] | None:
    """The ingredient whose name is split by a comma or bracket: flour, plain; chocolate (dark)."""
    for place, segment in enumerate(phrase.segment_keys[:2]):
        if not segment or len(segment) > 4 or (measured.unit and segment[0] in PACKINGS and _is_volume(measured)):
            continue
        for keys in (segment + phrase.keys, phrase.keys + segment):
            read = read_name(keys, options.language)
            if len(read.ids) == 1 and not read.before and not read.after:
                return read.ids[0], place
    return None


def _is_volume(measured: Measured) -> bool:
    return measured.unit not in ("g", "kg", "mg", "oz", "lb", "pfund", "each")


def _changed(phrase: Phrase, words: Vocabulary) -> str:
    """A word after the name that may change the ingredient: milk, powdered."""
    for segment in phrase.segment_keys[:2]:
        if len(segment) <= 2:
            for key in segment:
                kinds = words.words.get(key, {})
                if "changing" in kinds and not any(kind in kinds for kind in ("plain", "packing", "size", "of")):
                    return key
    return ""


def _fruit(
    base: LineReading, measured: Measured, phrase: Phrase, options: ReadingOptions, words: Vocabulary
) -> LineReading:
    """1 lemon, juiced; a bare lemon asks for its juice or its zest."""
    if len(phrase.parts) == 1:
        identity = f"{phrase.fruit}-{phrase.parts[0]}"
        if identity in INGREDIENTS:
            ingredient = INGREDIENTS[identity]
            return _finish(base, measured, ingredient, ingredient.british, phrase, options, words, rule="part")
    count = _plain_amount(measured).strip()
    choices = tuple(
        Choice(text=f"{part} of {count} {phrase.fruit}", label=f"its {part}")
        for part in ("juice", "zest")
        if f"{phrase.fruit}-{part}" in INGREDIENTS
    )
    message = f"Say which part of the {phrase.fruit} goes into the mix."
    return _question(base, measured, Question(code="part_needed", message=message, choices=choices))


def _unknown(base: LineReading, measured: Measured, phrase: Phrase, options: ReadingOptions) -> LineReading:
    ids = suggest(phrase.keys, options.language)
    choices = tuple(
        Choice(text=f"{_plain_amount(measured)}{INGREDIENTS[key].british}", label=INGREDIENTS[key].british)
        for key in ids
    )
    message = f"No ingredient of our tables is called '{' '.join(phrase.texts)}'."
    return _question(base, measured, Question(code="unknown_ingredient", message=message, choices=choices))


def _ambiguous(base: LineReading, measured: Measured, ids: tuple[str, ...], rule: str = "") -> LineReading:
    choices = tuple(
        Choice(text=f"{_plain_amount(measured)}{INGREDIENTS[key].british}", label=INGREDIENTS[key].british)
        for key in ids
    )
    message = "The word stands for several ingredients: say which."
    question = Question(code="ambiguous_ingredient", message=message, choices=choices)
    return _question(base, measured, question, rule=rule)


def _plain_amount(measured: Measured) -> str:
    """The amount and its unit as text, for the choices of a question."""
    from domain.reading.settings import decimal_text  # noqa: PLC0415 - short

    if measured.pack or measured.vague or measured.vessel or len(measured.values) > 1:
        word = measured.pack_word or measured.vague or measured.vessel or measured.unit
        return f"{decimal_text(measured.value)} {word} ".replace("  ", " ")
    low_high = (
        f"{decimal_text(measured.low)} to {decimal_text(measured.high)}"
        if measured.low is not None and measured.high is not None
        else decimal_text(measured.value)
    )
    return " ".join(part for part in (low_high, measured.level, measured.unit.replace("pfund", "Pfund")) if part) + " "


def _question(base: LineReading, measured: Measured, question: Question, rule: str = "") -> LineReading:
    return replace(base, kind="question", rule=rule or measured.rule, kept_as="", questions=(question,))


def _finish(
    base: LineReading,
    measured: Measured,
    ingredient: Ingredient,
    written: str,
    phrase: Phrase,
    options: ReadingOptions,
    words: Vocabulary,
    *,
    rule: str = "",
    name: NameReading | None = None,
    remarks: tuple[Remark, ...] = (),
) -> LineReading:
    """The line with its quantity, packing and the words left over."""
    measured, taken = _other_measure(measured, phrase, ingredient)
    made: Draft = draft(measured, ingredient, written, options, words)
    packing, packing_remarks = _packing(measured, phrase, name, ingredient, words)
    if packing and not measured.packing and phrase.keys and packing_word(phrase.keys[0], words) == packing:  # "grated lemon zest" is also a name
        written = written_name(phrase.name.partition(" ")[2], ingredient)
    asks = any(not question.field or question.field == "decimal" for question in made.questions)
    left = [*measured.extra, *((*name.before, *name.after) if name and not packing else ()), *phrase.segments]
    return replace(
        base,
        kind="question" if asks else "line",
        rule=rule or measured.rule,
        kept_as="",
        ingredient=written,
        ingredient_id=ingredient.id,
        quantity=made.quantity,
        low=made.low,
        high=made.high,
        packing=packing,
        preparation=", ".join(part.strip() for part in left if part.strip()),
        notes=phrase.notes,
        size=measured.size,
        egg_class=made.egg_class,
        questions=made.questions,
        remarks=(*remarks, *taken, *made.remarks, *packing_remarks),
    )


def _other_measure(measured: Measured, phrase: Phrase, ingredient: Ingredient) -> tuple[Measured, tuple[Remark, ...]]:
    """A weight in brackets serves where the line counts pieces or packs: 2 onions (about 300 g)."""
    bracket = phrase.bracket
    if bracket is None:
        return measured, ()
    if measured.pack or measured.vessel or measured.vague or (not measured.unit and ingredient.piece is None):
        if ingredient.id in ("egg", "egg-yolk", "egg-white"):
            return measured, ()
        times = measured.value if phrase.bracket_each or measured.value == 1 else 1
        values = tuple(value * times for value in bracket.values)
        if measured.value != 1 and not phrase.bracket_each:
            if measured.pack:
                return measured, ()
            remark = Remark(code="taken", message="The weight in brackets is taken for all of them together.")
            return replace(bracket, values=values, extra=measured.extra), (remark,)
        return replace(bracket, values=values, extra=measured.extra, rule="packs"), ()
    return replace(measured, alternatives=(*measured.alternatives, bracket)), ()


def _packing(
    measured: Measured, phrase: Phrase, name: NameReading | None, ingredient: Ingredient, words: Vocabulary
) -> tuple[str, tuple[Remark, ...]]:
    """How a measure of volume was filled: a word before the name, or "packed" anywhere."""
    if not measured.unit or not _is_volume(measured):
        return "", ()
    before = [packing_word(key, words) for key in (name.before if name else ())]
    wanted = measured.packing or next((each for each in before if each), "")
    if not wanted and name and not name.before and phrase.keys:
        first = packing_word(phrase.keys[0], words)  # "whole almonds" is a name, and says the packing too
        rest = read_name(phrase.keys[1:], None).ids
        own_name = normal_name(phrase.name) in (normal_name(ingredient.british), normal_name(ingredient.american))
        if first in ingredient.densities and rest == (ingredient.id,) and not own_name:
            wanted = first
    after = [key for segment in phrase.segment_keys for key in segment]
    if not wanted and "packed" in after and "packed" in ingredient.densities:
        wanted = "packed"
    if not wanted:
        return "", ()
    if wanted in ingredient.densities:
        return wanted, ()
    if wanted in ("frozen", "whole", "pitted"):
        return "", ()
    message = f"There is no figure for {ingredient.british} measured {wanted}: its usual packing is taken."
    return "", (Remark(code="taken", message=message),)
