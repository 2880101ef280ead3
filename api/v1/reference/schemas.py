"""Requests and answers of `/v1/ingredients`, `/v1/units` and `/v1/sources`."""

from typing import Annotated, Literal

from pydantic import Field

from api.wire.schemas import Answer, Query, SourceDetailsAnswer, SourceRef, TopicAnswer

GramsPerMillilitre = Annotated[float, Field(examples=[0.528])]
PieceGrams = Annotated[float, Field(examples=[48.0])]
UnitId = Annotated[str, Field(examples=["us_cup"])]


class DensityAnswer(Answer):
    """Grams in one millilitre, in one packing."""

    packing: str = Field(description="How the measure was filled.", examples=["spooned"])
    g_per_ml: GramsPerMillilitre = Field(description="The central figure.")
    g_per_ml_low: GramsPerMillilitre = Field(description="The least that published figures support.")
    g_per_ml_high: GramsPerMillilitre = Field(description="The most that published figures support.")
    basis: Literal["ranged", "single", "analogy"] = Field(
        description="`ranged`: several published figures; `single`: one; `analogy`: that of a similar ingredient.",
        examples=["ranged"],
    )
    note: str | None = Field(
        default=None, description="What to know of the figure.", examples=["source does not state the packing"]
    )
    cited: list[SourceRef] = Field(description="Where the figures were published.")


class PieceWeightAnswer(Answer):
    """The weight of one piece, and which part of it is weighed."""

    size: str | None = Field(
        default=None, description="The word before the name; absent if there is none.", examples=["large"]
    )
    part: str = Field(description="What is weighed.", examples=["juice of one lemon"])
    grams: PieceGrams = Field(description="The central figure.")
    grams_low: PieceGrams = Field(description="The least of the range.")
    grams_high: PieceGrams = Field(description="The most of the range.")
    cited: list[SourceRef] = Field(description="Where the weight was published.")


class IngredientAnswer(TopicAnswer):
    """One ingredient."""

    id: str = Field(description="The id, which requests may use as the name.", examples=["plain-flour"])
    british: str = Field(description="The British name.", examples=["plain flour"])
    american: str = Field(description="The American name.", examples=["all-purpose flour"])
    other_names: list[str] = Field(description="Other names of it.", examples=[["plain white flour"]])
    form: Literal["powder", "grains", "pieces", "paste", "syrup", "fat", "liquid"] = Field(
        description="What it is like when it is measured.", examples=["powder"]
    )
    raises: bool = Field(description="Whether it makes a batter or dough rise.", examples=[False])
    default_packing: str | None = Field(
        default=None, description="The packing that is assumed where a request gives none.", examples=["spooned"]
    )
    densities: list[DensityAnswer] = Field(description="Its density in each packing.")
    pieces: list[PieceWeightAnswer] = Field(description="The weight of one piece of each size, if it is counted.")


class IngredientsAnswer(TopicAnswer):
    """Ingredients; with the nearest first if the request has a name."""

    ingredients: list[IngredientAnswer] = Field(description="All of them, or those nearest to the name.")


class IngredientsQuery(Query):
    """A name to search for; without it, all ingredients are listed."""

    name: (
        Annotated[
            str,
            Field(
                min_length=1,
                max_length=80,
                description="Part of a name. The nearest ingredients are listed.",
                examples=["flour"],
            ),
        ]
        | None
    ) = None


class UnitAnswer(Answer):
    """One unit is `factor` base units; `exact` is the same as a fraction."""

    id: str = Field(description="The id of the unit.", examples=["us_cup"])
    name: str = Field(description="What it is called.", examples=["US cup"])
    dimension: Literal["mass", "volume", "length", "area", "temperature", "count"] = Field(
        description="What it measures.", examples=["volume"]
    )
    base_unit: UnitId | None = Field(
        default=None, description="The unit that `factor` counts. Temperatures have none.", examples=["ml"]
    )
    factor: float | None = Field(default=None, description="Base units in one unit.", examples=[236.5882365])
    exact: str | None = Field(
        default=None, description="`factor` as a fraction of whole numbers.", examples=["473176473/2000000"]
    )
    factor_low: float | None = Field(
        default=None, description="The least factor. Only for words that no standard defines.", examples=[0.2]
    )
    factor_high: float | None = Field(
        default=None, description="The largest factor. Only for words that no standard defines.", examples=[0.62]
    )
    cited: list[SourceRef] = Field(description="Where the unit is defined.")


class KitchenWordAnswer(Answer):
    """A bare kitchen word, and its unit in each set of measures."""

    word: str = Field(description="The word.", examples=["cup"])
    us: UnitId | None = Field(default=None, description="Its unit with `measures: us`.", examples=["us_cup"])
    uk: UnitId | None = Field(default=None, description="Its unit with `measures: uk`.", examples=["metric_tsp"])
    metric: UnitId | None = Field(
        default=None, description="Its unit with `measures: metric`.", examples=["metric_cup"]
    )
    au: UnitId | None = Field(default=None, description="Its unit with `measures: au`.", examples=["metric_cup"])
    jp: UnitId | None = Field(default=None, description="Its unit with `measures: jp`.", examples=["jp_cup"])
    cited: list[SourceRef] = Field(description="Where the meanings were published.")


class UnitsAnswer(TopicAnswer):
    """All units, and the bare kitchen words that need `measures`."""

    units: list[UnitAnswer] = Field(description="Every unit.")
    kitchen_words: list[KitchenWordAnswer] = Field(description="Words that mean different units in different places.")


class RecalledAnswer(Answer):
    """Figures that were recalled: no text with them was opened."""

    answers: str = Field(description="What rests on them.", examples=["pinches and dashes"])
    figure_count: int = Field(description="How many figures of that kind are recalled.", examples=[2])
    of: int = Field(description="How many there are of that kind.", examples=[2])


class SourcesAnswer(TopicAnswer):
    """All sources, and what rests on recalled figures."""

    sources: list[SourceDetailsAnswer] = Field(description="Every source that is cited anywhere.")
    recalled: list[RecalledAnswer] = Field(description="The answers that rest on recalled figures.")
