"""Reading of a whole recipe: lines, components, tin and oven, into a formula; and every question once."""

from copy import replace
from dataclasses import dataclass
from functools import partial

from domain.errors import OutOfRangeError
from domain.measures.quantities import parse_quantity
from domain.reading.broken_lines import WrittenLine, read_joined, written_lines
from domain.reading.egg_sizes import REGION_OF
from domain.reading.kept import MAX_HEADING_WORDS, is_heading
from domain.reading.lines import read_line
from domain.reading.percentages import by_flour_weight
from domain.reading.phrases import phrase_length
from domain.reading.resolving import SEVERAL_AMOUNTS
from domain.reading.stages import STEPS, bake_of, other_bake
from domain.reading.tables import Columns, read_columns, read_row
from domain.reading.titles import MAX_TITLE_CHARACTERS, MAX_TITLE_WORDS, is_titled, yield_of_title
from domain.reading.tokens import tokenise
from domain.reading.values import Choice, LineReading, Question, ReadingOptions, Remark
from domain.reading.vocabulary import Vocabulary, vocabulary
from domain.things.conversion import EGG_PARTS
from domain.things.eggs import EGG_CLASSES, egg_mass

MAX_TEXT = 20_000  # our own limit: characters; a book's chapter is more than one recipe
MAX_LINES = 400  # our own limit: lines that are not empty
MAX_COMPONENT_LINES, MAX_COMPONENTS = 60, 20  # of a component and of a formula, as every endpoint takes them
MAX_SPLIT_PARTS = 48  # our own limit: parts of the lines of one recipe that have several ingredients
PARTS_IN_VAIN = 6  # about as many are read of a line that has several amounts and is asked about
MAX_TABLE_ROWS = 40  # our own limit: rows of one recipe whose notes are tried as a part of the line
MAX_COMPONENT_WORDS = 3  # of a heading without a colon or an empty line before it; our own limit
UNNAMED = "Recipe"
_UNSURE = ("text", "name_only", "note")  # rules of lines that may open a component
_INGREDIENTS = frozenset(("ingredients", "zutaten", "ingrédients"))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLine:
    """One line of a formula, as text."""

    ingredient: str
    quantity: str
    packing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadComponent:
    """A component of a formula, as text."""

    name: str
    lines: tuple[ReadLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFormula:
    """A formula, as text that every endpoint takes; "" and None for what was not read."""

    name: str
    components: tuple[ReadComponent, ...]
    tin: str = ""
    tins: int = 1
    filled_depth: str = ""
    egg_class: str = ""
    oven: str = ""
    fan: bool | None = None
    minutes: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberedLine:
    """A reading with the number of its line in the text, from 1; one line may have several readings."""

    number: int
    reading: LineReading


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedQuestion:
    """A question with the numbers of all lines that it is about."""

    question: Question
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TextReading:
    """A recipe as it was read. `ready` is True when the formula can be sent on as it is."""

    formula: ReadFormula
    lines: tuple[NumberedLine, ...]
    questions: tuple[PlacedQuestion, ...]
    warnings: tuple[Remark, ...]
    ready: bool


def read_text(text: str, options: ReadingOptions, answers: dict[int, str] | None = None) -> TextReading:
    """Read a recipe.

    Args:
        text: lines of ingredients, headings, method and so on, at most 20,000 characters.
        options: language, measures, decimal sign and egg class.
        answers: a text to read in place of a line, by the line's number, such as the text of a choice.
    Returns:
        Every line with its reading, the formula of all that could be read, and the questions.
    Raises:
        OutOfRangeError: more than 20,000 characters, or more than 500 lines that are not empty.
    """
    lines = text.split("\n")
    if len(text) > MAX_TEXT:
        message = f"A recipe has at most {MAX_TEXT:,} characters: send several recipes one by one."
        raise OutOfRangeError(message, value=len(text), limit=MAX_TEXT)
    if (written_lines := sum(not line.isspace() and line != "" for line in lines)) > MAX_LINES:
        message = f"A recipe has at most {MAX_LINES} lines that are not empty: send several recipes one by one."
        raise OutOfRangeError(message, value=written_lines, limit=MAX_LINES)
    numbered = _read_lines(lines, options, answers or {})
    numbered = _with_steps(_in_context(_with_shares(numbered, options) if "%" in text else numbered, options))
    egg_class = _egg_class(numbered, options)
    numbered = [NumberedLine(number=each.number, reading=eggs_in_grams(each.reading, egg_class)) for each in numbered]
    formula = _formula(numbered, egg_class)
    questions = _questions(numbered, options, egg_class)
    warnings = _warnings(formula)
    ready = bool(formula.components) and not questions and not warnings
    return TextReading(formula=formula, lines=tuple(numbered), questions=questions, warnings=warnings, ready=ready)


def _with_shares(numbered: list[NumberedLine], options: ReadingOptions) -> list[NumberedLine]:
    """The lines with baker's percentages in grams, if they can be."""
    before = [each.reading for each in numbered]
    readings = by_flour_weight(before, options)
    if readings is before:
        return numbered
    return [NumberedLine(number=each.number, reading=of) for each, of in zip(numbered, readings, strict=True)]


def _read_lines(lines: list[str], options: ReadingOptions, answers: dict[int, str]) -> list[NumberedLine]:
    """The readings of all lines, each by itself, with its rest, or as a row of a table."""
    numbered: list[NumberedLine] = []
    words, columns, parts, rows, joined = vocabulary(options.language), None, 0, 0, 0
    for line in written_lines(lines):
        if line.number == joined:
            continue
        answer, split = answers.get(line.number), parts < MAX_SPLIT_PARTS
        readings: tuple[LineReading, ...] = ()
        if answer is not None:  # the place is that of the line that was answered
            rest = line.rest if line.number + 1 not in answers else ""  # a question about a broken line is about both
            joined = line.number + 1 if rest else 0
            end = line.start + len(line.text) + (len(rest) + 1 if rest else 0)
            readings = read_line(answer, options, line.start, split=split)
            readings = tuple(replace(each, start=line.start, end=end) for each in readings)
        elif (headings := read_columns(line.text, words)) is not None:
            columns, readings = headings, (_kept(line.text, line.start, "table"),)
        elif columns is not None and columns.sign in line.text:
            rows += 1
            readings = _row(line, columns, options, once=rows > MAX_TABLE_ROWS)
        elif line.rest and line.number + 1 not in answers:
            readings = read_joined(line, partial(read_line, options=options, start=line.start, split=split))
            joined = line.number + 1 if readings else 0
        readings = readings or read_line(line.text, options, line.start, split=split)
        parts += len(readings) if len(readings) > 1 else PARTS_IN_VAIN * (SEVERAL_AMOUNTS in readings[0].questions)
        numbered += [NumberedLine(number=line.number, reading=each) for each in _whole_line_choices(readings)]
    return numbered


def _kept(text: str, start: int, rule: str) -> LineReading:
    return LineReading(text=text, start=start, end=start + len(text), kind="kept", rule=rule, kept_as="text")


def _row(line: WrittenLine, columns: Columns, options: ReadingOptions, *, once: bool) -> tuple[LineReading, ...]:
    """The reading of a row of a table, whose cells are those of one ingredient."""
    read = partial(read_line, options=options, start=line.start, split=False)
    return read_row(_kept(line.text, line.start, "text"), columns, vocabulary(options.language), read, once=once)


def _whole_line_choices(readings: tuple[LineReading, ...]) -> tuple[LineReading, ...]:
    """Choices that answer for the whole line where a line has several readings."""
    if len(readings) < 2:
        return readings
    texts = [each.text.strip().removeprefix("plus ").removeprefix("+").strip() for each in readings]
    changed = []
    for place, reading in enumerate(readings):
        questions = tuple(
            question
            if question.field
            else replace(
                question,
                choices=tuple(
                    Choice(text=" plus ".join((*texts[:place], each.text, *texts[place + 1 :])), label=each.label)
                    for each in question.choices
                ),
            )
            for question in reading.questions
        )
        changed.append(replace(reading, questions=questions))
    return tuple(changed)


def _in_context(lines: list[NumberedLine], options: ReadingOptions) -> list[NumberedLine]:
    """The title, and no ingredients below the heading of the method."""
    method, seen, result, words = False, False, list[NumberedLine](), vocabulary(options.language)
    for place, each in enumerate(lines):
        reading = each.reading
        if reading.rule == "capitals" and not seen:
            reading = replace(reading, kept_as="text", heading="")
        elif seen and not method and _opens_component(lines, place):
            reading = replace(
                reading, kept_as="heading", rule="heading_by_place", heading=" ".join(reading.text.split())
            )
        if reading.rule == "method_heading":
            method = reading.text.strip().rstrip(": ").casefold() not in _INGREDIENTS
        elif reading.kept_as == "heading":
            method = False
        elif method and reading.kind != "kept":
            reading = replace(_kept(reading.text, reading.start, "method"), end=reading.end)
        elif seen and not method and reading.rule in _UNSURE and _names_component(lines, place, options):
            reading = replace(
                reading,
                kept_as="heading",
                rule="heading_by_place",
                heading=" ".join(reading.text.split()).rstrip("-–:* "),
            )
        if not seen:
            reading = _as_title(lines, place, reading, words, method=method)
        seen = seen or reading.kept_as in ("title", "heading", "text") or reading.kind != "kept"
        result.append(NumberedLine(number=each.number, reading=reading))
    return result


def _with_steps(lines: list[NumberedLine]) -> list[NumberedLine]:
    """The lines, with a remark at the first that says another bake than one before it."""
    other = other_bake(each.reading for each in lines)
    return [
        replace(each, reading=replace(other, minutes=None, remarks=(*other.remarks, STEPS)))
        if each.reading is other
        else each
        for each in lines
    ]


def _as_title(
    lines: list[NumberedLine], place: int, reading: LineReading, words: Vocabulary, *, method: bool
) -> LineReading:
    """A line before all others as the recipe's name, if it can be that."""
    if _is_titled(reading, words) or _is_dish(lines, place):
        reading = replace(reading, kept_as="title")
    elif place == 0 and (count := _yield_of_title(reading, words)) is not None:
        return replace(_kept(reading.text, reading.start, "title"), kept_as="title", yields=count)
    plain = reading.kept_as == "text" and reading.rule not in ("table", "flour_weight") and not method
    if plain and len(reading.text.split()) <= MAX_TITLE_WORDS:
        return replace(reading, kept_as="title", rule="title")
    return reading


def _names_component(lines: list[NumberedLine], place: int, options: ReadingOptions) -> bool:
    """Whether a few words before an ingredient open a component: Sweet paste; Brotteig; Slab; Fülle."""
    reading = lines[place].reading
    text = reading.text.strip()
    following = [each.reading.kind != "kept" for each in lines[place + 1 : place + 3]]
    if following[:1] != [True] or len(text) > MAX_TITLE_CHARACTERS or text[-1:] in ".!?,":
        return False
    tokens = [token for token in tokenise(text) if token.kind != "sign"]
    if not 0 < len(tokens) <= MAX_COMPONENT_WORDS:
        return False
    before = lines[place - 1].reading if place else reading
    two_follow = following == [True, True] and before.kept_as != "no_amount"  # in a list of names it is another one
    words = vocabulary(options.language)
    if reading.rule == "note":  # zum Bestreichen, and not: icing sugar for dusting
        return phrase_length(tokens, 0, "note", words) == len(tokens)
    if is_heading(tokens, words):
        return reading.rule == "text" or (two_follow and len(tokens) > 1)  # an ingredient too, such as sweet pastry
    words_alone = all(token.kind == "word" for token in tokens) and not any(sign in text for sign in ",;:()")
    unfinished = before.text.rstrip()[-1:] == "-" or before.text.strip().isupper() == text.isupper() is True
    return reading.rule == "text" and two_follow and words_alone and text[0].isupper() and not unfinished


def _is_titled(reading: LineReading, words: Vocabulary) -> bool:
    return reading.kept_as in ("tin", "yield") and is_titled(reading.text, words)


def _yield_of_title(reading: LineReading, words: Vocabulary) -> int | None:
    """The yield of a first line that is no ingredient of ours and no setting."""
    named = reading.kept_as == "text" or any(question.code == "unknown_ingredient" for question in reading.questions)
    return yield_of_title(reading, words) if named and reading.rule != "table" else None


def _is_dish(lines: list[NumberedLine], place: int) -> bool:
    """Whether the first line names a dish that is an ingredient too, such as lemon curd."""
    if place or lines[0].reading.rule != "name_only" or len(lines) < 2 or " " not in lines[0].reading.text.strip():
        return False
    questions = lines[1].reading.questions
    return not questions or questions[0].code != "ingredient_needed"


def _opens_component(lines: list[NumberedLine], place: int) -> bool:
    """Whether a few words between an empty line and an ingredient are a heading."""
    reading = lines[place].reading
    if reading.rule != "text" or place + 1 == len(lines) or place == 0:
        return False
    after_gap = lines[place - 1].number + 1 < lines[place].number
    follows = lines[place + 1].number == lines[place].number + 1 and lines[place + 1].reading.kind != "kept"
    text = reading.text.strip()
    few = len(text.split()) <= MAX_HEADING_WORDS and not any(c.isdigit() for c in text)
    return after_gap and follows and few and text[-1:] not in ".!?,"


def _egg_class(lines: list[NumberedLine], options: ReadingOptions) -> str:
    return options.egg_class or next((each.reading.egg_class for each in lines if each.reading.egg_class), "")


def eggs_in_grams(reading: LineReading, egg_class: str) -> LineReading:
    """Eggs of another class than the formula's, in grams.

    Args:
        reading: a line.
        egg_class: the formula's class; "" if it has none.
    Returns:
        The line with grams in place of the count; any other line as it is.
    """
    if reading.kind != "line" or not reading.egg_class or reading.egg_class == egg_class:
        return reading
    part, own = EGG_PARTS[reading.ingredient_id], EGG_CLASSES[reading.egg_class]
    count = float(parse_quantity(reading.quantity).amount)
    mass = egg_mass(part, own)
    counted = f"The formula counts {egg_class}." if egg_class else "The formula names no class."
    message = f"{reading.quantity.removesuffix(' each')} of {own.id} are given in grams. {counted}"
    return replace(
        reading,
        quantity=f"{mass.grams * count:.2f} g",
        low=f"{mass.low * count:.2f} g",
        high=f"{mass.high * count:.2f} g",
        remarks=(*reading.remarks, Remark(code="taken", message=message)),
    )


def _formula(lines: list[NumberedLine], egg_class: str) -> ReadFormula:
    title, name = UNNAMED, ""
    components: list[tuple[str, list[ReadLine]]] = []
    tin, tins = "", 1
    for each in lines:
        reading = each.reading
        if reading.kept_as == "title":
            title = " ".join(reading.text.split()).strip("#* ").rstrip(":") or UNNAMED
        if reading.kept_as == "heading" and reading.heading:
            name = reading.heading
        if reading.kind == "line":
            if not components or components[-1][0] != name:
                components.append((name, []))
            components[-1][1].append(
                ReadLine(ingredient=reading.ingredient, quantity=reading.quantity, packing=reading.packing)
            )
        if reading.tin and not tin:
            tin, tins = reading.tin, reading.tins
    oven, fan, minutes = bake_of(each.reading for each in lines)
    return ReadFormula(
        name=title[:120],
        components=tuple(
            ReadComponent(name=(name or title)[:120], lines=tuple(of_component)) for name, of_component in components
        ),
        tin=tin,
        tins=tins,
        filled_depth=next((each.reading.depth for each in lines if each.reading.depth), "") if tin else "",
        egg_class=egg_class,
        oven=oven,
        fan=fan,
        minutes=minutes,
    )


def _questions(lines: list[NumberedLine], options: ReadingOptions, egg_class: str) -> tuple[PlacedQuestion, ...]:
    """Every question once: those about an option for all their lines, the others for each line."""
    placed: dict[tuple[str, str, int], tuple[Question, list[int]]] = {}
    for each in lines:
        for question in each.reading.questions:
            key = (question.code, question.field, 0 if question.field in ("measures", "egg_class") else each.number)
            placed.setdefault(key, (question, []))[1].append(each.number)
    counted = [
        each.number
        for each in lines
        if each.reading.kind == "line"
        and each.reading.ingredient_id in EGG_PARTS
        and each.reading.quantity.endswith("each")
    ]
    if counted and not egg_class and not any(field == "egg_class" for _, field, _ in placed):
        region = REGION_OF.get(options.measures or "metric", "")
        keys = [key for key in EGG_CLASSES if options.measures is None or key.startswith(f"{region}_")]
        choices = tuple(Choice(text=key, label=f"{EGG_CLASSES[key].region}, {EGG_CLASSES[key].label}") for key in keys)
        message = "Eggs are counted: say of which weight class."
        question = Question(code="egg_class_needed", message=message, choices=choices, field="egg_class")
        placed["egg_class_needed", "egg_class", 0] = (question, counted)
    return tuple(PlacedQuestion(question=question, lines=tuple(numbers)) for question, numbers in placed.values())


def _warnings(formula: ReadFormula) -> tuple[Remark, ...]:
    remarks = []
    if len(formula.components) > MAX_COMPONENTS:
        message = f"A formula has at most {MAX_COMPONENTS} components: send the recipes one by one."
        remarks.append(Remark(code="too_many_components", message=message))
    if any(len(component.lines) > MAX_COMPONENT_LINES for component in formula.components):
        message = f"A component has at most {MAX_COMPONENT_LINES} lines: put headings between its parts."
        remarks.append(Remark(code="too_many_lines", message=message))
    return tuple(remarks)
