"""The main job: one formula, its targets, and how each is cut, divided and baked; and the parts of its answers.

Every endpoint takes these same types, so an object of one request, or of an answer, fits all others.
"""

from typing import Annotated, Any

import orjson
from pydantic import Field, PrivateAttr

from api.v1.eggs.schemas import EggCountAnswer, PartName
from api.v1.job.baking_schemas import Bake
from api.v1.job.wishes import Cuts, Grams, Pieces
from api.v1.shop.schemas import Shop
from api.v1.tins.schemas import TinCount, TinShape, TinText
from api.wire.problems import Problem
from api.wire.schemas import (
    WHOLE,
    AmountText,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    Label,
    LengthText,
    MeasuresName,
    PackingName,
    QuantityText,
    Schema,
    SourceAnswer,
    SourceRef,
    TopicAnswer,
    UnitName,
    Warned,
)
from domain.formulas.kinds import FormulaKind

MAX_TARGETS, MAX_COMPONENTS, MAX_LINES = 50, 20, 60  # our own limits
MAX_CLASSES = 40  # our own limit: there are fewer egg classes
MAX_FACTOR = 10_000  # our own limit

Name = Annotated[str, Field(min_length=1, max_length=120, description="A name.", examples=["Ginger parkin slab"])]


class Line(Schema):
    """One ingredient and how much of it: `quantity`, or `amount` and `unit`."""

    ingredient: IngredientName
    quantity: QuantityText | None = Field(default=None, description="An amount with its unit.")
    amount: AmountText | None = Field(default=None, description="An amount without its unit; goes with `unit`.")
    unit: UnitName | None = Field(default=None, description="The unit of `amount`.")
    packing: PackingName | None = Field(default=None, description="How the cup or spoon was filled.")
    g_per_ml: Density | None = Field(default=None, description="The caller's own density; it overrides our tables.")
    own: bool = Field(default=False, description="An ingredient that is in none of our tables.")


class Component(Schema):
    """A part of the formula that is mixed by itself."""

    name: Name
    lines: list[Line] = Field(min_length=1, max_length=MAX_LINES, description="Its ingredients, in mixing order.")
    pieces: Pieces | None = Field(default=None, description="If this part is divided into pieces.")


class Formula(Schema):
    """A recipe as it is written, for the tin it was made in."""

    name: Name
    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    tins: TinCount = 1
    filled_depth: LengthText | None = Field(default=None, description="Height of the raw mix in the tin.")
    filled_depth_with_pieces: bool = Field(
        default=True, description="Whether that was measured with the dough pieces in the batter."
    )
    egg_class: EggClassName | None = Field(default=None, description="Needed where eggs are counted.")
    rise: FormulaKind | None = Field(
        default=None, description="What kind of mix it is, for its usual fill; by its lines if left out."
    )
    g_per_ml: Density | None = Field(
        default=None, description="Density of the raw mix; by the tin and the filled depth if left out."
    )
    components: list[Component] = Field(min_length=1, max_length=MAX_COMPONENTS, description="In mixing order.")
    bake: Bake | None = Field(default=None, description="The bake that works in this tin.")
    cuts: Cuts | None = Field(default=None, description="How a target without `cuts` of its own is cut.")


class Portions(Schema):
    """Portions wanted, by their mass after the oven; the bake loss is that of the cuts."""

    count: Annotated[int, Field(ge=1, le=100_000, description="How many portions.", examples=[24]), WHOLE]
    grams_each: Grams | None = None
    mass_each: QuantityText | None = Field(
        default=None, description="The same as text, instead of `grams_each`.", examples=["1 1/2 oz"]
    )


class Target(Schema):
    """What is wanted: a tin, or one of `factor`, `grams`, `mass` and `portions`, or such an amount in a tin."""

    label: Label | None = Field(default=None, description="The caller's name for this target.", examples=["tray"])
    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    tins: TinCount = 1
    depth: LengthText | None = Field(
        default=None, description="`keep` (the default), `fit` for the usual fill, or a height."
    )
    factor: float | None = Field(
        default=None, gt=0, le=MAX_FACTOR, description="Multiply every line by this.", examples=[1.5]
    )
    grams: Grams | None = Field(default=None, description="Mass of the raw mix wanted.")
    mass: QuantityText | None = Field(default=None, description="The same as text.", examples=["60 oz"])
    portions: Portions | None = Field(
        default=None, description="Portions wanted; needs the `bake_loss_percent` of the cuts, or of the formula's."
    )
    cuts: Cuts | None = None
    pieces: Pieces | None = Field(default=None, description="How the dough of this target is divided.")
    bake: Bake | None = Field(default=None, description="What differs from the formula's bake.")


class Job(Schema):
    """A formula, the targets, and what the shop works with. Without targets, the formula as it is written."""

    formula: Formula
    targets: list[Target] = Field(default=[], max_length=MAX_TARGETS, description="What is wanted.")
    shop: Shop | None = None
    measures: MeasuresName | None = None
    available_egg_classes: list[EggClassName] = Field(
        default=[],
        max_length=MAX_CLASSES,
        description="Egg classes at hand; the formula's own if left out.",
        examples=[["eu_m", "eu_l"]],
    )
    scale_step: QuantityText = Field(default="1 g", description="The step of the scale.", examples=["1 g"])
    small_scale_step: QuantityText = Field(
        default="0.1 g", description="The step of the scale for small amounts.", examples=["0.1 g"]
    )
    small_scale_max: QuantityText = Field(
        default="200 g", description="The most that the small scale carries.", examples=["200 g"]
    )
    _sent: dict[str, Any] | None = PrivateAttr(default=None)

    def keep_sent(self, sent: dict[str, Any]) -> None:
        """Keep the request as plain data: the answer repeats parts of it, and a model takes four times as long.

        Args:
            sent: the JSON of this job.
        """
        self._sent = sent

    def as_sent(self) -> tuple[Any, list[Any]]:
        """The formula and the targets with the fields that were sent; without targets, one that is empty."""
        if (sent := self._sent) is not None:
            return sent["formula"], sent.get("targets") or [{}]
        return _as_sent(self.formula), [_as_sent(target) for target in self.targets] or [{}]


def _as_sent(part: Schema) -> orjson.Fragment:
    return orjson.Fragment(part.model_dump_json(exclude_unset=True))


class SpoonsAnswer(Answer):
    """A line in level spoons, or in household measures from gallons on, to the nearest eighth of a teaspoon."""

    text: str = Field(examples=["1 tbsp + 1/4 tsp"], description="What to measure, in words.")
    grams: float = Field(description="What they hold.", examples=[7.91])
    error_percent: float = Field(description="How far that is from the exact mass, in percent.", examples=[-0.8])


class DilutionAnswer(Answer):
    """Weigh a line several times over, mix it evenly with flour or water of the formula, and use one part."""

    weigh_grams: float = Field(description="Of the ingredient; as much of the mixture is used.", examples=[3.5])
    mixture_grams: float = Field(description="What it is made up to.", examples=[35])
    parts: int = Field(description="Equal parts of the mixture.", examples=[10])
    error_percent: float = Field(description="Of the line, so weighed.", examples=[0])


class HardToWeighAnswer(Answer):
    """A line that errs too much on the scales, and how to weigh it."""

    component: str = Field(description="Its component.", examples=["batter"])
    ingredient: str = Field(description="As in the formula.", examples=["instant yeast"])
    error_percent: float = Field(description="As weighed.", examples=[14.3])
    dilution: DilutionAnswer | None = Field(default=None, description="The first way.")
    batch_factor: int | None = Field(
        default=None, description="The second way: as many batches at once, up to 20.", examples=[15]
    )


class WrittenLineAnswer(Answer):
    """A line of the formula as written, in grams; it stands at the line's own place."""

    ingredient_id: str | None = Field(
        default=None, description="Left out for an ingredient that is not in our tables.", examples=["butter"]
    )
    grams: float = Field(description="Mass of the line.", examples=[165])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[165])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[165])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class PieceCountAnswer(Answer):
    """Another count that the tins allow."""

    count: int = Field(description="Pieces.", examples=[17])
    grams_each: float = Field(description="Mass of one piece.", examples=[12.5])


class ComponentPiecesAnswer(Answer):
    """The pieces of a dough, which share all of it."""

    count: int = Field(description="Whole pieces, the same in each tin or cavity.", examples=[16])
    exact_count: float = Field(description="The dough over the mass as written.", examples=[16.3])
    grams_each: float = Field(description="Mass of one piece.", examples=[13.27])
    written_grams_each: float | None = Field(
        default=None, description="Mass of one piece as written; said once, with the formula.", examples=[13.02]
    )
    leftover_grams: float = Field(description="Dough left after whole pieces of that mass.", examples=[3.9])
    per_tin: int | None = Field(default=None, description="In the fullest of several tins.", examples=[16])
    per_cavity: int | None = Field(default=None, description="In each cavity.", examples=[1])
    below: PieceCountAnswer | None = None
    above: PieceCountAnswer | None = None


class WrittenComponentAnswer(Answer):
    """A component as written, in grams."""

    name: str = Field(description="Its name in the formula.", examples=["parkin batter"])
    grams: float = Field(description="Mass in grams.", examples=[1477.86])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[1409.47])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[1581.87])
    lines: list[WrittenLineAnswer] = Field(description="In the order of the formula.")
    pieces: ComponentPiecesAnswer | None = None


class BakeCautionAnswer(Answer):
    """One of the usual cautions."""

    id: str = Field(description="Name of it for programs.", examples=["probe"])
    text: str = Field(description="The caution, in words.", examples=["Raw flour is not ready to eat."])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class LikelyAnswer(Answer):
    """Where the mass of the formula is likely to be. Times the factor, the same holds for a target."""

    grams_low: float = Field(description="The least that is likely.", examples=[1435.2])
    grams_high: float = Field(description="The most that is likely.", examples=[1549.8])
    widest_line: str | None = Field(
        default=None,
        description="The line that widens the range most; left out if every line is exact.",
        examples=["/formula/components/0/lines/4"],
    )


class WrittenAnswer(Answer):
    """The formula as written, in grams; what belongs to it is said here once, and not with each target."""

    grams: float = Field(description="Mass in grams.", examples=[1477.86])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[1409.47])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[1581.87])
    likely: LikelyAnswer
    fill_percent: float | None = Field(
        default=None, description="How full the tin is, in percent of its volume.", examples=[52]
    )
    rise: FormulaKind = Field(description="What kind of mix it is, as given or read from its lines.")
    components: list[WrittenComponentAnswer] = Field(description="In the order of the formula.")
    warnings: list[Warned] = Field(description="About the formula, and so about every target.")
    cautions: list[BakeCautionAnswer] = Field(description="What to take care of.")


class BatterLiftAnswer(Answer):
    """How far the dough pieces lift the batter of one tin; without them it stands so much lower."""

    lift_mm: float = Field(description="Difference that the pieces make.", examples=[5.8])
    with_pieces_mm: float | None = Field(
        default=None, description="Height with them, if the depth is measured without.", examples=[32]
    )
    fill_percent: float | None = Field(default=None, description="How full the tin then is.", examples=[52])


class LineAnswer(Answer):
    """A line for a target; its id and sources are those of the line at the same place in `written`."""

    ingredient: str = Field(description="As the line names it.", examples=["butter"])
    amount: float = Field(description="The line's own amount times the factor.", examples=[187.15])
    unit: str = Field(description="The unit that the line is written in.", examples=["g"])
    grams: float = Field(description="Mass of the line.", examples=[187.15])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[187.15])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[187.15])
    weigh_grams: float = Field(description="Rounded to the step of the scale.", examples=[187])
    spoons: SpoonsAnswer | None = None
    household: SpoonsAnswer | None = Field(default=None, description="If `household` is included.")
    eggs: list[EggCountAnswer] | None = Field(
        default=None, description="For egg lines: the eggs in each class available."
    )


class ComponentAnswer(Answer):
    """A component for a target."""

    name: str = Field(description="Its name in the formula.", examples=["parkin batter"])
    grams: float = Field(description="Mass in grams.", examples=[1477.86])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[1409.47])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[1581.87])
    weigh_grams: float = Field(description="The sum of `weigh_grams` of the lines.", examples=[1440.1])
    lines: list[LineAnswer] | None = Field(default=None, description="In the order of the formula.")
    pieces: ComponentPiecesAnswer | None = None


class EggTotalAnswer(Answer):
    """The sum of all lines of one part of the egg."""

    part: PartName
    grams: float = Field(description="Mass of the eggs without shell.", examples=[102.7])
    grams_low: float = Field(description="The least it may be, by the bounds of the class.", examples=[92.9])
    grams_high: float = Field(description="The most it may be, by the bounds of the class.", examples=[115.8])
    counts: list[EggCountAnswer] = Field(description="The same in eggs of each class at hand.")


class EggBatchCount(Answer):
    """Eggs of one part in a batch."""

    part: PartName
    count: int = Field(description="Whole eggs.", examples=[3])
    exact_count: float = Field(description="Eggs, not rounded.", examples=[3])
    error_percent: float = Field(
        description="How far the whole eggs are from the exact mass, in percent.", examples=[0]
    )


class WholeEggBatchAnswer(Answer):
    """The nearest batch with a whole number of eggs."""

    egg_class: str = Field(description="Egg class.", examples=["eu_m"])
    factor: float = Field(description="What every line of the formula is multiplied by.", examples=[1.5])
    grams: float = Field(description="Mass of the batch.", examples=[2216.8])
    filled_depth_mm: float | None = Field(
        default=None, description="Depth of the raw batter in the tin.", examples=[26]
    )
    fill_percent: float | None = Field(
        default=None, description="How full the tin is, in percent of its volume.", examples=[52]
    )
    eggs: list[EggBatchCount] = Field(description="The eggs of the batch, by part.")


class TargetHeadAnswer(Answer):
    """What every answer says of a target; `problem` stands instead of the figures if it cannot be answered."""

    label: str | None = Field(
        default=None, description="The caller's own name for it, returned unchanged.", examples=["tray"]
    )
    target: Target = Field(description="As sent; it goes back unchanged.")
    problem: Problem | None = Field(default=None, description="Why this target has no answer.")


class JobAnswer(TopicAnswer):
    """The formula as sent and as written, and every source that is cited."""

    formula: Formula = Field(description="As sent; it goes back unchanged.")
    written: WrittenAnswer
    sources: list[SourceAnswer] = Field(description="Every source that is cited in the answer, and no other.")
