"""Requests and answers of `/v1/eggs`."""

from typing import Annotated, Literal

from pydantic import Field

from api.wire.schemas import AmountText, Answer, EggClassName, Query, Schema, SourceRef, TopicAnswer, Warned

MAX_CLASSES = 40  # our own limit: there are fewer classes
PartName = Annotated[Literal["whole", "yolk", "white"], Field(description="The part of the egg.", examples=["whole"])]
EggAmount = Annotated[AmountText, Field(examples=["2", "1 1/2"])]
EggClassId = Annotated[str, Field(description="The id of an egg class.", examples=["eu_m"])]
AvailableEggClasses = Annotated[
    list[EggClassName],
    Field(
        max_length=MAX_CLASSES,
        description="The egg classes at hand: the eggs are counted in each of them.",
        examples=[["eu_l", "us_large"]],
    ),
]
Grams = Annotated[float, Field(examples=[102.74])]


class EggsQuery(Query):
    """Numbers of eggs, yolks and whites; `available_egg_classes` may be given several times."""

    whole: EggAmount | None = Field(default=None, description="Number of whole eggs.")
    yolks: EggAmount | None = Field(default=None, description="Number of yolks.")
    whites: EggAmount | None = Field(default=None, description="Number of whites.")
    egg_class: EggClassName
    available_egg_classes: AvailableEggClasses = Field(default=[])


class EggsRequest(Schema):
    """Numbers of eggs, yolks and whites of one class, and the classes that are available."""

    whole: EggAmount | None = Field(default=None, description="Number of whole eggs.")
    yolks: EggAmount | None = Field(default=None, description="Number of yolks.")
    whites: EggAmount | None = Field(default=None, description="Number of whites.")
    egg_class: EggClassName
    available_egg_classes: AvailableEggClasses = Field(default=[])


class EggCountAnswer(Answer):
    """The same mass of egg in eggs of one class; `whole_eggs` and `beaten_grams` together are exact."""

    egg_class: EggClassId
    exact_count: float = Field(description="The number of eggs, unrounded.", examples=[1.66])
    count: int = Field(description="The nearest whole number of eggs.", examples=[2])
    grams: Grams = Field(description="The mass of `count` eggs without shell.")
    surplus_grams: float = Field(
        description="What `count` eggs weigh more than needed; negative if they weigh less.", examples=[-3.2]
    )
    error_percent: float = Field(description="`surplus_grams` in percent of the mass needed.", examples=[-2.7])
    whole_eggs: int = Field(description="Eggs to use whole.", examples=[1])
    beaten_grams: float = Field(description="Beaten egg to weigh in addition to `whole_eggs`.", examples=[42.3])


class DriedEggAnswer(Answer):
    """Dried egg and the water that together replace the liquid egg."""

    grams: float = Field(description="Dried egg.", examples=[25.4])
    water_grams: float = Field(description="Water to mix it with.", examples=[77.3])
    cited: list[SourceRef] = Field(description="Where the solids of both were published.")


class EggPartAnswer(Answer):
    """One part of the egg in grams and in every other form."""

    part: PartName
    asked_count: float = Field(description="The number in the request.", examples=[2])
    grams: Grams = Field(description="Without shell.")
    grams_low: Grams = Field(description="If every egg is the lightest of its class.")
    grams_high: Grams = Field(description="If every egg is the heaviest of its class.")
    liquid_ml: float = Field(description="The same mass as liquid egg.", examples=[100.0])
    dried: DriedEggAnswer = Field(description="The same mass as dried egg and water.")
    counts: list[EggCountAnswer] = Field(description="The same mass in eggs of each class available.")


class EggsAnswer(TopicAnswer):
    """Eggs in grams. `grams_low` to `grams_high` covers any eggs of the class; a full tray varies less."""

    egg_class: EggClassId
    grams: Grams = Field(description="The mass of all parts together, without shell.")
    grams_low: Grams = Field(description="If every egg is the lightest of its class.")
    grams_high: Grams = Field(description="If every egg is the heaviest of its class.")
    parts: list[EggPartAnswer] = Field(description="Whole eggs, yolks and whites, as far as the request has them.")
    cited: list[SourceRef] = Field(description="Where the class and the shares of the parts were published.")
    warnings: list[Warned] = Field(description="What to know before using the masses.")


class EggClassAnswer(Answer):
    """A weight class: grams with the shell, and the edible parts of one egg."""

    egg_class: EggClassId
    region: str = Field(description="Where the class is used.", examples=["EU and UK"])
    label: str = Field(description="What the box says.", examples=["M"])
    min_grams: float = Field(description="The least mass with the shell.", examples=[53])
    max_grams: float = Field(description="The mass with the shell below which eggs are of this class.", examples=[63])
    typical_grams: float = Field(description="The mass with the shell that is used.", examples=[58])
    assumed_end: Literal["above", "below"] | None = Field(
        default=None,
        description="The side on which the class has no legal limit; the limit given is assumed.",
        examples=["above"],
    )
    whole_grams: float = Field(description="One egg without shell.", examples=[51.4])
    yolk_grams: float = Field(description="One yolk.", examples=[16.3])
    white_grams: float = Field(description="One white.", examples=[35.1])
    cited: list[SourceRef] = Field(description="Where the class was published.")


class EggClassesAnswer(TopicAnswer):
    """All egg classes."""

    egg_classes: list[EggClassAnswer] = Field(description="Every class of every region.")
