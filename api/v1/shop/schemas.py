"""The shop, which cost, label, balance and batches take: its own ingredients, prices, losses, and how it sells.

The rows of the shop file have the fields of `OwnIngredientIn`.
"""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from api.wire.schemas import WHOLE, Density, IngredientName, QuantityText, Schema
from domain.shop.packs import MAX_SIZES

MAX_OWN, MAX_PARTS, MAX_ALLERGENS, MAX_EXTRAS, MAX_QUANTIFIED = 200, 40, 30, 40, 60  # our own limits
MAX_PORTIONS = 100_000  # our own limit
Name = Annotated[str, Field(min_length=1, max_length=120, description="A name.", examples=["wharf flour"])]
Money = Annotated[
    str,
    Field(
        min_length=1,
        max_length=20,
        description="An exact amount of money: a decimal without a sign.",
        examples=["1.29"],
    ),
]
CurrencyCode = Annotated[
    str, Field(min_length=3, max_length=3, examples=["GBP"], description="ISO 4217 code of the currency.")
]
MoneyText = Annotated[str, Field(description="A decimal in whole minor units of the currency.", examples=["12.30"])]
Percent = Annotated[float, Field(ge=0, le=100, examples=[5])]
Per100 = Annotated[float, Field(ge=0, le=100, description="Grams in 100 g.", examples=[3.1])]
Milligrams = Annotated[float, Field(ge=0, le=40_000, description="Milligrams in 100 g.", examples=[4])]
PortionCount = Annotated[int, Field(ge=1, le=MAX_PORTIONS, examples=[16]), WHOLE]
BakeLoss = Annotated[
    float,
    Field(
        ge=0,
        lt=95,
        examples=[11],
        description="Mass lost in the oven and in cooling, in percent of the mix. 0 if it is not baked.",
    ),
]
AllergenName = Annotated[
    str,
    Field(
        min_length=1,
        max_length=30,
        examples=["milk", "wheat", "almond"],
        description="The id of an allergen: wheat, rye, barley, oats, milk, egg, peanuts, soybeans, almond, sesame ...",
    ),
]


def _with_rules(market: object) -> object:
    if market == "au":
        reason = (
            "No label can be made for Australia: the text of its rules was not read. The allergens on its list and the"
            " compositions of its products are in /v1/ingredients. The markets with rules are 'eu', 'uk' and 'us'."
        )
        raise PydanticCustomError("market_without_rules", "{reason}", {"reason": reason})
    return market


MarketName = Annotated[
    Literal["eu", "uk", "us"],
    BeforeValidator(_with_rules),
    Field(description="The market whose rules apply. The UK still uses the EU's."),
]
PerName = Annotated[
    Literal["batch", "tin", "portion"], Field(description="The whole bake, one of its tins, or one portion.")
]


class PackIn(Schema):
    """A size that the good is sold in."""

    size: QuantityText = Field(
        description="A mass or a volume; for eggs and goods with `grams_each`, also a count.", examples=["16 kg"]
    )
    price: Money | None = Field(
        default=None, description="Leave it out if it is not known. A missing price is never zero."
    )


class PartIn(Schema):
    """An ingredient of a compound good."""

    name: Name = Field(description="Its name in the list of ingredients.", examples=["calcium carbonate"])
    percent: Percent | None = Field(default=None, description="Its share of the good, if the packet gives it.")


class NutritionIn(Schema):
    """Nutrients per 100 g, as on the packet. Energy is left out, because it follows from the other figures."""

    water_g: Per100 | None = None
    fat_g: Per100 | None = None
    saturates_g: Per100 | None = None
    trans_fat_g: Per100 | None = None
    carbohydrate_g: Per100 | None = Field(
        default=None, description="Grams in 100 g, without fibre, as on EU and UK packets."
    )
    total_carbohydrate_g: Per100 | None = Field(
        default=None, description="Grams in 100 g, with fibre, as on US packets."
    )
    sugars_g: Per100 | None = None
    polyols_g: Per100 | None = None
    fibre_g: Per100 | None = None
    protein_g: Per100 | None = None
    organic_acids_g: Per100 | None = None
    alcohol_g: Per100 | None = None
    sodium_mg: Milligrams | None = None
    salt_g: Per100 | None = Field(
        default=None, description="Grams in 100 g: sodium times 2.5. Give salt or sodium.", examples=[0.01]
    )

    cholesterol_mg: Milligrams | None = None
    potassium_mg: Milligrams | None = None
    calcium_mg: Milligrams | None = None
    iron_mg: Milligrams | None = None
    vitamin_d_ug: float | None = Field(default=None, ge=0, le=40_000, description="µg in 100 g.", examples=[1.1])

    @model_validator(mode="after")
    def _one_carbohydrate(self) -> "NutritionIn":
        if self.carbohydrate_g is not None and self.total_carbohydrate_g is not None:
            raise ValueError("give carbohydrate_g or total_carbohydrate_g, whichever the packet has")
        return self


class OwnIngredientIn(Schema):
    """A good that the shop buys. If it is one of our ingredients, our tables fill the fields that it leaves out."""

    name: IngredientName = Field(description="The name that formulas use.", examples=["wharf flour"])
    ingredient: IngredientName | None = Field(
        default=None,
        description="The ingredient of `/v1/ingredients` that it is. If left out, it is found by its name.",
    )
    label_name: Name | None = Field(
        default=None, description="Its name in the list of ingredients.", examples=["fortified wheat flour"]
    )
    g_per_ml: Density | None = None
    grams_each: float | None = Field(
        default=None, gt=0, le=100_000, description="Mass of one, trimmed.", examples=[180]
    )
    currency: CurrencyCode | None = Field(
        default=None, description="Currency of its prices. If left out, that of the shop."
    )
    packs: list[PackIn] = Field(
        default=[], max_length=MAX_SIZES, description="The pack that is usually bought comes first."
    )
    usable_yield_percent: float | None = Field(
        default=None,
        gt=0,
        le=100,
        description="Share of what is bought that goes into a formula, in percent.",
        examples=[78],
    )
    contains: list[AllergenName] | None = Field(
        default=None,
        max_length=MAX_ALLERGENS,
        description="Allergens in it. They are added to those that our table knows for it or a part; only `free_from`"
        " removes one. For a good that is none of our ingredients, an empty list means that there are none, and leaving"
        " the field out means that they are not known.",
        examples=[["milk"]],
    )
    may_contain: list[AllergenName] = Field(
        default=[],
        max_length=MAX_ALLERGENS,
        description="Allergens of the packet's `may contain` statement.",
        examples=[["tree_nuts"]],
    )
    free_from: list[AllergenName] = Field(
        default=[],
        max_length=MAX_ALLERGENS,
        description="Allergens that are not in this good although our table names them for the ingredient, such as"
        " wheat for a gluten-free flour. A removal is reported as the warning `contradicts_reference`.",
        examples=[["gluten"]],
    )
    parts: list[PartIn] = Field(
        default=[], max_length=MAX_PARTS, description="The ingredients of a compound good, heaviest first."
    )
    nutrition: NutritionIn | None = Field(default=None, description="From the packet. It replaces our figures.")


OwnIngredients = Annotated[
    list[OwnIngredientIn],
    Field(
        max_length=MAX_OWN,
        description="The shop's own goods. They replace rows of the shop file with the same name or ingredient; the"
        " allergens of a row with the same name are kept.",
    ),
]


class ExtraIn(Schema):
    """A cost beside the ingredients: packaging, or anything else that is not labour."""

    name: Name = Field(description="What it is for.", examples=["paper band"])
    amount: Money
    per: PerName = "batch"


class LabourIn(Schema):
    """Working time and its hourly rate."""

    name: Name = Field(default="labour", description="What is done.", examples=["bench"])
    minutes: float = Field(ge=0, le=100_000, description="Minutes of work.", examples=[25])
    rate_per_hour: Money
    per: PerName = "batch"


class AskedPriceIn(Schema):
    """A price that the shop asks, to see what it leaves."""

    amount: Money
    per: PerName = "portion"
    includes_tax: bool = Field(default=False, description="Whether `amount` includes tax at `tax_percent`.")


class TargetPriceIn(Schema):
    """The price to work out: the one that leaves a margin, or the one of which the ingredients are a share."""

    margin_percent: float | None = Field(
        default=None, ge=0, lt=100, description="(price - all costs) / price, in percent.", examples=[62]
    )
    ingredient_cost_percent: float | None = Field(
        default=None, gt=0, le=100, description="Cost of the ingredients / price, in percent.", examples=[28]
    )
    per: PerName = "portion"
    price_step: Money | None = Field(
        default=None, description="The price is rounded up to a multiple of this.", examples=["0.05"]
    )

    @model_validator(mode="after")
    def _one_of_two(self) -> "TargetPriceIn":
        if (self.margin_percent is None) == (self.ingredient_cost_percent is None):
            raise ValueError("give one of margin_percent and ingredient_cost_percent")
        return self


class Shop(Schema):
    """What the shop buys, spends, loses and prints. Cost, label, balance and batches each read what they need."""

    own_ingredients: OwnIngredients = Field(default=[])
    currency: CurrencyCode | None = Field(
        default=None, description="Currency of every price. A cost needs it, and so do prices of `own_ingredients`."
    )
    pack_choice: Literal["first", "cheapest", "dearest"] = Field(
        default="first",
        description="The pack whose price is used, of those that have a price. `first` is the one listed first.",
    )
    packaging: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS, description="Costs of packaging.")
    labour: list[LabourIn] = Field(default=[], max_length=MAX_EXTRAS, description="Costs of labour.")
    other: list[ExtraIn] = Field(default=[], max_length=MAX_EXTRAS, description="Other costs, such as energy.")
    target_price: TargetPriceIn | None = Field(default=None, description="A price to work out.")
    asked_price: AskedPriceIn | None = Field(default=None, description="A price to see what it leaves.")
    tax_percent: float = Field(
        default=0,
        ge=0,
        le=1_000,
        description="Tax in percent of the price without tax. No tax is assumed.",
        examples=[20],
    )
    bake_loss_percent: BakeLoss | None = Field(
        default=None,
        description="Mass lost in the oven and in cooling, in percent of the mix. 0 if it is not baked. Cuts may say"
        " it for a target; without it portions have no mass, and there is no label.",
    )
    market: MarketName | None = Field(default=None, description="The market of the label: `eu`, `uk` or `us`.")
    product_name: Name | None = Field(
        default=None,
        description="Name of the product as sold. If left out, that of the formula.",
        examples=["Ginger parkin with oat and treacle nuggets"],
    )
    quantified: list[IngredientName] | None = Field(
        default=None,
        max_length=MAX_QUANTIFIED,
        description="Ingredients to give a quantity for, instead of those that the product's name mentions.",
        examples=[["stem ginger"]],
    )
    estimate: bool = Field(
        default=False,
        description="Whether a label gives a range for a nutrient that some ingredient has no figure for.",
    )
    may_contain: list[AllergenName] = Field(
        default=[],
        max_length=MAX_ALLERGENS,
        description="Allergens that the shop cannot keep out of the product, besides those that its goods may contain.",
        examples=[["tree_nuts"]],
    )
