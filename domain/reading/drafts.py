"""From a measure and an ingredient to a line of a formula: units, packs, levels, eggs, pieces, and what is asked."""

from copy import replace
from dataclasses import dataclass
from fractions import Fraction

from domain.measures.units import KITCHEN_WORDS, UNITS, Unit
from domain.reading.egg_sizes import egg_class_of
from domain.reading.measured import Measured
from domain.reading.plausible import greatest_plausible
from domain.reading.settings import decimal_text
from domain.reading.unit_words import COUNTED, METRIC_G, WEIGHT_UNITS, is_bare, unit_of
from domain.reading.values import Choice, Question, ReadingOptions, Remark
from domain.reading.vocabulary import PACK_WEIGHTS, PLAUSIBLE, SPOON_LEVELS, Vocabulary
from domain.reference import rows
from domain.things.conversion import EGG_PARTS, Thing, grams_per
from domain.things.ingredients import Ingredient

FAR_APART = Fraction(3, 2)  # our own limit: a weight this far from its volume may be of one cup among several
DISAGREE = Fraction(6, 100)  # two measures of one line that differ more earn a remark; printed ones are rounded so far
STICKS = frozenset(("butter", "margarine", "vegetable-shortening"))  # sold in sticks of a quarter of a pound in the USA
LEAST = Fraction(1, 10**6)  # our own limit: a smaller amount of any unit is a slip
MAX_PIECES = 100  # our own limit: what has no weight of a piece is not counted further
_WEIGHED = frozenset(("g", "kg", "mg", "oz", "lb", "ml", "cl", "dl", "l"))  # units that nobody heaps
_ABOVE_LEVEL = frozenset(("heaped", "rounded"))
_LARGEST_SPOON_ML = 20  # the Australian tablespoon
_LARGEST_CUP_ML = 350  # our own limit: more than one cup holds
VESSELS_ML = ("125 ml", "150 ml", "200 ml", "250 ml")  # what a Tasse, tasse, verre or bol may hold; common practice
_Amounts = tuple[Fraction, Fraction, Fraction]  # central, low and high
_LANGUAGES = {"en": "English", "de": "German", "fr": "French"}
_PACK_LANGUAGES: dict[str, set[str]] = {}
for _row in rows("reading_words"):
    if _row["kind"] == "pack":
        _PACK_LANGUAGES.setdefault(_row["value"] or _row["word"].casefold(), set()).add(_row["language"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The quantity of a line as text, with its range; what was taken or asked.

    `egg_class` is the class where a size was named, `name` the ingredient's name where a size belongs to it.
    """

    name: str = ""
    quantity: str = ""
    low: str = ""
    high: str = ""
    egg_class: str = ""
    questions: tuple[Question, ...] = ()
    remarks: tuple[Remark, ...] = ()


def draft(measured: Measured, ingredient: Ingredient, name: str, options: ReadingOptions, words: Vocabulary) -> Draft:  # noqa: PLR0911 - one branch for each form
    """The quantity of one ingredient.

    Args:
        measured: what was read before or after its name.
        ingredient: whose quantity it is.
        name: the ingredient as `find_ingredient` knows it, for the texts of choices.
        options: the measures and the egg class.
        words: of the language.
    Returns:
        The quantity, or a question.
    """
    if measured.rule == "stick" and ingredient.id not in STICKS:
        return _asked("vague_amount", f"A stick is a measure of butter, not of {ingredient.british}: give grams.")
    if measured.vague and ingredient.id == "leaf-gelatine":
        return _count(measured, ingredient, name, options)
    if measured.vague:
        message = f"Nobody can weigh '{measured.vague}': give grams or spoons."
        return _asked("vague_amount", message)
    if len(measured.values) > 1:
        plausible = tuple(value for value in measured.values if value <= greatest_plausible(measured.unit))
        if len(plausible) != 1:
            return _ambiguous_number(measured, name)
        return draft(replace(measured, values=plausible), ingredient, name, options, words)
    if measured.vessel and (held := _held(measured, options)) is not None:
        return draft(held, ingredient, name, options, words)
    if measured.vessel:
        message = f"A '{measured.vessel}' has no fixed size: say how many millilitres it holds."
        choices = tuple(
            Choice(text=f"{decimal_text(measured.value)} x {ml} {name}", label=f"{ml} each") for ml in VESSELS_ML
        )
        return _asked("cup_size_needed", message, choices)
    if measured.pack:
        return _pack(measured, ingredient, name, words)
    if measured.unit in COUNTED:
        return _count(measured, ingredient, name, options)
    return _weighed(measured, ingredient, name, options)


def _held(measured: Measured, options: ReadingOptions) -> Measured | None:
    """What a vessel holds where a measure stands beside it, or where the caller's cups have a size; None if unsaid."""
    beside = measured.alternatives[0] if len(measured.alternatives) == 1 else None
    unit = unit_of(beside.unit, options.measures) if beside is not None else None
    if beside is not None and unit is not None and len(beside.values) == 1 and unit.dimension in ("mass", "volume"):
        whole = measured.value == 1 or (unit.dimension == "volume" and beside.value * unit.factor > _LARGEST_CUP_ML)
        return replace(beside, extra=measured.extra) if whole else None
    if measured.vessel_unit and options.measures in ("us", "au"):
        return replace(measured, vessel="", unit=measured.vessel_unit, alternatives=())
    return None


def quantity_text(amount: Fraction, unit: str) -> str:
    """A quantity as `parse_quantity` takes it."""
    return f"{decimal_text(amount)} {unit}"


def _asked(code: str, message: str, choices: tuple[Choice, ...] = (), field: str = "") -> Draft:
    return Draft(questions=(Question(code=code, message=message, choices=choices, field=field),))


def _ambiguous_number(measured: Measured, name: str) -> Draft:
    unit = measured.unit or "each"
    choices = tuple(
        Choice(text=f"{decimal_text(value)} {unit} {name}", label=quantity_text(value, unit))
        for value in measured.values
    )
    ways = " or ".join(quantity_text(value, unit) for value in measured.values)
    message = f"The sign in this number may separate thousands or decimals: write {ways}."
    return _asked("ambiguous_number", message, choices, field="decimal")


def _pack(measured: Measured, ingredient: Ingredient, name: str, words: Vocabulary) -> Draft:
    own = words.languages[0]
    speakers = _PACK_LANGUAGES.get(measured.pack, set())
    for language in (own,) if own in speakers else tuple(sorted(speakers)):
        pack = PACK_WEIGHTS.get((language, measured.pack, ingredient.id))
        if pack is not None and (own in speakers or len(speakers) == 1):
            if not LEAST <= pack.amount * measured.value <= greatest_plausible(pack.unit):
                return _implausible(pack.amount * measured.value, pack.unit)
            each = quantity_text(pack.amount, pack.unit)
            remark = Remark(
                code="taken",
                message=f"One '{measured.pack_word}' of {ingredient.british} is taken as {each}; yours may differ.",
            )
            return Draft(
                quantity=quantity_text(pack.amount * measured.value, pack.unit),
                low=quantity_text(pack.low * (measured.low or measured.value), pack.unit),
                high=quantity_text(pack.high * (measured.high or measured.value), pack.unit),
                remarks=(remark,) if pack.unit != "each" else (),
            )
    message = f"Say what one '{measured.pack_word}' holds: write, for example, 2 x 400 g."
    return _asked("pack_size_needed", message, _usual_packs(measured, ingredient, name))


def _usual_packs(measured: Measured, ingredient: Ingredient, name: str) -> tuple[Choice, ...]:
    """What packs of an ingredient hold in the countries that sell it in one size."""
    choices = dict[str, Choice]()
    for (language, kind, identity), pack in PACK_WEIGHTS.items():
        total = pack.amount * measured.value
        if (kind, identity) == (measured.pack, ingredient.id) and LEAST <= total <= greatest_plausible(pack.unit):
            text = f"{quantity_text(total, pack.unit)} {name}"
            basis = "a published mean" if pack.published else "common practice"
            label = f"{quantity_text(pack.amount, pack.unit)} in one: {basis}, {_LANGUAGES[language]} packs"
            choices.setdefault(text, Choice(text=text, label=label))
    return tuple(choices.values())


def _count(measured: Measured, ingredient: Ingredient, name: str, options: ReadingOptions) -> Draft:
    if ingredient.id not in EGG_PARTS and (draft_of := _pieces(measured, ingredient, name)) is not None:
        return draft_of
    if measured.value > PLAUSIBLE["each"] or measured.value < LEAST:
        return _implausible(measured.value, "each")
    egg_class, questions, remarks = "", tuple[Question, ...](), tuple[Remark, ...]()
    if ingredient.id in EGG_PARTS:
        egg_class, questions, remarks = egg_class_of(measured.size, options)
    size = measured.size.replace("_", " ")
    return Draft(
        name=f"{size} {ingredient.british}" if size and size in ingredient.pieces else "",
        quantity=quantity_text(measured.value, "each"),
        low=quantity_text(measured.low, "each") if measured.low is not None else "",
        high=quantity_text(measured.high, "each") if measured.high is not None else "",
        egg_class=egg_class,
        questions=questions,
        remarks=(*remarks, *_range_remark(measured)),
    )


def _pieces(measured: Measured, ingredient: Ingredient, name: str) -> Draft | None:
    """What must be asked before pieces of an ingredient can be weighed; None if nothing."""
    value = decimal_text(measured.value)
    counted = measured.unit or ingredient.form == "pieces" or measured.size or ingredient.id.endswith("-egg")
    if not counted or (not ingredient.pieces and measured.value > MAX_PIECES):
        choices = tuple(Choice(text=f"{value} {unit} {name}", label=f"{value} {unit}") for unit in ("g", "ml"))
        return _asked("unit_needed", "The amount has no unit: say which.", choices)
    if not ingredient.pieces or (measured.unit == "piece" and ingredient.form != "pieces"):
        message = f"There is no published weight of one {ingredient.british}: weigh it and write grams."
        return _asked("no_piece_weight", message)
    if measured.size.replace("_", " ") in ingredient.pieces or ingredient.piece is not None:
        return None
    choices = tuple(
        Choice(text=f"{value} {size} {ingredient.british}", label=f"{size} ones") for size in ingredient.pieces
    )
    return _asked("piece_size_needed", f"Pieces of {ingredient.british} differ: say which they are.", choices)


def _weighed(measured: Measured, ingredient: Ingredient, name: str, options: ReadingOptions) -> Draft:
    word, value, low, high = measured.unit, measured.value, measured.low, measured.high
    if (grams := METRIC_G.get(word)) is not None:
        value, word = value * grams, "g"
        low, high = (None if end is None else end * grams for end in (low, high))
    if value > greatest_plausible(word) or value < LEAST:
        return _implausible(value, word)
    unit = unit_of(word, options.measures)
    if unit is not None and unit.dimension not in ("mass", "volume"):
        return _asked("vague_amount", f"A length does not say how much {ingredient.british}: give grams.")
    if unit is None and not is_bare(word, options.measures):
        meanings = tuple(dict.fromkeys(KITCHEN_WORDS[word].meanings.values())) if word in KITCHEN_WORDS else ()
        choices = tuple(Choice(text=f"{decimal_text(value)} {key} {name}", label=UNITS[key].name) for key in meanings)
        return _asked("unit_not_of_measures", f"The {options.measures} measures have no '{word}': say which.", choices)
    if measured.level in _ABOVE_LEVEL and _is_larger_than_spoon(word, options):
        choices = (Choice(text=f"{quantity_text(value, word)} {name}", label=f"level {word}"),)
        message = f"Nobody knows how much a {measured.level} {word} holds: give level measures or grams."
        return _asked("vague_amount", message, choices)
    questions: list[Question] = []
    if unit is None:
        meanings = tuple(KITCHEN_WORDS[word].meanings)
        message = "Spoons, cups and pints differ by country: say whose the recipe uses."
        choices = tuple(Choice(text=key, label=f"{key} measures") for key in meanings)
        questions.append(Question(code="measures_needed", message=message, choices=choices, field="measures"))
    text = unit.id if unit is not None else word
    remarks = [*_range_remark(measured), *_fluid_ounces(text, ingredient, options)]
    if measured.level in SPOON_LEVELS and SPOON_LEVELS[measured.level].factor != 1:
        (value, low, high), remark = _by_level(measured.level, text, (value, low or value, high or value))
        remarks.append(remark)
    remarks += _disagreements(measured, unit, ingredient, options)
    return Draft(
        quantity=quantity_text(value, text),
        low=quantity_text(low, text) if low is not None else "",
        high=quantity_text(high, text) if high is not None else "",
        questions=tuple(questions),
        remarks=tuple(remarks),
    )


def _is_larger_than_spoon(word: str, options: ReadingOptions) -> bool:
    """Whether a measure is larger than any spoon, on which the figures for heaped measures rest."""
    unit = unit_of(word, options.measures) or unit_of(word, "us")
    return unit is not None and unit.dimension == "volume" and unit.factor > _LARGEST_SPOON_ML


def _by_level(level: str, unit: str, amounts: _Amounts) -> tuple[_Amounts, Remark]:
    """The central, low and high amount of a heaped or scant measure; a weight is only widened."""
    spoon, (value, low, high) = SPOON_LEVELS[level], amounts
    if unit in _WEIGHED:
        message = f"{quantity_text(value, unit)} is taken as written."
        widened = value, low * min(spoon.low, Fraction(1)), high * max(spoon.high, Fraction(1))
        return widened, Remark(code="taken", message=message)
    message = (
        f"'{level}' is taken as {decimal_text(spoon.factor)} level measures; kitchens "
        f"mean {decimal_text(spoon.low)} to {decimal_text(spoon.high)}."
    )
    return (value * spoon.factor, low * spoon.low, high * spoon.high), Remark(code="taken", message=message)


def _implausible(value: Fraction, unit: str) -> Draft:
    if value < LEAST:
        message = f"{decimal_text(value)} {unit} is too little to weigh: give an amount above 0."
        return _asked("implausible_amount", message)
    greatest = greatest_plausible(unit)
    message = (
        f"{decimal_text(value)} {unit} is not what a recipe holds (at most {decimal_text(greatest)}). A sheet may "
        "have turned 1/2 into a date: format the amounts as text."
    )
    return _asked("implausible_amount", message)


def _range_remark(measured: Measured) -> tuple[Remark, ...]:
    if measured.low is None or measured.high is None or measured.low == measured.high:
        return ()
    low, high = decimal_text(measured.low), decimal_text(measured.high)
    return (Remark(code="taken", message=f"The middle of {low} to {high} is taken."),)


def _fluid_ounces(unit: str, ingredient: Ingredient, options: ReadingOptions) -> tuple[Remark, ...]:
    if unit != "oz" or ingredient.form != "liquid" or options.measures not in (None, "us"):
        return ()
    message = "Ounces are taken as weight; if fluid ounces are meant, write fl oz."
    return (Remark(code="taken", message=message),)


def _disagreements(
    measured: Measured, unit: Unit | None, ingredient: Ingredient, options: ReadingOptions
) -> list[Remark]:
    remarks = []
    for other in measured.alternatives:
        other_unit = unit_of(other.unit, options.measures)
        if unit is None or other_unit is None or len(other.values) > 1 or other.low is not None:
            continue
        if differ(measured.value, unit, other.value, other_unit, ingredient):
            taken, beside = quantity_text(measured.value, measured.unit), quantity_text(other.value, other.unit)
            message = f"{taken} and {beside} are not the same amount; {taken} is taken."
            remarks.append(Remark(code="disagreement", message=message))
    return remarks


def may_be_of_one(measured: Measured, weight: Measured, ingredient: Ingredient, options: ReadingOptions) -> bool:
    """Whether a weight beside a volume is so far from it that it may be of one cup among several.

    Args:
        measured: the volume.
        weight: what stands beside it.
        ingredient: of the line.
        options: whose cups and spoons are meant.
    Returns:
        False where the volume has no weight of ours to compare with.
    """
    volume = unit_of(measured.unit, options.measures) or unit_of(measured.unit, "us")
    if volume is None or weight.unit not in WEIGHT_UNITS:
        return False
    try:
        by_volume = measured.value * grams_per(volume, Thing(ingredient=ingredient)).factor
    except ValueError:
        return False
    if measured.level in SPOON_LEVELS:
        by_volume *= SPOON_LEVELS[measured.level].factor
    return not by_volume / FAR_APART <= weight.value * UNITS[weight.unit].factor <= by_volume * FAR_APART


def differ(value: Fraction, unit: Unit, other: Fraction, other_unit: Unit, ingredient: Ingredient) -> bool:
    """Whether two measures of an ingredient differ by more than 6 %, or by more than their ranges allow."""
    if unit.dimension == other_unit.dimension:
        first, second = value * unit.factor, other * other_unit.factor
        return abs(first - second) > DISAGREE * min(first, second)
    try:
        rates = [grams_per(each, Thing(ingredient=ingredient)) for each in (unit, other_unit)]
    except ValueError:  # no density, or no weight of a piece
        return False
    (first_low, first_high), (second_low, second_high) = (
        (amount * rate.low * (1 - DISAGREE / 2), amount * rate.high * (1 + DISAGREE / 2))
        for amount, rate in zip((value, other), rates, strict=True)
    )
    return first_low > second_high or second_low > first_high
