"""What all cards of a job have in common: their head, the links between them, and the QR code of the printed card."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import segno
from markupsafe import Markup
from starlette.requests import Request

from api.pages.cards.fields import N_, CardFields, query_string
from api.pages.cards.words import Words
from api.wire.methods import Paths, allowed_methods
from api.wire.public_url import link_to, public_root

# The cards in the order of the work; a card is linked where its route exists.
TITLES = {
    "start": N_("Recipe"),
    "weigh": N_("Weigh"),
    "pieces": N_("Dough pieces"),
    "bake": N_("Bake"),
    "cuts": N_("Cut"),
    "sizes": N_("Sizes"),
    "day": N_("Day"),
    "label": N_("Label"),
}
OF_ALL_TINS = frozenset({"sizes", "day"})  # cards about every tin that is wanted
MAX_QR_CHARACTERS = 1_200  # our own limit: a longer address makes dots too small for a phone to read from paper
_MASK = 0  # trying all eight masks takes four times as long, and any of them can be read


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLink:
    """A link to another card of the job."""

    card: str
    fields: CardFields
    title: str
    is_current: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedLink:
    """A link to the same card for another of the targets wanted."""

    title: str
    fields: CardFields
    is_current: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The head of a card."""

    name: str
    facts: tuple[str, ...]
    figures: str
    card: str
    links: tuple[CardLink, ...]
    wanted: tuple[WantedLink, ...]
    qr: Markup | None


def head_of(request: Request, card: str, entered: CardFields, words: Words, answer: Mapping[str, Any]) -> Head:
    """The head of a card.

    Args:
        request: of the card.
        card: its name, one of `TITLES`.
        entered: the fields of the job.
        words: of the page's language.
        answer: of `/v1/rescale`.
    """
    formula = answer["formula"]
    return Head(
        name=formula["name"],
        facts=tuple(_facts(entered, words, formula, of_all_tins=card in OF_ALL_TINS)),
        figures=request.app.state.figures,
        card=card,
        links=links_of(request, card, entered, words),
        wanted=() if card in OF_ALL_TINS else tuple(_wanted(entered, words)),
        qr=_qr(request, card, entered),
    )


def plain_head(request: Request, card: str, entered: CardFields, words: Words, name: str, *facts: str) -> Head:
    """The head of a card without a recipe.

    Args:
        request: of the card.
        card: its name, one of `TITLES`.
        entered: its fields.
        words: of the page's language.
        name: what it is about.
        facts: what else its head says.
    """
    # The fields of such a card are not those of a job: the first card starts empty.
    links = links_of(request, card, {"lang": words.language} if "lang" in entered else {}, words)
    return Head(
        name=name,
        facts=(*facts, *_batch(entered, words)),
        figures=request.app.state.figures,
        card=card,
        links=tuple(link for link in links if link.is_current or link.card == "start"),
        wanted=(),
        qr=_qr(request, card, entered),
    )


def links_of(request: Request, card: str, entered: CardFields, words: Words) -> tuple[CardLink, ...]:
    """The links to all cards of a job; each carries the job, and none a key."""
    paths: Paths = request.app.state.paths
    return tuple(
        CardLink(card=name, fields=entered, title=words.text(title), is_current=name == card)
        for name, title in TITLES.items()
        if allowed_methods(paths, f"/cards/{name}")
    )


def _wanted(entered: CardFields, words: Words) -> Iterator[WantedLink]:
    """The targets wanted in a fixed order, each first in its own link, since a card is about the first."""
    wanted = entered.get("want", ())
    if isinstance(wanted, str) or len(wanted) < 2:
        return
    for want in sorted(set(wanted)):
        others = [each for each in wanted if each != want]
        yield WantedLink(
            title=words.tin(want), fields={**entered, "want": [want, *others]}, is_current=want == wanted[0]
        )


def _facts(entered: CardFields, words: Words, formula: Mapping[str, Any], *, of_all_tins: bool) -> Iterator[str]:
    """The tin wanted, unless the card is about all of them, the tin of the recipe, and the batch."""
    wanted, tins = entered.get("want"), entered.get("tins")
    own_tin = formula.get("tin", "")
    if wanted and not of_all_tins:
        yield f"{tins} × {words.tin(wanted[0])}" if tins and tins != "1" else words.tin(wanted[0])
    if own_tin:
        count = formula.get("tins", 1)
        own_tin = words.tin(own_tin) if count == 1 else f"{count} × {words.tin(own_tin)}"
        yield words.text("made in %(tin)s", tin=own_tin) if wanted or of_all_tins else own_tin
    yield from _batch(entered, words)


def _batch(entered: CardFields, words: Words) -> Iterator[str]:
    if batch := entered.get("batch"):
        yield words.text("batch %(batch)s", batch=batch)


def _qr(request: Request, card: str, entered: CardFields) -> Markup | None:
    """The card's own address as a QR code; None where the address is too long, or leads nowhere from a phone."""
    path = link_to(f"/cards/{card}?{query_string(entered)}")
    url = path if public_root() else f"{request.url.scheme}://{request.url.netloc}{path}"
    if len(url) > MAX_QR_CHARACTERS or not urlsplit(url).netloc:
        return None
    code = segno.make(url, error="l", micro=False, boost_error=False, mask=_MASK)
    # Safe: a drawing of squares, which holds no text of the address.
    return Markup(code.svg_inline(omitsize=True, border=4))  # noqa: S704
