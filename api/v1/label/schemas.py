"""Requests and answers of `/v1/label`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.job.schemas import MAX_LINES, Formula
from api.v1.shop.schemas import MAX_ALLERGENS, AllergenName, CautionAnswer, MarketName, Name, OwnIngredients
from api.wire.schemas import WHOLE, Answer, IngredientName, MeasuresName, Schema, SourceAnswer, SourceRef, Warned


class LabelRequest(Schema):
    """A formula, all of which is baked, and how the product is sold."""

    formula: Formula
    market: MarketName
    product_name: Name | None = Field(
        default=None, description="Name of the product as sold. If left out, that of the formula."
    )
    bake_loss_percent: float | None = Field(
        default=None,
        ge=0,
        lt=95,
        description="Mass lost in the oven and in cooling, in percent of the mix. 0 if it is not baked.",
    )
    baked_grams: float | None = Field(default=None, gt=0, le=10_000_000, description="Mass of the whole bake.")
    pieces: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = Field(
        default=None, description="Number of pieces that the whole bake makes."
    )
    piece_grams: float | None = Field(default=None, gt=0, le=1_000_000, description="Mass of one baked piece.")
    quantified: list[IngredientName] | None = Field(
        default=None,
        max_length=MAX_LINES,
        description="Ingredients to give a quantity for, instead of those that the product's name mentions.",
    )
    may_contain: list[AllergenName] = Field(
        default=[],
        max_length=MAX_ALLERGENS,
        description="Allergens that the shop cannot keep out of the product, besides those that its goods may contain.",
    )
    measures: MeasuresName | None = None
    own_ingredients: OwnIngredients = Field(default=[])

    @model_validator(mode="after")
    def _one_of_each(self) -> "LabelRequest":
        if self.bake_loss_percent is not None and self.baked_grams is not None:
            raise ValueError("give one of bake_loss_percent and baked_grams")
        if self.pieces is not None and self.piece_grams is not None:
            raise ValueError("give one of pieces and piece_grams")
        return self


class PrintedAnswer(Answer):
    """A figure as the market's label prints it, and the rule by which it is rounded."""

    text: str
    sources: list[SourceRef]


class DeclaredAnswer(Answer):
    """A line of the nutrition label, with exact and printed figures."""

    nutrient: str
    name: str = Field(description="Name on the market's label.")
    unit: Literal["kJ", "kcal", "g", "mg"]
    per_100g: float
    per_piece: float | None = None
    printed_per_100g: PrintedAnswer
    printed_per_piece: PrintedAnswer | None = None
    intake_percent_per_100g: float | None = Field(
        default=None, description="Share of an adult's reference intake, or of the daily value in the USA. Not rounded."
    )
    intake_percent_per_piece: float | None = None
    complete: bool = Field(description="False if the figure of an ingredient is missing. The sum is then too small.")
    coverage_percent: float = Field(description="Share of the mix whose composition has this figure.")
    missing: list[str]
    sources: list[SourceRef] = Field(description="Sources of the line and its reference intake.")


class ContentAnswer(Answer):
    """A nutrient in 100 g of the finished product, also if the market does not print it."""

    nutrient: str
    per_100g: float
    coverage_percent: float


class ListedAnswer(Answer):
    """An ingredient in the list, heaviest first."""

    name: str
    ingredient_id: str | None = None
    grams: float = Field(description="Mass in the mixing bowl.")
    low: float
    high: float
    percent_of_mix: float
    quantity_percent: float | None = Field(
        default=None, description="Share of the finished product, for an ingredient that the product's name mentions."
    )
    grams_per_100g: float | None = Field(default=None, description="Given instead of a quantity above 100 percent.")
    allergens: list[str] = Field(description="Its allergens on the market's list.")
    may_be_left_out: bool = Field(description="True for added water of at most 5 % of the finished product.")
    text: str = Field(description="Text in the list, with allergens in capitals.")
    nutrition: Literal["own", "reference", "none"]
    sources: list[SourceRef] = Field(description="Sources of the mass and of the composition.")


class RunAnswer(Answer):
    """A piece of the list's text."""

    text: str
    emphasised: bool


class AllergenGroupAnswer(Answer):
    """A group of the market's list that the product contains: its allergens, and the ingredients they are in."""

    group: str
    allergens: list[str]
    words: list[str]
    ingredients: list[str]


class RuleAnswer(Answer):
    """A rule that was applied."""

    id: str
    text: str
    sources: list[SourceRef]


class LabelAnswer(Answer):
    """The figures of a label. They are not legal advice: a competent person must check them, see `cautions`."""

    product_name: str
    market: MarketName
    mix_grams: float
    finished_grams: float
    bake_loss_percent: float
    piece_grams: float | None = None
    nutrition: list[DeclaredAnswer]
    ingredients_text: str = Field(description="The list of ingredients, with allergens in capitals.")
    ingredients_runs: list[RunAnswer]
    ingredients: list[ListedAnswer]
    contains: list[AllergenGroupAnswer]
    contains_text: str = Field(
        description="Empty if no allergen of the market's list is known to be in it. Read the warnings too."
    )
    may_contain: list[str]
    not_computed: list[str] = Field(
        description="Figures that the market's label also needs and that are not computed here."
    )
    contents: list[ContentAnswer]
    rules: list[RuleAnswer]
    cautions: list[CautionAnswer]
    warnings: list[Warned]
    sources: list[SourceAnswer]
