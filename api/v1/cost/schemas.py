"""Requests and answers of `/v1/cost`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.job.schemas import Formula
from api.v1.shop.schemas import CurrencyCode, Money, MoneyText, Name, OwnIngredients, PercentAmount
from api.wire.schemas import WHOLE, Answer, MeasuresName, Schema, SourceAnswer, SourceRef, Warned

MAX_EXTRAS = 40  # our own limit
PerName = Annotated[
    Literal["batch", "tin", "piece"], Field(description="The whole formula, one of its tins, or one piece.")
]
ExactMoney = Annotated[
    str, Field(description="The exact amount, rounded half to even to six decimals.", examples=["0.412857"])
]


class ExtraIn(Schema):
    """A cost beside the ingredients: packaging, or anything else that is not labour."""

    name: Name
    amount: Money
    per: PerName = "batch"


class LabourIn(Schema):
    """Working time and its hourly rate."""

    name: Name = "labour"
    minutes: float = Field(ge=0, le=100_000)
    rate_per_hour: Money
    per: PerName = "batch"


class PriceIn(Schema):
    """A price that the shop asks, to see what it leaves."""

    amount: Money
    per: PerName = "piece"
    includes_tax: bool = False


class TargetPriceIn(Schema):
    """The price to work out: the one that leaves a margin, or the one of which the ingredients are a share."""

    margin_percent: float | None = Field(
        default=None, ge=0, lt=100, description="(price - all costs) / price, in percent."
    )
    ingredient_cost_percent: float | None = Field(
        default=None, gt=0, le=100, description="Cost of the ingredients / price, in percent."
    )
    per: PerName = "piece"
    price_step: Money | None = Field(default=None, description="The price is rounded up to a multiple of this.")

    @model_validator(mode="after")
    def _one_of_two(self) -> "TargetPriceIn":
        if (self.margin_percent is None) == (self.ingredient_cost_percent is None):
            raise ValueError("give one of margin_percent and ingredient_cost_percent")
        return self


class CostRequest(Schema):
    """A formula for `formula.tins` tins, with packaging, labour and prices."""

    formula: Formula
    currency: CurrencyCode
    pieces: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = Field(
        default=None, description="Number of pieces that the whole formula makes."
    )
    pack_choice: Literal["first", "cheapest", "dearest"] = Field(
        default="first",
        description="The pack whose price is used, of those that have a price. `first` is the one listed first.",
    )
    packaging: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS)
    labour: list[LabourIn] = Field(default=[], max_length=MAX_EXTRAS)
    other: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS)
    target: TargetPriceIn | None = None
    price: PriceIn | None = None
    tax_percent: PercentAmount = Field(
        default=0, description="Tax in percent of the price without tax. No tax is assumed."
    )
    measures: MeasuresName | None = None
    own_ingredients: OwnIngredients = Field(default=[])


class LineCostAnswer(Answer):
    """A line: the mass that goes in, the mass to buy, and its cost."""

    ingredient: str
    ingredient_id: str | None = None
    grams: float
    low: float
    high: float
    usable_yield_percent: float
    purchased_grams: float = Field(description="Mass as purchased: the edible portion over the usable yield.")
    pack: str | None = Field(default=None, description="The pack whose price is used.")
    price_per_kg: ExactMoney | None = None
    cost: MoneyText | None = Field(default=None, description="Left out if no price is known.")
    cost_exact: ExactMoney | None = None
    sources: list[SourceRef]


class ComponentCostAnswer(Answer):
    """A component: the sum of its lines."""

    name: str
    cost: MoneyText
    complete: bool
    lines: list[LineCostAnswer]


class ExtraCostAnswer(Answer):
    """A cost beside the ingredients, for the whole formula."""

    name: str
    kind: Literal["packaging", "labour", "other"]
    cost: MoneyText
    cost_exact: ExactMoney


class SplitAnswer(Answer):
    """A number of parts of the same cost. All parts together are the total, to the last minor unit."""

    count: int
    cost: MoneyText


class EachAnswer(Answer):
    """The cost of one tin or one piece."""

    count: int
    cost: MoneyText = Field(
        description="Rounded half to even. Times `count` it can differ from the total; `split` adds up."
    )
    cost_exact: ExactMoney
    split: list[SplitAnswer]


class MissingPriceAnswer(Answer):
    """A line without a price. It is in no sum."""

    ingredient: str
    component: str
    grams: float
    pointer: str


class PriceAnswer(Answer):
    """A price and what it leaves. Tax is included only if a rate was given."""

    per: PerName
    price: MoneyText
    price_with_tax: MoneyText
    tax_percent: float
    cost_exact: ExactMoney = Field(description="All costs of the piece, tin or batch.")
    margin: ExactMoney = Field(description="Price without tax less cost. A negative margin is a loss.")
    margin_percent: float | None = None
    ingredient_cost_percent: float | None = None


class CostAnswer(Answer):
    """The cost of the formula. If a price is missing, `complete` is false and every sum is too small."""

    currency: str
    rounding: str
    cost: MoneyText
    cost_exact: ExactMoney
    cost_low: ExactMoney = Field(description="The cost with every mass at the low end of its range.")
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
