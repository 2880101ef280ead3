"""Requests and answers of `/v1/batches`."""

from typing import Annotated

from pydantic import Field, model_validator

from api.v1.eggs.schemas import EggCountAnswer
from api.v1.job.schemas import MAX_CLASSES, Formula
from api.v1.shop.schemas import CurrencyCode, MoneyText, Name, OwnIngredients, Percent
from api.v1.tins.schemas import TinShape, TinText
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
    Warned,
)

MAX_PRODUCTS, MAX_SIZES, MAX_ORDERS, MAX_STOCK, MAX_CUTS = 40, 8, 500, 200, 200  # our own limits
MAX_PIECES = 100_000  # our own limit
CutCount = Annotated[int, Field(ge=1, le=MAX_CUTS), WHOLE]
PieceCount = Annotated[int, Field(ge=1, le=MAX_PIECES), WHOLE]
Shelves = Annotated[int, Field(ge=1, le=200), WHOLE]


class CutsIn(Schema):
    """A grid cut."""

    rows: CutCount
    columns: CutCount


class BatchSizeIn(Schema):
    """A size that a product is sold in."""

    name: Name
    tin: TinText | None = Field(default=None, description="If left out, the formula's own tin.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    depth: QuantityText | None = Field(default=None, description="`keep` (the default) or the depth of the raw mix.")
    pieces_per_tin: PieceCount | None = None
    cuts: CutsIn | None = Field(default=None, description="Rows and columns, instead of `pieces_per_tin`.")
    oven: str = Field(
        default="", max_length=60, description="Oven setting. Sizes with the same setting and minutes may share a load."
    )
    bake_minutes: float | None = Field(default=None, gt=0, le=1_440)
    tins_per_shelf: Shelves | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> "BatchSizeIn":
        if (self.pieces_per_tin is None) == (self.cuts is None):
            raise ValueError("give one of pieces_per_tin and cuts")
        return self


class ProductIn(Schema):
    """A product of the shop."""

    name: Name
    formula: Formula
    sizes: list[BatchSizeIn] = Field(min_length=1, max_length=MAX_SIZES)
    bake_loss_percent: float = Field(
        default=0, ge=0, lt=95, description="Mass lost in the oven and in cooling, in percent."
    )
    spare_percent: Percent = Field(
        default=0, description="Spare pieces beyond the order, in percent, for breakage and tasting."
    )


class OrderIn(Schema):
    """An order of pieces of a product, in one of its sizes or in any."""

    product: Name
    size: Name | None = Field(default=None, description="If left out, any size.")
    pieces: PieceCount


class StockIn(Schema):
    """An ingredient in stock."""

    ingredient: IngredientName
    quantity: QuantityText


class BatchesRequest(Schema):
    """Products, the day's orders, and the shop's stock and equipment."""

    products: list[ProductIn] = Field(min_length=1, max_length=MAX_PRODUCTS)
    orders: list[OrderIn] = Field(min_length=1, max_length=MAX_ORDERS)
    stock: list[StockIn] = Field(default=[], max_length=MAX_STOCK)
    available_eggs: list[EggClassName] = Field(
        default=[],
        max_length=MAX_CLASSES,
        description="Egg classes in the shop, the one it buys first. If left out, those of the formulas.",
    )
    mixing_bowl_grams: float | None = Field(
        default=None,
        ge=1,
        le=10_000_000,
        description="Capacity of the mixing bowl. Larger mixes are split into equal batches.",
    )
    oven_shelves: Shelves | None = Field(
        default=None, description="Number of shelves of the oven. If left out, no oven loads are counted."
    )
    currency: CurrencyCode | None = Field(
        default=None, description="Currency of prices in `own_ingredients` whose row gives none."
    )
    measures: MeasuresName | None = None
    own_ingredients: OwnIngredients = Field(default=[])


class PiecesOfComponentAnswer(Answer):
    """The dough pieces of a component, per tin and in all tins of the size."""

    component: str
    per_tin: int
    count: int
    grams_each: float


class BatchTinsAnswer(Answer):
    """The tins of one size."""

    size: str
    tins: int
    pieces_per_tin: int
    pieces_made: int
    factor: float = Field(description="Factor on the formula for one tin.")
    filled_depth_mm: float | None = None
    grams_per_tin: float
    piece_grams: float = Field(description="Mass of a piece after the oven.")
    dough_pieces: list[PiecesOfComponentAnswer]


class ProductBatchAnswer(Answer):
    """The fewest tins of a product that cover its orders."""

    product: str
    pieces_ordered: int
    pieces_needed: int = Field(description="Pieces with the spare ones, rounded up.")
    pieces_made: int
    pieces_over: int
    tins: list[BatchTinsAnswer]


class MixPartAnswer(Answer):
    """A product's part of a mix."""

    product: str
    component: str
    grams: float


class MixLineAnswer(Answer):
    """An ingredient of a mix, in the whole mix and in one bowl."""

    ingredient: str
    ingredient_id: str | None = None
    grams: float
    low: float
    high: float
    grams_per_bowl: float
    sources: list[SourceRef]


class BatchMixAnswer(Answer):
    """A mix: a component of one product, or of several that share it."""

    name: str
    parts: list[MixPartAnswer]
    grams: float
    bowls: int = Field(description="Number of equal batches that fit the mixing bowl. 1 if its capacity was not given.")
    bowl_grams: float
    lines: list[MixLineAnswer]


class PackCountAnswer(Answer):
    """A number of packs of a size."""

    pack: str
    count: int


class PacksAnswer(Answer):
    """The cheapest packs that hold enough. Of equal ones, those that leave least over, then the fewest."""

    packs: list[PackCountAnswer]
    grams: float
    grams_over: float
    cost: MoneyText | None = Field(default=None, description="Left out unless every pack has a price.")
    currency: str | None = None


class IngredientTotalAnswer(Answer):
    """The day's total of an ingredient."""

    ingredient: str
    ingredient_id: str | None = None
    grams: float
    low: float
    high: float
    usable_yield_percent: float
    purchased_grams: float
    stock_grams: float
    to_buy_grams: float
    to_buy: PacksAnswer | None = Field(default=None, description="Left out if no packs are known.")
    sources: list[SourceRef]


class BatchEggsAnswer(Answer):
    """The day's eggs in one class."""

    egg_class: str = Field(alias="class")
    parts: list[EggCountAnswer]
    crack: int = Field(
        description="Number of eggs to break: the whole ones, and as many more as the yolks or the whites need."
    )
    trays: int = Field(description="Number of trays of 30 that hold them.")
    spare_white_grams: float
    spare_yolk_grams: float


class OvenLoadsAnswer(Answer):
    """Tins that may share loads, one size to a shelf."""

    oven: str
    bake_minutes: float
    tins: int
    shelves: int
    loads: int
    minutes: float = Field(description="Baking time only, without loading and heating up.")


class BatchesAnswer(Answer):
    """The plan of a day: tins, mixes, ingredients, eggs, oven loads."""

    products: list[ProductBatchAnswer]
    mixes: list[BatchMixAnswer]
    ingredients: list[IngredientTotalAnswer] = Field(description="Heaviest first.")
    eggs: list[BatchEggsAnswer]
    oven_loads: list[OvenLoadsAnswer] | None = Field(default=None, description="Given if `oven_shelves` was.")
    to_buy_cost: MoneyText | None = Field(
        default=None, description="Cost of all packs, if all have prices in one currency."
    )
    to_buy_currency: str | None = None
    warnings: list[Warned]
    sources: list[SourceAnswer]
