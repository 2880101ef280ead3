"""`/cards/weigh`: what to put on the scale for one target, component by component."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.cooling import tin_of
from api.pages.cards.fields import N_
from api.pages.cards.job import CardJob
from api.pages.cards.key_figures import KeyFigure
from api.pages.cards.rendering import card
from api.pages.cards.words import Words
from domain.measures.weighing import Scales, scale_readings, weigh_grams, weigh_share, weigh_total
from domain.reading.names import name_in
from domain.things.conversion import EGG_PARTS
from domain.things.eggs import EGG_CLASSES, EggPart
from domain.tins.shapes import CavitiesTin
from domain.tins.text import parse_tin

EGG_WORDS: Mapping[EggPart, tuple[str, str]] = {
    "whole": (N_("%(count)s egg %(egg_class)s"), N_("%(count)s eggs %(egg_class)s")),
    "yolk": (N_("%(count)s yolk %(egg_class)s"), N_("%(count)s yolks %(egg_class)s")),
    "white": (N_("%(count)s white %(egg_class)s"), N_("%(count)s whites %(egg_class)s")),
}
INCLUDE = frozenset({"lines", "eggs", "pieces"})


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighRow:
    """One line to weigh: its name, what the scale shows for it, and what it shows in all without taring."""

    name: str
    grams: str
    total: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighComponent:
    """A component of the formula, with its lines in weighing order; `weighed` is what its bowl shows at the end.

    `shared` says what each tin, cup or dough piece gets of it.
    """

    name: str
    weighed: float
    rows: tuple[WeighRow, ...]
    shared: tuple[str, ...]


async def weigh(request: Request) -> Response:
    """The card; the page that asks where something is missing or wrong."""
    return card(request, "weigh", INCLUDE, weigh_context)


def weigh_context(job: CardJob, words: Words) -> dict[str, Any]:
    """What the card shows.

    Args:
        job: with its answer.
        words: of the page's language.
    """
    written = [line for line in job.reading["lines"] if "line" in line]
    components = list[WeighComponent]()
    vessels = _vessels(job)
    for component in job.target["components"]:
        count = len(component["lines"])
        components.append(_component(component, written[:count], vessels, words))
        written = written[count:]
    return {"components": components, "fill": tuple(_fill(job.target, components, words))}


def _vessels(job: CardJob) -> tuple[int, int]:
    """How many tins the mix goes into, and how many cups each of them has; 1 for a tin that is no tray of cups."""
    written = tin_of(job)
    tin = None if written is None else parse_tin(written)
    return job.target.get("tins", 1), tin.count if isinstance(tin, CavitiesTin) else 1


def _component(
    component: Mapping[str, Any], written: Sequence[Mapping[str, Any]], vessels: tuple[int, int], words: Words
) -> WeighComponent:
    lines = component["lines"]
    totals = scale_readings([line["weigh_grams"] for line in lines], Scales())
    return WeighComponent(
        name=component["name"],
        weighed=totals[-1],
        rows=tuple(
            WeighRow(
                name=line_name(line, read["line"]["ingredient_id"], words),
                grams=words.grams(line["weigh_grams"]),
                total=words.grams(total),
                notes=tuple(_notes(line, read["line"]["ingredient_id"], words)),
            )
            for line, total, read in zip(lines, totals, written, strict=True)
        ),
        shared=tuple(
            _pieces(component["pieces"], words) if "pieces" in component else _shares(totals[-1], vessels, words)
        ),
    )


def line_name(line: Mapping[str, Any], identity: str, words: Words) -> str:
    """The name of a line; that of eggs without the size written, since those at hand may have another."""
    return words.ingredient(name_in(identity, "en") if "eggs" in line else line["ingredient"], identity or None)


def _notes(line: Mapping[str, Any], identity: str, words: Words) -> Iterator[str]:
    """Eggs as whole and beaten ones, and level spoons."""
    for count in line.get("eggs", ()):
        yield eggs_text(count, identity, words)
    if spoons := line.get("spoons"):
        text = spoons["text"].replace("tbsp", words.text("tbsp")).replace("tsp", words.text("tsp"))
        yield words.text("or level %(spoons)s", spoons=text)


def eggs_text(egg_count: Mapping[str, Any], identity: str, words: Words) -> str:
    """Whole eggs, yolks or whites, and the beaten egg besides them."""
    singular, plural = EGG_WORDS[EGG_PARTS[identity]]
    egg_class = EGG_CLASSES[egg_count["egg_class"]].label
    whole, grams = egg_count["whole_eggs"], egg_count["beaten_grams"]
    if whole == 0:  # the mass of the line, so to the same step
        beaten = words.number(weigh_grams(grams, Scales()), 1)
        return words.text("%(beaten)s g beaten, of eggs %(egg_class)s", beaten=beaten, egg_class=egg_class)
    counted, beaten = words.count(singular, plural, whole, egg_class=egg_class), words.number(grams, 0)
    if beaten == "0":
        return counted
    return words.text("%(counted)s + %(beaten)s g beaten", counted=counted, beaten=beaten)


def _pieces(pieces: Mapping[str, Any], words: Words) -> Iterator[str]:
    yield words.text(
        "Divide into %(count)s pieces of %(grams)s", count=pieces["count"], grams=words.grams(pieces["grams_each"])
    )
    if "per_tin" in pieces:
        yield words.text("%(count)s in each tin", count=pieces["per_tin"])
    if "per_cavity" in pieces:
        yield words.text("%(count)s in each cavity", count=pieces["per_cavity"])


def _shares(weighed: float, vessels: tuple[int, int], words: Words) -> Iterator[str]:
    tins, cups = vessels
    if tins > 1:
        grams = words.grams(weigh_share(weighed, tins, Scales()))
        yield words.text("%(grams)s in each of %(count)s tins", grams=grams, count=tins)
    if cups > 1:
        grams = words.grams(weigh_share(weighed, tins * cups, Scales()))
        yield words.text("%(grams)s in each cup", grams=grams)


def _fill(target: Mapping[str, Any], components: Sequence[WeighComponent], words: Words) -> Iterator[KeyFigure]:
    # The sum of the bowls, not of the exact masses, so that the figures of the card add up.
    weighed = weigh_total(component.weighed for component in components)
    yield KeyFigure(name=words.text("Weighed in all"), value=words.grams(weighed))
    if "filled_depth_mm" in target:
        full = ""
        if "fill_percent" in target:
            full = words.text("%(percent)s %% full", percent=words.number(target["fill_percent"], 0))
        yield KeyFigure(name=words.text("Fill to"), value=words.mm(target["filled_depth_mm"]), note=full)


ROUTES = (Route("/cards/weigh", weigh),)
