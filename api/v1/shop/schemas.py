"""The rows of a shop, in `own_ingredients` of a request and in the shop file."""

from typing import Annotated, Literal

from pydantic import Field, Tag, model_validator

from api.wire.schemas import (
    FIRST_THAT_FITS,
    NUMBER_TAG,
    TEXT_TAG,
    Answer,
    Density,
    IngredientName,
    QuantityText,
    Schema,
    SourceRef,
)
from domain.shop.money import MAX_PRICE
from domain.shop.packs import MAX_SIZES

MAX_OWN, MAX_PARTS, MAX_ALLERGENS = 200, 40, 30  # our own limits
Name = Annotated[str, Field(min_length=1, max_length=120)]
type Money = Annotated[
    Annotated[Annotated[float, Field(ge=0, le=MAX_PRICE, examples=[1.29])], Tag(NUMBER_TAG)]
    | Annotated[Annotated[str, Field(min_length=1, max_length=20, examples=["1.29"])], Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="An exact amount of money: a number, or a decimal as text such as `1.29`."),
]
CurrencyCode = Annotated[
    str, Field(min_length=3, max_length=3, examples=["GBP"], description="ISO 4217 code of the currency.")
]
MoneyText = Annotated[str, Field(description="A decimal in whole minor units of the currency.", examples=["12.30"])]
Percent = Annotated[float, Field(ge=0, le=100)]
PercentAmount = Annotated[float, Field(ge=0, le=1_000)]
Per100 = Annotated[float, Field(ge=0, le=100, description="Grams in 100 g.")]
AllergenName = Annotated[
    str,
    Field(
        min_length=1,
        max_length=30,
        examples=["milk", "wheat", "almond"],
        description="The id of an allergen: wheat, rye, barley, oats, milk, egg, peanuts, soybeans, almond, sesame ...",
    ),
]
MarketName = Annotated[
    Literal["eu", "uk", "us"], Field(description="The market whose rules apply. The UK still uses the EU's.")
]


class PackIn(Schema):
    """A size that the good is sold in."""

    size: QuantityText = Field(description="A mass or a volume; for eggs and goods with `grams_each`, also a count.")
    price: Money | None = Field(
        default=None, description="Leave it out if it is not known. A missing price is never zero."
    )


class PartIn(Schema):
    """An ingredient of a compound good."""

    name: Name
    percent: Percent | None = Field(default=None, description="Its share of the good, if the packet gives it.")


class NutritionIn(Schema):
    """Nutrients per 100 g, as on the packet. Energy is left out, because it follows from the other figures."""

    water_g: Per100 | None = None
    fat_g: Per100 | None = None
    saturates_g: Per100 | None = None
    carbohydrate_g: Per100 | None = Field(default=None, description="Without fibre, as on EU and UK packets.")
    total_carbohydrate_g: Per100 | None = Field(default=None, description="With fibre, as on US packets.")
    sugars_g: Per100 | None = None
    polyols_g: Per100 | None = None
    fibre_g: Per100 | None = None
    protein_g: Per100 | None = None
    organic_acids_g: Per100 | None = None
    alcohol_g: Per100 | None = None
    sodium_mg: float | None = Field(default=None, ge=0, le=40_000)
    salt_g: Per100 | None = Field(default=None, description="Sodium times 2.5. Give salt or sodium.")

    @model_validator(mode="after")
    def _one_carbohydrate(self) -> "NutritionIn":
        if self.carbohydrate_g is not None and self.total_carbohydrate_g is not None:
            raise ValueError("give carbohydrate_g or total_carbohydrate_g, whichever the packet has")
        return self


class OwnIngredientIn(Schema):
    """A good that the shop buys. If it is one of our ingredients, our tables fill the fields that it leaves out."""

    name: IngredientName
    ingredient: IngredientName | None = Field(
        default=None,
        description="The ingredient of `/v1/ingredients` that it is. If left out, it is found by its name.",
    )
    label_name: Name | None = Field(default=None, description="Its name in the list of ingredients.")
    g_per_ml: Density | None = None
    grams_each: float | None = Field(default=None, gt=0, le=100_000, description="Mass of one, trimmed.")
    currency: CurrencyCode | None = Field(
        default=None, description="Currency of its prices. If left out, that of the request."
    )
    packs: list[PackIn] = Field(
        default=[], max_length=MAX_SIZES, description="The pack that is usually bought comes first."
    )
    usable_yield_percent: float | None = Field(
        default=None, gt=0, le=100, description="Share of what is bought that goes into a formula, in percent."
    )
    contains: list[AllergenName] | None = Field(
        default=None,
        max_length=MAX_ALLERGENS,
        description="Allergens in it. They are added to those that our table knows for the ingredient; only `free_from`"
        " removes one. For a good that is none of our ingredients, an empty list means that there are none, and leaving"
        " the field out means that they are not known.",
    )
    may_contain: list[AllergenName] = Field(
        default=[], max_length=MAX_ALLERGENS, description="Allergens of the packet's `may contain` statement."
    )
    free_from: list[AllergenName] = Field(
        default=[],
        max_length=MAX_ALLERGENS,
        description="Allergens that are not in this good although our table names them for the ingredient, such as"
        " wheat for a gluten-free flour. A removal is reported as the warning `contradicts_reference`.",
    )
    parts: list[PartIn] = Field(
        default=[], max_length=MAX_PARTS, description="The ingredients of a compound good, heaviest first."
    )
    nutrition: NutritionIn | None = None


OwnIngredients = Annotated[
    list[OwnIngredientIn],
    Field(
        max_length=MAX_OWN,
        description="The shop's own goods. They replace rows of the shop file with the same name or ingredient; the"
        " allergens of a row with the same name are kept.",
    ),
]


class CautionAnswer(Answer):
    """One of the usual cautions."""

    id: str
    text: str
    sources: list[SourceRef]
