"""A mix divided into pieces before baking: how many there are, what each weighs, and what is left over."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypedDict

from domain.errors import NeededError, OutOfRangeError, Path, broken_limit
from domain.formulas.formula import Mass, WeighedLine, total
from domain.notices import Notice
from domain.pieces.balls import ball_mm
from domain.pieces.counts import Division, Pieces, Vessels, divide, piece_notices, pieces_of
from domain.pieces.scoops import Scoop, ScoopOffer, find_scoop, nearest_scoops
from domain.sources import Cited

MAX_PORTIONS = 100_000  # our own limit, no source
MIN_PIECE_G = 0.001  # our own limit, no source: less is a typing slip
WHOLE = 1e-9  # relative: a count this near to a whole number is whole


@dataclass(frozen=True, slots=True, kw_only=True)
class MixToDivide:
    """The mix to divide: its mass, the sources of its figures, and warnings."""

    mass: Mass
    cited: tuple[Cited, ...] = ()
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWish:
    """How to divide a mix: into pieces of about `piece_g`, into `count` equal pieces, or into scoops of a number."""

    piece_g: float | None = None
    count: int | None = None
    scoop: int | None = None

    def __post_init__(self) -> None:
        """Check that there is exactly one wish and that it is possible."""
        wishes = {"grams_each": self.piece_g, "count": self.count, "scoop": self.scoop}
        sent = [name for name, wish in wishes.items() if wish is not None]
        if len(sent) != 1:
            raise NeededError("Give one of grams_each, count and scoop.", path=tuple(sent[:1]), code="pieces_needed")
        if self.piece_g is not None and self.piece_g < MIN_PIECE_G:
            message = f"A piece weighs at least {MIN_PIECE_G} g."
            raise OutOfRangeError(message, path=self.argument, value=self.piece_g, limit=MIN_PIECE_G, unit="g")
        if self.count is not None and not 1 <= self.count <= MAX_PORTIONS:
            message, limit = f"A mix makes 1 to {MAX_PORTIONS:,} pieces.", broken_limit(self.count, 1, MAX_PORTIONS)
            raise OutOfRangeError(message, path=self.argument, value=self.count, limit=limit)

    @property
    def argument(self) -> Path:
        """The argument that errors about the number of pieces name."""
        return ("count",) if self.count is not None else ("scoop",) if self.scoop is not None else ("grams_each",)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceYield:
    """The whole pieces of a mix.

    `low` and `high` are bounds of the mass of one piece, and `count_low` and `count_high` the counts that follow, since
    scoops are not exact. `ball_mm` is the diameter of one piece as a ball, None if the density is not known.
    `leftover_g` is left after whole scoops, or whole pieces of exactly the mass as written. `pieces` has that mass
    and the neighbours of the count, and is None for scoops.
    """

    count: int
    count_low: int
    count_high: int
    piece_g: float
    low: float
    high: float
    leftover_g: float
    pieces: Pieces | None
    ball_mm: float | None
    scoop: Scoop | None
    nearest: tuple[ScoopOffer, ...]
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...]


class _Density(TypedDict):
    """Figures that need a density."""

    ball_mm: float | None
    nearest: tuple[ScoopOffer, ...]


def mix_of_lines(lines: Sequence[WeighedLine], notices: Sequence[Notice] = ()) -> MixToDivide:
    """The mix that weighed lines make together.

    Args:
        lines: the lines in grams.
        notices: warnings about them.
    Returns:
        The sum of the lines, with every source once.
    """
    return MixToDivide(
        mass=total([line.mass for line in lines]),
        cited=tuple(dict.fromkeys(source for line in lines for source in line.cited)),
        notices=tuple(notices),
    )


def divide_mix(
    mix: Mass,
    wish: PieceWish,
    g_per_ml: float | None = None,
    vessels: Vessels = Vessels(),  # noqa: B008 - frozen
) -> PieceYield:
    """Divide a mix into pieces.

    Args:
        mix: mass of the whole mix, above 0, with its range.
        wish: the mass of a piece, a count, or a scoop.
        g_per_ml: density of the mix as it is divided; a scoop needs it.
        vessels: the tins or cavities that share the pieces evenly.
    Returns:
        The nearest whole number of pieces, which share the whole mix, or whole scoops and the rest; with a density,
        also the scoops nearest to such a piece.
    Raises:
        NeededError: a scoop is requested without a density.
        OutOfRangeError: there is not one whole piece, or there are too many.

    >>> result = divide_mix(Mass(1000.0, 1000.0, 1000.0), PieceWish(piece_g=45.0))
    >>> result.count, round(result.piece_g, 2), result.leftover_g
    (22, 45.45, 10.0)
    """
    if wish.count is not None:
        return _equal(mix, wish.count, g_per_ml, vessels)
    if wish.scoop is None:
        return _nearest(mix, wish, g_per_ml, vessels)
    if g_per_ml is None:
        raise NeededError(
            "A scoop measures volume: give g_per_ml, the mass of a level scoop over its millilitres.",
            path=("g_per_ml",),
            code="density_needed",
        )
    scoop = find_scoop(wish.scoop)
    each, low, high = (float(ml) * g_per_ml for ml in (scoop.ml, scoop.low_ml, scoop.high_ml))
    return _counted(mix, Mass(each, low, high), g_per_ml, scoop)


def _nearest(mix: Mass, wish: PieceWish, g_per_ml: float | None, vessels: Vessels) -> PieceYield:
    division = Division(grams_each=wish.piece_g)
    pieces = divide(mix.grams, division, vessels)
    low, high = (pieces_of(grams, pieces.written_grams, vessels=vessels).count for grams in (mix.low, mix.high))
    if high > MAX_PORTIONS:
        raise _too_many("grams_each", high)
    each = mix.times(1 / pieces.count)
    return PieceYield(
        count=pieces.count,
        count_low=low,
        count_high=high,
        piece_g=pieces.grams_each,
        low=each.low,
        high=each.high,
        leftover_g=pieces.leftover_grams,
        pieces=pieces,
        scoop=None,
        **_of_density(pieces.grams_each, g_per_ml),
        cited=(),
        notices=tuple(notice.at("grams_each") for notice in piece_notices(pieces, "The mix")),
    )


def _too_many(field: str, count: float) -> OutOfRangeError:
    message = f"There would be more than {MAX_PORTIONS:,} pieces."
    return OutOfRangeError(message, path=(field,), value=count, limit=MAX_PORTIONS)


def _equal(mix: Mass, count: int, g_per_ml: float | None, vessels: Vessels) -> PieceYield:
    each = mix.times(1 / count)
    if each.grams < MIN_PIECE_G:
        message = f"A piece would weigh {each.grams:.3g} g, and weighs at least {MIN_PIECE_G} g: ask for fewer."
        raise OutOfRangeError(message, path=("count",), value=each.grams, limit=MIN_PIECE_G, unit="g")
    pieces = divide(mix.grams, Division(count=count), vessels)
    return PieceYield(
        count=count,
        count_low=count,
        count_high=count,
        piece_g=mix.grams / count,
        low=each.low,
        high=each.high,
        leftover_g=0.0,
        pieces=None,
        scoop=None,
        **_of_density(mix.grams / count, g_per_ml),
        cited=(),
        notices=tuple(notice.at("count") for notice in piece_notices(pieces, "The mix")),
    )


def _counted(mix: Mass, each: Mass, g_per_ml: float, scoop: Scoop) -> PieceYield:
    # Checked before counting, since a very small mass gives a count beyond what a float holds.
    if mix.high > each.low * (MAX_PORTIONS + 1):
        raise _too_many("scoop", mix.high / each.low)
    count, most = _whole(mix.grams / each.grams), _whole(mix.high / each.low)
    if count < 1:
        message = f"A scoop of {each.grams:,.0f} g is more than the mix of {mix.grams:,.0f} g."
        raise OutOfRangeError(message, path=("scoop",), value=each.grams, limit=mix.grams, unit="g")
    if most > MAX_PORTIONS:
        raise _too_many("scoop", most)
    return PieceYield(
        count=count,
        count_low=_whole(mix.low / each.high),
        count_high=most,
        piece_g=each.grams,
        low=each.low,
        high=each.high,
        leftover_g=max(0.0, mix.grams - count * each.grams),
        pieces=None,
        scoop=scoop,
        ball_mm=ball_mm(each.grams, g_per_ml),
        nearest=(),
        cited=scoop.cited,
        notices=scoop.notices,
    )


def _of_density(piece_g: float, g_per_ml: float | None) -> _Density:
    if g_per_ml is None:
        return {"ball_mm": None, "nearest": ()}
    return {"ball_mm": ball_mm(piece_g, g_per_ml), "nearest": nearest_scoops(piece_g, g_per_ml)}


def _whole(exact: float) -> int:
    return math.floor(exact * (1 + WHOLE))
