"""A card of a job with a form of its own: the form where its fields are missing or wrong, and else the card."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from api.pages.cards.errors import CardError, CardErrors
from api.pages.cards.fields import CardFields, FormField, entered_in
from api.pages.cards.head import head_of, plain_head
from api.pages.cards.job import CardJob, read_card_job
from api.pages.cards.rendering import card_page, question_page, words_for
from api.pages.cards.words import Words
from api.pages.cards.written import decimal_of
from api.v1.shop.reading import shop_book
from domain.shop.goods import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """A card: its name and template, the parts of the answer, its form, and the fields without which it is empty.

    `context` makes the values of the template; it raises `CardErrors` for what is wrong.
    """

    card: str
    include: frozenset[str]
    form: tuple[FormField, ...]
    needs: tuple[str, ...]
    context: Callable[[CardJob, Words, Book], Mapping[str, Any]]


def job_page(request: Request, page: JobPage, *, each_target: bool = False) -> Response:
    """The card, its form, or the page that asks what the recipe leaves open.

    Args:
        request: of the card; its address is the job.
        page: the card.
        each_target: as for `read_card_job`.
    """
    entered, words, shop = entered_in(request.query_params), words_for(request), shop_book(request)
    names = frozenset(field.name for field in page.form)
    try:
        job = read_card_job(entered, shop, page.include, sign=decimal_of(words.decimal_sign), each_target=each_target)
    except CardErrors as errors:
        if errors.errors and all(error.name in names for error in errors.errors):
            return _form_page(request, page, entered, words, errors.errors)
        return question_page(request, page.card, entered, words, errors)
    if any(name not in entered for name in page.needs):
        return _form_page(request, page, entered, words, (), job)
    try:
        values = page.context(job, words, shop)
    except CardErrors as errors:
        if all(error.name in names for error in errors.errors):
            return _form_page(request, page, entered, words, errors.errors, job)
        return question_page(request, page.card, entered, words, errors)
    head = head_of(request, page.card, entered, words, job.answer)
    values = {**values, "form": page.form, "faults": (), "card": page.card}
    return card_page(request, f"{page.card}.html", words, entered=entered, head=head, job=job, **values)


def _form_page(  # noqa: PLR0917 - what the page shows
    request: Request,
    page: JobPage,
    entered: CardFields,
    words: Words,
    faults: Sequence[CardError],
    job: CardJob | None = None,
) -> Response:
    if job is None:
        head = plain_head(request, page.card, entered, words, words.text("This card cannot be drawn yet"))
    else:
        head = head_of(request, page.card, entered, words, job.answer)
    return card_page(
        request,
        "job_form.html",
        words,
        status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
        entered=entered,
        head=head,
        form=page.form,
        faults=faults,
        card=page.card,
    )
