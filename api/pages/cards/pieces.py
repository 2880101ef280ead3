"""`/cards/pieces`: how many dough pieces, what each weighs, and where they sit in the batter."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.drawings.style import ON_CARD
from api.pages.cards.errors import CardError, CardErrors, domain_errors, problem_errors
from api.pages.cards.fields import N_
from api.pages.cards.job import CardJob
from api.pages.cards.key_figures import (
    Answer,
    KeyFigure,
    Note,
    caution_texts,
    drawing_language,
    warning_notes,
    without_weighing,
)
from api.pages.cards.rendering import card
from api.pages.cards.words import NBSP, Words
from api.v1.pieces.doughs import dough_answer, dough_drawing
from api.v1.pieces.schemas import PiecesRequest
from api.v1.shop.reading import shop_book
from api.wire.answers import as_plain_data
from domain.errors import DomainError, DomainErrors, NeededError
from domain.pieces.on_grid import shared_by_portions
from domain.shop.goods import Book

INCLUDE = frozenset({"pieces"})
_COUNTS = ("pieces_per_tin", "pieces_per_cavity", "pieces_per_portion")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pieces in a line, or on a ring: the figures in the order of the table's columns."""

    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Where to put the pieces, with a ruler."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Another count that the tins allow, what a piece then weighs, and the count for its card, if it has one."""

    text: str
    count: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dough:
    """A component that is divided into pieces; `shared` are counts that give every cut piece the same number."""

    name: str
    figures: tuple[KeyFigure, ...]
    neighbours: tuple[Neighbour, ...]
    shared: tuple[Neighbour, ...]
    table: Table | None
    knife: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesCard:
    """Everything that the page shows."""

    doughs: tuple[Dough, ...]
    lift: str
    drawing: Markup
    warnings: tuple[Note, ...]
    cautions: tuple[str, ...]


async def pieces(request: Request) -> Response:
    """The card; the page that asks where something is missing or wrong."""
    return card(request, "pieces", INCLUDE, partial(pieces_context, shop=shop_book(request)))


def pieces_context(job: CardJob, words: Words, shop: Book) -> dict[str, Any]:
    """What the card shows.

    Args:
        job: with the answer of its first target.
        words: of the page.
        shop: the book of the shop file.
    Raises:
        CardErrors: no dough is divided, or its pieces have no places.
    """
    divided = [component for component in job.target["components"] if "pieces" in component]
    if not divided:
        message = N_("Say how many dough pieces the recipe makes, or what one weighs.")
        raise CardErrors([CardError(name="pieces", message=message, code="pieces_needed")], job.reading)
    formula = job.body.formula
    request = PiecesRequest(formula=formula, targets=job.body.targets, measures=job.body.measures)
    drawing = ""
    try:
        answer = as_plain_data(dough_answer(request, formula, shop))
        with suppress(NeededError):
            drawing = dough_drawing(request, formula, shop, style=ON_CARD, language=drawing_language(words))
    except (DomainError, DomainErrors) as error:
        raise CardErrors(domain_errors(error), job.reading) from None
    problem = answer["targets"][0].get("problem")
    if problem is not None:
        raise CardErrors(problem_errors(problem), job.reading)
    with_links = len(divided) == 1 and "per_cavity" not in divided[0]["pieces"]
    shown = pieces_card(answer, job.answer, words, drawing=drawing, with_links=with_links)
    others = {name: value for name, value in job.entered.items() if name not in _COUNTS}
    return {"pieces": shown, "others": others}


def pieces_card(
    answer: Answer,
    rescaled: Answer,
    words: Words,
    *,
    drawing: str = "",
    with_links: bool = False,
) -> PiecesCard:
    """The card of the first target.

    Args:
        answer: of `/v1/pieces` for a formula, as plain data.
        rescaled: the answer of `/v1/rescale` for the same job.
        words: of the page.
        drawing: of the pieces in the tin; empty if they have no places.
        with_links: whether another count in a tin has a card.
    """
    target = answer["targets"][0]
    return PiecesCard(
        doughs=tuple(_dough(dough, target, words, with_links=with_links) for dough in target["pieces"]),
        lift=_lift(rescaled["targets"][0], words),
        # Safe: our own drawing is built from elements, and every text in it is escaped.
        drawing=Markup(drawing),  # noqa: S704
        warnings=warning_notes(words, without_weighing(target["warnings"])),
        cautions=caution_texts(answer["written"]["cautions"]),
    )


def _dough(dough: Answer, target: Answer, words: Words, *, with_links: bool) -> Dough:
    tins = target.get("tins", 1)
    set_on_cuts = "on_cuts" in dough
    pattern = dough.get("on_cuts", dough.get("pattern"))
    return Dough(
        name=dough["component"],
        figures=tuple(_figures(dough, tins, words)),
        neighbours=tuple(
            _neighbour(dough[name], words, with_link=with_links and tins == 1)
            for name in ("below", "above")
            if name in dough
        ),
        shared=tuple(_shared(dough, target, words)) if with_links else (),
        table=None if pattern is None else _table(pattern, words),
        knife=_knife(dough.get("pieces_under_knife", 0), words, set_on_cuts=set_on_cuts),
    )


def _neighbour(other: Answer, words: Words, *, with_link: bool) -> Neighbour:
    text = words.text("%(count)s of %(grams)s", count=other["count"], grams=words.grams(other["grams_each"]))
    return Neighbour(text=text, count=str(other["count"]) if with_link else "")


def _shared(dough: Answer, target: Answer, words: Words) -> Iterator[Neighbour]:
    """The counts that the cut pieces can share, where those of this dough do not go evenly into them."""
    in_a_tin = dough.get("per_tin", dough["count"])
    for warning in target["warnings"]:
        if warning["code"] == "pieces_uneven" and warning["value"] == in_a_tin:
            shared = shared_by_portions(warning["limit"], dough["count"], dough["grams_each"], target.get("tins", 1))
            for count, grams_each in shared:
                yield _neighbour({"count": count, "grams_each": grams_each}, words, with_link=True)


def _figures(dough: Answer, tins: int, words: Words) -> Iterator[KeyFigure]:
    count = str(dough["count"])
    if tins > 1:
        note = words.text("in %(tins)s tins", tins=tins)
        yield KeyFigure(name=words.text("Pieces in all"), value=count, note=note)
        if "per_tin" in dough:
            yield KeyFigure(name=words.text("In each tin"), value=str(dough["per_tin"]))
    else:
        yield KeyFigure(name=words.text("Pieces"), value=count)
    if "per_cavity" in dough:
        yield KeyFigure(name=words.text("In each cavity"), value=str(dough["per_cavity"]))
    note = ""
    if dough["leftover_grams"]:
        note = words.text("with the rest of the dough shared out")
    yield KeyFigure(name=words.text("Each weighs"), value=words.grams(dough["grams_each"]), note=note)


def _table(pattern: Answer, words: Words) -> Table | None:
    if pattern["piece_rows"]:
        return _table_of_rows(pattern["piece_rows"], words, along_length=pattern["along"] == "length")
    if pattern["piece_rings"]:
        return _table_of_rings(pattern["piece_rings"], words)
    return None


def _table_of_rows(piece_rows: Sequence[Answer], words: Words, *, along_length: bool) -> Table:
    columns = (
        words.text("Pieces"),
        words.text("Row, from the top") if along_length else words.text("Row, from the left"),
        words.text("First piece, from the left") if along_length else words.text("First piece, from the top"),
        words.text("Then every"),
    )
    rows = tuple(
        Row(
            name=str(place),
            cells=(
                str(row["count"]),
                _mm(row["at_mm"], words),
                _mm(row["first_mm"], words),
                _mm(row["pitch_mm"], words) if row["count"] > 1 else "",
            ),
        )
        for place, row in enumerate(piece_rows, start=1)
    )
    return Table(columns=columns, rows=rows, hint=words.text("To the middle of each piece, from the tin's walls."))


def _table_of_rings(piece_rings: Sequence[Answer], words: Words) -> Table:
    columns = (
        words.text("Pieces"),
        words.text("From the middle"),
        words.text("First piece, clockwise from the top"),
        words.text("Then every"),
    )
    rows = tuple(
        Row(
            name=str(place),
            cells=(
                str(ring["count"]),
                _mm(ring["radius_mm"], words),
                f"{words.number(ring['first_degrees'], 0)}°" if ring["radius_mm"] else "",
                f"{words.number(ring['step_degrees'], 0)}°" if ring["count"] > 1 else "",
            ),
        )
        for place, ring in enumerate(piece_rings, start=1)
    )
    return Table(columns=columns, rows=rows, hint=words.text("To the middle of each piece, from the tin's middle."))


def _knife(under_knife: int, words: Words, *, set_on_cuts: bool) -> str:
    if set_on_cuts:
        return words.text("The places follow the cuts: every cut piece gets the same number of dough pieces.")
    if under_knife:
        return words.text("Dough pieces that a cut goes through: %(count)s.", count=under_knife)
    return ""


def _lift(target: Answer, words: Words) -> str:
    lift = target.get("batter_lift")
    if lift is None:
        return ""
    return words.text(
        "The pieces lift the batter by %(lift)s. It stands at %(depth)s with them in it, and %(lift)s lower before "
        "they go in.",
        lift=_mm(lift["lift_mm"], words),
        depth=_mm(lift.get("with_pieces_mm", target.get("filled_depth_mm", 0.0)), words),
    )


def _mm(value: float, words: Words) -> str:
    """A length to a tenth of a millimetre: half a millimetre adds up along a row."""
    return f"{words.number(value, 1)}{NBSP}mm"


ROUTES = (Route("/cards/pieces", pieces),)
