"""Doneness by place: what the heat field at the end of a bake means for each cut piece."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.baking.core_safety import REFERENCE_C, Z_C
from domain.baking.heat_field import HeatField, Isotherm
from domain.baking.plan_pieces import GAUSS, Place, PlanPiece, gap_radius_of, plan_pieces, scale_of
from domain.baking.window import BakeEstimate
from domain.cutting.budget import MAP, MAPPED_PIECE, WINDOW, CutBudget
from domain.cutting.layouts import CutLayout
from domain.errors import DomainError, DomainErrors, NeededError, OutOfRangeError

MAX_BANDS = 12  # our own limit: a shop tells apart no more
MAX_MAPPED_PIECES = 400  # our own limit: it bounds the work of one map
HISTORY_STEPS = 32  # even, for Simpson's rule; twice as many change the lethality by under a hundredth
TIN_FACE_SHARE = 0.3  # our own judgement, 0.1 to 0.6: loss through a face against the tin over that of as much top


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A word of the shop's for pieces whose coldest point is at most `up_to_c`; None in the last band is the rest."""

    name: str
    up_to_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceDoneness:
    """One cut piece at the end of the bake.

    `coldest_c` is its coldest point, `mean_c` the mean over its volume. `crust_percent` is the open top and the
    faces against the wall as a share of its whole surface, `side_percent` its share of the slab's wall. The losses
    are grams through top, wall and base, None if the slab's loss is not known. `number` counts the whole
    pieces from 1 in the layout's order, `index` all shapes of the layout from 0.
    """

    number: int
    index: int
    coldest_c: float
    mean_c: float
    lethality_minutes: float
    crust_percent: float
    side_percent: float
    top_loss_g: float | None
    side_loss_g: float | None
    base_loss_g: float | None
    band: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Doneness:
    """The whole pieces in the layout's order, and the isotherms at half the height, after the median's minutes."""

    layout: CutLayout
    minutes: float
    pieces: tuple[PieceDoneness, ...]
    isotherms: tuple[Isotherm, ...]
    bands: tuple[Band, ...]


def doneness_by_place(
    estimate: BakeEstimate,
    layout: CutLayout,
    *,
    baked_depth_mm: float | None = None,
    mix_g: float | None = None,
    bands: Sequence[Band] = (),
) -> Doneness:
    """Doneness of each piece of a slab, in a bake that takes the median.

    Args:
        estimate: of the target that is cut.
        layout: how it is cut, at most `MAX_MAPPED_PIECES` pieces.
        baked_depth_mm: height of the baked slab; None for the batter's height in the oven.
        mix_g: mass of the raw mix in the tin; with the slab's mass in the layout it gives the moisture lost.
        bands: the shop's own words, from the coldest up; none are built in.
    Returns:
        The pieces and the isotherms. The piece in the middle has the estimate's core as its coldest point, unless
        dough pieces sit in the batter: those are colder than the batter around them.
    Raises:
        DomainErrors: too many pieces (`cuts`), or bands that do not rise (`bands`, index, `up_to`).
    Source:
        `domain.baking.heat_field`; lethality as in `domain.baking.core_safety`. How the loss divides between the
        faces is our own judgement.
    """
    check_bands(bands)
    _check_count(len(layout.shapes))
    field = HeatField(estimate)
    half_mm = [direction.half_mm for direction in field.across]
    height_mm = baked_depth_mm or 2 * field.upright.half_mm
    pieces = plan_pieces(layout, half_mm, height_mm)
    slab_g = layout.cutting.slab_g
    losses = _losses_g(pieces, None if mix_g is None or slab_g is None else max(0.0, mix_g - slab_g))
    wall_mm2 = sum(piece.wall_mm2 for piece in pieces)
    places = [shape.place for shape in layout.shapes]
    whole = [index for index, place in enumerate(places) if place != "part"]
    means = _means_c(field, [pieces[index] for index in whole])
    lethalities = _lethalities(field, [pieces[index].coldest for index in whole])
    answers = list[PieceDoneness]()
    for index, mean_c, lethality_minutes in zip(whole, means, lethalities, strict=True):
        piece = pieces[index]
        coldest_c = field.celsius(piece.coldest, 0.0, field.minutes)
        top_loss_g, side_loss_g, base_loss_g = losses[index]
        answers.append(
            PieceDoneness(
                number=len(answers) + 1,
                index=index,
                coldest_c=coldest_c,
                mean_c=mean_c,
                lethality_minutes=lethality_minutes,
                crust_percent=100 * (piece.top_mm2 + piece.wall_mm2) / piece.surface_mm2,
                side_percent=100 * piece.wall_mm2 / wall_mm2 if wall_mm2 else 0.0,
                top_loss_g=top_loss_g,
                side_loss_g=side_loss_g,
                base_loss_g=base_loss_g,
                band=band_of(coldest_c, bands),
            )
        )
    limits = [band.up_to_c for band in bands if band.up_to_c is not None]
    return Doneness(
        layout=layout,
        minutes=estimate.minutes,
        pieces=tuple(answers),
        isotherms=field.isotherms(scale_of(layout.slab, half_mm), limits, gap_radius_mm=gap_radius_of(layout.slab)),
        bands=tuple(bands),
    )


def charge_map(layout: CutLayout, budget: CutBudget) -> None:
    """Charge the work of a map, before it is made.

    Args:
        layout: of the slab.
        budget: is charged.
    Raises:
        OutOfRangeError: the budget is used up.
    """
    budget.spend(MAP + MAPPED_PIECE * len(layout.shapes))


def charge_windows(bakes: Sequence[object | None], budget: CutBudget) -> None:
    """Charge the windows of a request that asks for maps too.

    Args:
        bakes: of each target; None for a target without one.
        budget: is charged.
    """
    budget.spend(WINDOW * sum(bake is not None for bake in bakes))


def check_bands(bands: Sequence[Band]) -> None:
    """Check that the bands rise, and that only the last has no upper limit.

    Args:
        bands: from the coldest up.
    Raises:
        DomainErrors: one error for each band that does not fit.
    """
    errors = list[DomainError]()
    if len(bands) > MAX_BANDS:
        message = f"At most {MAX_BANDS} bands can be told apart."
        errors.append(OutOfRangeError(message, path=("bands",), value=len(bands), limit=MAX_BANDS))
    for index, (lower, upper) in enumerate(pairwise(bands)):
        if lower.up_to_c is None:
            message = f"Only the last band has no upper limit; “{lower.name}” is not the last."
            errors.append(NeededError(message, path=("bands", index, "up_to"), code="needed"))
        elif upper.up_to_c is not None and upper.up_to_c <= lower.up_to_c:
            message = f"The bands go from cold to hot: {upper.up_to_c:g} °C comes after {lower.up_to_c:g} °C."
            path, limit = ("bands", index + 1, "up_to"), lower.up_to_c
            errors.append(OutOfRangeError(message, path=path, value=upper.up_to_c, limit=limit, unit="celsius"))
    if errors:
        raise DomainErrors(errors)


def band_of(celsius: float, bands: Sequence[Band]) -> str | None:
    """The name of the first band that reaches a temperature; None if none does.

    Args:
        celsius: of a piece's coldest point.
        bands: from the coldest up.
    Returns:
        The name.

    >>> band_of(94.0, [Band(name="soft", up_to_c=93), Band(name="firm")])
    'firm'
    """
    return next((band.name for band in bands if band.up_to_c is None or celsius <= band.up_to_c), None)


def _check_count(count: int) -> None:
    if count > MAX_MAPPED_PIECES:
        message = f"A map shows at most {MAX_MAPPED_PIECES} pieces: cut larger ones, or leave the map out."
        raise DomainErrors([OutOfRangeError(message, path=("cuts",), value=count, limit=MAX_MAPPED_PIECES)])


def _means_c(field: HeatField, pieces: Sequence[PlanPiece]) -> list[float]:
    """The mean temperature of each piece. Pieces that mirror each other have the same one."""
    heights = [(field.upright.half_mm * up, share) for up, share in GAUSS]
    by_samples = dict[tuple[Place, ...], float]()
    means = list[float]()
    for piece in pieces:
        samples = tuple(sorted([_rounded(place) for place, _ in piece.samples]))
        if samples not in by_samples:
            by_samples[samples] = field.mean_celsius(piece.samples, heights)
        means.append(by_samples[samples])
    return means


def _lethalities(field: HeatField, places: Sequence[Place]) -> list[float]:
    by_place = dict[Place, float]()
    for place in places:
        if _rounded(place) not in by_place:
            by_place[_rounded(place)] = _lethality(field, place)
    return [by_place[_rounded(place)] for place in places]


def _rounded(place: Place) -> Place:
    return tuple([round(distance, 3) for distance in place])


def _lethality(field: HeatField, place: Place) -> float:
    """Minutes at 70 °C with the same effect at one place at half the height, by Simpson's rule."""
    step = field.minutes / HISTORY_STEPS
    rates = [10 ** ((field.celsius(place, 0.0, step * i) - REFERENCE_C) / Z_C) for i in range(HISTORY_STEPS + 1)]
    return (rates[0] + rates[-1] + 4 * sum(rates[1:-1:2]) + 2 * sum(rates[2:-1:2])) * step / 3


def _losses_g(
    pieces: Sequence[PlanPiece], loss_g: float | None
) -> list[tuple[float | None, float | None, float | None]]:
    """What each piece loses through top, wall and base; None if the slab's loss is not known."""
    if loss_g is None:
        return [(None, None, None)] * len(pieces)
    weights = [_loss_weights(piece) for piece in pieces]
    total = sum(sum(weight) for weight in weights)
    return [(loss_g * top / total, loss_g * wall / total, loss_g * base / total) for top, wall, base in weights]


def _loss_weights(piece: PlanPiece) -> tuple[float, float, float]:
    """How readily a piece loses moisture through top, wall and base: vapour finds its way up along the tin."""
    return piece.top_mm2, TIN_FACE_SHARE * piece.wall_mm2, TIN_FACE_SHARE * piece.top_mm2
