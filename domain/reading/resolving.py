"""The ingredient that a phrase names, and the line that it makes with its measure; or what has to be asked."""

from copy import replace
from functools import cache

from domain.measures.units import UNITS
from domain.reading.drafts import draft, may_be_of_one
from domain.reading.egg_sizes import EGG_WEIGHT, by_weight
from domain.reading.meanings import USUAL, by_share, share_of, usual_taken
from domain.reading.measured import Measured
from domain.reading.measures import MeasureReader
from domain.reading.names import NameReading, look_up, packing_word, read_name, suggest, written_name
from domain.reading.phrases import Phrase
from domain.reading.settings import decimal_text
from domain.reading.tokens import fold
from domain.reading.unit_words import COUNTED, METRIC_G, WEIGHT_UNITS, unit_of
from domain.reading.values import Choice, LineReading, Question, ReadingOptions, Remark
from domain.reading.vocabulary import PACK_WEIGHTS, Vocabulary
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import INGREDIENTS, PACKINGS, Ingredient, normal_name, size_in

_FILLED = ("packed", "spooned", "scooped", "level")
_TINS = frozenset(("tin", "tins", "can", "cans", "dose", "dosen", "boite", "boites"))
_METRIC = ("ml", "cl", "dl", "l")
MIN_WEIGHED_G = 10  # our own limit: a whole number of fewer grams is rounded by more than a spoon errs
_LOOSELY = frozenset(("lightly", "loosely", "leicht", "locker", "legerement"))
_LEVELS = ("heaped", "rounded", "scant", "level")
MAX_LEVEL_WORDS = 2  # well heaped
SEVERAL_AMOUNTS = Question(
    code="several_amounts", message="The line has several amounts: give every ingredient a line of its own."
)


def resolve(base: LineReading, measured: Measured, phrase: Phrase, reader: MeasureReader) -> LineReading:  # noqa: C901, PLR0911 - one question for each form
    """The ingredient that a phrase names, with what stands after commas and in brackets."""
    options = reader.options
    if phrase.size and not measured.size:
        measured = replace(measured, size=phrase.size)
    if phrase.fruit and not measured.unit and not measured.pack:
        return _fruit(base, measured, phrase, reader)
    name, phrase = _named(phrase, measured, options)
    if phrase.counted and not phrase.counted & set(name.ids):
        phrase = replace(phrase, amounts=True)
    if phrase.amounts and (len(name.ids) != 1 or phrase.amounts_in_name):
        return asking(base, measured, SEVERAL_AMOUNTS)
    if not name.ids:
        return unknown(base, measured, phrase, options)
    remarks = _choices_taken(phrase, name)
    name = _narrowed(name, measured, reader)
    if len(name.ids) > 1 and (usual := USUAL.get((options.measures, " ".join(phrase.keys)))):
        remarks.append(usual_taken(usual, name.ids))
        name = replace(name, ids=(usual,))
    if len(name.ids) > 1:
        return ambiguous(base, _with_bracket(measured, phrase), name.ids)
    if changed := _changed(phrase, reader.words):
        message = f"'{changed}' may make it another ingredient: name it in full."
        return asking(base, measured, Question(code="unknown_ingredient", message=message))
    if name.ids[0] in _tinned() and any(token.key in _TINS for token in reader.tokens[: measured.end]):
        name, phrase = replace(name, ids=(_tinned()[name.ids[0]],)), replace(phrase, name="")
    ingredient = INGREDIENTS[name.ids[0]]
    if not measured.size and (kind := size_in(phrase.name)) is not None and kind in ingredient.pieces:
        measured = replace(measured, size=kind)  # 2 plum tomatoes
    if phrase.amounts:
        return asking(base, measured, SEVERAL_AMOUNTS)
    written = written_name(phrase.name, ingredient)
    return finish(base, measured, ingredient, phrase, reader, written=written, name=name, remarks=tuple(remarks))


def _named(phrase: Phrase, measured: Measured, options: ReadingOptions) -> tuple[NameReading, Phrase]:
    """The ingredients that a name may mean, and the phrase without the words that belong to the name."""
    name = read_name(phrase.keys, options.language)
    joined = _joined(phrase, measured, options)
    if joined is not None and (len(name.ids) != 1 or joined[0] != name.ids[0]):
        place = joined[1]
        segments = phrase.segments[:place] + phrase.segments[place + 1 :]
        segment_keys = phrase.segment_keys[:place] + phrase.segment_keys[place + 1 :]
        return NameReading(joined[:1]), replace(phrase, segments=segments, segment_keys=segment_keys)
    if not name.ids and phrase.other:
        name = read_name([*phrase.keys, phrase.other[-1]], options.language)  # sunflower or rapeseed oil
        name = name if name.ids else read_name(phrase.other, options.language)
    return name, phrase


def _choices_taken(phrase: Phrase, name: NameReading) -> list[Remark]:
    remarks = []
    if phrase.other:
        taken = INGREDIENTS[name.ids[0]].british
        remarks.append(Remark(code="taken", message=f"{taken} is taken; the line names another too."))
    if phrase.either:
        remarks.append(Remark(code="taken", message="The first choice of the line is taken; it names another."))
    return remarks


def _narrowed(name: NameReading, measured: Measured, reader: MeasureReader) -> NameReading:
    """The ingredients that a name may mean, as far as the pack, the measure and a share of fat leave them."""
    if len(name.ids) > 1 and measured.pack:  # only one of them comes in such packs: a cube of yeast
        packed = tuple(
            key for key in name.ids if any(key == of and measured.pack == pack for _, pack, of in PACK_WEIGHTS)
        )
        name = NameReading(packed if len(packed) == 1 else name.ids, name.before, name.after)
    if measured.vague and "leaf-gelatine" in name.ids:
        name = replace(name, ids=("leaf-gelatine",))
    share = share_of(reader.tokens)
    if share is not None and all(reader.words.value("or", token.key) is None for token in reader.tokens):
        name = replace(name, ids=by_share(name.ids, share))
    return name


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
    return measured.unit not in ("g", "kg", "mg", "oz", "lb", *METRIC_G, *COUNTED)


def _changed(phrase: Phrase, words: Vocabulary) -> str:
    """A word after the name that may change the ingredient: milk, powdered."""
    for segment in phrase.segment_keys[:2]:
        if len(segment) <= 2:
            for key in () if _is_kind(segment) else segment:
                kinds = frozenset(words.words.get(key, ()))
                if "changing" in kinds and not any(kind in kinds for kind in ("plain", "packing", "size", "of")):
                    return key
    return ""


def _is_kind(segment: list[str]) -> bool:
    """Type acidulé, which is no type of flour."""
    return segment[0:1] in (["type"], ["typ"]) and not segment[-1].isdigit()


def _fruit(base: LineReading, measured: Measured, phrase: Phrase, reader: MeasureReader) -> LineReading:
    """1 lemon, juiced; a bare lemon asks for its juice or its zest."""
    if len(phrase.parts) == 1:
        identity = f"{phrase.fruit}-{phrase.parts[0]}"
        if identity in INGREDIENTS:
            ingredient = INGREDIENTS[identity]
            measured = replace(measured, unit="each")
            return finish(base, measured, ingredient, phrase, reader, rule="part")
    count = _plain_amount(measured).strip()
    choices = tuple(
        Choice(text=f"{part} of {count} {phrase.fruit}", label=f"its {part}")
        for part in ("juice", "zest")
        if f"{phrase.fruit}-{part}" in INGREDIENTS
    )
    message = f"Say which part of the {phrase.fruit} goes into the mix."
    return asking(base, measured, Question(code="part_needed", message=message, choices=choices))


def unknown(base: LineReading, measured: Measured, phrase: Phrase, options: ReadingOptions) -> LineReading:
    """A question about a name that is in none of our tables, with what it may mean."""
    ids = suggest(phrase.keys, options.language)
    measured = _with_bracket(measured, phrase)
    choices = tuple(
        Choice(text=f"{_plain_amount(measured)}{INGREDIENTS[key].british}", label=INGREDIENTS[key].british)
        for key in ids
    )
    message = f"No ingredient of our tables is called '{' '.join(phrase.texts)}'."
    return asking(base, measured, Question(code="unknown_ingredient", message=message, choices=choices))


def ambiguous(base: LineReading, measured: Measured, ids: tuple[str, ...], rule: str = "") -> LineReading:
    """A question about a word that stands for several ingredients."""
    choices = tuple(
        Choice(text=f"{_plain_amount(measured)}{INGREDIENTS[key].british}", label=INGREDIENTS[key].british)
        for key in ids
    )
    message = "The word stands for several ingredients: say which."
    question = Question(code="ambiguous_ingredient", message=message, choices=choices)
    return asking(base, measured, question, rule=rule)


@cache  # when it is first needed, since the tables of names take a part of the start
def _tinned() -> dict[str, str]:
    """What is in a tin by the name of the fresh fruit: a tin of peaches."""
    return {
        fresh: key
        for key in INGREDIENTS
        if key.startswith("tinned-")
        for fresh in look_up(key.removeprefix("tinned-"), ("en",))
        if fresh != key
    }


def _plain_amount(measured: Measured) -> str:
    """The amount and its unit as text, for the choices of a question."""
    if measured.pack or measured.vague or measured.vessel or len(measured.values) > 1:
        word = measured.pack_word or measured.vague or measured.vessel or measured.unit
        return f"{decimal_text(measured.value)} {word} ".replace("  ", " ")
    low_high = (
        f"{decimal_text(measured.low)} to {decimal_text(measured.high)}"
        if measured.low is not None and measured.high is not None
        else decimal_text(measured.value)
    )
    unit = measured.unit.replace("pfund", "Pfund")
    return " ".join(part for part in (low_high, measured.level, unit, _beside(measured)) if part) + " "


def _beside(measured: Measured) -> str:
    """The weight or the millilitres beside a cup, in brackets: the answer to a question keeps and checks them."""
    beside = (each for each in measured.alternatives if each.unit in _METRIC or not _is_volume(each))
    other = next((each for each in beside if len(each.values) == 1 and each.low is None and each.rule != "stick"), None)
    if other is None or not measured.unit or not _is_volume(measured):
        return ""
    return f"({decimal_text(other.value)} {other.unit})"


def asking(base: LineReading, measured: Measured, question: Question, rule: str = "") -> LineReading:
    """The line as a question."""
    return replace(base, kind="question", rule=rule or measured.rule, kept_as="", questions=(question,))


def finish(
    base: LineReading,
    measured: Measured,
    ingredient: Ingredient,
    phrase: Phrase,
    reader: MeasureReader,
    *,
    written: str = "",
    rule: str = "",
    name: NameReading | None = None,
    remarks: tuple[Remark, ...] = (),
) -> LineReading:
    """The line with its quantity, packing and the words left over."""
    words, written = reader.words, written or ingredient.british
    measured, taken = _other_measure(_levelled(measured, phrase, words), phrase, ingredient)
    measured = _by_weight_beside(measured, ingredient, reader.options)
    packing, packing_remarks = _packing(measured, phrase, name, ingredient, words)
    weight_question = None
    if ingredient.id == "egg":
        measured, weight_question = by_weight(measured, phrase.bracket, reader.tokens, reader.options)
        if weight_question is not None and not weight_question.field:
            return replace(asking(base, measured, weight_question, rule), ingredient_id=ingredient.id)
    if (question := _unclear(measured, packing, name, ingredient)) is not None:
        return replace(asking(base, measured, question, rule), ingredient_id=ingredient.id)
    made = draft(measured, ingredient, written, reader.options, words)
    if (
        packing and not measured.packing and phrase.keys and packing_word(phrase.keys[0], words) == packing
    ):  # "grated lemon zest" is also a name
        written = written_name(phrase.name.partition(" ")[2], ingredient)
    asks = any(not question.field or question.field == "decimal" for question in made.questions)
    around = (*name.before, *name.after) if name and not packing else ()
    texts = {token.key: token.text for token in reader.tokens} if around else {}
    left = [*measured.extra, *(texts.get(key, key) for key in around), *phrase.segments]
    return LineReading(
        text=base.text,
        start=base.start,
        end=base.end,
        kind="question" if asks else "line",
        rule=rule or measured.rule,
        ingredient=made.name or written,
        ingredient_id=ingredient.id,
        quantity=made.quantity,
        low=made.low,
        high=made.high,
        packing=packing,
        preparation=", ".join(part.strip(" :") for part in left if part.strip(" .:")),
        notes=phrase.notes,
        size=measured.size,
        egg_class=made.egg_class,
        questions=(*made.questions, *((weight_question,) if weight_question is not None else ())),
        remarks=(*remarks, *taken, *made.remarks, *packing_remarks),
    )


def _levelled(measured: Measured, phrase: Phrase, words: Vocabulary) -> Measured:
    """1 tbsp cocoa (heaped); 2 TL Backpulver, gestrichen: how full the spoon is, after the name."""
    if measured.level or not measured.unit or not _is_volume(measured):
        return measured
    for keys in phrase.segment_keys:
        level = words.value("level", keys[-1]) if keys and len(keys) <= MAX_LEVEL_WORDS else None
        if level in _LEVELS:
            return replace(measured, level=level, rule="level")
    return measured


def _unclear(measured: Measured, packing: str, name: NameReading | None, ingredient: Ingredient) -> Question | None:
    """What a weight or a cup leaves open: how firmly it is packed, whether a shell or a syrup is weighed too."""
    words = {fold(word) for word in (*measured.extra, *(name.before if name else ()))}
    if packing == "packed" and words & _LOOSELY:
        message = f"There is no figure for {ingredient.british} lightly packed: say spooned or packed, or give grams."
        texts = tuple(f"{_plain_amount(measured)}{way}{ingredient.british}" for way in ("", "packed "))
        choices = tuple(Choice(text=text, label=text) for text in texts)
        return Question(code="packing_needed", message=message, choices=choices)
    if measured.rule != "packs":
        return None
    if ingredient.id == "egg" and measured.unit in ("g", "oz"):
        return Question(code="egg_weight_unclear", message=EGG_WEIGHT)
    if ingredient.form == "pieces" and measured.unit in ("ml", "cl", "dl", "l"):
        message = f"A jar's volume holds {ingredient.british} and syrup: write the drained weight in grams."
        return Question(code="drained_weight_needed", message=message)
    return None


def _other_measure(measured: Measured, phrase: Phrase, ingredient: Ingredient) -> tuple[Measured, tuple[Remark, ...]]:
    """A weight in brackets serves where the line counts pieces or packs: 2 onions (about 300 g)."""
    bracket = phrase.bracket
    if bracket is None:
        return measured, ()
    if ingredient.id in EGG_PARTS:
        return measured, ()
    if measured.pack or measured.vessel or measured.vague or measured.unit in COUNTED:
        times = measured.value if phrase.bracket_each or measured.value == 1 else 1
        values = tuple(value * times for value in bracket.values)
        if measured.value != 1 and not phrase.bracket_each:
            if measured.pack:
                return measured, ()
            remark = Remark(code="taken", message="The weight in brackets is taken for all of them together.")
            return replace(bracket, values=values, extra=measured.extra), (remark,)
        return replace(bracket, values=values, extra=measured.extra, rule="packs"), ()
    return _with_bracket(measured, phrase), ()


def _with_bracket(measured: Measured, phrase: Phrase) -> Measured:
    """A measure with the one in brackets after the name beside it; 120 g each of three cups are 360 g."""
    bracket = phrase.bracket
    if bracket is None or measured.pack or measured.vessel or measured.vague or measured.unit in COUNTED:
        return measured
    if phrase.bracket_each:
        bracket = replace(bracket, values=tuple(value * measured.value for value in bracket.values))
    return replace(measured, alternatives=(*measured.alternatives, bracket))


def _by_weight_beside(measured: Measured, ingredient: Ingredient | None, options: ReadingOptions) -> Measured:
    """The weight that stands beside a volume, because the writer's scale is surer than our density: 1 cup (150 g).

    A weight of a few grams is rounded too far, and ounces of a liquid may be fluid ounces. Beside a cup whose country
    nobody has said, millilitres serve too.
    """
    if not measured.alternatives or measured.unit in WEIGHT_UNITS or not _is_volume(measured) or not measured.unit:
        return measured
    unsaid = unit_of(measured.unit, options.measures) is None
    for place, other in enumerate(measured.alternatives):
        if len(other.values) > 1 or not (_is_sure_weight(other, ingredient) or (unsaid and other.unit in _METRIC)):
            continue
        if ingredient is not None and may_be_of_one(measured, other, ingredient, options):
            continue
        others = (*measured.alternatives[:place], *measured.alternatives[place + 1 :])
        if measured.level in ("", "level"):
            others = (replace(measured, alternatives=()), *others)
        return replace(other, alternatives=others, extra=measured.extra, end=measured.end, packing=measured.packing)
    return measured


def _is_sure_weight(other: Measured, ingredient: Ingredient | None) -> bool:
    fluid = other.unit in ("oz", "lb") and (ingredient is None or ingredient.form == "liquid")
    if other.unit not in WEIGHT_UNITS or other.rule == "stick" or fluid:
        return False
    return other.value * UNITS[other.unit].factor >= MIN_WEIGHED_G


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
        if first in ingredient.densities and read_name(phrase.keys[1:], None).ids == (ingredient.id,):
            own_names = (normal_name(ingredient.british), normal_name(ingredient.american))
            wanted = "" if normal_name(phrase.name) in own_names else first
    after = [key for segment in phrase.segment_keys for key in segment]
    # These say how the measure was filled wherever they stand; "sifted" after a comma is work for later.
    wanted = wanted or next((way for way in _FILLED if way in after and way in ingredient.densities), "")
    if not wanted:
        return "", ()
    if wanted in ingredient.densities:
        return wanted, ()
    if wanted in ("frozen", "whole", "pitted"):
        return "", ()
    message = f"There is no figure for {ingredient.british} measured {wanted}: its usual packing is taken."
    return "", (Remark(code="taken", message=message),)
