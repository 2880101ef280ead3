"""`/cards/day`: the orders of a day as tins, bowls, eggs to crack, oven loads and packs to open."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.bake import gas_mark
from api.pages.cards.cut_card import NO_WEIGHT
from api.pages.cards.errors import CardError, CardErrors, domain_errors, schema_errors
from api.pages.cards.fields import N_, FormField
from api.pages.cards.job import CardJob
from api.pages.cards.job_pages import JobPage, job_page
from api.pages.cards.key_figures import KeyFigure, about_the_work, without_weighing
from api.pages.cards.words import NBSP, Words
from api.v1.batches.schemas import MAX_SIZES, BatchesRequest
from api.v1.batches.views import batches_view
from api.v1.job.schemas import Formula
from api.wire.answers import as_plain_data, without_none
from api.wire.schemas import adapter
from domain.errors import DomainError, DomainErrors, UnknownError
from domain.measures.weighing import Scales, weigh_grams
from domain.reading.orders import parse_order
from domain.shop.goods import Book
from domain.things.eggs import EGG_CLASSES
from domain.tins.sizes import find_size, only_size

_FORM = (
    FormField(name="order", hint=N_("a line for each: round 26 x 6 cm: 3 tins; 36 pieces"), lines=5),
    FormField(name="portions", hint=N_("16, in every tin"), keyboard="numeric"),
    FormField(name="bowl", hint=N_("4 kg; larger mixes are divided evenly")),
    FormField(name="shelves", hint="4", keyboard="numeric"),
    FormField(name="per_shelf", hint="3", keyboard="numeric"),
)
# The day counts tins of the recipe: other amounts and other divisions of the dough have no place in it.
_NO_TIN = N_("For the orders of a day write tins, not a weight or a factor.")
_NOT_BAKED = N_("“%(order)s” orders none of the tins wanted. Correct it, or add its tin to those wanted.")
_NO_PIECES = N_("The orders of a day are made with the dough pieces of the recipe: leave this out.")
_OF_PIECES = ("pieces_per_tin", "pieces_per_cavity", "pieces_per_portion")
_load = adapter(BatchesRequest).validate_python


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTins:
    """The tins of one size: how many, and what is known of each."""

    size: str
    tins: str
    pieces: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BowlLine:
    """An ingredient of a bowl: its mass in one bowl, and in all."""

    name: str
    each: str
    together: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowls:
    """A mix: how many equal bowls it makes, and what goes into each."""

    name: str
    bowls: int
    grams: str
    lines: tuple[BowlLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCard:
    """Everything that the card shows."""

    figures: tuple[KeyFigure, ...]
    orders: tuple[str, ...]
    tins: tuple[DayTins, ...]
    is_cut: bool
    bowls: tuple[Bowls, ...]
    loads: tuple[tuple[str, ...], ...]
    packs: tuple[tuple[str, str, str], ...]
    warnings: tuple[tuple[str, str], ...]


async def day(request: Request) -> Response:
    """The card; the form where there are no orders; the form with every error if there are any."""
    page = JobPage(card="day", include=frozenset({"bake"}), form=_FORM, needs=("order",), context=_context)
    return job_page(request, page, each_target=True)


def _context(job: CardJob, words: Words, shop: Book) -> dict[str, Any]:
    body = day_request(job)
    try:
        answer = as_plain_data(batches_view(body, shop))
    except (DomainError, DomainErrors) as error:
        raise CardErrors(domain_errors(error)) from None
    return {"day": day_of(job, answer, words)}


def day_request(job: CardJob) -> BatchesRequest:
    """The request of `/v1/batches` for the orders of a job.

    Args:
        job: with its orders, and the bake of each tin wanted.
    Raises:
        CardErrors: an order cannot be read, or the job wants something other than tins.
    """
    errors = [CardError(name=name, message=_NO_PIECES) for name in _OF_PIECES if getattr(job.query, name) is not None]
    if len(job.body.targets) > MAX_SIZES:
        errors.append(
            CardError(name="want", message=N_("At most %(max_length)s of them."), values={"max_length": MAX_SIZES})
        )
    formula = job.body.formula
    targets = _targets(job, errors)
    labels = [target["label"] for target in targets if "label" in target] or [formula.name]
    orders = _orders(job.query.order, labels, formula, errors)
    if errors:
        raise CardErrors(errors)
    product = {"name": formula.name, "formula": formula.model_dump(exclude_unset=True), "targets": targets}
    request = without_none(
        products=[product],
        orders=orders,
        available_egg_classes=job.query.eggs or None,
        mixing_bowl_grams=job.query.bowl,
        oven_shelves=job.query.shelves,
        measures=job.query.measures,
    )
    try:
        body: BatchesRequest = _load(request)
    except ValidationError as error:  # such as more tins than the limit
        raise CardErrors(replace(each, name="order") for each in schema_errors(error)) from None
    return body


def _targets(job: CardJob, errors: list[CardError]) -> list[dict[str, Any]]:
    """The tins wanted, each with the minutes of its bake."""
    targets = list[dict[str, Any]]()
    for sent, answer in zip(job.body.targets, job.answer["targets"], strict=False):
        target = sent.model_dump(exclude_unset=True)
        if "factor" in target or "grams" in target:
            errors.append(CardError(name="want", message=_NO_TIN))
        minutes = answer.get("bake", {}).get("minutes")
        kept = {name: value for name, value in target.items() if name not in {"tins", "pieces", "factor", "grams"}}
        targets.append(
            without_none(
                **kept, tins_per_shelf=job.query.per_shelf, bake=None if minutes is None else {"minutes": minutes}
            )
        )
    return targets


def _orders(
    texts: Sequence[str], labels: Sequence[str], formula: Formula, errors: list[CardError]
) -> list[dict[str, Any]]:
    orders = list[dict[str, Any]]()
    for text in texts:
        try:
            orders.append(_order(text, labels, formula))
        except UnknownError as error:
            values, candidates = {"order": text}, error.candidates
            errors.append(
                CardError(name="order", message=_NOT_BAKED, code=error.code, values=values, candidates=candidates)
            )
        except DomainError as error:
            errors += domain_errors(error.within("orders"))
    return orders


def _order(text: str, labels: Sequence[str], formula: Formula) -> dict[str, Any]:
    order = parse_order(text)
    size: str | None = None
    if len(labels) == 1:
        size = labels[0]
        only_size(order.label, formula.tin if size == formula.name and formula.tin else size)
    elif order.label:
        size = find_size(order.label, labels)
    return without_none(product=formula.name, label=size, tins=order.tins, portions=order.portions)


def day_of(job: CardJob, answer: Mapping[str, Any], words: Words) -> DayCard:
    """The content of the card.

    Args:
        job: with its orders.
        answer: of `/v1/batches`.
        words: of the page's language.
    """
    product = answer["products"][0]
    return DayCard(
        figures=tuple(_figures(answer, product, words)),
        orders=tuple(job.query.order),
        tins=tuple(_tins(row, words) for row in product["tins"]),
        is_cut=is_cut(product),
        bowls=tuple(_bowls(mix, words) for mix in answer["mixes"]),
        loads=tuple(_load_row(load, words) for load in answer.get("oven_loads", ())),
        packs=tuple(_pack(row, words) for row in answer["ingredients"] if "to_buy" in row),
        warnings=tuple(
            dict.fromkeys(
                _warning(warning, job, words)
                for warning in about_the_work(without_weighing(answer["warnings"]), job.answer["targets"])
            )
        ),
    )


def _warning(warning: Mapping[str, Any], job: CardJob, words: Words) -> tuple[str, str]:
    """A warning, and the language that it is said in."""
    pointers = [pointer.removeprefix("/products/0") for pointer in warning.get("pointers", ())]
    names = job.names_of({**warning, "pointers": pointers})
    if warning["code"] == "bake_loss_missing":
        return words.text(NO_WEIGHT), words.language
    return words.by_code("warning", warning, names=", ".join(map(words.ingredient, names)))


def _figures(answer: Mapping[str, Any], product: Mapping[str, Any], words: Words) -> Iterator[KeyFigure]:
    over = words.text("%(over)s over", over=product["portions_over"]) if product["portions_over"] else ""
    if is_cut(product):
        yield KeyFigure(name=words.text("Pieces ordered"), value=str(product["portions_ordered"]))
        yield KeyFigure(name=words.text("Pieces made"), value=str(product["portions_made"]), note=over)
    else:
        yield KeyFigure(name=words.text("Tins ordered"), value=str(product["portions_ordered"]))
        yield KeyFigure(name=words.text("Tins made"), value=str(product["portions_made"]), note=over)
    for eggs in answer["eggs"]:
        label = EGG_CLASSES[eggs["egg_class"]].label
        trays = words.count("%(count)s tray of 30", "%(count)s trays of 30", eggs["trays"])
        name = words.text("Eggs to crack, %(egg_class)s", egg_class=label)
        yield KeyFigure(name=name, value=str(eggs["crack"]), note=trays)


def is_cut(product: Mapping[str, Any]) -> bool:
    """Whether a tin makes more than one piece; else the tins are what is sold."""
    return any(row["portions_per_tin"] > 1 for row in product["tins"])


def _tins(row: Mapping[str, Any], words: Words) -> DayTins:
    notes = [words.text("%(grams)s of mix in each", grams=words.grams(row["grams_per_tin"], 0))]
    if "filled_depth_mm" in row:
        notes.append(words.text("filled to %(depth)s", depth=words.mm(row["filled_depth_mm"])))
    notes += [
        words.text(
            "%(component)s: %(count)s dough pieces of %(grams)s in each",
            component=pieces["component"],
            count=pieces["per_tin"],
            grams=words.grams(pieces["grams_each"]),
        )
        for pieces in row["dough_pieces"]
    ]
    if row["portions_per_tin"] > 1:
        notes.append(words.text("cut into %(count)s", count=row["portions_per_tin"]))
    if "portion_grams" in row:
        notes.append(words.text("a piece weighs %(grams)s", grams=words.grams(row["portion_grams"])))
    return DayTins(
        size=words.tin(row["label"]), tins=str(row["tins"]), pieces=str(row["portions_made"]), notes=tuple(notes)
    )


def _bowls(mix: Mapping[str, Any], words: Words) -> Bowls:
    return Bowls(
        name=mix["name"],
        bowls=mix["bowls"],
        grams=words.grams(mix["bowl_grams"], 0),
        lines=tuple(
            BowlLine(
                name=words.ingredient(line["ingredient"], line.get("ingredient_id")),
                each=words.grams(weigh_grams(line["grams_per_bowl"], Scales())),
                together=words.grams(weigh_grams(line["grams"], Scales())),
            )
            for line in mix["lines"]
        ),
    )


def _load_row(load: Mapping[str, Any], words: Words) -> tuple[str, ...]:
    """Setting, minutes of one load, tins, loads, and minutes of all loads."""
    setting = []
    if "celsius" in load:
        setting.append(f"{words.number(load['celsius'], 0)}{NBSP}°C")
    if "fan_celsius" in load:
        setting.append(words.text("fan %(celsius)s °C", celsius=words.number(load["fan_celsius"], 0)))
    if "gas_mark" in load:
        setting.append(words.text("gas mark %(mark)s", mark=gas_mark(load["gas_mark"])))
    return (
        ", ".join(setting) or words.text("no setting known"),
        words.number(load["bake_minutes"], 0),
        str(load["tins"]),
        str(load["loads"]),
        words.number(load["minutes"], 0),
    )


def _pack(row: Mapping[str, Any], words: Words) -> tuple[str, str, str]:
    """The name of an ingredient, the packs to open, and what is left of them."""
    packs = ", ".join(f"{pack['count']} × {pack['pack']}" for pack in row["to_buy"]["packs"])
    left = words.text("%(grams)s over", grams=words.grams(row["to_buy"]["grams_over"], 0))
    return words.ingredient(row["ingredient"], row.get("ingredient_id")), packs, left


ROUTES = (Route("/cards/day", day),)
