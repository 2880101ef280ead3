"""Requests and answers of `/v1/rescale`, the main job."""

from typing import Annotated

from pydantic import Field, model_validator

from api.v1.bake.schemas import FormulaBakeIn, TargetBakeAnswer
from api.v1.cuts.schemas import CutsAnswer, TargetCutsIn
from api.v1.eggs.schemas import EggCountAnswer, PartName
from api.v1.shop.schemas import OwnIngredients
from api.v1.tins.schemas import TinCount, TinIn
from api.wire.schemas import (
    WHOLE,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    Label,
    MeasuresName,
    PackingName,
    Quantity,
    QuantityAnswer,
    Schema,
    SourceAnswer,
    SourceRef,
    Warned,
)

MAX_TARGETS, MAX_COMPONENTS, MAX_LINES = 50, 20, 60  # our own limits
MAX_CLASSES = 40  # our own limit: there are fewer egg classes
Name = Annotated[str, Field(min_length=1, max_length=120)]


class LineIn(Schema):
    """One ingredient with its amount."""

    ingredient: IngredientName
    quantity: Quantity
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    own: bool = Field(
        default=False, description="An ingredient of the caller's own, in none of our tables: a mass, or with g_per_ml."
    )


class DivisionIn(Schema):
    """How a dough is divided before baking: one of the two."""

    count: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = None
    grams_each: float | None = Field(default=None, gt=0, le=100_000)

    @model_validator(mode="after")
    def _one_of_two(self) -> "DivisionIn":
        if (self.count is None) == (self.grams_each is None):
            raise ValueError("give one of count and grams_each")
        return self


class ComponentIn(Schema):
    """A part of the formula that is mixed by itself."""

    name: Name
    lines: list[LineIn] = Field(min_length=1, max_length=MAX_LINES)
    pieces: DivisionIn | None = None


class FormulaIn(Schema):
    """A recipe as written, for the tin it was made in."""

    name: Name
    tin: TinIn | None = Field(default=None, description="Needed when a target is a tin.")
    tins: TinCount = 1
    filled_depth: Quantity | None = Field(default=None, description="Height of the raw mix in the tin.")
    egg_class: EggClassName | None = Field(default=None, description="Needed when eggs are counted.")
    components: list[ComponentIn] = Field(min_length=1, max_length=MAX_COMPONENTS)
    bake: FormulaBakeIn | None = Field(
        default=None, description="Carried through unchanged; gives every target its oven, and each tin its window."
    )


class TargetIn(Schema):
    """What is wanted: one of a tin, a factor, or grams of mix."""

    label: Label | None = None
    tin: TinIn | None = None
    tins: TinCount = 1
    depth: Quantity | None = Field(default=None, description="`keep` (the default) or a height, for a tin.")
    factor: float | None = Field(default=None, gt=0, le=10_000)
    grams: float | None = Field(default=None, gt=0, le=10_000_000, description="Total mix wanted.")
    cuts: TargetCutsIn | None = Field(default=None, description="How to cut what the tin bakes.")

    @model_validator(mode="after")
    def _one_of_three(self) -> "TargetIn":
        if sum(wish is not None for wish in (self.tin, self.factor, self.grams)) != 1:
            raise ValueError("give one of tin, factor and grams")
        if self.tin is None and (self.depth is not None or self.tins != 1 or self.cuts is not None):
            raise ValueError("depth, tins and cuts go with a tin")
        return self


class RescaleRequest(Schema):
    """A formula, the targets, and what the bench has."""

    formula: FormulaIn
    targets: list[TargetIn] = Field(min_length=1, max_length=MAX_TARGETS)
    measures: MeasuresName | None = None
    available_eggs: list[EggClassName] = Field(
        default=[], max_length=MAX_CLASSES, description="Classes in the shop; the formula's own if none is given."
    )
    own_ingredients: OwnIngredients = Field(default=[], description="The shop's own; they win over the shop file's.")
    scale_step: Quantity = Field(default="1 g", description="The step of the scale.")
    small_step: Quantity = Field(default="0.1 g", description="The step for lines under 10 g.")


class SpoonsAnswer(Answer):
    """A small dry line in level spoons, to the nearest eighth of a teaspoon."""

    text: str = Field(examples=["1 tbsp + 1/4 tsp"])
    tablespoons: int
    teaspoons: float
    tablespoon_unit: str
    teaspoon_unit: str
    grams: float
    error_percent: float


class WrittenLineAnswer(Answer):
    """A line as written, and in grams."""

    ingredient: str
    ingredient_id: str | None = Field(default=None, description="Left out for an ingredient of the caller's own.")
    quantity: QuantityAnswer
    grams: float
    low: float
    high: float
    sources: list[SourceRef]


class LineAnswer(Answer):
    """A line for a target."""

    ingredient: str
    ingredient_id: str | None = None
    quantity: QuantityAnswer = Field(description="As written in the formula.")
    scaled_quantity: QuantityAnswer = Field(description="The same times the factor.")
    grams: float
    low: float
    high: float
    weigh_grams: float = Field(description="Rounded to the scale's step.")
    rounding_error_percent: float
    spoons: SpoonsAnswer | None = None
    eggs: list[EggCountAnswer] | None = Field(default=None, description="Egg lines, in each class at hand.")
    sources: list[SourceRef]


class ComponentPiecesAnswer(Answer):
    """A dough's pieces: the mass stays, the count scales."""

    count: int = Field(description="Whole pieces that the dough makes.")
    exact_count: float
    grams_each: float
    leftover_grams: float = Field(description="Dough that is left over.")


class WrittenComponentAnswer(Answer):
    """A component as written, in grams."""

    name: str
    grams: float
    low: float
    high: float
    lines: list[WrittenLineAnswer]
    pieces: ComponentPiecesAnswer | None = None


class ComponentAnswer(Answer):
    """A component for a target."""

    name: str
    grams: float
    low: float
    high: float
    weigh_grams: float = Field(description="The sum of the lines as weighed.")
    lines: list[LineAnswer]
    pieces: ComponentPiecesAnswer | None = None


class FormulaAnswer(Answer):
    """The formula as written, in grams."""

    name: str
    tins: int
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    grams: float
    low: float
    high: float
    components: list[WrittenComponentAnswer]
    bake: FormulaBakeIn | None = Field(default=None, description="As asked.")
    warnings: list[Warned]


class EggTotalAnswer(Answer):
    """All of one part of the egg in a target."""

    part: PartName
    grams: float
    low: float
    high: float
    counts: list[EggCountAnswer]


class EggBatchCount(Answer):
    """Eggs of one part in a batch."""

    part: PartName
    count: int
    exact_count: float
    error_percent: float


class WholeEggBatchAnswer(Answer):
    """The nearest batch whose eggs come out whole."""

    egg_class: str = Field(alias="class")
    factor: float
    grams: float
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    eggs: list[EggBatchCount]


class TargetAnswer(Answer):
    """The formula for one target."""

    label: str | None = None
    tin: TinIn | None = Field(default=None, description="As asked.")
    tins: int | None = None
    factor: float
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    grams: float
    low: float
    high: float
    components: list[ComponentAnswer]
    eggs: list[EggTotalAnswer]
    whole_egg_batches: list[WholeEggBatchAnswer] = Field(description="Below and above, for each class at hand.")
    rounding_error_percent: float = Field(description="The worst of any line.")
    bake: TargetBakeAnswer | None = Field(default=None, description="If the formula's `bake` names an oven.")
    cuts: CutsAnswer | None = Field(default=None, description="Of one tin, if the target asks for it.")
    warnings: list[Warned] = Field(description="The formula's and this target's own.")


class RescaleAnswer(Answer):
    """The formula in grams, and for every target."""

    formula: FormulaAnswer
    targets: list[TargetAnswer]
    sources: list[SourceAnswer] = Field(description="Every source cited, in full.")
