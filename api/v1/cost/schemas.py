"""Requests and answers of `/v1/cost`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.rescale.schemas import FormulaIn
from api.v1.shop.schemas import CurrencyCode, Money, MoneyText, Name, OwnIngredients, PercentAmount
from api.wire.schemas import WHOLE, Answer, MeasuresName, Schema, SourceAnswer, SourceRef, Warned

MAX_EXTRAS = 40  # our own limit
PerName = Annotated[
    Literal["batch", "tin", "piece"], Field(description="All of the formula, one of its tins, or one piece.")
]
ExactMoney = Annotated[
    str, Field(description="The exact amount, to six decimals, half to even.", examples=["0.412857"])
]


class ExtraIn(Schema):
    """A cost of its own: packaging, or anything that is neither ingredient nor labour."""

    name: Name
    amount: Money
    per: PerName = "batch"


class LabourIn(Schema):
    """Working time and what an hour of it costs."""

    name: Name = "labour"
    minutes: float = Field(ge=0, le=100_000)
    rate_per_hour: Money
    per: PerName = "batch"


class PriceIn(Schema):
    """A price asked, to see what it leaves."""

    amount: Money
    per: PerName = "piece"
    includes_tax: bool = False


class TargetPriceIn(Schema):
    """What a price is to leave: one of a margin and an ingredient cost percent."""

    margin_percent: float | None = Field(default=None, ge=0, lt=100, description="(price - all costs) / price.")
    ingredient_cost_percent: float | None = Field(default=None, gt=0, le=100, description="ingredients / price.")
    per: PerName = "piece"
    price_step: Money | None = Field(default=None, description="Round the price up to a multiple of it.")

    @model_validator(mode="after")
    def _one_of_two(self) -> "TargetPriceIn":
        if (self.margin_percent is None) == (self.ingredient_cost_percent is None):
            raise ValueError("give one of margin_percent and ingredient_cost_percent")
        return self


class CostRequest(Schema):
    """A formula as made, in `formula.tins` tins, and what is paid for it."""

    formula: FormulaIn
    currency: CurrencyCode
    pieces: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = Field(
        default=None, description="How many pieces all of it makes."
    )
    pack_choice: Literal["first", "cheapest", "dearest"] = Field(
        default="first", description="Which priced pack of a good counts; first is the one listed first."
    )
    packaging: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS)
    labour: list[LabourIn] = Field(default=[], max_length=MAX_EXTRAS)
    other: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS)
    target: TargetPriceIn | None = None
    price: PriceIn | None = None
    tax_percent: PercentAmount = Field(default=0, description="Of the price without tax; none is assumed.")
    measures: MeasuresName | None = None
    own_ingredients: OwnIngredients = Field(default=[])


class LineCostAnswer(Answer):
    """A line: what goes in, what is bought for it, and what that costs."""

    ingredient: str
    ingredient_id: str | None = None
    grams: float
    low: float
    high: float
    usable_yield_percent: float
    purchased_grams: float = Field(description="As purchased: the edible portion over the usable yield.")
    pack: str | None = Field(default=None, description="The pack whose price counts.")
    price_per_kg: ExactMoney | None = None
    cost: MoneyText | None = Field(default=None, description="Left out where no price is known.")
    cost_exact: ExactMoney | None = None
    sources: list[SourceRef]


class ComponentCostAnswer(Answer):
    """A component: the sum of its lines."""

    name: str
    cost: MoneyText
    complete: bool
    lines: list[LineCostAnswer]


class ExtraCostAnswer(Answer):
    """A cost beside the ingredients, for the whole batch."""

    name: str
    kind: Literal["packaging", "labour", "other"]
    cost: MoneyText
    cost_exact: ExactMoney


class SplitAnswer(Answer):
    """So many cost so much each: all of them together are the total, to the last unit."""

    count: int
    cost: MoneyText


class EachAnswer(Answer):
    """The cost of one tin or one piece."""

    count: int
    cost: MoneyText = Field(description="Rounded half to even; times count it may miss the total, see split.")
    cost_exact: ExactMoney
    split: list[SplitAnswer]


class MissingPriceAnswer(Answer):
    """A line without a price; it is in no sum."""

    ingredient: str
    component: str
    grams: float
    pointer: str


class PriceAnswer(Answer):
    """A price and what it leaves; no tax unless a rate was given."""

    per: PerName
    price: MoneyText
    price_with_tax: MoneyText
    tax_percent: float
    cost_exact: ExactMoney = Field(description="All costs of what the price is for.")
    margin: ExactMoney = Field(description="Price without tax less cost; below zero it is a loss.")
    margin_percent: float | None = None
    ingredient_cost_percent: float | None = None


class CostAnswer(Answer):
    """What the formula costs. Where a price is missing, `complete` is false and every sum is too small."""

    currency: str
    rounding: str
    cost: MoneyText
    cost_exact: ExactMoney
    cost_low: ExactMoney = Field(description="With every line at the low end of its mass.")
    cost_high: ExactMoney
    ingredient_cost: MoneyText
    complete: bool
    missing_prices: list[MissingPriceAnswer]
    components: list[ComponentCostAnswer]
    extras: list[ExtraCostAnswer]
    per_tin: EachAnswer
    per_piece: EachAnswer | None = None
    target_price: PriceAnswer | None = Field(default=None, description="Left out while a price is missing.")
    asked_price: PriceAnswer | None = Field(default=None, description="Left out while a price is missing.")
    warnings: list[Warned]
    sources: list[SourceAnswer]
