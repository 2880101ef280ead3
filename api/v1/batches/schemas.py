"""Requests and answers of `/v1/batches`."""

from typing import Annotated

from pydantic import Field

from api.v1.eggs.schemas import EggCountAnswer
from api.v1.job.schemas import MAX_CLASSES, Formula, Target
from api.v1.shop.schemas import BakeLoss, MoneyText, Name, Percent, PortionCount, Shop
from api.wire.schemas import (
    WHOLE,
    Answer,
    EggClassName,
    IngredientName,
    MeasuresName,
    QuantityText,
    Schema,
    SourceAnswer,
    SourceRef,
    TopicAnswer,
    Warned,
)

MAX_PRODUCTS, MAX_SIZES, MAX_ORDERS, MAX_STOCK = 40, 8, 500, 200  # our own limits
Shelves = Annotated[int, Field(ge=1, le=200, examples=[4]), WHOLE]


class BatchTarget(Target):
    """A size that a product is sold in: one tin, or the formula's own. A portion is that of the cuts or the cavities.

    Tins at the same temperature for the same `bake.minutes` may share a load.
    """

    tins_per_shelf: Shelves | None = Field(default=None, description="How many of these tins fit a shelf.")


class ProductIn(Schema):
    """A product of the shop."""

    name: Name = Field(description="Name that orders use.", examples=["parkin"])
    formula: Formula = Field(description="The formula as written.")
    targets: list[BatchTarget] = Field(
        default=[], max_length=MAX_SIZES, description="Sizes that it is sold in; the formula's own tin if left out."
    )
    bake_loss_percent: BakeLoss | None = Field(
        default=None,
        description="Mass lost in the oven and in cooling, in percent of the mix, if neither the cuts nor the shop say"
        " it. 0 if it is not baked. Without it portions have no mass.",
    )
    spare_percent: Percent = Field(
        default=0, description="Spare portions beyond the order, in percent, for breakage and tasting."
    )


class OrderIn(Schema):
    """An order of portions or of whole tins of a product, in one of its sizes or in any."""

    product: Name = Field(description="Name of the product.", examples=["parkin"])
    label: Name | None = Field(
        default=None, description="Label of the target. If left out, any of the product's.", examples=["tray"]
    )
    portions: PortionCount | None = Field(default=None, description="How many portions.")
    tins: PortionCount | None = Field(
        default=None, description="How many whole tins, instead of `portions`; goes with `label`.", examples=[2]
    )


class StockIn(Schema):
    """An ingredient in stock."""

    ingredient: IngredientName
    quantity: QuantityText = Field(description="How much there is.", examples=["1.2 kg"])


class BatchesRequest(Schema):
    """Products, the day's orders, and the shop's stock and equipment."""

    products: list[ProductIn] = Field(min_length=1, max_length=MAX_PRODUCTS, description="What the shop bakes.")
    orders: list[OrderIn] = Field(min_length=1, max_length=MAX_ORDERS, description="The day's orders.")
    stock: list[StockIn] = Field(default=[], max_length=MAX_STOCK, description="Ingredients that need not be bought.")
    available_egg_classes: list[EggClassName] = Field(
        default=[],
        max_length=MAX_CLASSES,
        description="Egg classes in the shop, the one it buys first. If left out, those of the formulas.",
        examples=[["eu_m", "eu_l"]],
    )
    mixing_bowl_grams: float | None = Field(
        default=None,
        ge=1,
        le=10_000_000,
        description="Capacity of the mixing bowl. Larger mixes are split into equal batches.",
        examples=[4000],
    )
    oven_shelves: Shelves | None = Field(
        default=None, description="Number of shelves of the oven. If left out, no oven loads are counted."
    )
    measures: MeasuresName | None = None
    shop: Shop = Field(
        default_factory=Shop, description="Only `own_ingredients`, `currency` and `bake_loss_percent` are used."
    )


class BatchDoughPiecesAnswer(Answer):
    """The dough pieces of a component, per tin and in all tins of the size."""

    component: str = Field(description="Name of the component.", examples=["nuggets"])
    per_tin: int = Field(description="Pieces in one tin.", examples=[18])
    count: int = Field(description="Pieces in all tins.", examples=[54])
    grams_each: float = Field(description="Mass of one raw piece; they share all of the dough.", examples=[17.5])
    leftover_grams: float = Field(
        description="Dough left in all tins if each weighs exactly what is written.", examples=[12.4]
    )


class BatchTinsAnswer(Answer):
    """The tins of one size."""

    label: str = Field(description="Label of the target.", examples=["tray"])
    tins: int = Field(description="How many tins.", examples=[3])
    portions_per_tin: int = Field(description="Portions of one tin.", examples=[24])
    portions_made: int = Field(description="Portions of all these tins.", examples=[72])
    factor: float = Field(description="Factor on the formula for one tin.", examples=[1.134])
    filled_depth_mm: float | None = Field(default=None, description="Depth of the raw mix.", examples=[26])
    grams_per_tin: float = Field(description="Raw mix in one tin.", examples=[1676])
    portion_grams: float | None = Field(
        default=None,
        description="Mass of a portion after the oven. Left out if the bake loss is not known.",
        examples=[62.1],
    )
    dough_pieces: list[BatchDoughPiecesAnswer] = Field(description="For components that are divided into pieces.")


class ProductBatchAnswer(Answer):
    """The fewest tins of a product that cover its orders."""

    product: str = Field(description="Name of the product.", examples=["parkin"])
    portions_ordered: int = Field(description="Portions of all its orders.", examples=[86])
    portions_needed: int = Field(description="Portions with the spare ones, rounded up.", examples=[91])
    portions_made: int = Field(description="Portions of all tins.", examples=[96])
    portions_over: int = Field(description="Portions made beyond the order.", examples=[10])
    tins: list[BatchTinsAnswer] = Field(description="Its tins by size.")


class MixPartAnswer(Answer):
    """A product's part of a mix."""

    product: str = Field(description="Name of the product.", examples=["parkin"])
    component: str = Field(description="Name of the component.", examples=["batter"])
    grams: float = Field(description="Mass that it takes.", examples=[5030])


class MixLineAnswer(Answer):
    """An ingredient of a mix, in the whole mix and in one bowl."""

    ingredient: str = Field(description="Name in the formula, or that of the shop's good.", examples=["butter"])
    ingredient_id: str | None = Field(
        default=None,
        description="Id in `/v1/ingredients`; left out for ingredients of the shop's own.",
        examples=["butter"],
    )
    grams: float = Field(description="Mass in the whole mix.", examples=[1443.1])
    grams_low: float = Field(description="Low end of its range.", examples=[1443.1])
    grams_high: float = Field(description="High end of its range.", examples=[1443.1])
    grams_per_bowl: float = Field(description="Mass in one bowl.", examples=[360.8])
    cited: list[SourceRef] = Field(description="Where the mass comes from.")


class BatchMixAnswer(Answer):
    """A mix: a component of one product, or of several that share it."""

    name: str = Field(description="Names of its components.", examples=["batter"])
    parts: list[MixPartAnswer] = Field(description="Who takes how much.")
    grams: float = Field(description="Mass of the whole mix.", examples=[12372])
    bowls: int = Field(
        description="Number of equal batches that fit the mixing bowl. 1 if its capacity was not given.", examples=[4]
    )
    bowl_grams: float = Field(description="Mass in one bowl.", examples=[3093])
    lines: list[MixLineAnswer] = Field(description="Its ingredients.")


class PackCountAnswer(Answer):
    """A number of packs of a size."""

    pack: str = Field(description="Size of the pack.", examples=["16 kg"])
    count: int = Field(description="How many.", examples=[1])


class PacksAnswer(Answer):
    """The cheapest packs that hold enough. Of equal ones, those that leave least over, then the fewest."""

    packs: list[PackCountAnswer] = Field(description="The packs to buy.")
    grams: float = Field(description="Mass in them.", examples=[16000])
    grams_over: float = Field(description="Mass left over.", examples=[2100])
    cost: MoneyText | None = Field(default=None, description="Left out unless every pack has a price.")
    currency: str | None = Field(default=None, description="ISO 4217 code of `cost`.", examples=["GBP"])


class IngredientTotalAnswer(Answer):
    """The day's total of an ingredient."""

    ingredient: str = Field(description="Name in the formula, or that of the shop's good.", examples=["butter"])
    ingredient_id: str | None = Field(
        default=None,
        description="Id in `/v1/ingredients`; left out for ingredients of the shop's own.",
        examples=["butter"],
    )
    grams: float = Field(description="Mass that goes in.", examples=[2310])
    grams_low: float = Field(description="Low end of its range.", examples=[2310])
    grams_high: float = Field(description="High end of its range.", examples=[2310])
    usable_yield_percent: float = Field(description="Share of what is bought that is used.", examples=[100])
    purchased_grams: float = Field(description="Mass as purchased.", examples=[2310])
    stock_grams: float = Field(description="Mass in stock.", examples=[0])
    to_buy_grams: float = Field(description="Mass to buy.", examples=[2310])
    to_buy: PacksAnswer | None = Field(default=None, description="Left out if no packs are known.")
    cited: list[SourceRef] = Field(description="Where its mass and its usable yield come from.")


class BatchEggsAnswer(Answer):
    """The day's eggs in one class."""

    egg_class: str = Field(description="Id of the class.", examples=["eu_m"])
    parts: list[EggCountAnswer] = Field(description="Whole eggs, yolks and whites, each by itself.")
    crack: int = Field(
        description="Number of eggs to break: the whole ones, and as many more as the yolks or the whites need.",
        examples=[43],
    )
    trays: int = Field(description="Number of trays of 30 that hold them.", examples=[2])
    spare_white_grams: float = Field(description="White left over.", examples=[0])
    spare_yolk_grams: float = Field(description="Yolk left over.", examples=[137])


class OvenLoadsAnswer(Answer):
    """Tins that may share loads, one size to a shelf."""

    celsius: float | None = Field(
        default=None, description="The setting without a fan; left out for words.", examples=[170]
    )
    fan_celsius: float | None = Field(
        default=None, description="The setting with a fan; left out for words.", examples=[150]
    )
    gas_mark: float | None = Field(default=None, description="The nearest gas mark, if there is one.", examples=[3])
    word: str | None = Field(default=None, description="The oven word, if the setting is one.", examples=["moderate"])
    bake_minutes: float = Field(description="Time in the oven.", examples=[50])
    tins: int = Field(description="How many tins.", examples=[5])
    shelves: int = Field(description="Shelves that they fill.", examples=[3])
    loads: int = Field(description="How many loads.", examples=[1])
    minutes: float = Field(description="Baking time of all loads, without loading and heating up.", examples=[50])


class BatchesAnswer(TopicAnswer):
    """The plan of a day: tins, mixes, ingredients, eggs, oven loads."""

    products: list[ProductBatchAnswer] = Field(description="Products that are ordered.")
    mixes: list[BatchMixAnswer] = Field(description="What to mix.")
    ingredients: list[IngredientTotalAnswer] = Field(description="Heaviest first.")
    eggs: list[BatchEggsAnswer] = Field(description="In each egg class.")
    oven_loads: list[OvenLoadsAnswer] | None = Field(default=None, description="Given if `oven_shelves` was.")
    to_buy_cost: MoneyText | None = Field(
        default=None, description="Cost of all packs, if all have prices in one currency."
    )
    to_buy_currency: str | None = Field(default=None, description="ISO 4217 code of `to_buy_cost`.", examples=["GBP"])
    warnings: list[Warned] = Field(description="What to know before using the figures.")
    sources: list[SourceAnswer] = Field(description="Every source that is cited.")
