"""A dough divided into whole pieces: the nearest count, its neighbours, and what each piece then weighs."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from domain.errors import MismatchError, NeededError, OutOfRangeError
from domain.notices import Notice
from domain.tins.shapes import CavitiesTin, Tin

MAX_DOUGH_PIECES = 100_000_000  # our own limit, no source
WHOLE_MASS = 1 + 1e-9  # a piece may exceed its component by rounding errors only
NEARLY = 1e-8  # relative: a quotient this near to a whole number is whole
USUAL_TOLERANCE_PERCENT = 5.0  # of the mass of a piece; our own choice, no source
HALF = 0.5  # added before rounding down, so that halves are rounded up

Keep = Literal["mass", "count", "spacing"]
_WISHES = ("count", "grams_each", "per_tin", "per_cavity", "per_portion")


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """How a dough is divided before baking: at most one of five wishes, and what stays the same in another tin.

    `count` is in all tins together; `per_tin`, `per_cavity` and `per_portion` are whole numbers in each; `keep` is
    what a target keeps of the formula's pieces: their mass, their count in a tin, or the space that each has.
    The density, diameter and temperature of the pieces matter where they are baked inside a batter.
    """

    count: int | None = None
    grams_each: float | None = None
    per_tin: int | None = None
    per_cavity: int | None = None
    per_portion: int | None = None
    keep: Keep | None = None
    tolerance_percent: float = USUAL_TOLERANCE_PERCENT
    g_per_ml: float | None = None
    diameter_mm: float | None = None
    start_c: float | None = None

    def __post_init__(self) -> None:
        """Reject figures that are not above 0, two wishes, and none at all."""
        for name in _WISHES:
            figure = getattr(self, name)
            if figure is not None and not 0 < figure < math.inf:
                raise OutOfRangeError(f"{name} must be above 0 and finite.", path=(name,), value=figure, limit=0)
        if not 0 <= self.tolerance_percent < math.inf:
            raise OutOfRangeError(
                "tolerance_percent must be 0 or more.",
                path=("tolerance_percent",),
                value=self.tolerance_percent,
                limit=0,
                unit="percent",
            )
        sent = [name for name in _WISHES if getattr(self, name) is not None]
        if len(sent) > 1 or not (sent or self.keep):
            raise NeededError(
                f"Give one of {', '.join(_WISHES)}.", path=tuple(sent[1:2]), code="pieces_needed", candidates=_WISHES
            )

    @property
    def wish(self) -> str | None:
        """The name of the wish, if there is one."""
        return next((name for name in _WISHES if getattr(self, name) is not None), None)


@dataclass(frozen=True, slots=True)
class PieceCount:
    """A whole count of pieces, and what each weighs if they share the whole dough.

    `error_percent` is the difference from the mass as written.
    """

    count: int
    grams_each: float
    error_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """A dough divided into `count` pieces of `grams_each`, which share the whole dough.

    `written_grams` is the mass of a piece as written, and `exact` the dough over it. At exactly that mass there are
    `whole_count` pieces, and `leftover_grams` is left. `below` and `above` are the nearest other counts that the tins
    allow. `error_percent` is the difference of `grams_each` from the mass as written.
    """

    exact: float
    count: int
    grams_each: float
    written_grams: float
    whole_count: int
    leftover_grams: float
    tins: int = 1
    cavities: int = 1
    below: PieceCount | None = None
    above: PieceCount | None = None
    division: Division | None = None

    @property
    def error_percent(self) -> float:
        """How far the mass of a piece is from the mass as written, in percent."""
        return (self.grams_each / self.written_grams - 1) * 100

    @property
    def per_tin(self) -> int:
        """Pieces in the fullest tin."""
        return -(-self.count // self.tins)

    @property
    def per_cavity(self) -> int | None:
        """Pieces in each cavity; None where there are no cavities, or not the same number in each."""
        if self.cavities == 1 or self.count % (self.tins * self.cavities):
            return None
        return self.count // (self.tins * self.cavities)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessels:
    """The tins that pieces go into; no two tins or cavities share a piece.

    `portions` is how many portions one tin is cut into, None if it is not cut. `area_ratio` is the area of one tin
    over that of the formula's tin, None if one of them is not known.
    """

    tins: int = 1
    cavities: int = 1
    portions: int | None = None
    area_ratio: float | None = None

    @property
    def groups(self) -> int:
        """Tins, or cavities, that cannot share a piece."""
        return self.tins * self.cavities


def vessels_of(tin: Tin | None, tins: int, portions: int | None = None, area_ratio: float | None = None) -> Vessels:
    """The vessels that the pieces of a formula or target go into.

    Args:
        tin: one of the tins; None if it is not known, and then the pieces are not tied to tins.
        tins: how many.
        portions: of one tin.
        area_ratio: the area of one tin over that of the formula's tin.
    Returns:
        The vessels.
    """
    cavities = tin.count if isinstance(tin, CavitiesTin) else 1
    return Vessels(tins=tins if tin is not None else 1, cavities=cavities, portions=portions, area_ratio=area_ratio)


def divide(dough_g: float, division: Division, vessels: Vessels = Vessels(), like: Pieces | None = None) -> Pieces:
    """Divide a dough as the division says.

    Args:
        dough_g: mass of the dough in all tins, above 0.
        division: the wish.
        vessels: the tins that the pieces go into.
        like: the pieces of the formula as written, whose mass or count is kept if the division has no wish.
    Returns:
        The pieces; they share the whole dough.
    Raises:
        OutOfRangeError: one piece would be heavier than the dough, or there would be too many.
        NeededError: the number of portions, or the pieces to keep, are not known.
        MismatchError: pieces per cavity of a tin without cavities.

    >>> divide(291.0, Division(grams_each=11.67)).count, divide(291.0, Division(grams_each=11.67)).whole_count
    (25, 24)
    """
    written_g = division.grams_each or (None if like is None else like.written_grams)
    if division.grams_each is not None:
        if division.grams_each > dough_g * WHOLE_MASS:
            raise OutOfRangeError(
                f"One piece of {division.grams_each:g} g would be heavier than the whole component of {dough_g:g} g.",
                path=("grams_each",),
                value=division.grams_each,
                limit=dough_g,
                unit="g",
            )
        return pieces_of(dough_g, division.grams_each, division, vessels)
    count = _count_wished(division, vessels) if division.wish is not None else _count_kept(division, vessels, like)
    if count is None and written_g is not None:
        return pieces_of(dough_g, written_g, division, vessels)
    if count is None:
        raise AssertionError("a division without a wish keeps the pieces of a formula")
    return _shared(dough_g, count, written_g, division, vessels)


def pieces_of(
    dough_g: float,
    written_g: float,
    division: Division | None = None,
    vessels: Vessels = Vessels(),
) -> Pieces:
    """Divide a dough into the whole number of pieces that comes nearest to a mass.

    Args:
        dough_g: mass of the dough in all tins, above 0.
        written_g: mass of one piece, above 0.
        division: what the pieces are like, if it is known.
        vessels: each tin or cavity gets the same whole number of pieces, at least one.
    Returns:
        The nearest count and its neighbours; the pieces share the whole dough.
    Raises:
        OutOfRangeError: `written_g` is so small that there would be more than `MAX_DOUGH_PIECES` pieces.
    """
    if dough_g > written_g * MAX_DOUGH_PIECES:
        raise OutOfRangeError(
            f"More than {MAX_DOUGH_PIECES:,} pieces of a dough.",
            path=("grams_each",),
            value=dough_g / written_g,
            limit=MAX_DOUGH_PIECES,
        )
    each_gets = max(1, math.floor(dough_g / written_g / vessels.groups * (1 + NEARLY) + HALF))
    return _shared(dough_g, each_gets * vessels.groups, written_g, division, vessels)


def kept(division: Division) -> Division:
    """The division of a target that only keeps what the formula's division says.

    Args:
        division: of the formula, with `keep`.
    Returns:
        The same without its wish.
    """
    return replace(division, count=None, grams_each=None, per_tin=None, per_cavity=None, per_portion=None)


def piece_notices(pieces: Pieces, name: str) -> tuple[Notice, ...]:
    """The warnings about a division.

    Args:
        pieces: of a component.
        name: of the component.
    Returns:
        A warning if the pieces are lighter or heavier than the tolerance allows, and one if the tins or cavities do
        not get the same number of pieces.
    """
    tolerance = USUAL_TOLERANCE_PERCENT if pieces.division is None else pieces.division.tolerance_percent
    notices = []
    if abs(pieces.error_percent) > tolerance * (1 + NEARLY):
        notices.append(
            Notice(
                code="piece_mass_off",
                message=f"{name}: {pieces.count} pieces weigh {pieces.grams_each:.2f} g each, "
                f"{pieces.error_percent:+.1f} % from the {pieces.written_grams:.2f} g written; the tolerance is "
                f"{tolerance:g} %.",
                value=pieces.error_percent,
                limit=tolerance,
                unit="percent",
            )
        )
    groups, where = pieces.tins * pieces.cavities, "tins" if pieces.cavities == 1 else "cavities"
    if pieces.count % groups:
        notices.append(
            Notice(
                code="pieces_uneven",
                message=f"{name}: {pieces.count} pieces do not go evenly into {groups} {where}.",
                value=pieces.count,
                limit=groups,
            )
        )
    return tuple(notices)


def _count_wished(division: Division, vessels: Vessels) -> int:
    if division.count is not None:
        return division.count
    if division.per_tin is not None:
        return division.per_tin * vessels.tins
    if division.per_cavity is not None:
        if vessels.cavities == 1:
            raise MismatchError("`per_cavity` goes with a tin of cavities.", path=("per_cavity",), code="no_cavities")
        return division.per_cavity * vessels.groups
    # A cavity is a portion by itself.
    portions = vessels.cavities if vessels.portions is None and vessels.cavities > 1 else vessels.portions
    if portions is None:
        raise NeededError(
            "`per_portion` goes with cuts: say how the bake is cut.", path=("per_portion",), code="cut_wish_needed"
        )
    return (division.per_portion or 1) * portions * vessels.tins


def _count_kept(division: Division, vessels: Vessels, like: Pieces | None) -> int | None:
    """The count that is kept; None if it follows from the mass of a piece."""
    if like is None:
        raise NeededError(
            f"There are no pieces to keep: give one of {', '.join(_WISHES)}.", path=("keep",), code="pieces_needed"
        )
    if division.keep == "count":
        return _whole_in_each(like.count / like.tins, vessels)
    if division.keep == "spacing":
        if vessels.area_ratio is None:
            raise NeededError(
                "`keep: spacing` compares areas: give the tin of the formula and of the target, with their shapes.",
                path=("keep",),
                code="tin_needed",
            )
        return _whole_in_each(like.count / like.tins * vessels.area_ratio, vessels)
    return None


def _whole_in_each(per_tin: float, vessels: Vessels) -> int:
    return max(1, math.floor(per_tin / vessels.cavities * (1 + NEARLY) + HALF)) * vessels.groups


def _shared(dough_g: float, count: int, written_g: float | None, division: Division | None, vessels: Vessels) -> Pieces:
    """Pieces that share the whole dough, with the neighbours of their count."""
    grams_each = dough_g / count
    base_g = grams_each if written_g is None else written_g
    exact = dough_g / base_g
    whole_count = math.floor(exact * (1 + NEARLY))
    groups = vessels.groups
    # A count that the tins do not share evenly has the nearest even ones as neighbours.
    below, above = (math.ceil(count / groups) - 1) * groups, (count // groups + 1) * groups

    return Pieces(
        exact=exact,
        count=count,
        grams_each=grams_each,
        written_grams=base_g,
        whole_count=whole_count,
        leftover_grams=max(0.0, dough_g - whole_count * base_g),
        tins=vessels.tins,
        cavities=vessels.cavities,
        below=PieceCount(below, dough_g / below, (dough_g / below / base_g - 1) * 100) if below else None,
        above=PieceCount(above, dough_g / above, (dough_g / above / base_g - 1) * 100),
        division=division,
    )
