"""Requests and answers of `/v1/eggs`."""

from typing import Literal

from pydantic import Field

from api.wire.schemas import AmountText, Answer, EggClassName, Query, Schema, SourceRef, Warned

MAX_CLASSES = 40  # our own limit: there are fewer classes
PartName = Literal["whole", "yolk", "white"]


class EggsQuery(Query):
    """Numbers of eggs, yolks and whites; `available` may be given several times."""

    whole: AmountText | None = None
    yolks: AmountText | None = None
    whites: AmountText | None = None
    egg_class: EggClassName = Field(alias="class")
    available: list[EggClassName] = Field(default=[], max_length=MAX_CLASSES)


class EggsRequest(Schema):
    """Numbers of eggs, yolks and whites of one class, and the classes that are available."""

    whole: AmountText | None = None
    yolks: AmountText | None = None
    whites: AmountText | None = None
    egg_class: EggClassName = Field(alias="class")
    available: list[EggClassName] = Field(default=[], max_length=MAX_CLASSES)


class EggCountAnswer(Answer):
    """The same mass of egg in eggs of one class; `whole_eggs` and `beaten_grams` together are exact."""

    egg_class: str = Field(alias="class")
    exact_count: float
    count: int = Field(description="The nearest whole number of eggs.")
    grams: float = Field(description="The mass of `count` eggs without shell.")
    surplus_grams: float = Field(description="What `count` eggs weigh more than needed; negative if they weigh less.")
    error_percent: float
    whole_eggs: int
    beaten_grams: float = Field(description="Beaten egg to weigh in addition to `whole_eggs`.")


class DriedEggAnswer(Answer):
    """Dried egg and the water that together replace the liquid egg."""

    grams: float
    water_grams: float
    sources: list[SourceRef]


class EggPartAnswer(Answer):
    """One part of the egg in grams and in every other form."""

    part: PartName
    asked_count: float = Field(description="The number in the request.")
    grams: float = Field(description="Without shell.")
    low: float
    high: float
    liquid_ml: float
    dried: DriedEggAnswer
    available: list[EggCountAnswer]


class EggsAnswer(Answer):
    """Eggs in grams. `low` to `high` covers any eggs of the class; a full tray varies less."""

    egg_class: str = Field(alias="class")
    grams: float = Field(description="The mass of all parts together.")
    low: float
    high: float
    parts: list[EggPartAnswer]
    sources: list[SourceRef]
    warnings: list[Warned]


class EggClassAnswer(Answer):
    """A weight class: grams with the shell, and the edible parts of one egg."""

    egg_class: str = Field(alias="class")
    region: str
    label: str
    min_grams: float
    max_grams: float
    typical_grams: float
    assumed_end: Literal["above", "below"] | None = Field(
        default=None, description="The side on which the class has no legal limit; the limit given is assumed."
    )
    whole_grams: float
    yolk_grams: float
    white_grams: float
    sources: list[SourceRef]


class EggClassesAnswer(Answer):
    """All egg classes."""

    classes: list[EggClassAnswer]
