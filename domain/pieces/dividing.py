"""A mix divided into pieces before baking: how many, how heavy, what is left."""

import math
from dataclasses import dataclass
from typing import TypedDict

from domain.errors import NeededError, OutOfRangeError
from domain.formulas.formula import Mass
from domain.notices import Notice
from domain.pieces.scoops import Scoop, ScoopOffer, find_scoop, nearest_scoops
from domain.sources import Cited

MAX_PORTIONS = 100_000  # our own limit, no source
LEAST_PIECE_G = 0.001  # our own limit, no source: less is a slip
WHOLE = 1e-9  # relative: a count this near a whole number is whole
MM3_PER_ML = 1_000  # definition


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWish:
    """One of: pieces of `piece_g`, `count` equal pieces, or level scoops of a number."""

    piece_g: float | None = None
    count: int | None = None
    scoop: int | None = None

    def __post_init__(self) -> None:
        """Check that there is one wish, and that it can be met."""
        if sum(wish is not None for wish in (self.piece_g, self.count, self.scoop)) != 1:
            raise NeededError("Say one of grams_each, count or scoop.", code="pieces-needed")
        if self.piece_g is not None and self.piece_g < LEAST_PIECE_G:
            raise OutOfRangeError(f"A piece weighs at least {LEAST_PIECE_G} g.", path=("grams_each",))
        if self.count is not None and not 1 <= self.count <= MAX_PORTIONS:
            raise OutOfRangeError(f"A mix makes 1 to {MAX_PORTIONS:,} pieces.", path=("count",))


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceYield:
    """Whole pieces of a mix. `low`, `high`: mass of one, and with them the counts, where a scoop is not exact.

    `ball_mm`: diameter of one as a ball, None if the density is not known.
    """

    count: int
    count_low: int
    count_high: int
    piece_g: float
    low: float
    high: float
    leftover_g: float
    ball_mm: float | None
    scoop: Scoop | None
    nearest: tuple[ScoopOffer, ...]
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...]


class _Density(TypedDict):
    """What only a density tells."""

    ball_mm: float | None
    nearest: tuple[ScoopOffer, ...]


def divide_mix(mix: Mass, wish: PieceWish, g_per_ml: float | None = None) -> PieceYield:
    """How many pieces a mix makes.

    Args:
        mix: the whole mix, above 0, with its range.
        wish: the mass of a piece, a count, or a scoop.
        g_per_ml: density of the mix as it is divided; a scoop needs it.
    Returns:
        Whole pieces and what is left; with a density, the nearest scoops for such a piece.
    Raises:
        NeededError: a scoop without a density.
        OutOfRangeError: not one whole piece, or too many.

    >>> found = divide_mix(Mass(1000.0, 1000.0, 1000.0), PieceWish(piece_g=45.0))
    >>> found.count, found.leftover_g
    (22, 10.0)
    """
    if wish.count is not None:
        return _equal(mix, wish.count, g_per_ml)
    if wish.scoop is None:
        each = wish.piece_g or 0.0
        return _counted(mix, Mass(each, each, each), g_per_ml)
    if g_per_ml is None:
        raise NeededError(
            "A scoop measures volume: give g_per_ml, the mass of a level scoop over its millilitres.",
            path=("g_per_ml",),
            code="density-needed",
        )
    scoop = find_scoop(wish.scoop)
    each, low, high = (float(ml) * g_per_ml for ml in (scoop.ml, scoop.low_ml, scoop.high_ml))
    return _counted(mix, Mass(each, low, high), g_per_ml, scoop)


def ball_mm(piece_g: float, g_per_ml: float) -> float:
    """Diameter of a piece rolled into a ball.

    Args:
        piece_g: its mass.
        g_per_ml: its density.
    Returns:
        Millimetres.
    Source:
        The volume of a sphere, π/6·d³.
    """
    return math.cbrt(6 / math.pi * piece_g / g_per_ml * MM3_PER_ML)


def _equal(mix: Mass, count: int, g_per_ml: float | None) -> PieceYield:
    each = mix.times(1 / count)
    if each.grams < LEAST_PIECE_G:
        raise OutOfRangeError(f"A piece weighs at least {LEAST_PIECE_G} g: ask for fewer.", path=("count",))
    return PieceYield(
        count=count,
        count_low=count,
        count_high=count,
        piece_g=mix.grams / count,
        low=each.low,
        high=each.high,
        leftover_g=0.0,
        scoop=None,
        **_of_density(mix.grams / count, g_per_ml),
        cited=(),
        notices=(),
    )


def _counted(mix: Mass, each: Mass, g_per_ml: float | None, scoop: Scoop | None = None) -> PieceYield:
    field = "grams_each" if scoop is None else "scoop"
    # Before any counting: a mass may be so small that there is no end of pieces.
    if mix.high > each.low * (MAX_PORTIONS + 1):
        raise OutOfRangeError(f"More than {MAX_PORTIONS:,} pieces.", path=(field,))
    count, most = _whole(mix.grams / each.grams), _whole(mix.high / each.low)
    if count < 1:
        raise OutOfRangeError("The mix does not make one whole piece.", path=(field,))
    if most > MAX_PORTIONS:
        raise OutOfRangeError(f"More than {MAX_PORTIONS:,} pieces.", path=(field,))
    density = _of_density(each.grams, g_per_ml)
    if scoop is not None:
        density["nearest"] = ()
    return PieceYield(
        count=count,
        count_low=_whole(mix.low / each.high),
        count_high=most,
        piece_g=each.grams,
        low=each.low,
        high=each.high,
        leftover_g=max(0.0, mix.grams - count * each.grams),
        scoop=scoop,
        **density,
        cited=() if scoop is None else scoop.cited,
        notices=() if scoop is None else scoop.notices,
    )


def _of_density(piece_g: float, g_per_ml: float | None) -> _Density:
    if g_per_ml is None:
        return {"ball_mm": None, "nearest": ()}
    return {"ball_mm": ball_mm(piece_g, g_per_ml), "nearest": nearest_scoops(piece_g, g_per_ml)}


def _whole(exact: float) -> int:
    return math.floor(exact * (1 + WHOLE))
