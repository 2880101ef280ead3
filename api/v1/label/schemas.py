"""Answers of `/v1/label`."""

from typing import Literal

from pydantic import Field

from api.v1.job.schemas import JobAnswer
from api.v1.shop.schemas import MarketName
from api.v1.shop.sold import SoldTargetAnswer
from api.wire.schemas import Answer, SourceRef


class PrintedFigureAnswer(Answer):
    """A figure as the market's label prints it, and the rule by which it is rounded."""

    text: str = Field(description="As printed, with its unit.", examples=["12 g"])
    cited: list[SourceRef] = Field(description="Where the rule is published.")


class EstimateAnswer(Answer):
    """The least and the most that a nutrient can be, whatever the ingredients without a figure hold."""

    amount_low: float = Field(description="With none of it in those ingredients.", examples=[19.8])
    amount_high: float = Field(description="With as much of it as they can hold.", examples=[23.4])


class MissingFigureAnswer(Answer):
    """An ingredient without a figure for a nutrient."""

    ingredient: str = Field(description="Its name.", examples=["almond extract"])
    pointer: str = Field(description="Its first line.", examples=["/formula/components/0/lines/3"])


class NutritionLineAnswer(Answer):
    """A line of the nutrition label, with exact and printed figures."""

    nutrient: str = Field(description="Id of the nutrient.", examples=["fat_g"])
    name: str = Field(description="Name on the market's label.", examples=["fat"])
    unit: Literal["kJ", "kcal", "g", "mg", "mcg"] = Field(description="Unit of its figures.", examples=["g"])
    per_100g: float | None = Field(
        default=None,
        description="In 100 g of the finished product. Left out, like every other figure of the line, if an"
        " ingredient is in `missing`.",
        examples=[12.31],
    )
    per_portion: float | None = Field(default=None, description="In one portion.", examples=[9.9])
    printed_per_100g: PrintedFigureAnswer | None = Field(default=None, description="`per_100g` as printed.")
    printed_per_portion: PrintedFigureAnswer | None = Field(default=None, description="`per_portion` as printed.")
    not_printed: str | None = Field(
        default=None,
        description="Why the line has no printed text: `figures_missing` if an ingredient lacks the nutrient.",
        examples=["figures_missing"],
    )
    estimate_per_100g: EstimateAnswer | None = Field(
        default=None, description="With `estimate`: a range in place of the figure. It is no label text."
    )
    estimate_per_portion: EstimateAnswer | None = Field(default=None, description="The same range for one portion.")
    intake_percent_per_100g: float | None = Field(
        default=None,
        description="Share of an adult's reference intake, or of the daily value in the USA. Not rounded.",
        examples=[17.6],
    )
    intake_percent_per_portion: float | None = Field(
        default=None, description="The same share for one portion.", examples=[14.1]
    )
    front_of_pack_band: Literal["low", "medium", "high"] | None = Field(
        default=None,
        description="UK: band of 100 g for the front of the pack. Left out if a portion above 100 g could change it.",
        examples=["medium"],
    )
    complete: bool = Field(description="False if an ingredient has no figure for the nutrient.")
    coverage_percent: float = Field(description="Share of the mix whose composition has this figure.", examples=[100])
    missing: list[MissingFigureAnswer] = Field(description="Ingredients without this figure.")
    cited: list[SourceRef] = Field(description="Sources of the line and its reference intake.")


class NutrientContentAnswer(Answer):
    """A nutrient in 100 g of the finished product, also if the market does not print it."""

    nutrient: str = Field(description="Id of the nutrient.", examples=["water_g"])
    per_100g: float = Field(
        description="In 100 g of the finished product. Below full coverage this is only the known part.",
        examples=[21.4],
    )
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
    cited: list[SourceRef] = Field(description="Sources of the mass, the composition and the allergens.")


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


class NotComputedAnswer(Answer):
    """A figure that the market's label also needs and that is not computed here."""

    name: str = Field(description="Name of the figure.", examples=["trans fat"])
    cited: list[SourceRef] = Field(description="Where it is required.")


class LabelRulesAnswer(Answer):
    """What the market asks of every label."""

    market: MarketName
    rules: list[LabelRuleAnswer] = Field(description="Rules of the market that were applied.")
    not_computed: list[NotComputedAnswer] = Field(description="Figures that are not computed here.")


class LabelFigures(Answer):
    """The figures of a label."""

    product_name: str = Field(description="Name of the product as sold.", examples=["Ginger parkin"])
    language: str = Field(description="Language of the names and texts.", examples=["en"])
    mix_grams: float = Field(description="Mass of the raw mix.", examples=[1461])
    finished_grams: float = Field(description="Mass of the whole bake.", examples=[1300])
    bake_loss_percent: float = Field(description="Mass lost in the oven, in percent of the mix.", examples=[11])
    portion_grams: float | None = Field(
        default=None, description="Mass of one portion, as in `cuts`. Left out if it is not known.", examples=[81.3]
    )
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
    contents: list[NutrientContentAnswer] = Field(description="Every nutrient that is known.")


class LabelTargetAnswer(SoldTargetAnswer):
    """The label of one target, or its problem."""

    label_figures: LabelFigures | None = Field(default=None, description="Left out if there is a `problem`.")


class LabelAnswer(JobAnswer):
    """The label of every target. It is no legal advice: a competent person must check it, see `written.cautions`."""

    targets: list[LabelTargetAnswer] = Field(description="In the order of the request.")
    label_rules: LabelRulesAnswer = Field(description="What the market asks of every label.")
