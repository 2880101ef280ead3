"""`/cards/label`: the label's text and table as a proof for the competent person; never with figures missing."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.errors import CardErrors, domain_errors, problem_errors
from api.pages.cards.fields import N_, FormField
from api.pages.cards.job import CardJob
from api.pages.cards.job_pages import JobPage, job_page
from api.pages.cards.key_figures import about_the_work, without_weighing
from api.pages.cards.words import Words, words_of
from api.v1.shop.schemas import Shop
from api.v1.shop.selling import LABEL
from api.v1.shop.views import sold_view
from api.wire.answers import as_plain_data
from domain.errors import DomainError, DomainErrors
from domain.shop.goods import Book

_MARKETS = (
    ("", N_("choose a market")),
    ("uk", N_("United Kingdom")),
    ("eu", N_("European Union")),
    ("us", N_("USA")),
)
_FORM = (
    FormField(name="market", choices=_MARKETS),
    FormField(name="name", hint=N_("Ginger parkin, as it is sold")),
    FormField(name="bake_loss_percent", hint=N_("11 % of all that was weighed, icing too")),
    FormField(name="portions", hint="16", keyboard="numeric"),
    FormField(name="may_contain", hint=N_("almond, sesame: what may get in")),
)
# Warnings that mean that something on the label is not known, besides nutrients without a figure.
_GAPS = frozenset({"allergens_unknown", "compound_unlisted", "no_composition", "nutrition_incomplete", "nuts_unnamed"})
# Warnings that the competent person settles with the packet in hand.
_TO_CHECK = frozenset({"allergens_depend", "flour_additions"})
CHECKS = (
    N_("Every packet was read today: ingredients, allergens, nutrition."),
    N_("Allergens in the kitchen that may get in are named or ruled out."),
    N_("Name, quantity, date, storage, maker and price are added as the law asks."),
    N_("Type size, order and emphasis follow the law of the place of sale."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NutritionRow:
    """A line of the nutrition table, as it is printed."""

    name: str
    per_100g: str
    per_portion: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelProof:
    """The label, with its texts in the language of the label."""

    product: str
    language: str
    runs: tuple[tuple[str, bool], ...]
    contains: str
    may_contain: str
    portion: str
    nutrition: tuple[NutritionRow, ...]
    with_portion: bool
    facts: tuple[str, ...]
    rules: tuple[str, ...]
    not_computed: tuple[str, ...]


async def label(request: Request) -> Response:
    """The proof; what is missing where figures are; the form where the market is not said."""
    page = JobPage(card="label", include=frozenset(), form=_FORM, needs=("market",), context=_context)
    return job_page(request, page)


def _context(job: CardJob, words: Words, shop: Book) -> dict[str, Any]:
    body = job.body.model_copy(
        update={
            "shop": Shop(
                market=job.query.market,
                may_contain=job.query.may_contain,
                bake_loss_percent=job.query.bake_loss_percent,
            )
        }
    )
    try:
        answer = as_plain_data(sold_view(body, shop, LABEL))
    except (DomainError, DomainErrors) as error:
        raise CardErrors(domain_errors(error)) from None
    target = answer["targets"][0]
    if "problem" in target:
        raise CardErrors(problem_errors(target["problem"]))
    written = about_the_work(answer["written"]["warnings"], [target])
    warnings = [*written, *without_weighing(target["warnings"])]
    figures = target["label_figures"]
    missing = tuple(dict.fromkeys(_missing(figures, warnings, job, words)))
    shown = [warning for warning in warnings if warning["code"] not in _GAPS | _TO_CHECK]
    return {
        "missing": missing,
        "proof": None if missing else _proof(figures, answer["label_rules"], words),
        "allergens": tuple(_allergens(figures, words)),
        "label_language": figures["language"],
        "warnings": _said(shown, job, words),
        "to_check": _said([warning for warning in warnings if warning["code"] in _TO_CHECK], job, words),
        "label_cautions": answer["written"]["cautions"],
        "checks": CHECKS,
    }


def _said(warnings: Iterable[Mapping[str, Any]], job: CardJob, words: Words) -> tuple[tuple[str, str], ...]:
    """Warnings, each once and with the language that it is said in."""
    return tuple(
        dict.fromkeys(
            words.by_code("warning", each, names=", ".join(map(words.ingredient, job.names_of(each))))
            for each in warnings
        )
    )


def _missing(
    figures: Mapping[str, Any], warnings: Iterable[Mapping[str, Any]], job: CardJob, words: Words
) -> Iterator[tuple[str, str]]:
    """What the label lacks, each with the language that it is said in."""
    for line in figures["nutrition"]:
        if not line["complete"]:
            names = ", ".join(words.ingredient(each["ingredient"]) for each in line["missing"])
            text = words.text("%(nutrient)s: no figure for %(names)s", nutrient=words.text(line["name"]), names=names)
            yield text, words.language
    for warning in warnings:
        if warning["code"] in _GAPS - {"nutrition_incomplete"}:
            yield words.by_code("warning", warning, names=", ".join(map(words.ingredient, job.names_of(warning))))


def _allergens(figures: Mapping[str, Any], words: Words) -> Iterator[tuple[str, str]]:
    """The allergens that are known, in the words of the label, each with the ingredients that have them."""
    for group in figures["contains"]:
        names = dict.fromkeys(words.ingredient(name) for name in group["ingredients"])
        yield ", ".join(group["words"]), ", ".join(names)


def _proof(figures: Mapping[str, Any], rules: Mapping[str, Any], words: Words) -> LabelProof:
    with_portion = "portion_grams" in figures
    return LabelProof(
        product=figures["product_name"],
        language=figures["language"],
        runs=tuple((run["text"], run["emphasised"]) for run in figures["ingredients_runs"]),
        contains=figures["contains_text"],
        may_contain=", ".join(figures["may_contain"]),
        portion=words_of(figures["language"]).grams(figures["portion_grams"]) if with_portion else "",
        nutrition=tuple(_nutrition(line) for line in figures["nutrition"]),
        with_portion=with_portion,
        facts=(
            words.text("mix %(grams)s", grams=words.grams(figures["mix_grams"], 0)),
            words.text("bake loss %(percent)s %%", percent=words.number(figures["bake_loss_percent"], 1)),
            words.text("finished %(grams)s", grams=words.grams(figures["finished_grams"], 0)),
        ),
        rules=tuple(rule["text"] for rule in rules["rules"]),
        not_computed=tuple(each["name"] for each in rules["not_computed"]),
    )


def _nutrition(line: Mapping[str, Any]) -> NutritionRow:
    return NutritionRow(
        name=line["name"],
        per_100g=line.get("printed_per_100g", {}).get("text", ""),
        per_portion=line.get("printed_per_portion", {}).get("text", ""),
    )


ROUTES = (Route("/cards/label", label),)
