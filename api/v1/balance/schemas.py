"""Requests and answers of `/v1/balance` and `/v1/balance/grams`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.job.schemas import MAX_LINES, Formula, Job, JobAnswer
from api.v1.shop.schemas import Name
from api.v1.shop.sold import SoldTargetAnswer
from api.wire.schemas import WHOLE, Answer, IngredientName, Schema, SourceRef, TopicAnswer

MAX_PIECES = 100_000  # our own limit


class BalanceRequest(Job):
    """A formula, for its baker's percentages, and a second one to compare with."""

    compare_with: Formula | None = Field(default=None, description="A second formula to compare with.")
    component: Name | None = Field(
        default=None, description="The name of one component. If left out, the whole formula.", examples=["dough"]
    )
    base: list[IngredientName] = Field(
        default=[],
        max_length=MAX_LINES,
        description="The ingredients that together are 100. If left out: the flours, or else the heaviest dry one.",
        examples=[["plain flour", "medium oatmeal"]],
    )


class BalancePercentageIn(Schema):
    """An ingredient against a base of 100."""

    ingredient: IngredientName
    percent: float = Field(ge=0, le=100_000, description="Percent of the base.", examples=[65.5])


class BalancePiecesIn(Schema):
    """The pieces wanted, with their mass before the oven."""

    count: Annotated[int, Field(ge=1, le=MAX_PIECES, description="How many dough pieces.", examples=[40]), WHOLE]
    grams_each: float = Field(gt=0, le=100_000, description="Mass of one raw piece.", examples=[880])


class FormulaGramsRequest(Schema):
    """Percentages, with the mix or the pieces wanted."""

    percentages: list[BalancePercentageIn] = Field(
        min_length=1, max_length=MAX_LINES, description="Every ingredient; those of the base add up to 100."
    )
    grams: float | None = Field(
        default=None, gt=0, le=100_000_000, description="Mass of the whole mix wanted.", examples=[35200]
    )
    pieces: BalancePiecesIn | None = Field(default=None, description="The pieces wanted, instead of `grams`.")

    @model_validator(mode="after")
    def _one_of_two(self) -> "FormulaGramsRequest":
        if (self.grams is None) == (self.pieces is None):
            raise ValueError("give one of grams and pieces")
        return self


class PercentageLineAnswer(Answer):
    """An ingredient, by percentage and by mass."""

    ingredient: str = Field(description="As in the request.", examples=["water"])
    percent: float = Field(description="Percent of the base.", examples=[65.5])
    grams: float = Field(description="Mass in the mix.", examples=[13450.2])


class FormulaGramsAnswer(TopicAnswer):
    """The mix wanted, in grams of each ingredient."""

    lines: list[PercentageLineAnswer] = Field(description="In the order of the request.")
    total_percent: float = Field(description="The sum of the percentages.", examples=[171.2])
    grams: float = Field(description="Mass of the whole mix.", examples=[35200])


class BalanceLineAnswer(Answer):
    """An ingredient, with all its lines."""

    ingredient: str = Field(description="Name in the formula.", examples=["plain flour"])
    ingredient_id: str | None = Field(
        default=None,
        description="Id in `/v1/ingredients`; left out for ingredients of the shop's own.",
        examples=["plain-flour"],
    )
    percent: float = Field(description="Percent of the base.", examples=[100])
    grams: float = Field(description="Mass in the mix.", examples=[225])
    grams_low: float = Field(description="Low end of its range.", examples=[225])
    grams_high: float = Field(description="High end of its range.", examples=[225])
    is_base: bool = Field(description="Whether it belongs to the base of 100.")
    cited: list[SourceRef] = Field(description="Sources of the mass and of the composition.")


class MixPartAgainstBaseAnswer(Answer):
    """A part of the mix against the base. If the coverage is below 100, the figure is too small."""

    percent: float = Field(description="Percent of the base.", examples=[65.5])
    grams: float = Field(description="Mass in the mix.", examples=[655])
    coverage_percent: float = Field(
        description="Share of the mix whose composition has a figure for it.", examples=[100]
    )
    missing: list[str] = Field(
        description="Ingredients whose composition has no figure for it.", examples=[["almond meal"]]
    )


class BalanceBaseAnswer(Answer):
    """The ingredients that together are 100."""

    kind: Literal["named", "flour", "largest_dry"] = Field(
        description="Named in the request, the flours, or the heaviest dry ingredient."
    )
    ingredients: list[str] = Field(description="Their names.", examples=[["strong white flour", "wholemeal flour"]])
    grams: float = Field(description="Their mass.", examples=[1000])


class BalanceSummary(Answer):
    """The balance of one formula."""

    total_percent: float = Field(description="The whole mix in percent of the base.", examples=[171.2])
    grams: float = Field(description="Mass of the whole mix.", examples=[1712])
    grams_low: float = Field(description="Low end of its range.", examples=[1700])
    grams_high: float = Field(description="High end of its range.", examples=[1725])
    base: BalanceBaseAnswer = Field(description="The ingredients that together are 100.")
    hydration: MixPartAgainstBaseAnswer = Field(description="Water of every ingredient but the base.")
    sugar: MixPartAgainstBaseAnswer = Field(description="Sugars of every ingredient.")
    fat: MixPartAgainstBaseAnswer = Field(description="Fat of every ingredient.")
    egg: MixPartAgainstBaseAnswer = Field(description="Egg, yolk and white, without the shell.")
    leavening: MixPartAgainstBaseAnswer = Field(description="Raising agents, without self-raising flour.")
    water_of_mix_percent: float = Field(
        description="All water, including that of the base, in percent of the mix.", examples=[38.2]
    )


class ComparedLineAnswer(Answer):
    """An ingredient in both formulas, against the base of each."""

    ingredient: str = Field(description="Name in the second formula, or else in the first.", examples=["butter"])
    first_percent: float | None = Field(
        default=None, description="In the first formula; left out if it is not in it.", examples=[66.7]
    )
    second_percent: float | None = Field(
        default=None, description="In the second formula; left out if it is not in it.", examples=[50]
    )
    difference: float = Field(description="Second less first, in percentage points.", examples=[-16.7])


class ComparedFormulaAnswer(BalanceSummary):
    """The second formula, and both formulas line by line."""

    name: str = Field(description="Name of the second formula.", examples=["Almond torte"])
    lines: list[ComparedLineAnswer] = Field(description="Ingredients of the first formula first.")
    cited: list[SourceRef] = Field(description="Where the figures of the second formula come from.")


class BalanceFigures(BalanceSummary):
    """Baker's percentages of a formula, with grams."""

    lines: list[BalanceLineAnswer] = Field(description="Every ingredient, in the order of the formula.")


class BalanceTargetAnswer(SoldTargetAnswer):
    """The balance of one target, or its problem. Percentages are the same for every target."""

    balance: BalanceFigures | None = Field(default=None, description="Left out if there is a `problem`.")


class BalanceAnswer(JobAnswer):
    """Baker's percentages of a formula."""

    targets: list[BalanceTargetAnswer] = Field(description="In the order of the request.")
    compared: ComparedFormulaAnswer | None = Field(default=None, description="Given if `compare_with` was.")
