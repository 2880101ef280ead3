"""Requests and answers of `/v1/balance`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.job.schemas import MAX_LINES, Formula
from api.v1.shop.schemas import Name, OwnIngredients
from api.wire.schemas import WHOLE, Answer, IngredientName, MeasuresName, Schema, SourceAnswer, SourceRef, Warned

MAX_PIECES = 100_000  # our own limit


class PercentageIn(Schema):
    """An ingredient against a base of 100."""

    ingredient: IngredientName
    percent: float = Field(ge=0, le=100_000)


class PiecesIn(Schema):
    """The pieces wanted, with their mass before the oven."""

    count: Annotated[int, Field(ge=1, le=MAX_PIECES), WHOLE]
    grams_each: float = Field(gt=0, le=100_000)


class BalanceRequest(Schema):
    """Either a formula, for its percentages; or percentages with the mix or the pieces wanted, for grams."""

    formula: Formula | None = None
    compare_with: Formula | None = Field(default=None, description="A second formula to compare with.")
    component: Name | None = Field(
        default=None, description="The name of one component. If left out, the whole formula."
    )
    base: list[IngredientName] = Field(
        default=[],
        max_length=MAX_LINES,
        description="The ingredients that together are 100. If left out: the flours, or else the heaviest dry one.",
    )
    percentages: list[PercentageIn] | None = Field(default=None, min_length=1, max_length=MAX_LINES)
    grams: float | None = Field(default=None, gt=0, le=100_000_000, description="Mass of the whole mix wanted.")
    pieces: PiecesIn | None = None
    measures: MeasuresName | None = None
    own_ingredients: OwnIngredients = Field(default=[])

    @model_validator(mode="after")
    def _one_of_two(self) -> "BalanceRequest":
        if (self.formula is None) == (self.percentages is None):
            raise ValueError("give one of formula and percentages")
        if self.percentages is not None and (self.grams is None) == (self.pieces is None):
            raise ValueError("give one of grams and pieces with percentages")
        if self.formula is not None and (self.grams is not None or self.pieces is not None):
            raise ValueError("grams and pieces go with percentages; for a formula of another size use /v1/rescale")
        if self.percentages is not None and (self.base or self.component or self.compare_with):
            raise ValueError("base, component and compare_with go with a formula")
        return self


class BalanceLineAnswer(Answer):
    """An ingredient, with all its lines."""

    ingredient: str
    ingredient_id: str | None = None
    percent: float = Field(description="Percent of the base.")
    grams: float
    low: float | None = None
    high: float | None = None
    is_base: bool | None = None
    sources: list[SourceRef] | None = Field(default=None, description="Sources of the mass and of the composition.")


class AgainstAnswer(Answer):
    """A part of the mix against the base. If the coverage is below 100, the figure is too small."""

    percent: float
    grams: float
    coverage_percent: float
    missing: list[str] = Field(description="Ingredients whose composition has no figure for it.")


class BaseAnswer(Answer):
    """The ingredients that together are 100."""

    kind: Literal["named", "flour", "largest_dry"]
    ingredients: list[str]
    grams: float


class ComparedLineAnswer(Answer):
    """An ingredient in both formulas, against the base of each."""

    ingredient: str
    first_percent: float | None = None
    second_percent: float | None = None
    difference: float = Field(description="Second less first, in percentage points.")


class ComparedAnswer(Answer):
    """The second formula, and both formulas line by line."""

    name: str
    base: BaseAnswer
    grams: float
    total_percent: float
    hydration: AgainstAnswer
    sugar: AgainstAnswer
    fat: AgainstAnswer
    egg: AgainstAnswer
    leavening: AgainstAnswer
    lines: list[ComparedLineAnswer]


class BalanceAnswer(Answer):
    """Baker's percentages. A request with percentages gets only `lines`, `total_percent` and `grams`."""

    lines: list[BalanceLineAnswer]
    total_percent: float
    grams: float
    low: float | None = None
    high: float | None = None
    base: BaseAnswer | None = None
    hydration: AgainstAnswer | None = Field(default=None, description="Water of every ingredient but the base.")
    sugar: AgainstAnswer | None = None
    fat: AgainstAnswer | None = None
    egg: AgainstAnswer | None = Field(default=None, description="Egg, yolk and white, without the shell.")
    leavening: AgainstAnswer | None = Field(default=None, description="Raising agents, without self-raising flour.")
    water_of_mix_percent: float | None = Field(
        default=None, description="All water, including that of the base, in percent of the mix."
    )
    compared: ComparedAnswer | None = None
    warnings: list[Warned]
    sources: list[SourceAnswer]
