"""Request and answer models of `/v1/rescale`."""

from typing import Annotated

from pydantic import Field, model_validator

from api.v1.bake.schemas import FormulaBakeIn, TargetBakeAnswer
from api.v1.cuts.schemas import CutsAnswer, TargetCutsIn
from api.v1.eggs.schemas import EggCountAnswer, PartName
from api.v1.shop.schemas import OwnIngredients
from api.v1.tins.schemas import TinCount, TinShape, TinText
from api.wire.schemas import (
    WHOLE,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    Label,
    MeasuresName,
    PackingName,
    QuantityAnswer,
    QuantityText,
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
    quantity: QuantityText
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    own: bool = Field(
        default=False, description="Your own ingredient, not in our tables. Give a mass, or g_per_ml as well."
    )


class DivisionIn(Schema):
    """How a dough is divided before baking. Give one of the two."""

    count: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = None
    grams_each: float | None = Field(default=None, gt=0, le=100_000)

    @model_validator(mode="after")
    def _one_of_two(self) -> "DivisionIn":
        if (self.count is None) == (self.grams_each is None):
            raise ValueError("give one of count and grams_each")
        return self


class ComponentIn(Schema):
    """A part of the formula that is mixed separately."""

    name: Name
    lines: list[LineIn] = Field(min_length=1, max_length=MAX_LINES)
    pieces: DivisionIn | None = None


class FormulaIn(Schema):
    """A recipe as written, for the tin it was made in."""

    name: Name
    tin: TinText | None = Field(default=None, description="Required if a target is a tin.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    tins: TinCount = 1
    filled_depth: QuantityText | None = Field(default=None, description="Depth of the raw mix in the tin.")
    egg_class: EggClassName | None = Field(default=None, description="Required if eggs are counted.")
    components: list[ComponentIn] = Field(min_length=1, max_length=MAX_COMPONENTS)
    bake: FormulaBakeIn | None = Field(
        default=None, description="Returned unchanged. Gives every target its oven, and each tin its window."
    )


class TargetIn(Schema):
    """What to rescale to. Give one of a tin, a factor, or grams of mix."""

    label: Label | None = None
    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    tins: TinCount = 1
    depth: QuantityText | None = Field(
        default=None, description="For a tin: its filled depth, or `keep` (the default)."
    )
    factor: float | None = Field(default=None, gt=0, le=10_000)
    grams: float | None = Field(default=None, gt=0, le=10_000_000, description="Total mass of the mix.")
    cuts: TargetCutsIn | None = Field(default=None, description="How to cut the slab that one tin gives.")

    @model_validator(mode="after")
    def _one_of_three(self) -> "TargetIn":
        tin = self.tin if self.tin_shape is None else self.tin_shape
        if self.tin is not None and self.tin_shape is not None:
            raise ValueError("give one of tin and tin_shape")
        if sum(wish is not None for wish in (tin, self.factor, self.grams)) != 1:
            raise ValueError("give one of tin, factor and grams")
        if tin is None and (self.depth is not None or self.tins != 1 or self.cuts is not None):
            raise ValueError("depth, tins and cuts go with a tin")
        return self


class RescaleRequest(Schema):
    """A formula, its targets, and what there is to measure with."""

    formula: FormulaIn
    targets: list[TargetIn] = Field(min_length=1, max_length=MAX_TARGETS)
    measures: MeasuresName | None = None
    available_eggs: list[EggClassName] = Field(
        default=[], max_length=MAX_CLASSES, description="Egg classes in the shop. Default: the formula's own class."
    )
    own_ingredients: OwnIngredients = Field(
        default=[], description="The shop's own ingredients. They take precedence over the shop file."
    )
    scale_step: QuantityText = Field(default="1 g", description="The smallest step of the scale.")
    small_step: QuantityText = Field(default="0.1 g", description="The step of the scale for lines under 10 g.")


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
    ingredient_id: str | None = Field(default=None, description="Left out for your own ingredients.")
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
    scaled_quantity: QuantityAnswer = Field(description="The quantity times the factor.")
    grams: float
    low: float
    high: float
    weigh_grams: float = Field(description="Rounded to the step of the scale.")
    rounding_error_percent: float
    spoons: SpoonsAnswer | None = None
    eggs: list[EggCountAnswer] | None = Field(
        default=None, description="For egg lines: the eggs in each class available."
    )
    sources: list[SourceRef]


class ComponentPiecesAnswer(Answer):
    """The pieces of a dough: their mass stays the same, their count scales."""

    count: int = Field(description="Whole pieces that the dough gives.")
    exact_count: float
    grams_each: float
    leftover_grams: float = Field(description="Dough left over.")


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
    weigh_grams: float = Field(description="The sum of `weigh_grams` of the lines.")
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
    bake: FormulaBakeIn | None = Field(default=None, description="As in the request.")
    warnings: list[Warned]


class EggTotalAnswer(Answer):
    """The sum of all lines of one part of the egg."""

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
    """The nearest batch with a whole number of eggs."""

    egg_class: str = Field(alias="class")
    factor: float
    grams: float
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    eggs: list[EggBatchCount]


class TargetAnswer(Answer):
    """The formula for one target."""

    label: str | None = None
    tin: TinText | None = Field(default=None, description="As in the request.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    tins: int | None = None
    factor: float
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    grams: float
    low: float
    high: float
    components: list[ComponentAnswer]
    eggs: list[EggTotalAnswer]
    whole_egg_batches: list[WholeEggBatchAnswer] = Field(
        description="The batches below and above, for each egg class available."
    )
    rounding_error_percent: float = Field(description="The largest rounding error of any line.")
    bake: TargetBakeAnswer | None = Field(default=None, description="Present if the formula's `bake` names an oven.")
    cuts: CutsAnswer | None = Field(default=None, description="For one tin, if the target has `cuts`.")
    warnings: list[Warned] = Field(description="Warnings about the formula and about this target.")


class RescaleAnswer(Answer):
    """The formula in grams, and for every target."""

    formula: FormulaAnswer
    targets: list[TargetAnswer]
    sources: list[SourceAnswer] = Field(description="Every source cited in the answer.")
