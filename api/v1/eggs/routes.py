"""`/v1/eggs`: eggs of one class as grams, as another class, as liquid or dried egg."""

from functools import cache
from typing import Annotated, Any, Literal

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field

from api.wire.answers import source_refs, warnings, without_none
from api.wire.caching import SerializedAnswer, serialize_answer
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from api.wire.schemas import Amount, AmountText, Answer, EggClassName, Query, Schema, SourceRef, Warned
from domain.errors import NeededError, OutOfRangeError, at_path
from domain.measures.quantities import parse_amount
from domain.things.eggs import (
    EGG_CLASSES,
    EggClass,
    EggCount,
    EggPart,
    class_notices,
    count_eggs,
    dried_egg,
    egg_mass,
    egg_sources,
    find_egg_class,
    liquid_egg_ml,
)

MAX_CLASSES = 40  # our own limit: there are fewer classes
MAX_EGGS = 100_000  # our own limit, no source
PartName = Literal["whole", "yolk", "white"]


class EggsQuery(Query):
    """Eggs, as query parameters; `available` may be given several times."""

    whole: AmountText | None = None
    yolks: AmountText | None = None
    whites: AmountText | None = None
    egg_class: EggClassName = Field(alias="class")
    available: list[EggClassName] = Field(default=[], max_length=MAX_CLASSES)


class EggsRequest(Schema):
    """Eggs of one class, and the classes at hand."""

    whole: Amount | None = None
    yolks: Amount | None = None
    whites: Amount | None = None
    egg_class: EggClassName = Field(alias="class")
    available: list[EggClassName] = Field(default=[], max_length=MAX_CLASSES)


class EggCountAnswer(Answer):
    """So much egg in eggs of one class: `whole_eggs` and `beaten_grams` together are exact."""

    egg_class: str = Field(alias="class")
    exact_count: float
    count: int = Field(description="The nearest whole number of eggs.")
    grams: float = Field(description="What `count` eggs weigh, without shell.")
    surplus_grams: float = Field(description="Over what is needed; below zero: under.")
    error_percent: float
    whole_eggs: int
    beaten_grams: float = Field(description="Beaten and weighed, on top of `whole_eggs`.")


class DriedEggAnswer(Answer):
    """Dried product and the water that make up the same."""

    grams: float
    water_grams: float
    sources: list[SourceRef]


class EggPartAnswer(Answer):
    """One part of the egg: what was asked, in grams and in every form."""

    part: PartName
    asked_count: float
    grams: float = Field(description="Without shell.")
    low: float
    high: float
    liquid_ml: float
    dried: DriedEggAnswer
    available: list[EggCountAnswer]


class EggsAnswer(Answer):
    """Eggs in grams: `low` to `high` is where any eggs of the class may lie, not the spread of a tray."""

    egg_class: str = Field(alias="class")
    grams: float = Field(description="Of all parts together.")
    low: float
    high: float
    parts: list[EggPartAnswer]
    sources: list[SourceRef]
    warnings: list[Warned]


class EggClassAnswer(Answer):
    """A weight class: grams with the shell, and one egg's edible parts."""

    egg_class: str = Field(alias="class")
    region: str
    label: str
    min_grams: float
    max_grams: float
    typical_grams: float
    assumed_end: Literal["above", "below"] | None = Field(default=None, description="The side without a legal bound.")
    whole_grams: float
    yolk_grams: float
    white_grams: float
    sources: list[SourceRef]


class EggClassesAnswer(Answer):
    """Every class."""

    classes: list[EggClassAnswer]


router = APIRouter(prefix="/v1/eggs", tags=["eggs"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="eggs", summary="Eggs as grams and in other classes", response_model=EggsAnswer)
async def get_eggs(query: Annotated[EggsQuery, QueryParameters()]) -> dict[str, Any]:
    """Whole eggs, yolks and whites of a class as grams, liquid, dried, and counted in the classes at hand."""
    return _answer(query, in_query=True)


@router.post("", operation_id="eggs_object", summary="Eggs as grams and in other classes", response_model=EggsAnswer)
async def post_eggs(body: EggsRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe."""
    return _answer(body, in_query=False)


@router.get("/classes", operation_id="list_egg_classes", summary="Egg weight classes", response_model=EggClassesAnswer)
async def get_egg_classes() -> SerializedAnswer:
    """The classes of the EU and UK, USA, Canada, Australia, New Zealand and Japan."""
    return _classes()


def _answer(asked: EggsQuery | EggsRequest, *, in_query: bool) -> dict[str, Any]:
    with at_path("class"):
        egg_class = find_egg_class(asked.egg_class)
    available = []
    for i, name in enumerate(asked.available):
        with at_path("available", i):
            available.append(find_egg_class(name))
    wishes: tuple[tuple[EggPart, str, str | float | None], ...] = (
        ("whole", "whole", asked.whole),
        ("yolk", "yolks", asked.yolks),
        ("white", "whites", asked.whites),
    )
    parts = [
        _part(part, egg_class, _count(given, field), available) for part, field, given in wishes if given is not None
    ]
    if not parts:
        raise NeededError("Say how many: whole, yolks or whites.", path=("whole",), code="eggs-needed")
    notices = [n.within("class") for n in class_notices(egg_class)]
    notices += [n.within("available", i) for i, c in enumerate(available) for n in class_notices(c)]
    return {
        "class": egg_class.id,
        "grams": sum(part["grams"] for part in parts),
        "low": sum(part["low"] for part in parts),
        "high": sum(part["high"] for part in parts),
        "parts": parts,
        "sources": source_refs(egg_sources(egg_class)),
        "warnings": warnings(notices, in_query=in_query),
    }


def _count(given: str | float, field: str) -> float:
    with at_path(field):
        count = float(parse_amount(given))
        if not 0 < count <= MAX_EGGS:
            raise OutOfRangeError(f"A number of eggs is above 0 and at most {MAX_EGGS:,}.")
    return count


def _part(part: EggPart, egg_class: EggClass, count: float, available: list[EggClass]) -> dict[str, Any]:
    each = egg_mass(part, egg_class)
    grams = each.grams * count
    dried = dried_egg(grams, part)
    return {
        "part": part,
        "asked_count": count,
        "grams": grams,
        "low": each.low * count,
        "high": each.high * count,
        "liquid_ml": liquid_egg_ml(grams, part),
        "dried": {"grams": dried.grams, "water_grams": dried.water_grams, "sources": source_refs((dried.cited,))},
        "available": [egg_count_answer(count_eggs(grams, part, one)) for one in available],
    }


def egg_count_answer(count: EggCount) -> dict[str, Any]:
    """A count of eggs as it goes out; the rescaling answers use it too."""
    return {
        "class": count.egg_class,
        "exact_count": count.exact,
        "count": count.nearest,
        "grams": count.grams,
        "surplus_grams": count.surplus_grams,
        "error_percent": count.error_percent,
        "whole_eggs": count.whole_eggs,
        "beaten_grams": count.beaten_grams,
    }


def _class_answer(egg_class: EggClass) -> dict[str, Any]:
    return without_none(
        region=egg_class.region,
        label=egg_class.label,
        min_grams=egg_class.min_g,
        max_grams=egg_class.max_g,
        typical_grams=egg_class.typical_g,
        assumed_end=egg_class.open_end or None,
        whole_grams=egg_mass("whole", egg_class).grams,
        yolk_grams=egg_mass("yolk", egg_class).grams,
        white_grams=egg_mass("white", egg_class).grams,
        sources=source_refs(egg_sources(egg_class)),
    ) | {"class": egg_class.id}


@cache
def _classes() -> SerializedAnswer:
    return serialize_answer({"classes": [_class_answer(egg_class) for egg_class in EGG_CLASSES.values()]})
