"""Requests and answers of `/v1/label`."""

from typing import Literal

from pydantic import Field, model_validator

from api.v1.rescale.schemas import FormulaIn
from api.v1.shop.schemas import CautionAnswer, MarketName, PortionCount, Shop
from api.wire.schemas import Answer, MeasuresName, Schema, SourceAnswer, SourceRef, Warned


class LabelRequest(Schema):
    """A formula, all of which is baked, and how the shop sells it."""

    formula: FormulaIn = Field(description="The formula as written.")
    portions: PortionCount | None = Field(default=None, description="Number of portions that the whole bake makes.")
    portion_grams: float | None = Field(
        default=None, gt=0, le=1_000_000, description="Mass of one baked portion.", examples=[80.4]
    )
    measures: MeasuresName | None = None
    shop: Shop = Field(description="Needs `market`, and `bake_loss_percent` or `baked_grams`.")

    @model_validator(mode="after")
    def _one_of_each(self) -> "LabelRequest":
        if self.portions is not None and self.portion_grams is not None:
            raise ValueError("give one of portions and portion_grams")
        return self


class PrintedFigureAnswer(Answer):
    """A figure as the market's label prints it, and the rule by which it is rounded."""

    text: str = Field(description="As printed, with its unit.", examples=["12 g"])
    cited: list[SourceRef] = Field(description="Where the rule is published.")


class NutritionLineAnswer(Answer):
    """A line of the nutrition label, with exact and printed figures."""

    nutrient: str = Field(description="Id of the nutrient.", examples=["fat_g"])
    name: str = Field(description="Name on the market's label.", examples=["fat"])
    unit: Literal["kJ", "kcal", "g", "mg"] = Field(description="Unit of its figures.")
    per_100g: float = Field(description="In 100 g of the finished product.", examples=[12.31])
    per_portion: float | None = Field(default=None, description="In one portion.", examples=[9.9])
    printed_per_100g: PrintedFigureAnswer = Field(description="`per_100g` as printed.")
    printed_per_portion: PrintedFigureAnswer | None = Field(default=None, description="`per_portion` as printed.")
    intake_percent_per_100g: float | None = Field(
        default=None,
        description="Share of an adult's reference intake, or of the daily value in the USA. Not rounded.",
        examples=[17.6],
    )
    intake_percent_per_portion: float | None = Field(
        default=None, description="The same share for one portion.", examples=[14.1]
    )
    complete: bool = Field(description="False if the figure of an ingredient is missing. The sum is then too small.")
    coverage_percent: float = Field(description="Share of the mix whose composition has this figure.", examples=[100])
    missing: list[str] = Field(description="Ingredients without this figure.", examples=[["almond meal"]])
    cited: list[SourceRef] = Field(description="Sources of the line and its reference intake.")


class NutrientContentAnswer(Answer):
    """A nutrient in 100 g of the finished product, also if the market does not print it."""

    nutrient: str = Field(description="Id of the nutrient.", examples=["water_g"])
    per_100g: float = Field(description="In 100 g of the finished product.", examples=[21.4])
    coverage_percent: float = Field(description="Share of the mix whose composition has this figure.", examples=[100])


class LabelIngredientAnswer(Answer):
    """An ingredient in the list, heaviest first."""

    name: str = Field(description="Name in the list.", examples=["oatmeal"])
    ingredient_id: str | None = Field(
        default=None,
        description="Id in `/v1/ingredients`; left out for ingredients of the shop's own.",
        examples=["oatmeal"],
    )
    grams: float = Field(description="Mass in the mixing bowl.", examples=[225])
    grams_low: float = Field(description="Low end of its range.", examples=[210])
    grams_high: float = Field(description="High end of its range.", examples=[240])
    percent_of_mix: float = Field(description="Share of the mix.", examples=[15.4])
    quantity_percent: float | None = Field(
        default=None,
        description="Share of the finished product, for an ingredient that the product's name mentions.",
        examples=[17],
    )
    grams_per_100g: float | None = Field(
        default=None, description="Given instead of a quantity above 100 percent.", examples=[104]
    )
    allergens: list[str] = Field(description="Its allergens on the market's list.", examples=[["oats"]])
    may_be_left_out: bool = Field(description="True for added water of at most 5 % of the finished product.")
    text: str = Field(description="Text in the list, with allergens in capitals.", examples=["OATmeal"])
    nutrition: Literal["own", "reference", "none"] = Field(description="Where its composition comes from.")
    cited: list[SourceRef] = Field(description="Sources of the mass and of the composition.")


class LabelTextRunAnswer(Answer):
    """A part of the list's text that is printed in one style."""

    text: str = Field(description="The text.", examples=["WHEAT"])
    emphasised: bool = Field(description="Whether it is an allergen, which is printed emphasised.")


class AllergenGroupAnswer(Answer):
    """A group of the market's list that the product contains: its allergens, and the ingredients they are in."""

    group: str = Field(description="Id of the group.", examples=["gluten_cereals"])
    allergens: list[str] = Field(description="Ids of the allergens.", examples=[["wheat", "oats"]])
    words: list[str] = Field(description="Words for them on the market's label.", examples=[["wheat", "oats"]])
    ingredients: list[str] = Field(description="Ingredients that they are in.", examples=[["wheat flour"]])


class LabelRuleAnswer(Answer):
    """A rule that was applied."""

    id: str = Field(description="Id of the rule.", examples=["list_order"])
    text: str = Field(description="The rule in our own words.", examples=["Ingredients in descending order."])
    cited: list[SourceRef] = Field(description="Where it is published.")


class LabelAnswer(Answer):
    """The figures of a label. They are not legal advice: a competent person must check them, see `cautions`."""

    product_name: str = Field(description="Name of the product as sold.", examples=["Ginger parkin"])
    market: MarketName
    mix_grams: float = Field(description="Mass of the raw mix.", examples=[1461])
    finished_grams: float = Field(description="Mass of the whole bake.", examples=[1300])
    bake_loss_percent: float = Field(description="Mass lost in the oven, in percent of the mix.", examples=[11])
    portion_grams: float | None = Field(default=None, description="Mass of one baked portion.", examples=[81.3])
    nutrition: list[NutritionLineAnswer] = Field(description="The lines of the market's nutrition label, in order.")
    ingredients_text: str = Field(
        description="The list of ingredients, with allergens in capitals.", examples=["OATmeal, WHEAT flour"]
    )
    ingredients_runs: list[LabelTextRunAnswer] = Field(description="The same text by style.")
    ingredients: list[LabelIngredientAnswer] = Field(description="The list, heaviest first.")
    contains: list[AllergenGroupAnswer] = Field(description="Allergens of the market's list.")
    contains_text: str = Field(
        description="Empty if no allergen of the market's list is known to be in it. Read the warnings too.",
        examples=["Contains wheat, oats, milk, egg."],
    )
    may_contain: list[str] = Field(
        description="Allergens that may get in, of the goods and of the shop.", examples=[["almond", "sesame"]]
    )
    not_computed: list[str] = Field(
        description="Figures that the market's label also needs and that are not computed here.",
        examples=[["trans fat"]],
    )
    contents: list[NutrientContentAnswer] = Field(description="Every nutrient that is known.")
    rules: list[LabelRuleAnswer] = Field(description="Rules of the market that were applied.")
    cautions: list[CautionAnswer] = Field(description="What to take care of.")
    warnings: list[Warned] = Field(description="What to know before using the figures.")
    sources: list[SourceAnswer] = Field(description="Every source that is cited.")
