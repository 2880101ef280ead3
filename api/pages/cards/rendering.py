"""Cards as pages: templates in the page's language, headers, and the page that asks for what is missing."""

from collections.abc import Callable, Mapping
from functools import cache
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response

from api.pages.cards.errors import CardErrors
from api.pages.cards.fields import LABELS, CardFields, entered_in, pairs_of, query_string
from api.pages.cards.form import job_form
from api.pages.cards.head import head_of
from api.pages.cards.job import CardJob, read_card_job
from api.pages.cards.words import Words, language_of, language_titles, words_of
from api.pages.cards.written import decimal_of
from api.pages.rendering import html_response, new_environment
from api.pages.static import address, worker_address
from api.v1.shop.reading import shop_book
from api.wire.public_url import link_to, public_origin, public_root
from api.wire.request_state import ACCESS_TOKEN

if TYPE_CHECKING:
    from jinja2 import Environment

Context = Callable[[CardJob, Words], Mapping[str, Any]]


def words_for(request: Request) -> Words:
    """The words of the language of a page: its `lang`, or else the first of `Accept-Language` that there is."""
    return words_of(language_of(request.query_params.get("lang"), request.headers.get("accept-language", "")))


def card(
    request: Request, name: str, include: frozenset[str], context: Context, *, each_target: bool = False
) -> Response:
    """A card of a job, or the page that asks for what is missing or wrong.

    Args:
        request: of the card; its address is the job.
        name: of the card, and of its template in `templates/cards`.
        include: the parts of `/v1/rescale` that the card shows.
        context: makes the values of the template from the job; it may raise `CardErrors` too.
        each_target: as for `read_card_job`.
    """
    entered, words = entered_in(request.query_params), words_for(request)
    try:
        sign = decimal_of(words.decimal_sign)
        job = read_card_job(entered, shop_book(request), include, sign=sign, each_target=each_target)
        values = context(job, words)
    except CardErrors as errors:
        return question_page(request, name, entered, words, errors)
    head = head_of(request, name, entered, words, job.answer)
    return card_page(request, f"{name}.html", words, entered=entered, head=head, job=job, **values)


def question_page(request: Request, name: str, entered: CardFields, words: Words, errors: CardErrors) -> Response:
    """The page that says what is wrong and asks what the recipe leaves open; it leads on to the card."""
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    form = job_form(request, name, entered, words, errors)
    return card_page(request, "start.html", words, status=status, entered=entered, form=form, page=name, examples=())


def card_page(
    request: Request,
    template: str,
    words: Words,
    *,
    status: HTTPStatus = HTTPStatus.OK,
    entered: CardFields,
    **values: object,
) -> Response:
    """A page from a template of `templates/cards`, in the language of its words.

    Args:
        request: the request that it answers.
        template: the file name of the template.
        words: of the page's language.
        status: the status of the response; only a 200 may be cached.
        entered: the fields of the job, for the links and hidden fields of the page.
        values: the values that the template shows; text is escaped.
    """
    token: str | None = getattr(request.state, ACCESS_TOKEN, None)
    figures: str = request.app.state.figures
    html = (
        _templates(words.language)
        .get_template(f"cards/{template}")
        .render(
            words=words,
            entered=entered,
            access_token=token,
            worker=link_to(worker_address(figures)),
            **values,
        )
    )
    headers = {
        "Content-Security-Policy": _policy(),
        "Vary": "Accept-Language",
        "Content-Language": words.language,
        "X-Figures": figures,
    }
    return html_response(request, html, status=status, headers=headers)


def _policy() -> str:
    """The Content-Security-Policy of a card: everything comes from this service, and nothing is inline."""
    service = f"'self' {public_origin(public_root())}".rstrip()
    kinds = ("style-src", "script-src", "img-src", "connect-src", "manifest-src", "worker-src", "form-action")
    return "; ".join(
        ["default-src 'none'", *(f"{kind} {service}" for kind in kinds), "base-uri 'none'", "frame-ancestors 'none'"]
    )


@cache  # as many entries as there are catalogues
def _templates(language: str) -> "Environment":
    """The templates in one language, made for its first page: most processes never serve one."""
    words = words_of(language)
    return new_environment(
        _=words.text,
        count=words.count,
        at=link_to,
        file=lambda name: link_to(address(name)),
        pairs=pairs_of,
        query_string=query_string,
        LABELS=LABELS,
        languages=language_titles(),
    )
