"""Requests and answers of `/v1/rescale`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.bake.schemas import TargetBakeAnswer
from api.v1.balance.schemas import BalanceFigures
from api.v1.cost.schemas import CostFigures
from api.v1.cuts.schemas import CutsAnswer
from api.v1.job.schemas import (
    BatterLiftAnswer,
    ComponentAnswer,
    EggTotalAnswer,
    HardToWeighAnswer,
    Job,
    JobAnswer,
    TargetHeadAnswer,
    WholeEggBatchAnswer,
)
from api.v1.label.schemas import LabelFigures, LabelRulesAnswer
from api.wire.schemas import Warned

PARTS = ("lines", "eggs", "pieces", "bake", "cuts")
PartNames = Annotated[
    list[Literal["lines", "eggs", "pieces", "household", "bake", "cuts", "cost", "label", "balance"]],
    Field(
        max_length=20,
        description="The parts of the answer. If left out: lines, eggs and pieces, and the bake and the cuts where the"
        " formula or the target has them. Household adds measures for kitchens without a scale."
        " Cost, label and balance need what `shop` says.",
        examples=[["lines", "cuts"]],
    ),
]


class RescaleRequest(Job):
    """The main job: a formula, its targets, and the parts of the answer."""

    include: PartNames = Field(default=[])


class TargetAnswer(TargetHeadAnswer):
    """The formula for one target, or its problem."""

    factor: float | None = Field(
        default=None, description="What every line of the formula is multiplied by.", examples=[1.1342]
    )
    tins: int | None = Field(default=None, description="Left out for a target without a tin.", examples=[2])
    filled_depth_mm: float | None = Field(
        default=None, description="Depth of the raw batter in the tin.", examples=[26]
    )
    fill_percent: float | None = Field(
        default=None, description="How full the tin is, in percent of its volume.", examples=[52]
    )
    grams: float | None = Field(default=None, description="Mass in grams.", examples=[1477.86])
    grams_low: float | None = Field(
        default=None, description="The least it may be, by the published figures.", examples=[1409.47]
    )
    grams_high: float | None = Field(
        default=None, description="The most it may be, by the published figures.", examples=[1581.87]
    )
    batter_lift: BatterLiftAnswer | None = Field(default=None, description="If dough pieces sit in the batter.")
    components: list[ComponentAnswer] | None = Field(default=None, description="In the order of the formula.")
    eggs: list[EggTotalAnswer] | None = Field(default=None, description="Eggs, yolks and whites.")
    whole_egg_batches: list[WholeEggBatchAnswer] | None = Field(
        default=None, description="The batches below and above, for each egg class available."
    )
    rounding_error_percent: float | None = Field(
        default=None, description="The largest rounding error of any line.", examples=[0.8]
    )
    hard_to_weigh: list[HardToWeighAnswer] | None = Field(default=None, description="Lines too small for the scales.")
    bake: TargetBakeAnswer | None = Field(default=None, description="If the formula's `bake` names an oven.")
    cuts: CutsAnswer | None = Field(default=None, description="For one tin, if the target or the formula has `cuts`.")
    cost: CostFigures | None = Field(default=None, description="As in `/v1/cost`, if it is included.")
    label_figures: LabelFigures | None = Field(default=None, description="As in `/v1/label`, if it is included.")
    balance: BalanceFigures | None = Field(default=None, description="As in `/v1/balance`, if it is included.")
    warnings: list[Warned] | None = Field(default=None, description="About this target only.")


class RescaleAnswer(JobAnswer):
    """The formula as sent and in grams, and what to weigh for every target."""

    targets: list[TargetAnswer] = Field(description="In the order of the request.")
    label_rules: LabelRulesAnswer | None = Field(default=None, description="If labels are included.")
