"""Requests and answers of `/v1/ingredients`, `/v1/units` and `/v1/sources`."""

from typing import Annotated, Literal

from pydantic import Field

from api.wire.schemas import Answer, Query, SourceAnswer, SourceRef


class DensityAnswer(Answer):
    """Grams in one millilitre, in one packing."""

    packing: str
    g_per_ml: float
    low: float
    high: float
    basis: Literal["ranged", "single", "analogy"] = Field(
        description="`ranged`: several published figures; `single`: one; `analogy`: the figure of a similar ingredient."
    )
    note: str | None = None
    sources: list[SourceRef]


class PieceWeightAnswer(Answer):
    """The weight of one piece, and which part of it is weighed."""

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
    """Ingredients; with the nearest first if the request has a name."""

    ingredients: list[IngredientAnswer]


class IngredientsQuery(Query):
    """A name to search for; without it, all ingredients are listed."""

    name: Annotated[str, Field(min_length=1, max_length=80)] | None = None


class UnitAnswer(Answer):
    """One unit is `factor` base units; `exact` is the same as a fraction."""

    id: str
    name: str
    dimension: Literal["mass", "volume", "length", "area", "temperature", "count"]
    base_unit: str | None = None
    factor: float | None = None
    exact: str | None = None
    low: float | None = Field(default=None, description="Only for words that no standard defines.")
    high: float | None = None
    sources: list[SourceRef]


class KitchenWordAnswer(Answer):
    """A bare kitchen word, and its unit in each set of measures."""

    word: str
    us: str | None = None
    uk: str | None = None
    metric: str | None = None
    au: str | None = None
    jp: str | None = None
    sources: list[SourceRef]


class UnitsAnswer(Answer):
    """All units, and the bare kitchen words that need `measures`."""

    units: list[UnitAnswer]
    kitchen_words: list[KitchenWordAnswer]


class SourcesAnswer(Answer):
    """All sources."""

    sources: list[SourceAnswer]
