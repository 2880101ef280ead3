"""`/cards/bake`: the oven, when to check, the window, the curve, and where the slab is done last."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.drawings.heating import CHART_ON_CARD
from api.drawings.language import Language
from api.pages.cards.cooling import cooling_context, tin_of
from api.pages.cards.doneness import MAX_MAPPED, DonenessPart, answer_by_place, doneness_part, missing_fields
from api.pages.cards.errors import CardError, CardErrors, domain_errors
from api.pages.cards.fields import LABELS, N_
from api.pages.cards.job import CardJob, bakes_in_steps
from api.pages.cards.key_figures import (
    Answer,
    KeyFigure,
    Note,
    about_the_work,
    caution_texts,
    degrees,
    drawing_language,
    minutes_text,
    warning_notes,
    without_lines,
    without_weighing,
)
from api.pages.cards.rendering import card
from api.pages.cards.words import Words
from api.v1.job.views import bake_view, drawn_bake
from api.v1.shop.reading import shop_book
from api.wire.answers import as_plain_data
from domain.errors import DomainError, DomainErrors
from domain.shop.goods import Book
from domain.tins.shapes import CavitiesTin
from domain.tins.text import parse_tin

INCLUDE = frozenset({"bake", "cuts"})
EXAMPLES = {"minutes": "48", "tin": "square 23 x 5 cm", "depth": "26 mm"}
_QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A field without which no window can be known."""

    name: str
    label: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeCard:
    """Everything that the page shows.

    `check_from` is None if no window can be known; `missing` or `warnings` then say why.
    """

    oven: tuple[KeyFigure, ...]
    window: tuple[KeyFigure, ...]
    missing: tuple[Missing, ...]
    check_from: int | None
    level: str
    probe: str
    rule_of_thumb: str
    curve: Markup
    doneness: DonenessPart | None
    warnings: tuple[Note, ...]
    cautions: tuple[str, ...]


async def bake(request: Request) -> Response:
    """The card; the page that asks where something is missing or wrong."""
    return card(request, "bake", INCLUDE, partial(bake_context, shop=shop_book(request)))


def bake_context(job: CardJob, words: Words, shop: Book) -> dict[str, Any]:
    """What the card shows.

    Args:
        job: with the answer of its first target.
        words: of the page.
        shop: the book of the shop file.
    Raises:
        CardErrors: the recipe names no oven, or something about the cooling is wrong.
    """
    baked = job.body.formula.bake
    if baked is None or baked.oven is None:
        message = N_("Say how the oven is set for the bake that works, such as 150 celsius fan.")
        if bakes_in_steps(job.reading):
            message = N_(
                "The recipe bakes in steps, and a time for another tin is worked out from one oven setting and one "
                "time. Fill in the oven and the minutes of a bake that works at one setting."
            )
        raise CardErrors([CardError(name="oven", message=message, code="oven_needed")], job.reading)
    language = drawing_language(words)
    curve = ""
    try:
        answer = _bake_answer(job, shop, language)
        part = answer["targets"][0].get("bake", {})
        if "minutes_low" in part:
            curve = drawn_bake(job.body, shop, style=CHART_ON_CARD, language=language)
    except (DomainError, DomainErrors) as error:
        raise CardErrors(domain_errors(error), job.reading) from None
    shown = bake_card(
        answer,
        words,
        curve=curve,
        in_fahrenheit=job.query.measures == "us",
        in_cups=_in_cups(job),
        missing=tuple(missing_fields(job.body.formula)),
    )
    timer = None
    if shown.check_from is not None:
        timer = {
            "minutes": shown.check_from,
            "label": words.text("%(name)s: check the middle", name=job.body.formula.name),
        }
    return {"bake": shown, "timer": timer, **cooling_context(job, words, answer)}


def _bake_answer(job: CardJob, shop: Book, language: Language) -> Answer:
    """The answer of `/v1/bake`, with doneness by place where the slab is cut and its places can be computed."""
    cuts = job.target.get("cuts")
    if cuts is not None and cuts["portions"] <= MAX_MAPPED:
        answer = answer_by_place(job, shop, language)
        if "bake" in answer["targets"][0]:
            return answer
    return as_plain_data(bake_view(job.body, shop))


def bake_card(
    answer: Answer,
    words: Words,
    *,
    curve: str = "",
    in_fahrenheit: bool = False,
    in_cups: bool = False,
    missing: Iterable[str] = (),
) -> BakeCard:
    """The card of the first target.

    Args:
        answer: of `/v1/bake`, as plain data.
        words: of the page.
        curve: the drawing of the curve; empty without a window.
        missing: the fields of the page without which no window can be known.
        in_cups: whether it bakes in the cups of a tray.
        in_fahrenheit: whether °F are the large figures of the oven, and °C stand beside them.
    """
    target, written = answer["targets"][0], answer["written"]
    bake = target["bake"]
    divided = ["pieces" in component for component in written["components"]]
    # What is missing is said by its label instead.
    warnings = [each for each in bake["warnings"] if each["code"] != "no_bake_window" or not missing]
    return BakeCard(
        oven=tuple(_oven(bake["oven"], words, answer["formula"]["bake"]["oven"], in_fahrenheit=in_fahrenheit)),
        window=tuple(_window(bake, words, answer["formula"])),
        check_from=bake.get("check_from_minutes"),
        level=_level(bake, words),
        probe=_probe(bake, words, with_pieces=any(divided), in_cups=in_cups, of_pieces=all(divided)),
        rule_of_thumb=_rule_of_thumb(bake, words),
        # Safe: our own drawings are built from elements, and every text in them is escaped.
        curve=Markup(curve),  # noqa: S704
        doneness=doneness_part(answer, words),
        missing=tuple(Missing(name=name, label=words.text(LABELS[name]), example=EXAMPLES[name]) for name in missing),
        warnings=warning_notes(
            words,
            warnings,
            without_weighing(target["warnings"]),
            _once(without_lines(about_the_work(written["warnings"], [target])), warnings),
        ),
        cautions=caution_texts(written["cautions"], bake["cautions"]),
    )


def _once(of_formula: Iterable[Answer], of_target: Iterable[Answer]) -> Iterator[Answer]:
    """The warnings of the formula without that about its pieces, where the target has the same about its own."""
    codes = {each["code"] for each in of_target}
    return (each for each in of_formula if each["code"] != "pieces_stick_out" or each["code"] not in codes)


def _in_cups(job: CardJob) -> bool:
    tin = tin_of(job)
    return tin is not None and isinstance(parse_tin(tin), CavitiesTin)


def _oven(oven: Answer, words: Words, written: str, *, in_fahrenheit: bool) -> Iterator[KeyFigure]:
    if "celsius" not in oven:  # an oven word, which is only a range
        yield KeyFigure(name=words.text("As written"), value=written)
    names = ((words.text("Fan"), "fan_celsius", "fan_fahrenheit"), (words.text("No fan"), "celsius", "fahrenheit"))
    for name, celsius, fahrenheit in names:
        if celsius in oven:
            degrees_c, degrees_f = degrees(words, oven[celsius]), degrees(words, oven[fahrenheit], "°F")
            first, second = (degrees_f, degrees_c) if in_fahrenheit else (degrees_c, degrees_f)
            yield KeyFigure(name=name, value=first, note=second)
    if "gas_mark_nearest" in oven:
        yield KeyFigure(name=words.text("Gas mark"), value=gas_mark(oven["gas_mark_nearest"]))


def gas_mark(mark: float) -> str:
    """A gas mark as it stands on a dial.

    >>> gas_mark(3.5), gas_mark(0.25), gas_mark(4.0)
    ('3½', '¼', '4')
    """
    whole, part = divmod(mark, 1)
    return f"{int(whole) or ''}{_QUARTERS[part]}"


def _window(bake: Answer, words: Words, formula: Answer) -> Iterator[KeyFigure]:
    as_made = formula["bake"].get("minutes")
    if "check_from_minutes" in bake:
        yield KeyFigure(name=words.text("Check from"), value=minutes_text(words, bake["check_from_minutes"]))
        yield KeyFigure(
            name=words.text("Likely done"), value=minutes_text(words, bake["minutes_low"], bake["minutes_high"])
        )
    elif as_made is not None:
        note = words.text("in the recipe's own tin")
        yield KeyFigure(name=words.text("As made"), value=minutes_text(words, as_made), note=note)
    yield KeyFigure(name=words.text("Core when done"), value=degrees(words, bake["core_celsius"]))


def _level(bake: Answer, words: Words) -> str:
    if "level_percent" not in bake:
        return ""
    return words.text(
        "%(level)s of 100 bakes should be done in this window. Ovens differ, so check before it.",
        level=bake["level_percent"],
    )


def _probe(bake: Answer, words: Words, *, with_pieces: bool, in_cups: bool, of_pieces: bool) -> str:
    core = degrees(words, bake["core_celsius"])
    if of_pieces:  # buns: there is no batter around them
        return words.text("The probe decides, not the clock: %(core)s in the middle of a piece.", core=core)
    if in_cups and with_pieces:
        return words.text(
            "The probe decides, not the clock: %(core)s in the middle of a cup from the middle of the tray, and in the "
            "middle of a dough piece there. Dough pieces cook last.",
            core=core,
        )
    if in_cups:
        return words.text(
            "The probe decides, not the clock: %(core)s in the middle of a cup from the middle of the tray.", core=core
        )
    if with_pieces:
        return words.text(
            "The probe decides, not the clock: %(core)s in the middle of the slab, and in the middle of a dough piece "
            "there. Dough pieces cook last.",
            core=core,
        )
    return words.text("The probe decides, not the clock: %(core)s in the middle of the slab.", core=core)


def _rule_of_thumb(bake: Answer, words: Words) -> str:
    rule = bake.get("rule_of_thumb")
    if rule is None:
        return ""
    return words.text("The trade's rule of thumb says %(minutes)s.", minutes=minutes_text(words, rule["minutes"]))


ROUTES = (Route("/cards/bake", bake),)
