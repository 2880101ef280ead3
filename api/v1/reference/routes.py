"""`/v1/ingredients`, `/v1/units`, `/v1/sources`: what the service knows, and from where."""

from functools import cache
from typing import Annotated, Any, Literal

from fastapi import APIRouter
from fastapi import Path as PathParameter
from fastapi import Query as QueryParameters
from pydantic import Field

from api.wire.answers import source, source_refs, without_none
from api.wire.caching import SerializedAnswer, serialize_answer
from api.wire.problems import RESPONSES, MissingResource
from api.wire.routing import PureRoute
from api.wire.schemas import Answer, Query, SourceAnswer, SourceRef
from domain.errors import DomainError
from domain.measures.units import KITCHEN_WORDS, UNITS, Unit
from domain.sources import SOURCES
from domain.things.ingredients import INGREDIENTS, Density, Ingredient, find_ingredient, search_ingredients


class DensityAnswer(Answer):
    """Grams in a millilitre, in one packing."""

    packing: str
    g_per_ml: float
    low: float
    high: float
    basis: Literal["ranged", "single", "analogy"] = Field(
        description="`ranged`: several records; `single`: one; `analogy`: borrowed from a neighbour."
    )
    note: str | None = None
    sources: list[SourceRef]


class PieceWeightAnswer(Answer):
    """Grams of one, and which part of it is meant."""

    part: str
    grams: float
    low: float
    high: float
    sources: list[SourceRef]


class IngredientAnswer(Answer):
    """One ingredient."""

    id: str
    british: str
    american: str
    other_names: list[str]
    form: Literal["powder", "grains", "pieces", "paste", "syrup", "fat", "liquid"]
    raises: bool = Field(description="Whether it makes a batter or dough rise.")
    default_packing: str | None = None
    densities: list[DensityAnswer]
    piece: PieceWeightAnswer | None = None


class IngredientsAnswer(Answer):
    """Ingredients, by id; nearest first when a name was asked for."""

    ingredients: list[IngredientAnswer]


class IngredientsQuery(Query):
    """A name to look for; without it, all of them."""

    name: Annotated[str, Field(min_length=1, max_length=80)] | None = None


class UnitAnswer(Answer):
    """One of it is `factor` base units; `exact` is the same as a fraction."""

    id: str
    name: str
    dimension: Literal["mass", "volume", "length", "area", "temperature", "count"]
    base_unit: str | None = None
    factor: float | None = None
    exact: str | None = None
    low: float | None = Field(default=None, description="Only for words that no standard fixes.")
    high: float | None = None
    sources: list[SourceRef]


class KitchenWordAnswer(Answer):
    """A bare word, and the unit each set of measures means by it."""

    word: str
    us: str | None = None
    uk: str | None = None
    metric: str | None = None
    au: str | None = None
    jp: str | None = None
    sources: list[SourceRef]


class UnitsAnswer(Answer):
    """Every unit accepted, and the bare words that need `measures`."""

    units: list[UnitAnswer]
    kitchen_words: list[KitchenWordAnswer]


class SourcesAnswer(Answer):
    """Every source cited."""

    sources: list[SourceAnswer]


router = APIRouter(prefix="/v1", tags=["reference"], responses=RESPONSES, route_class=PureRoute)


@router.get("/ingredients", operation_id="list_ingredients", summary="Ingredients", response_model=IngredientsAnswer)
async def get_ingredients(query: Annotated[IngredientsQuery, QueryParameters()]) -> SerializedAnswer | dict[str, Any]:
    """All ingredients with their densities by packing and piece weights, or those nearest to a name."""
    if query.name is None:
        return _all()
    return {"ingredients": [_ingredient(found) for found in search_ingredients(query.name)]}


@router.get(
    "/ingredients/{ingredient_id}",
    operation_id="get_ingredient",
    summary="One ingredient",
    response_model=IngredientAnswer,
)
async def get_ingredient(ingredient_id: Annotated[str, PathParameter(max_length=80)]) -> dict[str, Any]:
    """One ingredient, by id or by any of its everyday names."""
    try:
        return _ingredient(find_ingredient(ingredient_id))
    except DomainError as error:
        raise MissingResource(error) from None


@router.get("/units", operation_id="list_units", summary="Units", response_model=UnitsAnswer)
async def get_units() -> SerializedAnswer:
    """Every unit accepted, its exact size, and what bare kitchen words mean in each set of measures."""
    return _units()


@router.get("/sources", operation_id="list_sources", summary="Sources", response_model=SourcesAnswer)
async def get_sources() -> SerializedAnswer:
    """Every source cited, and whether it was read or is recalled."""
    return _sources()


def _ingredient(found: Ingredient) -> dict[str, Any]:
    piece = found.piece
    return without_none(
        id=found.id,
        british=found.british,
        american=found.american,
        other_names=list(found.other_names),
        form=found.form,
        raises=found.raises,
        default_packing=found.default_packing or None,
        densities=[_density(density) for density in found.densities.values()],
        piece=piece
        and {
            "part": piece.part,
            "grams": float(piece.grams),
            "low": float(piece.low),
            "high": float(piece.high),
            "sources": source_refs((piece.cited,)),
        },
    )


def _density(found: Density) -> dict[str, Any]:
    return without_none(
        packing=found.packing,
        g_per_ml=float(found.g_per_ml),
        low=float(found.low),
        high=float(found.high),
        basis=found.basis,
        note=found.note or None,
        sources=source_refs(found.cited),
    )


def _unit(unit: Unit) -> dict[str, Any]:
    bases = {"mass": "g", "volume": "ml", "length": "mm", "area": "mm2", "count": "each"}
    simple = unit.dimension in bases
    return without_none(
        id=unit.id,
        name=unit.name,
        dimension=unit.dimension,
        base_unit=bases.get(unit.dimension),
        factor=float(unit.factor) if simple else None,
        exact=str(unit.factor) if simple and not unit.vague else None,
        low=float(unit.low) if unit.vague else None,
        high=float(unit.high) if unit.vague else None,
        sources=source_refs((unit.cited,)),
    )


# Made when first asked for, and kept: at start, they would take a tenth of it.
@cache
def _all() -> SerializedAnswer:
    return serialize_answer({"ingredients": [_ingredient(found) for found in INGREDIENTS.values()]})


@cache
def _units() -> SerializedAnswer:
    words = [
        {"word": word, **entry.meanings, "sources": source_refs((entry.cited,))}
        for word, entry in KITCHEN_WORDS.items()
        if word == entry.word
    ]
    return serialize_answer({"units": [_unit(unit) for unit in UNITS.values()], "kitchen_words": words})


@cache
def _sources() -> SerializedAnswer:
    return serialize_answer({"sources": [source(key) for key in SOURCES]})
