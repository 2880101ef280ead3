"""Requests and answers of `/v1/tins/choose`."""

from typing import Annotated

from pydantic import Field

from api.v1.job.schemas import Formula, Portions
from api.v1.job.wishes import BakeLoss, Grams
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import WHOLE, Answer, Density, Label, LengthText, MeasuresName, Schema, TopicAnswer, Warned
from domain.formulas.kinds import FormulaKind
from domain.tins.choice import MAX_COUNT, MAX_KINDS


class OwnTinIn(Schema):
    """A kind of tin in the shop."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    count: Annotated[int, Field(ge=1, le=MAX_COUNT, description="How many of it there are.", examples=[6]), WHOLE] = 1
    label: Label | None = None


class ChooseRequest(Schema):
    """The mix, the tins, and what is wanted: all of the mix used, or with `portions`, enough for them."""

    formula: Formula | None = Field(default=None, description="The mix. Its own tin and depth give its density.")
    grams: Grams | None = Field(default=None, description="Mass of the mix; of the formula as written if left out.")
    g_per_ml: Density | None = Field(default=None, description="Density of the raw mix, without a formula.")
    rise: FormulaKind | None = Field(default=None, description="What kind of mix it is, without a formula.")
    tins: list[OwnTinIn] = Field(min_length=1, max_length=MAX_KINDS, description="The shop's tins.")
    portions: Portions | None = Field(default=None, description="Portions wanted, instead of a mass.")
    bake_loss_percent: BakeLoss | None = None
    depth_low: LengthText | None = Field(
        default=None, description="Least height of the mix; nine tenths of the formula's own if left out."
    )
    depth_high: LengthText | None = Field(
        default=None, description="Largest height of the mix; eleven tenths of the formula's own if left out."
    )
    measures: MeasuresName | None = None


class ChosenTinAnswer(Answer):
    """Tins of one kind; the figures are of each."""

    tin: TinText | None = Field(default=None, description="As in the request.")
    tin_shape: TinShape | None = Field(default=None, description="As in the request.")
    label: str | None = Field(default=None, description="As in the request.", examples=["tray"])
    count: int = Field(description="How many to use.", examples=[2])
    filled_depth_mm: float | None = Field(default=None, description="Height of the mix.", examples=[29.4])
    fill_percent: float | None = Field(default=None, description="How full it is.", examples=[58.8])
    grams: float = Field(description="Mix in it.", examples=[740.5])
    portions: int | None = Field(default=None, description="Whole portions that come out of it.", examples=[12])


class TinChoiceAnswer(Answer):
    """One way to fill tins."""

    tins: list[ChosenTinAnswer] = Field(description="The tins to use, in the order of the request.")
    tin_count: int = Field(description="All tins together.", examples=[3])
    grams: float = Field(description="Mix to make.", examples=[2221.5])
    factor: float | None = Field(
        default=None, description="What the formula is multiplied by; left out without a formula.", examples=[1.5]
    )
    leftover_grams: float = Field(description="Mix of the wish that finds no tin.", examples=[0])
    extra_grams: float = Field(description="Mix beyond the wish, so that every tin is full enough.", examples=[0])
    portions: int | None = Field(default=None, description="Whole portions of all tins.", examples=[36])


class ChooseAnswer(TopicAnswer):
    """The best ways, the best first."""

    g_per_ml: float = Field(description="Density that the volumes rest on.", examples=[0.92])
    rise: FormulaKind = Field(description="What kind of mix it is; it decides how full a tin may be.")
    depth_low_mm: float = Field(description="Least height of the mix.", examples=[27])
    depth_high_mm: float = Field(description="Largest height of the mix.", examples=[33])
    choices: list[TinChoiceAnswer] = Field(description="Ways to fill the tins.")
    warnings: list[Warned] = Field(description="About the formula and the tins.")
