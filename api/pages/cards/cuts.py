"""`/cards/cuts`: where to cut a slab, of a job or by itself, as a page for the bench tablet and the printer."""

from collections.abc import Sequence
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.cut_card import CAUTIONS, CutCard, cut_card
from api.pages.cards.cut_form import FORM, JOB_FORM, OF_JOB, OF_PAGE, Group, compute
from api.pages.cards.doneness import MAX_MAPPED, DonenessPart, answer_by_place, doneness_part, missing_fields
from api.pages.cards.errors import CardError, CardErrors, domain_errors
from api.pages.cards.fields import CardFields, entered_in
from api.pages.cards.head import Head, head_of, plain_head
from api.pages.cards.job import CardJob, read_card_job
from api.pages.cards.key_figures import drawing_language
from api.pages.cards.rendering import card_page, question_page, words_for
from api.pages.cards.words import Words
from api.pages.cards.written import decimal_of
from api.v1.cuts.reading import read_cut
from api.v1.job.parts import cut_of_target
from api.v1.job.views import compute_job
from api.v1.pieces.placing import PlacedPieces, pieces_on_cuts
from api.v1.shop.reading import shop_book
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import CutLayout
from domain.errors import DomainError, DomainErrors
from domain.notices import Notice
from domain.shop.goods import Book

EXAMPLE = {
    "tin": "square 23 cm",
    "portions": "16",
    "mix_grams": "1478",
    "bake_loss_percent": "11",
    "label": "Ginger parkin slab",
}
Cut = tuple[CutLayout, tuple[Notice, ...], PlacedPieces | None]


async def cuts(request: Request) -> Response:
    """The card; the form where it is not said how to cut; the form with every error if there are any."""
    entered, words = entered_in(request.query_params), words_for(request)
    return _job_card(request, entered, words) if "recipe" in entered else _plain_card(request, entered, words)


def _plain_card(request: Request, entered: CardFields, words: Words) -> Response:
    """The card of a slab by itself."""
    # The `name` of a job is the `label` of a slab.
    fields = {"label" if name == "name" else name: value for name, value in entered.items()}
    head, sign = plain_head(request, "cuts", entered, words, words.text("Cut card")), decimal_of(words.decimal_sign)
    if not fields.keys() - OF_PAGE:
        return _form_page(request, fields, words, head, form=FORM)
    try:
        layout, notices = compute(fields, sign, lambda query: read_cut(query).cut(CutBudget()))
    except CardErrors as error:
        return _form_page(request, fields, words, head, form=FORM, faults=error.errors)
    name = str(fields.get("label", ""))
    card = cut_card(layout, notices, fields, words, name=name)
    head = plain_head(request, "cuts", entered, words, name or card.origin, *[card.origin] * bool(name))
    return _card_page(request, fields, words, head, card, form=FORM)


def _job_card(request: Request, entered: CardFields, words: Words) -> Response:
    """The card of a job: tin, mass and bake loss are those of the recipe."""
    shop = shop_book(request)
    try:
        job = read_card_job(entered, shop, frozenset({"pieces"}), sign=decimal_of(words.decimal_sign))
    except CardErrors as errors:
        if errors.errors and all(error.name in OF_JOB for error in errors.errors):
            head = plain_head(request, "cuts", entered, words, words.text("Cut card"))
            return _form_page(request, entered, words, head, form=JOB_FORM, faults=errors.errors)
        return question_page(request, "cuts", entered, words, errors)
    head = head_of(request, "cuts", entered, words, job.answer)
    if not job.body.targets or job.body.targets[0].cuts is None:
        return _form_page(request, entered, words, head, form=JOB_FORM)
    try:
        layout, notices, placed = cut_of_job(job, shop)
    except (DomainError, DomainErrors) as error:
        return _form_page(request, entered, words, head, form=JOB_FORM, faults=tuple(domain_errors(error)))
    card = cut_card(layout, notices, entered, words, name=head.name, placed=placed)
    doneness = _doneness_of(job, layout, shop, words)
    unmapped = "" if doneness is not None else _unmapped(job, layout, words)
    return _card_page(request, entered, words, head, card, form=JOB_FORM, doneness=doneness, unmapped=unmapped)


def _doneness_of(job: CardJob, layout: CutLayout, shop: Book, words: Words) -> DonenessPart | None:
    """Doneness by place; None for more pieces than a map shows, and where the bake card says why there is no window."""
    if job.body.formula.bake is None or layout.pieces > MAX_MAPPED:
        return None
    try:
        return doneness_part(answer_by_place(job, shop, drawing_language(words)), words)
    except (DomainError, DomainErrors):
        return None


def _unmapped(job: CardJob, layout: CutLayout, words: Words) -> str:
    """Why there is no doneness by place, as far as this card can tell."""
    formula = job.body.formula
    if formula.bake is None or any(missing_fields(formula)):
        return words.text(
            "With the oven, the minutes and the filled depth of the bake that works, this card shows which pieces are "
            "done last."
        )
    if layout.pieces > MAX_MAPPED:
        return words.text("Which pieces are done last is shown for at most %(most)s pieces.", most=MAX_MAPPED)
    return words.text("The bake card says why it is not known which pieces are done last.")


def cut_of_job(job: CardJob, shop: Book) -> Cut:
    """How the first target of a job is cut, as `/v1/rescale` cuts it.

    Args:
        job: with the cuts of its target.
        shop: the book of the shop file.
    Raises:
        DomainError, DomainErrors: it cannot be cut like that.
    """
    question, results = compute_job(job.body, shop)
    question.problems[0].raise_if_any()
    budget, result = CutBudget(), results[0]
    cut, _ = cut_of_target(job.body, question, 0, result)
    layout, notices = cut.cut(budget)
    placed = None if result is None else pieces_on_cuts(result, layout, budget)
    return layout, (*notices, *(() if placed is None else placed.notices)), placed


def _form_page(
    request: Request,
    entered: CardFields,
    words: Words,
    head: Head,
    *,
    form: tuple[Group, ...],
    faults: Sequence[CardError] = (),
) -> Response:
    status = HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK
    return card_page(
        request,
        "cuts.html",
        words,
        status=status,
        entered=entered,
        head=head,
        form=form,
        faults=faults,
        labels={field.name: field.label for group in form for field in group.fields},
        example=EXAMPLE if form is FORM and not faults else None,
    )


def _card_page(
    request: Request,
    entered: CardFields,
    words: Words,
    head: Head,
    card: CutCard,
    *,
    form: tuple[Group, ...],
    doneness: DonenessPart | None = None,
    unmapped: str = "",
) -> Response:
    return card_page(
        request,
        "cut_card.html",
        words,
        entered=entered,
        head=head,
        card=card,
        doneness=doneness,
        unmapped=unmapped,
        cautions=CAUTIONS,
        form=form,
        faults=(),
    )


ROUTES = (Route("/cards/cuts", cuts),)
