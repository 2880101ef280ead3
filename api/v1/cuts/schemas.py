"""Requests and answers of `/v1/cuts`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.bake.schemas import DonenessAnswer
from api.v1.job.schemas import MAX_TARGETS, Formula, Target, TargetHeadAnswer, WrittenAnswer
from api.v1.job.wishes import MAX_RINGS, CutFields, Cuts, Grams, PortionCount, PortionRule, SizeText
from api.v1.shop.schemas import Shop
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import (
    Answer,
    Label,
    MeasuresName,
    Query,
    Schema,
    SourceAnswer,
    TopicAnswer,
    Warned,
)
from domain.cutting.layouts import Reason

MixGrams = Annotated[Grams, Field(description="Mass of the raw mix in the tin; needs `bake_loss_percent`.")]


class CutsRequest(Cuts):
    """One slab and how to cut it: a tin, or the slab's own length and width."""

    tin: TinText | None = Field(default=None, description="The tin that the slab was baked in.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    slab: SizeText | None = Field(default=None, description="Length and width of the slab, instead of a tin.")
    mix_grams: MixGrams | None = None
    label: Label | None = None


class CutsBatchRequest(Schema):
    """The slabs of several targets. With a formula their masses are computed, as in `/v1/rescale`."""

    formula: Formula | None = None
    targets: list[Target] = Field(
        default=[], max_length=MAX_TARGETS, description="Each with its `cuts`, unless the formula has them."
    )
    shop: Shop | None = None
    measures: MeasuresName | None = None


class CutsQuery(CutFields, Query):
    """One slab, as query parameters."""

    tin: TinText | None = Field(default=None, description="The tin that the slab was baked in.")
    slab: SizeText | None = Field(default=None, description="Length and width of the slab, instead of `tin`.")
    rings: list[PortionCount] = Field(
        default=[],
        max_length=MAX_RINGS,
        description="Portions in each ring of a round, from the middle outwards. Repeat it for each.",
        examples=[[1, 6, 12]],
    )
    mix_grams: MixGrams | None = None
    label: Label | None = None


class CutPortionAnswer(Answer):
    """The mean of all whole portions: its size if all portions have the same, and its mass if the slab's is known."""

    length_mm: float | None = Field(default=None, description="Length.", examples=[75])
    width_mm: float | None = Field(default=None, description="Width.", examples=[66.7])
    area_mm2: float = Field(description="Area.", examples=[5000])
    grams: float | None = Field(default=None, description="Mass of a portion.", examples=[58.4])


class CutKindAnswer(Answer):
    """Portions of the same kind, by place; `part` portions are incomplete, because the rim cuts through them."""

    place: Literal["corner", "edge", "centre", "part"] = Field(
        description="Where in the slab it comes from.", examples=["corner"]
    )
    ring: int | None = Field(
        default=None, description="Number of the ring, for wedges and rings; 0 is the middle.", examples=[0]
    )
    count: int = Field(description="How many.", examples=[16])
    length_mm: float = Field(description="Length; of a wedge, measured outwards.", examples=[75])
    width_mm: float = Field(description="Width; of a wedge, measured straight across its outer end.", examples=[66.7])
    area_mm2: float = Field(description="Mean area.", examples=[5000])
    grams: float | None = Field(default=None, description="Mean mass.", examples=[58.4])
    grams_low: float | None = Field(default=None, description="Of the lightest, where walls slope.", examples=[57.1])
    grams_high: float | None = Field(default=None, description="Of the heaviest, where walls slope.", examples=[61.6])


class CutMarkAnswer(Answer):
    """The middle of one cut, measured from the edge. Rounding errors do not add up from mark to mark."""

    mm: float = Field(description="Distance from the edge of the slab.", examples=[75])
    nearest_mm: float = Field(description="The same, to half a millimetre, as on a ruler.", examples=[75])
    nearest_sixteenths: int = Field(description="Nearest sixteenths of an inch.", examples=[47])
    inches: str = Field(description="Inches to the nearest sixteenth, as on a ruler.", examples=["2 5/8"])
    kind: Literal["trim", "cut", "offcut"] = Field(description="What the mark is for.", examples=["cut"])


class CutRimMarkAnswer(Answer):
    """One radial cut: its direction, clockwise from the top, and where it meets the outer edge of its ring."""

    ring: int = Field(description="Number of the ring; 0 is the middle.", examples=[0])
    degrees: float = Field(description="Direction of the cut, clockwise from the top.", examples=[45])
    rim_mm: float = Field(description="Distance along the edge, after trimming, from the first cut.", examples=[90.3])
    chord_mm: float = Field(description="Straight distance from the first cut, for a ruler.", examples=[88])
    x_mm: float = Field(description="Distance from the left of the square that just holds the slab.", examples=[165.2])
    y_mm: float = Field(description="Distance from the top of that square.", examples=[48.4])


class CutObliqueMarkAnswer(Answer):
    """One slanting cut, from one place to another, each measured from the left and the top of the slab."""

    from_x_mm: float = Field(description="Where it starts, from the left.", examples=[0])
    from_y_mm: float = Field(description="Where it starts, from the top.", examples=[0])
    to_x_mm: float = Field(description="Where it ends, from the left.", examples=[50])
    to_y_mm: float = Field(description="Where it ends, from the top.", examples=[50])


class CutMarksAnswer(Answer):
    """Where to cut: marks along the length, along the width, outwards from the middle, and around the rings."""

    length: list[CutMarkAnswer] = Field(description="Marks along the length.")
    width: list[CutMarkAnswer] = Field(description="Marks along the width.")
    radius: list[CutMarkAnswer] = Field(description="Marks outwards from the middle.")
    rim: list[CutRimMarkAnswer] = Field(description="Marks along the rim.")
    oblique: list[CutObliqueMarkAnswer] = Field(description="Slanting cuts, for triangles and diamonds.")


class CutShareAnswer(Answer):
    """A part of the slab, and its share of the slab in percent."""

    area_mm2: float = Field(description="Area.", examples=[5000])
    grams: float | None = Field(default=None, description="Mass in grams.", examples=[1477.86])
    percent: float = Field(description="Percent of the slab.", examples=[8.3])


class CutAlternativeAnswer(Answer):
    """Another way to divide the slab, and the reason why it may be better."""

    portions: int = Field(description="Number of portions.", examples=[12])
    rows: int | None = Field(default=None, description="Number of rows.", examples=[3])
    columns: int | None = Field(default=None, description="Number of columns.", examples=[4])
    length_mm: float = Field(description="Length of a portion.", examples=[75])
    width_mm: float = Field(description="Width of a portion.", examples=[66.7])
    grams: float | None = Field(default=None, description="Mass of a portion.", examples=[58.4])
    rings: list[int] | None = Field(
        default=None, description="Portions in each ring, from the middle outwards.", examples=[[4, 14, 22]]
    )
    reason: Reason = Field(description="Why it is shown.", examples=["even_grid"])
    message: str = Field(description="In words.", examples=["13 portions: rows of 13 by 1."])


class CutsAnswer(TopicAnswer):
    """How one slab is divided. Portions, knife, trim and offcut add up to the slab."""

    label: str | None = Field(
        default=None, description="The caller's own name for it, returned unchanged.", examples=["tray"]
    )
    layout: Literal["grid", "wedges", "rings"] = Field(description="How the slab is divided.", examples=["grid"])
    portion_figure: Literal["rectangle", "triangle", "diamond"] = Field(
        description="What a grid makes; triangles are halves of its cells.", examples=["rectangle"]
    )
    portion_rule: PortionRule | None = Field(default=None, description="As asked for, with `portion_grams`.")
    portions: int = Field(description="Number of whole portions.", examples=[12])
    rows: int | None = Field(default=None, description="Number of rows.", examples=[3])
    columns: int | None = Field(default=None, description="Number of columns.", examples=[4])
    corner_portions: int = Field(description="Portions with two sides from the wall of the tin.", examples=[4])
    edge_portions: int = Field(description="Portions with one side from the wall.", examples=[6])
    centre_portions: int = Field(description="Portions without a side from the wall.", examples=[2])
    portion: CutPortionAnswer
    portion_kinds: list[CutKindAnswer] = Field(description="Portions that are alike, by their place in the slab.")
    marks: CutMarksAnswer
    cuts_to_make: int = Field(description="Number of cuts with the knife, the trim included.", examples=[9])
    slab: CutShareAnswer
    knife: CutShareAnswer
    trim: CutShareAnswer
    offcut: CutShareAnswer = Field(description="The rest of the slab, part portions included.")
    error_percent: float | None = Field(
        default=None, description="Difference of the mass from `portion_grams`, in percent.", examples=[1.2]
    )
    alternatives: list[CutAlternativeAnswer] = Field(description="Other ways to divide the slab.")
    drawing: str | None = Field(
        default=None, description="SVG drawing to scale; its viewBox is in millimetres.", examples=["<svg>…</svg>"]
    )
    warnings: list[Warned] = Field(description="What to know before using these figures.")


class CutsTargetAnswer(TargetHeadAnswer):
    """The cuts of one target, or its problem."""

    cuts: CutsAnswer | None = None
    doneness: DonenessAnswer | None = Field(default=None, description="If the bake asks for it.")
    warnings: list[Warned] | None = Field(default=None, description="What to know before using these figures.")


class CutsBatchAnswer(TopicAnswer):
    """One answer or problem for each target, in order; with a formula, also that as sent and as written."""

    formula: Formula | None = None
    written: WrittenAnswer | None = None
    targets: list[CutsTargetAnswer] = Field(description="In the order of the request.")
    sources: list[SourceAnswer] | None = Field(default=None, description="Every source that is cited.")
