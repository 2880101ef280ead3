"""Lines that are no ingredients: headings, yields, tins, ovens, bake times, what has no amount, and the method."""

from copy import replace

from domain.reading.depths import depth_of_filling
from domain.reading.names import look_up, read_name
from domain.reading.numbers import read_amount
from domain.reading.ovens import (
    COOLEST_OVEN_C,
    ask_degrees,
    is_set_at,
    is_set_before_time,
    read_oven_words,
    top_and_bottom,
)
from domain.reading.phrases import has_amount, phrase_length
from domain.reading.setting_words import SETTING_WORDS, counts_cups, has_kind
from domain.reading.settings import read_tin_words
from domain.reading.stages import STEPS, is_in_steps
from domain.reading.times import read_minutes
from domain.reading.tokens import Token, tokenise
from domain.reading.values import LineReading, Question, ReadingOptions
from domain.reading.vocabulary import Vocabulary

MAX_HEADING_WORDS = 6  # our own limit
_SETTING_SIGNS = frozenset(("°", "º", "gas", '"', "″", "degree", "degrees", "deg", "degre", "degres"))
_OF_SETTINGS = _SETTING_SIGNS | SETTING_WORDS.keys()
UNCLEAR = Question(
    code="line_unclear",
    message="The line has an amount and an ingredient in an unusual form: write, for example, 250 g butter.",
)
_METRIC = ("de", "fr")  # languages of countries whose ovens are set in Celsius
# Last parts of German compounds that name a component.
_COMPONENTS = ("teig", "fullung", "creme", "guss", "glasur", "belag", "streusel", "boden", "masse", "tranke", "krem")
_DEGREE_SIGNS = _SETTING_SIGNS - {"gas", '"', "″"}
_TIME_LABELS = frozenset(("time", "zeit", "dauer", "temps", "duree"))
MAX_SETTING_TOKENS = 8  # our own limit: a longer line about degrees must name the oven or the baking
MAX_UNCLEAR_TOKENS = 12  # our own limit: a longer line is method text
MAX_BEFORE = 5  # words and signs of a spoilt amount; our own limit
MAX_SPOILT = 2  # letters before the figures of a spoilt amount; a longer word is a verb: add 100 g sugar
MAX_NAME_WORDS = 12  # of an ingredient without an amount; our own limit


def keep_first(
    base: LineReading, tokens: list[Token], words: Vocabulary, options: ReadingOptions
) -> LineReading | None:
    """A yield, a tin, an oven or a bake time, which may hold numbers; None for all other lines.

    Args:
        base: the line.
        tokens: of the line, without its bullet.
        words: of the language.
        options: whose measures decide what degrees are.
    Returns:
        The kept line, or None.
    """
    if not tokens:
        return None
    if (length := phrase_length(tokens, 0, "total", words)) and not has_kind(tokens[length : length + 1], "bake"):
        return replace(base, rule="total")  # and not: total baking time
    if (count := _whole_yield(tokens, words)) is not None:
        setting = _setting(base, tokens, options)
        if setting is not None and setting.tin:
            return replace(setting, yields=count)
        return replace(base, kept_as="yield", rule="yield", yields=count)
    figures = any(token.kind in ("number", "vulgar") for token in tokens)
    if not figures and phrase_length(tokens, 0, "some", words) and len(tokens) <= MAX_NAME_WORDS:
        return replace(base, kept_as="no_amount", rule="some")
    spoken = not _OF_SETTINGS.isdisjoint([token.key for token in tokens])
    return _setting(base, tokens, options) if spoken and (figures or _is_set_in_words(tokens)) else None


def _is_set_in_words(tokens: list[Token]) -> bool:
    """A moderate oven; bake half an hour."""
    return has_kind(tokens, "oven") or (has_kind(tokens, "bake") and has_kind(tokens, "hour", "minute"))


def keep(base: LineReading, tokens: list[Token], words: Vocabulary) -> LineReading:  # noqa: C901, PLR0911 - one branch for each form
    """A line that no rule could read as an ingredient.

    Args:
        base: the line.
        tokens: its tokens, or the first of them.
        words: of the language.
    Returns:
        The line as heading, as an ingredient without an amount, or as text; a question if an amount of an
        ingredient stands in it.
    """
    if not tokens:
        return base
    plain = [token for token in tokens if token.kind in ("word", "number", "vulgar")]
    figures = any(token.kind in ("number", "vulgar") for token in plain)
    keys = [token.key for token in plain]
    if not figures and plain:
        if (length := phrase_length(tokens, 0, "note", words)) and length + 1 < len(tokens):  # für die Form: Butter
            return replace(base, kept_as="no_amount", rule="note")
        if (start := phrase_length(tokens, 0, "headingstart", words)) and len(plain) <= MAX_HEADING_WORDS:
            return _heading(base, " ".join(token.text for token in tokens[start:] if token.kind == "word"))
        if tokens[-1].key == ":" and len(plain) <= MAX_HEADING_WORDS:
            return _heading(base, _title(plain), method=words.value("methodheading", " ".join(keys)) is not None)
        if words.value("methodheading", " ".join(keys)) is not None:
            return _heading(base, _title(plain), method=True)
        unled = keys[words.value("of", keys[0]) is not None :]  # la pâte
        if words.value("heading", " ".join(unled)) is not None:
            return _heading(base, _title(plain))
    if not figures and any(phrase_length(tokens, at, "note", words) for at in range(min(len(tokens), MAX_NAME_WORDS))):
        return replace(base, kept_as="no_amount", rule="note")
    if not figures and len(plain) <= MAX_NAME_WORDS and _is_named(tokens, words):
        return replace(base, kept_as="no_amount", rule="name_only")
    if plain and not figures and len(plain) <= 4 and base.text.strip().isupper():
        return replace(_heading(base, _title(plain)), rule="capitals")
    return (
        replace(base, kind="question", kept_as="", rule="unclear", questions=(UNCLEAR,))
        if _is_unclear(tokens, words) or _is_row(base.text, tokens, words)
        else base
    )


def _is_unclear(tokens: list[Token], words: Vocabulary) -> bool:
    """Whether a short line has an amount, and begins or ends with an ingredient: l00g caster sugar."""
    if not 1 < len(tokens) <= MAX_UNCLEAR_TOKENS or tokens[-1].key == ".":
        return False
    if not has_amount(tokens, words) and tokens[0].key != "#":  # #10 can cherry pie filling
        return False
    verb = tokens[0].kind == "word" and len(tokens[0].text) > MAX_SPOILT and tokens[2:3] != [] and tokens[2].key != ":"
    figure_first = not verb and any(token.kind in ("number", "vulgar") for token in tokens[:2])
    for length in range(1, min(4, len(tokens))):
        ends = figure_first and length + MAX_BEFORE >= len(tokens)
        begins = tokens[length].kind != "word"
        parts = (tokens[-length:], ends), (tokens[:length], begins)
        if any(named and look_up(" ".join(each.key for each in part), words.languages) for part, named in parts):
            return True
    return False


def _is_row(text: str, tokens: list[Token], words: Vocabulary) -> bool:
    """Whether a row of cells has a name and an amount, whatever the name is."""
    return "\t" in text and tokens[0].kind == "word" and has_amount(tokens, words)


def is_heading(tokens: list[Token], words: Vocabulary) -> bool:
    """Whether words open a component: for the glaze; sweet paste; Vanillecreme.

    Args:
        tokens: of the words.
        words: of the language.
    Returns:
        True if a phrase for headings or a purpose stands first, or the last word is one of a component.
    """
    if not tokens or any(token.kind in ("number", "vulgar") for token in tokens):
        return False
    last = tokens[-1].key
    return (
        any(phrase_length(tokens, at, ("headingstart", "note"), words) for at in range(min(len(tokens), 2)))
        or words.value("heading", last) is not None
        or (words.languages[0] == "de" and last.endswith(_COMPONENTS))
    )


def _is_named(tokens: list[Token], words: Vocabulary) -> bool:
    """Salt; salt, pepper; salt and pepper; milk, to loosen: a name, which a comma or bracket may follow."""
    joint = next((at for at, token in enumerate(tokens) if words.value("plus", token.key) is not None), 0)
    if joint and all(_is_name(part, words) for part in (tokens[:joint], tokens[joint + 1 :])):
        return True
    for sign in ("", ",", "(") if tokens[-1].key != "." else ("",):
        cut = next((at for at, token in enumerate(tokens) if token.key == sign), None if sign else len(tokens))
        if cut and _is_name(tokens[:cut], words):
            return True
    return False


def _is_name(tokens: list[Token], words: Vocabulary) -> bool:
    return read_name([token.key for token in tokens if token.kind == "word"], words.languages[0]).ids != ()


def _title(plain: list[Token]) -> str:
    return " ".join(token.text for token in plain)


def _heading(base: LineReading, title: str, *, method: bool = False) -> LineReading:
    return replace(
        base, kept_as="heading", rule="method_heading" if method else "heading", heading="" if method else title
    )


def yield_of(tokens: list[Token], words: Vocabulary) -> int | None:
    """What a recipe makes: Makes 24; Serves 8 to 10; Für 24 Stück; Pour 8 personnes.

    Args:
        tokens: of a line or of its end.
        words: of the language.
    Returns:
        The number, 0 if it is not written in figures; None if the tokens are no yield.
    """
    at = phrase_length(tokens, 0, "yield", words)
    started = at > 0
    if tokens[0].kind == "number" and len(tokens) == 2 and words.value("yieldunit", tokens[1].key) is not None:
        started, at = True, 0
    if not started:
        at = phrase_length(tokens, 0, "headingstart", words) or (tokens[0].key in ("pour", "fur", "for") and 1)
    if not (at or started) or len(tokens) > 12:
        return None
    while at < len(tokens) and (tokens[at].key in (":", ".", "-") or words.value("about", tokens[at].key) is not None):
        at += 1
    place = next((i for i in range(at, min(at + 2, len(tokens))) if _counts_pieces(tokens, i, words)), None)
    if place is None:
        return None
    count = int(words.value("number", tokens[place].key) or tokens[place].text)
    after = tokens[place + 1 :]
    if any(words.value("dozen", token.key) is not None for token in after[:4]):
        count = _dozens(tokens, place, words) or count
    if started or any(words.value("yieldunit", token.key) is not None for token in tokens[at:]):
        return count
    bare = len(after) == 1 and after[0].kind == "word" and place == at  # pour 24 financiers
    return count if bare and not has_kind(after, "minute", "hour", "length", "tin") else None


def _dozens(tokens: list[Token], at: int, words: Vocabulary) -> int:
    """Makes 3 dozen; makes 2 1/2 dozen: the number, 0 if it is no whole one."""
    amount = read_amount(tokens, at, words, "point")
    if amount is None:
        return 0
    dozen = words.value("dozen", tokens[amount.end].key) if amount.end < len(tokens) else None
    total = amount.value * int(dozen or 1)
    return int(total) if total.denominator == 1 else 0


def _whole_yield(tokens: list[Token], words: Vocabulary) -> int | None:
    """What a line says of the yield; the pieces in brackets count where the rest counts tins: 1 Blech (20 Stücke)."""
    count = yield_of(tokens, words)
    if count is None:
        return _yield_in_brackets(tokens, words)
    opened = next((at for at, token in enumerate(tokens) if token.key == "("), 0)
    tins = opened and tokens[-1].key == ")" and has_kind(tokens[:opened], "tin", "shape", "named")
    return (yield_of(_past_about(tokens[opened + 1 : -1], words), words) if tins else None) or count


def _past_about(tokens: list[Token], words: Vocabulary) -> list[Token]:
    """The tokens after a word such as about or ca."""
    if not tokens or words.value("about", tokens[0].key) is None:
        return tokens
    return tokens[1 + (tokens[1:2] != [] and tokens[1].key == ".") :]


def _yield_in_brackets(tokens: list[Token], words: Vocabulary) -> int | None:
    """Brioche (20 pieces); Lemon slices (makes 24): the number, None for all other lines."""
    opened = next((at for at, token in enumerate(tokens) if token.key == "("), 0)
    if not opened or tokens[-1].key != ")" or any(t.kind in ("number", "vulgar") for t in tokens[:opened]):
        return None
    inside = _past_about(tokens[opened + 1 : -1], words)
    return yield_of(inside, words) if inside else None


def _counts_pieces(tokens: list[Token], at: int, words: Vocabulary) -> bool:
    """Whether a token counts what a recipe makes; the 9 of a 9-inch cake does not."""
    token = tokens[at]
    number = words.value("number", token.key) if token.kind == "word" else token.text
    if number is None or not number.isdigit() or len(number) > 6:
        return False
    after = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].key == "-")
    return after >= len(tokens) or "length" not in SETTING_WORDS.get(tokens[after].key, ())


def _setting(base: LineReading, tokens: list[Token], options: ReadingOptions) -> LineReading | None:
    """A sentence about the tin, the oven or the time; one line may say all three."""
    line = base
    if depth := depth_of_filling(base.text):
        return replace(base, rule="depth", depth=depth)
    spelt = top_and_bottom(base.text)
    if _speaks_of_oven(tokens if spelt == base.text else tokenise(spelt)):
        oven = read_oven_words(base.text, options.measures or ("metric" if options.language in _METRIC else None))
        if oven is not None:
            line = replace(line, kept_as="oven", rule="oven", oven=oven.setting, fan=oven.fan, remarks=oven.remarks)
        elif (question := ask_degrees(base.text, tokens)) is not None:
            line = replace(line, kept_as="oven", rule="oven", questions=(question,))
    if has_kind(tokens, "tin", "shape", "named") and has_kind(tokens, "length", "named", "tin", "shape"):
        tin = _tin(tokens, base, options)
        if tin is not None and (tin.tin or tin.questions):
            line = replace(
                line,
                kept_as=line.kept_as if line.kept_as == "oven" else "tin",
                rule=line.rule if line.rule == "oven" else "tin",
                tin=tin.tin,
                tins=tin.tins,
                depth=tin.depth,
                questions=(*line.questions, *tin.questions),
                remarks=(*line.remarks, *tin.remarks),
            )
    if has_kind(tokens, "minute", "hour") and (line.oven or has_kind(tokens, "bake", "oven") or _is_timed(tokens)):
        minutes = read_minutes(tokens)
        if minutes is not None:
            kept_as = line.kept_as if line.kept_as in ("oven", "tin") else "time"
            line = replace(line, kept_as=kept_as, rule=kept_as, minutes=minutes)
            others = tuple(each for each in line.remarks if each.code != "disagreement")
            if is_in_steps(tokens, settings_differ=others != line.remarks):
                line = replace(line, minutes=None, remarks=(*others, STEPS))
    return None if line is base else line


def _is_timed(tokens: list[Token]) -> bool:
    """Whether a label for the time stands first: Time: 25 minutes; Dauer 1 h."""
    after = tokens[1:2]
    return tokens[0].key in _TIME_LABELS and bool(after) and (after[0].key == ":" or after[0].kind == "number")


def _speaks_of_oven(tokens: list[Token]) -> bool:
    """Whether degrees in a line are an oven's; those of milk, dough or syrup are not."""
    if has_kind(tokens, "thermostat", "fan", "nofan", "oven") or any(token.key == "gas" for token in tokens):
        return True
    verbs = {SETTING_WORDS[token.key]["bake"] for token in tokens if "bake" in SETTING_WORDS.get(token.key, ())}
    timed = has_kind(tokens, "minute", "hour")
    if ("" in verbs or (verbs and timed and not has_kind(tokens, "heated"))) and any(
        is_set_at(tokens, at) for at in range(1, len(tokens))
    ):  # bake at 180 for 20 minutes
        return True
    short = len(tokens) <= MAX_SETTING_TOKENS
    if timed and short and any(is_set_before_time(tokens, at) for at in range(len(tokens))):
        return True
    degrees = has_kind(tokens, "degrees") or any(token.key in _DEGREE_SIGNS for token in tokens)
    if not degrees or has_amount(tokens):
        return False
    if has_kind(tokens, "heated"):  # cook the syrup to 118 C; bake at 180 C until the core has 93 C
        return "" in verbs
    hot = any(len(t.text) == 3 and t.text.isdigit() and int(t.text) >= COOLEST_OVEN_C for t in tokens)
    return bool(verbs) or (hot and timed) or short


def _length_unit(options: ReadingOptions) -> str:
    """The unit of a tin's sizes where none is written; "" in Britain, where both are in use."""
    if options.measures == "us":
        return "in"
    return "cm" if options.measures in ("au", "metric") or options.language in _METRIC else ""


def _tin(tokens: list[Token], base: LineReading, options: ReadingOptions) -> LineReading | None:
    weighed = has_amount(tokens)
    sized = not weighed and (has_kind(tokens, "length") or any(token.key in ('"', "″", "x") for token in tokens))
    if not sized and not (has_kind(tokens, "named") and (has_kind(tokens, "tin") or counts_cups(tokens))):
        return None
    read = read_tin_words(base.text, _length_unit(options))
    if read is None:
        return None
    if not sized and not any(token.kind == "number" for token in tokens):
        return None
    questions = (read.question,) if read.question else ()
    return replace(
        base, tin=read.tin, tins=read.tins, depth=read.filled_depth, questions=questions, remarks=read.remarks
    )
