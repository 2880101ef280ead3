"""Answers of `/v1/cost`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.job.schemas import JobAnswer
from api.v1.shop.schemas import MoneyText, PerName
from api.v1.shop.sold import SoldTargetAnswer
from api.wire.schemas import Answer, SourceRef

ExactMoney = Annotated[
    str, Field(description="The exact amount, rounded half to even to six decimals.", examples=["0.412857"])
]


class LineCostAnswer(Answer):
    """A line: the mass that goes in, the mass to buy, and its cost. Its id and sources stand in `written`."""

    ingredient: str = Field(description="Name in the formula.", examples=["butter"])
    grams: float = Field(description="Mass that goes in.", examples=[150])
    grams_low: float = Field(description="Low end of its range.", examples=[150])
    grams_high: float = Field(description="High end of its range.", examples=[150])
    usable_yield_percent: float = Field(description="Share of what is bought that is used.", examples=[100])
    purchased_grams: float = Field(
        description="Mass as purchased: the edible portion over the usable yield.", examples=[150]
    )
    pack: str | None = Field(default=None, description="The pack whose price is used.", examples=["5 kg"])
    price_per_kg: ExactMoney | None = Field(default=None, description="Price of a kilogram out of the pack.")
    cost: MoneyText | None = Field(
        default=None, description="Its share of the rounded total. Left out if no price is known.", examples=["1.03"]
    )
    cost_exact: ExactMoney | None = None
    cited: list[SourceRef] | None = Field(
        default=None, description="Source of the usable yield, if it is one of our figures."
    )


class ComponentCostAnswer(Answer):
    """A component: the sum of its lines."""

    name: str = Field(description="Name in the formula.", examples=["batter"])
    cost: MoneyText
    complete: bool = Field(description="Whether every line has a price.")
    lines: list[LineCostAnswer] = Field(description="Its lines.")


class ExtraCostAnswer(Answer):
    """A cost beside the ingredients, for the whole bake."""

    name: str = Field(description="As in the request.", examples=["paper band"])
    kind: Literal["packaging", "labour", "other"] = Field(description="List of the request that it is from.")
    cost: MoneyText
    cost_exact: ExactMoney


class CostSplitAnswer(Answer):
    """A number of tins or portions of the same cost. All of them together are the total, to the last minor unit."""

    count: int = Field(description="Number of them.", examples=[9])
    cost: MoneyText = Field(description="Cost of each.", examples=["0.41"])


class UnitCostAnswer(Answer):
    """The cost of one tin or one portion."""

    count: int = Field(description="Number of them in the whole bake.", examples=[16])
    cost: MoneyText = Field(
        description="Rounded half to even. Times `count` it can differ from the total; `split` adds up.",
        examples=["0.41"],
    )
    cost_exact: ExactMoney
    split: list[CostSplitAnswer] = Field(description="The total in whole minor units.")


class MissingPriceAnswer(Answer):
    """A line without a price. It is in no sum."""

    ingredient: str = Field(description="Name in the formula.", examples=["almond meal"])
    component: str = Field(description="Its component.", examples=["batter"])
    grams: float = Field(description="Mass to buy.", examples=[210])
    pointer: str = Field(description="JSON pointer to the line.", examples=["/formula/components/0/lines/2"])


class PriceAnswer(Answer):
    """A price and what it leaves. Tax is included only if a rate was given."""

    per: PerName
    price: MoneyText = Field(description="Without tax.", examples=["1.10"])
    price_with_tax: MoneyText = Field(description="With tax.", examples=["1.32"])
    tax_percent: float = Field(description="As in the request.", examples=[20])
    cost_exact: ExactMoney = Field(description="All costs of the portion, tin or batch.")
    margin: ExactMoney = Field(description="Price without tax less cost. A negative margin is a loss.")
    margin_percent: float | None = Field(default=None, description="Share of the price without tax.", examples=[62.5])
    ingredient_cost_percent: float | None = Field(
        default=None, description="Cost of the ingredients in percent of the price without tax.", examples=[14.2]
    )


class CostFigures(Answer):
    """The cost of the bake. If a price is missing, `complete` is false and every sum is too small."""

    currency: str = Field(description="ISO 4217 code.", examples=["GBP"])
    rounding: str = Field(description="How money is rounded.", examples=["Sums are exact."])
    cost: MoneyText = Field(description="The total.", examples=["6.63"])
    cost_exact: ExactMoney
    cost_low: ExactMoney = Field(description="The cost with every mass at the low end of its range.")
    cost_high: ExactMoney = Field(description="The cost with every mass at the high end of its range.")
    ingredient_cost: MoneyText = Field(description="The ingredients' part of the total.", examples=["2.51"])
    complete: bool = Field(description="Whether every line has a price.")
    missing_prices: list[MissingPriceAnswer] = Field(description="Lines without a price.")
    components: list[ComponentCostAnswer] = Field(description="In the order of the formula.")
    extras: list[ExtraCostAnswer] = Field(description="Packaging, labour and other costs.")
    per_tin: UnitCostAnswer | None = Field(
        default=None, description="The cost of one tin. Left out for a target without tins."
    )
    per_portion: UnitCostAnswer | None = Field(
        default=None, description="The cost of one portion. Left out if their number is not known."
    )
    target_price: PriceAnswer | None = Field(default=None, description="Left out while a price is missing.")
    asked_price: PriceAnswer | None = Field(default=None, description="Left out while a price is missing.")
    cited: list[SourceRef] = Field(description="Source of the minor unit of the currency.")


class CostTargetAnswer(SoldTargetAnswer):
    """The cost of one target, or its problem."""

    cost: CostFigures | None = Field(default=None, description="Left out if there is a `problem`.")


class CostAnswer(JobAnswer):
    """The formula as sent and in grams, and the cost of every target."""

    targets: list[CostTargetAnswer] = Field(description="In the order of the request.")
