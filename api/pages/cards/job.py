"""The job of a card: its address read as the API reads a recipe and a rescaling, and the answer of `/v1/rescale`."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from api.pages.cards.errors import CardError, CardErrors, domain_errors, problem_errors, schema_errors
from api.pages.cards.fields import CUT_FIELDS, N_, CardFields, CardQuery, load_query
from api.pages.cards.form import is_about_tin
from api.pages.cards.key_figures import about_the_work
from api.pages.cards.words import Words
from api.pages.cards.written import read_written
from api.v1.formulas.answers import read_answer
from api.v1.formulas.reading import read_recipe
from api.v1.formulas.schemas import ReadRequest
from api.v1.job.views import rescale_view
from api.v1.rescale.schemas import RescaleRequest
from api.wire import partial
from api.wire.answers import as_plain_data, without_none
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors
from domain.formulas.line_text import Want, parse_want
from domain.reading.lines import read_line
from domain.reading.stages import STEPS
from domain.reading.values import Decimal, ReadingOptions
from domain.shop.goods import Book
from domain.tins.text import counted_tins

Reading = Mapping[str, Any]
_load_read = adapter(ReadRequest).validate_python
_load_job = adapter(RescaleRequest).validate_python
OF_THE_BAKE = frozenset({"baked_depth", "bake_loss_percent", "slab_grams"})  # known without being cut
_LINE = re.compile(r"/formula/components/(?P<component>[0-9]+)/lines/(?P<line>[0-9]+)")
_PIECES_OF_TARGET = {
    "pieces_per_tin": "per_tin",
    "pieces_per_cavity": "per_cavity",
    "pieces_per_portion": "per_portion",
}
MAX_TINS_OF_SHEET, MAX_FIGURES_OF_SHEET = 16, 400  # our own limits: more cannot be read from A4
MAX_RECIPE_LINES = 200  # our own limit: lines that are not empty; more do not fit on a sheet
# Errors that stay true when a field that could not be read is left out: they are about one text.
_OF_ONE_TEXT = ("unknown", "unreadable", "ambiguous")


@dataclass(frozen=True, slots=True, kw_only=True)
class CardJob:
    """A job that was read and computed.

    `reading` is the answer of `/v1/formulas/read`, `answer` that of `/v1/rescale`, both as plain data, and `body` the
    request of the latter.
    """

    entered: CardFields
    query: CardQuery
    reading: Reading
    body: RescaleRequest
    answer: Mapping[str, Any]

    @property
    def target(self) -> Mapping[str, Any]:
        """The answer of the first target."""
        target: Mapping[str, Any] = self.answer["targets"][0]
        return target

    @property
    def remarks(self) -> tuple[tuple[str, Mapping[str, str]], ...]:
        """What was taken or noticed in the recipe, each with the line that it is about."""
        return tuple((line["text"].strip(), remark) for line in self.reading["lines"] for remark in line["remarks"])

    def warnings(self, words: Words) -> tuple[tuple[str, str], ...]:
        """The warnings about the recipe and the first target, each once, with their language.

        Args:
            words: of the page.
        """
        return tuple(
            dict.fromkeys(
                words.by_code("warning", each, names=", ".join(map(words.ingredient, self.names_of(each))))
                for each in (
                    *about_the_work(self.answer["written"]["warnings"], [self.target]),
                    *self.target["warnings"],
                )
            )
        )

    @property
    def without_amount(self) -> tuple[str, ...]:
        """The lines of the recipe that name an ingredient without an amount."""
        kept = (line for line in self.reading["lines"] if "kept" in line)
        return tuple(line["text"].strip() for line in kept if line["kept"]["kept_as"] == "no_amount")

    def names_of(self, warning: Mapping[str, Any]) -> tuple[str, ...]:
        """The ingredients that a warning is about: those of the lines that it points to, or the one it begins with."""
        components = self.answer["formula"]["components"]
        places = [_LINE.match(pointer) for pointer in warning.get("pointers", ())]
        lines = [components[int(place["component"])]["lines"][int(place["line"])] for place in places if place]
        if not lines:
            every = (line for component in components for line in component["lines"])
            lines = [line for line in every if warning["message"].startswith(f"{line['ingredient']}: ")]
        return tuple(dict.fromkeys(line["ingredient"] for line in lines))


def read_card_job(
    entered: CardFields, shop: Book, include: frozenset[str], *, sign: Decimal = "point", each_target: bool = False
) -> CardJob:
    """Read the address of a card, and compute its job.

    Args:
        entered: the filled-in fields.
        shop: the book of the shop file.
        include: the parts of `/v1/rescale` that the card shows.
        sign: the decimal sign of the page's language.
        each_target: whether every target wanted is computed, and a target with a problem has it in its place; if not,
            only the first is, and its problem is an error.
    Returns:
        The job with its answer.
    Raises:
        CardErrors: everything that is wrong, and every question that the recipe leaves open.
    """
    query, errors = read_fields(entered, sign)
    reading = _read(query, errors)
    if reading is None or "formula" not in reading:
        raise CardErrors(errors, reading)
    complete = not errors and bool(reading["ready"])
    job_errors: Iterable[CardError] = ()
    job: CardJob | None = None
    try:
        body = _job(query, reading, errors, each_target=each_target, shows_lines="lines" in include)
        answer = as_plain_data(rescale_view(body, shop, include))
    except CardErrors as several:
        job_errors = several.errors
    except (DomainError, DomainErrors) as error:
        job_errors = domain_errors(error)
    else:
        job = CardJob(entered=entered, query=query, reading=reading, body=body, answer=answer)
        if not each_target and "problem" in job.target:
            job_errors = problem_errors(job.target["problem"])
    errors += _still_true(job_errors, ready=reading["ready"], complete=complete)
    if errors or job is None or not reading["ready"]:
        raise CardErrors(errors, reading)
    return job


def read_fields(entered: CardFields, sign: Decimal) -> tuple[CardQuery, list[CardError]]:
    """The fields as values, without those that cannot be read, and the errors of those."""
    written, errors = read_written(entered, sign)
    try:
        return load_query(written), errors
    except ValidationError as error:
        places: partial.Places = {tuple(each["loc"][:1]) for each in error.errors(include_url=False)}
        left = partial.validated(dict(written), places, load_query)
        return left[0] if left else CardQuery(), [*errors, *schema_errors(error)]


def _still_true(errors: Iterable[CardError], *, ready: bool, complete: bool) -> list[CardError]:
    """The errors of a job that was computed without what could not be read.

    Args:
        errors: of the job.
        ready: whether the recipe leaves no question open; if it does, the questions stand for errors in its lines.
        complete: whether nothing was left out.
    """
    true = [error for error in errors if complete or error.code.startswith(_OF_ONE_TEXT)]
    return [error for error in true if ready or error.name != "recipe"]


def _read(query: CardQuery, errors: list[CardError]) -> Reading | None:
    """The recipe as it is read, with the answers of the address."""
    if query.recipe is None:
        if not any(error.name == "recipe" for error in errors):
            errors.append(CardError(name="recipe", message=N_("Paste the recipe: its ingredients, a line for each.")))
        return None
    if sum(bool(line.strip()) for line in query.recipe.split("\n")) > MAX_RECIPE_LINES:
        message = N_("A card takes a recipe of at most %(lines)s lines: make several cards of it.")
        errors.append(CardError(name="recipe", message=message, values={"lines": MAX_RECIPE_LINES}))
        return None
    request = without_none(
        text=query.recipe,
        language=query.language,
        decimal=query.decimal,
        measures=query.measures,
        egg_class=query.egg_class,
        answers=_answers(query, errors),
    )
    try:
        reading = read_answer(read_recipe(_load_read(request)))
    except ValidationError as error:
        errors += [CardError(name="answer", message=f"{each['msg']}.") for each in error.errors(include_url=False)]
        return None
    except (DomainError, DomainErrors) as error:
        errors += domain_errors(error)
        return None
    if query.tin is not None:
        reading = _without_tin_questions(reading)
    errors += [CardError(name="recipe", message=each["message"], code=each["code"]) for each in reading["warnings"]]
    if reading["ready"] or reading["questions"] or reading["warnings"]:
        return reading
    errors.append(CardError(name="recipe", message=N_("No line of it reads as an ingredient with an amount.")))
    return reading


def _without_tin_questions(reading: dict[str, Any]) -> dict[str, Any]:
    """The reading without the questions about the tin of the recipe, which the address answers."""
    kept = {line["number"] for line in reading["lines"] if "kept" in line}
    left = [each for each in reading["questions"] if not is_about_tin(each, is_kept=each["lines"][0] in kept)]
    ready = bool(reading["formula"]["components"]) and not left and not reading["warnings"]
    return {**reading, "questions": left, "ready": ready}


def _job(
    query: CardQuery, reading: Reading, errors: list[CardError], *, each_target: bool, shows_lines: bool
) -> RescaleRequest:
    """The request of `/v1/rescale` that a query stands for; what cannot be read is left out and added to the errors."""
    formula = {**reading["formula"], **without_none(name=query.name, filled_depth=query.depth)}
    if query.tin is not None:  # usually the tin of the recipe once more, with its depth: their number stays
        several = counted_tins(query.tin)
        formula |= {"tin": query.tin} if several is None else {"tin": several.tin, "tins": several.tins}
    if each_target and shows_lines:
        _check_sheet(query, formula["components"])
    if bake := _bake(query, reading):
        formula["bake"] = bake
    if query.pieces is not None or query.piece_grams is not None:
        formula["components"] = _divided(query, formula["components"], errors)
    wanted = [_target(query, want, errors) for want in (query.want if each_target else query.want[:1])]
    try:
        job: RescaleRequest = _load_job(
            without_none(
                formula=formula,
                targets=wanted or [target for target in [_shared(query)] if target],
                measures=query.measures,
                available_egg_classes=query.eggs or None,
            )
        )
    except ValidationError as error:  # a figure inside a text, such as the factor of a wish, is beyond its limits
        raise CardErrors(
            CardError(name="want" if each["loc"][0] == "targets" else "recipe", message=f"{each['msg']}.")
            for each in error.errors(include_url=False, include_input=False)
        ) from None
    return job


def _answers(query: CardQuery, errors: list[CardError]) -> list[dict[str, Any]]:
    """The answers to questions about lines; those that cannot be read are left out."""
    answers = list[dict[str, Any]]()
    for each in query.answer:
        line, colon, text = each.partition(":")
        if line.isascii() and line.isdecimal() and colon and text.strip():
            answers.append({"line": int(line), "text": text.strip()})
        else:
            message = N_("Write the number of the line, a colon and what to read in its place, such as 3:250 g butter.")
            errors.append(CardError(name="answer", message=message))
    return answers


def _check_sheet(query: CardQuery, components: list[dict[str, Any]]) -> None:
    """Reject more tins than a sheet holds.

    Raises:
        CardErrors: too many tins, or too many for the lines of the recipe.
    """
    lines = sum(len(component["lines"]) for component in components)
    most = min(MAX_TINS_OF_SHEET, max(1, MAX_FIGURES_OF_SHEET // max(1, lines)))
    if len(query.want) > most:
        message = N_("A sheet of this recipe holds at most %(tins)s tins: make another sheet for the others.")
        raise CardErrors([CardError(name="want", message=message, code="out_of_range", values={"tins": most})])


def _target(query: CardQuery, want: str, errors: list[CardError]) -> dict[str, Any]:
    try:
        wish = parse_want(want, query.measures)
    except DomainError as error:
        errors += domain_errors(error.within("targets", 0))
        return {"label": want}
    tin = wish.tin is not None
    return without_none(
        label=want,
        tin=wish.tin,
        factor=wish.factor,
        grams=wish.grams,
        tins=_tins(query, wish) if tin else None,
        depth=query.want_depth if tin else None,
    ) | (_shared(query) if tin else {})


def _tins(query: CardQuery, wish: Want) -> int | None:
    """How many tins are wanted: of the wish itself, or of the card's own field; None for one."""
    tins = wish.tins if wish.tins != 1 else query.tins
    return tins if tins != 1 else None


def _shared(query: CardQuery) -> dict[str, Any]:
    """What every target says of its pieces and cuts."""
    pieces = {_PIECES_OF_TARGET[name]: getattr(query, name) for name in _PIECES_OF_TARGET}
    pieces = {name: value for name, value in pieces.items() if value is not None}
    cuts = {name: getattr(query, name) for name in CUT_FIELDS}
    cuts = {name: value for name, value in cuts.items() if value not in (None, [])}
    return without_none(pieces=pieces or None, cuts=cuts if cuts.keys() - OF_THE_BAKE else None)


def _bake(query: CardQuery, reading: Reading) -> dict[str, Any]:
    """The bake that works: of the address, and else of the recipe; {} without an oven."""
    written = {} if bakes_in_steps(reading) else _written_bake(reading)
    minutes = query.minutes or written.pop("minutes", None)
    if query.oven is not None:
        line = read_line(query.oven, ReadingOptions(language=query.language), 0)[0]
        written = {"oven": line.oven, "fan": line.fan} if line.oven else {"oven": query.oven}
    if "oven" not in written:
        return {}
    return without_none(**{**written, "minutes": minutes, "core_temperature": query.core})


def bakes_in_steps(reading: Reading) -> bool:
    """Whether a recipe names several ovens or times, of which none is the bake of another tin."""
    return any(remark["message"] == STEPS.message for line in reading["lines"] for remark in line["remarks"])


def _written_bake(reading: Reading) -> dict[str, Any]:
    """The bake of the formula; the oven or the time alone, if a line of the recipe names only one of them."""
    kept = [line["kept"] for line in reading["lines"] if "kept" in line]
    return {
        **next(({"oven": each["oven"], "fan": each.get("fan")} for each in kept if "oven" in each), {}),
        **next(({"minutes": each["minutes"]} for each in kept if "minutes" in each), {}),
        **reading["formula"].get("bake", {}),
    }


def _divided(query: CardQuery, components: list[dict[str, Any]], errors: list[CardError]) -> list[dict[str, Any]]:
    """The components, with the pieces at the one that is divided."""
    names = [component["name"] for component in components]
    if query.dough is None and len(names) > 1:
        message = N_("Say which part of the recipe is divided into pieces.")
        errors.append(CardError(name="dough", message=message, candidates=tuple(names), code="needed"))
        return components
    place = 0 if query.dough is None else next((i for i, name in enumerate(names) if name == query.dough), None)
    if place is None:
        message = N_("The recipe has no part of this name.")
        errors.append(CardError(name="dough", message=message, candidates=tuple(names), code="unknown"))
        return components
    pieces = without_none(count=query.pieces, grams_each=query.piece_grams)
    return [{**component, "pieces": pieces} if i == place else component for i, component in enumerate(components)]
