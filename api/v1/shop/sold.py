"""What the answers of cost, label and balance say of every target."""

from pydantic import Field

from api.v1.job.schemas import TargetHeadAnswer
from api.wire.schemas import Warned


class SoldTargetAnswer(TargetHeadAnswer):
    """What is costed, labelled or balanced."""

    factor: float | None = Field(default=None, description="Factor on the formula.", examples=[1.134])
    tins: int | None = Field(default=None, description="Left out for a target without a tin.", examples=[1])
    grams: float | None = Field(default=None, description="Mass of the raw mix.", examples=[1676])
    grams_low: float | None = Field(default=None, description="Low end of its range.", examples=[1640])
    grams_high: float | None = Field(default=None, description="High end of its range.", examples=[1745])
    warnings: list[Warned] | None = Field(default=None, description="About this target only.")
