"""Requests and answers of `/v1/label`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from api.v1.rescale.schemas import MAX_LINES, FormulaIn
from api.v1.shop.schemas import MAX_ALLERGENS, AllergenName, CautionAnswer, MarketName, Name, OwnIngredients
from api.wire.schemas import WHOLE, Answer, IngredientName, MeasuresName, Schema, SourceAnswer, SourceRef, Warned


class LabelRequest(Schema):
    """A formula as baked, and how it is sold."""

    formula: FormulaIn
    market: MarketName
    product_name: Name | None = Field(default=None, description="As sold; the formula's own if left out.")
    bake_loss_percent: float | None = Field(
        default=None, ge=0, lt=95, description="Mass lost in the oven and cooling, of what went in; 0 if not baked."
    )
    baked_grams: float | None = Field(default=None, gt=0, le=10_000_000, description="All of the bake, weighed.")
    pieces: Annotated[int, Field(ge=1, le=100_000), WHOLE] | None = Field(
        default=None, description="How many pieces all of it makes."
    )
    piece_grams: float | None = Field(default=None, gt=0, le=1_000_000, description="What one piece weighs, baked.")
    quantified: list[IngredientName] | None = Field(
        default=None,
        max_length=MAX_LINES,
        description="Ingredients to give a percentage for, instead of those that the product's name speaks of.",
    )
    may_contain: list[AllergenName] = Field(
        default=[], max_length=MAX_ALLERGENS, description="What the shop cannot keep out; besides what goods say."
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
    """A figure as the market's label prints it, and the rule it was rounded by."""

    text: str
    sources: list[SourceRef]


class DeclaredAnswer(Answer):
    """A line of the nutrition label; exact figures beside those printed."""

    nutrient: str
    name: str = Field(description="As the market's label has it.")
    unit: Literal["kJ", "kcal", "g", "mg"]
    per_100g: float
    per_piece: float | None = None
    printed_per_100g: PrintedAnswer
    printed_per_piece: PrintedAnswer | None = None
    intake_percent_per_100g: float | None = Field(
        default=None, description="Of an adult's reference intake, or of the daily value in the USA; not rounded."
    )
    intake_percent_per_piece: float | None = None
    complete: bool = Field(description="False where an ingredient's figure is missing: then the figure is too small.")
    coverage_percent: float = Field(description="Share of the mix whose composition says something of it.")
    missing: list[str]
    sources: list[SourceRef] = Field(description="Of the line and its reference intake.")


class ContentAnswer(Answer):
    """A nutrient in 100 g of the finished product, whether the market prints it or not."""

    nutrient: str
    per_100g: float
    coverage_percent: float


class ListedAnswer(Answer):
    """An ingredient in the list, heaviest first."""

    name: str
    ingredient_id: str | None = None
    grams: float = Field(description="In the mixing bowl.")
    low: float
    high: float
    percent_of_mix: float
    quantity_percent: float | None = Field(
        default=None, description="Of the finished product, for what the product's name speaks of."
    )
    grams_per_100g: float | None = Field(default=None, description="Instead of a quantity past 100 percent.")
    allergens: list[str] = Field(description="Those on the market's list.")
    may_be_left_out: bool = Field(description="Added water of at most 5 % of the finished product.")
    text: str = Field(description="As it stands in the list; allergens in capitals.")
    nutrition: Literal["own", "reference", "none"]
    sources: list[SourceRef] = Field(description="Of the mass and of the composition.")


class RunAnswer(Answer):
    """A piece of the list's text, to be set."""

    text: str
    emphasised: bool


class AllergenGroupAnswer(Answer):
    """A group on the market's list, which of it the product holds, and in what."""

    group: str
    allergens: list[str]
    words: list[str]
    ingredients: list[str]


class RuleAnswer(Answer):
    """A rule applied."""

    id: str
    text: str
    sources: list[SourceRef]


class LabelAnswer(Answer):
    """The figures of a label. Not legal advice: see `cautions`."""

    product_name: str
    market: MarketName
    mix_grams: float
    finished_grams: float
    bake_loss_percent: float
    piece_grams: float | None = None
    nutrition: list[DeclaredAnswer]
    ingredients_text: str = Field(description="The list of ingredients; allergens in capitals.")
    ingredients_runs: list[RunAnswer]
    ingredients: list[ListedAnswer]
    contains: list[AllergenGroupAnswer]
    contains_text: str = Field(description="Empty where nothing is known to be in it.")
    may_contain: list[str]
    not_computed: list[str] = Field(description="What the market's label needs besides and is not computed here.")
    contents: list[ContentAnswer]
    rules: list[RuleAnswer]
    cautions: list[CautionAnswer]
    warnings: list[Warned]
    sources: list[SourceAnswer]
