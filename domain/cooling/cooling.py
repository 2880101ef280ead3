"""How long a bake or a dough takes to cool, freeze or thaw: a window of minutes for each core temperature.

Without freezing, the bake is a product of plane walls and cylinders in closed form. With freezing, a grid with the heat
of fusion is solved once with the central figures, and Plank's equation says how the ends of each range differ.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from domain.baking.core_safety import CAUTIONS, Caution
from domain.baking.heating import Body, Extent, heating
from domain.baking.thermal_properties import MassFractions
from domain.cooling.cooled_bodies import Ball, CoolingBody, body_density, check_celsius, shares_of
from domain.cooling.heat_grid import Grid, Solution, graded, solve_grid
from domain.cooling.places import INSULATED_BASES, own_range, range_of
from domain.cooling.round_bodies import round_extents
from domain.cooling.rules import RULES, Course, Milestone, RuleCheck, check_rule
from domain.cooling.substances import Substance, freezing_point_c, mass_fractions_of, substance_of
from domain.errors import ErrorCollector, MismatchError
from domain.measures.definitions import BOILING_C, MM_PER_M, SECONDS_PER_MINUTE
from domain.notices import Notice
from domain.sources import FigureRange

REACH_C = 0.5  # the core is taken to come no nearer than this to its surroundings
OWN_SURROUNDINGS_C = 2.0  # our own judgement of how closely air round a bake is known
WEIGHING_ERROR = 0.05  # our own judgement of how closely mass and size give a density
MIN_VAPOUR_C = 30.0  # our own limit: a cooler surface evaporates next to nothing
ROUND_MISFIT = 0.05  # of a rectangle's freezing time as a round's: the tests compare with finite volumes of blocks
LEVEL_PERCENT = 80  # of batches, that fall inside the window
CURVE_STEPS = 24  # our own choice
PLANK_FILM, PLANK_BODY = 0.5, 0.125  # Plank's shape factors of a plane wall; their ratio is the same for all shapes
MODEL = (
    "The bake starts at one temperature, and air of one temperature surrounds it.",
    "It cools by conduction inside and by one film coefficient outside, to which the vapour of a hot bake adds.",
    "On a bench its base passes on no heat; elsewhere it stands on a wire shelf or rack, with air below.",
    "Other bakes stand far enough away for air to pass between them.",
    "Each range holds 8 of 10 kitchens; combined as independent errors, they give a window for 8 of 10 batches.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingEstimate:
    """Windows for the temperatures asked for, the curve of the core, and the published limits.

    `freezing_c` is None if nothing freezes or thaws.
    """

    milestones: tuple[Milestone, ...]
    rules: tuple[RuleCheck, ...]
    curve: tuple[tuple[float, float], ...]
    ranges: tuple[FigureRange, ...]
    surroundings_c: float
    freezing_c: float | None
    cautions: tuple[Caution, ...]
    notices: tuple[Notice, ...]
    level_percent: int = LEVEL_PERCENT


def estimate_cooling(body: CoolingBody, wanted_c: dict[str, float]) -> CoolingEstimate:
    """Estimate when the core passes each temperature.

    Args:
        body: what cools or thaws.
        wanted_c: temperatures by the name of the field they come from; at least one.
    Returns:
        One milestone for each, in order, each with a window of whole minutes, and the published limits checked.
    Raises:
        DomainErrors: a temperature that the core does not reach in this place, named as in `wanted_c`; too much work.
    Source:
        Transient conduction as in `domain.baking.conduction`; finite volumes as in `domain.cooling.heat_grid`; Plank's
        equation, 1913, for the effect of film, conductivity and surroundings on a freezing time (from memory).
    """
    errors = ErrorCollector()
    case = _central(body)
    surroundings = case.ranges["surroundings"]
    cooling = body.start_c > surroundings.central
    nearest = surroundings.high + REACH_C if cooling else surroundings.low - REACH_C
    for name, celsius in wanted_c.items():
        with errors.at(name):
            check_celsius(celsius)
            between = nearest <= celsius < body.start_c if cooling else body.start_c < celsius <= nearest
            if not between:
                word = "cool" if cooling else "warm"
                raise MismatchError(
                    f"From {body.start_c:g} °C, a core does not come to {celsius:g} °C in air of {surroundings.low:g} "
                    f"to {surroundings.high:g} °C: there it can {word} to {nearest:g} °C. Choose another temperature "
                    "or place.",
                    code="temperature_not_reached",
                )
    errors.raise_if_any()
    freezes = _freezes(body, case, wanted_c)
    course = _frozen_course(body, case, wanted_c) if freezes else _plain_course(body, case)
    milestones = tuple(course.milestone(celsius) for celsius in wanted_c.values())
    last = max(each.minutes_high for each in milestones)
    return CoolingEstimate(
        milestones=milestones,
        rules=tuple(check_rule(rule, course, body.start_c, nearest) for rule in RULES) if cooling else (),
        curve=tuple((t, course.core_c(t)) for t in (last * i / CURVE_STEPS for i in range(CURVE_STEPS + 1))),
        ranges=tuple(case.ranges.values()),
        surroundings_c=surroundings.central,
        freezing_c=case.freezing_c if freezes else None,
        cautions=CAUTIONS["cool"],
        notices=(*body.notices, *((ROUND_NOTICE,) if freezes and _is_rectangle(body.shape) else ())),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """The ranges of one estimate by parameter, and the composition taken."""

    ranges: dict[str, FigureRange]
    mix: MassFractions
    freezing_c: float

    def central(self) -> dict[str, float]:
        return {name: each.central for name, each in self.ranges.items()}

    def ends(self) -> list[tuple[dict[str, float], dict[str, float]]]:
        """The central figures with one of them at its low and its high end, for each that lengthens conduction."""
        central = self.central()
        return [
            ({**central, name: each.low}, {**central, name: each.high})
            for name, each in self.ranges.items()
            if name in SWEPT
        ]


SWEPT = (
    "surroundings",
    "film_coefficient",
    "tin_share",
    "cover_share",
    "evaporation_share",
    "conductivity_factor",
    "density",
    "water_share",
)


def _central(body: CoolingBody) -> _Case:
    ranges = {
        "surroundings": range_of("surroundings", body.place)
        if body.surroundings_c is None
        else own_range("surroundings", body.surroundings_c, OWN_SURROUNDINGS_C),
        "film_coefficient": range_of("film_coefficient", body.place),
    }
    ball = isinstance(body.form, Ball)
    if body.in_tin and not ball:
        ranges["tin_share"] = range_of("tin_share")
    if body.covered:
        ranges["cover_share"] = range_of("cover_share")
    elif body.start_c > MIN_VAPOUR_C:
        ranges["evaporation_share"] = _evaporation(body.start_c)
    density, dough = body_density(body), "dough_" if ball else ""
    ranges["density"] = (
        range_of(f"{dough}density") if density is None else own_range("density", density, WEIGHING_ERROR * density)
    )
    for name in ("conductivity_factor", "repeatability"):
        ranges[name] = range_of(name)
    composition = body.composition
    water, fat, protein, sugar, salt = (
        range_of(f"{dough}{name}_share").central if share is None else share
        for name, share in zip(("water", "fat", "protein", "sugar", "salt"), shares_of(composition), strict=True)
    )
    if composition.water is None:
        ranges["water_share"] = range_of(f"{dough}water_share")
    return _Case(
        ranges=ranges,
        mix=mass_fractions_of(water=water, fat=fat, protein=protein, salt=salt),
        freezing_c=freezing_point_c(water_g=max(water, 1e-3), sugar_g=sugar, salt_g=salt),
    )


def _evaporation(start_c: float) -> FigureRange:
    """What vapour adds to the film of a body that starts at a temperature: all of the range if it comes boiling."""
    of_boiling = range_of("evaporation_share")
    weight = min(1.0, (start_c - MIN_VAPOUR_C) / (BOILING_C - MIN_VAPOUR_C))
    low, central, high = (share**weight for share in (of_boiling.low, of_boiling.central, of_boiling.high))
    return replace(of_boiling, low=low, central=central, high=high)


def _film(figures: dict[str, float]) -> float:
    shares = (figures.get(name, 1.0) for name in ("tin_share", "cover_share", "evaporation_share"))
    return figures["film_coefficient"] * math.prod(shares)


def _substance(case: _Case, figures: dict[str, float]) -> Substance:
    mix, water = case.mix, figures.get("water_share")
    if water is not None and water != mix.water:
        rest = 1 - mix.water
        shrunk = {name: share * (1 - water) / rest for name, share in mix.items() if name != "water"}
        mix = MassFractions(water=water, **shrunk)
    return _cached_substance(mix, case.freezing_c, figures["density"], figures["conductivity_factor"])


@lru_cache(maxsize=256)
def _cached_substance(mix: MassFractions, freezing_c: float, density: float, factor: float) -> Substance:
    return substance_of(mix, freezing_c=freezing_c, density=density, conductivity_factor=factor)


def _on_base(body: CoolingBody) -> Body:
    """With an insulated base, a body cools as the upper half of one twice as deep; a ball touches it in a point."""
    if body.place not in INSULATED_BASES or isinstance(body.form, Ball):
        return body.shape
    *across, upright = body.shape.extents
    return replace(body.shape, extents=(*across, replace(upright, half_mm=2 * upright.half_mm)))


def _freezes(body: CoolingBody, case: _Case, wanted_c: dict[str, float]) -> bool:
    return min(body.start_c, *wanted_c.values()) < case.freezing_c


def _plain_course(body: CoolingBody, case: _Case) -> Course:
    """The course without freezing, in closed form."""
    whole = _on_base(body)

    def rate(figures: dict[str, float]) -> tuple[Substance, float]:
        substance = _substance(case, figures)
        return substance, substance.conductivity / substance.capacity * MM_PER_M**2 * SECONDS_PER_MINUTE

    def minutes(figures: dict[str, float], celsius: float) -> float:
        substance, diffusivity = rate(figures)
        around = figures["surroundings"]
        passed = (body.start_c - celsius) / (body.start_c - around)
        film_per_mm = _film(figures) / substance.conductivity / MM_PER_M
        # The solution of a body at 0 in surroundings at 1: only the share of the difference matters.
        return heating(whole, film_per_mm=film_per_mm, surroundings_c=1.0, start_c=0.0).s_at(passed) / diffusivity

    central = case.central()
    substance, diffusivity = rate(central)
    heated = heating(
        whole, film_per_mm=_film(central) / substance.conductivity / MM_PER_M, surroundings_c=1.0, start_c=0.0
    )

    def core_c(t: float) -> float:
        return body.start_c + heated.core_c(diffusivity * t) * (central["surroundings"] - body.start_c)

    def minutes_at(celsius: float) -> float:
        return minutes(central, celsius)

    def ends(celsius: float) -> tuple[float, float]:
        middle = minutes_at(celsius)
        return _combined(
            [(minutes(low, celsius) / middle, minutes(high, celsius) / middle) for low, high in case.ends()], case
        )

    return Course(minutes_at=minutes_at, ends=ends, core_c=core_c)


def _combined(ratios: list[tuple[float, float]], case: _Case, misfit: float = 0.0) -> tuple[float, float]:
    """The ends of a window, relative to the median: independent errors add as squares of their logarithms."""
    repeat = case.ranges["repeatability"].high
    faster = slower = math.log1p(repeat) ** 2 + misfit**2
    for pair in ratios:
        logs = [math.log(ratio) for ratio in pair]
        faster += min(0.0, *logs) ** 2
        slower += max(0.0, *logs) ** 2
    return math.exp(-math.sqrt(faster)), math.exp(math.sqrt(slower))


def _frozen_course(body: CoolingBody, case: _Case, wanted_c: dict[str, float]) -> Course:
    """The course with heat of fusion: one solution on a grid, and Plank's equation for the ends."""
    figures = case.central()
    cooling = body.start_c > figures["surroundings"]
    last_c = min(wanted_c.values()) if cooling else max(wanted_c.values())
    whole = _on_base(body)
    solution = _solution(
        whole.extents, body.start_c, last_c, figures["surroundings"], _film(figures), _substance(case, figures)
    )

    def minutes_at(celsius: float) -> float:
        seconds = solution.time_at(celsius)
        if seconds is None:
            raise AssertionError("every wanted temperature is passed")
        return seconds / SECONDS_PER_MINUTE

    def ends(celsius: float) -> tuple[float, float]:
        def plank(changed: dict[str, float]) -> float:
            return _plank_minutes(body, whole, _substance(case, changed), changed, celsius)

        middle = plank(figures)
        misfit = ROUND_MISFIT if _is_rectangle(body.shape) else 0.0
        return _combined([(plank(low) / middle, plank(high) / middle) for low, high in case.ends()], case, misfit)

    return Course(minutes_at=minutes_at, ends=ends, core_c=lambda t: _interpolated(solution, t * SECONDS_PER_MINUTE))


@lru_cache(maxsize=32)  # the curve and its milestones again, with another temperature or a rule
def _solution(  # noqa: PLR0917 - the key of the cache
    extents: tuple[Extent, ...], start_c: float, last_c: float, surroundings_c: float, film: float, substance: Substance
) -> Solution:
    if extents[0].shape == "sphere":
        grid = Grid(radial=graded(extents[0].half_mm, extents[0].half_mm))
    else:
        radius, half = round_extents(extents)
        least = min(radius, half)
        grid = Grid(radial=graded(radius, least), upright=graded(half, least))
    cooling = start_c > surroundings_c
    until: Callable[[float], bool] = (lambda c: c <= last_c) if cooling else (lambda c: c >= last_c)
    return solve_grid(grid, substance, start_c, film, surroundings_c, until)


def _plank_minutes(
    body: CoolingBody, whole: Body, substance: Substance, figures: dict[str, float], celsius: float
) -> float:
    """Plank's time, with the sensible heat by the same resistances; only its ratios are used.

    Heat passes through the layer that has already frozen, or already thawed.
    """
    thick = 2 * whole.least_half_mm / MM_PER_M
    around, freezing = figures["surroundings"], substance.freezing_c
    conductivity = substance.frozen_conductivity if body.start_c > around else substance.conductivity
    resistance = thick * PLANK_FILM / _film(figures) + PLANK_BODY * thick**2 / conductivity
    frozen_by = substance.ice_share(min(celsius, body.start_c)) - substance.ice_share(max(celsius, body.start_c))
    latent = substance.fusion * frozen_by / max(REACH_C, abs(freezing - around))
    left = math.log((body.start_c - around) / (celsius - around))
    return resistance * (latent + substance.capacity * left)


def _interpolated(solution: Solution, seconds: float) -> float:
    times, values = solution.seconds, solution.middle_c
    for i in range(1, len(times)):
        if times[i] >= seconds:
            share = (seconds - times[i - 1]) / (times[i] - times[i - 1])
            return values[i - 1] + share * (values[i] - values[i - 1])
    return values[-1]


def _is_rectangle(shape: Body) -> bool:
    return all(extent.shape == "slab" for extent in shape.extents)


ROUND_NOTICE = Notice(
    code="shape_approximated",
    message=(
        "While it freezes or thaws, the time is that of a round as quick as this rectangle; the window allows "
        f"{100 * ROUND_MISFIT:g} % for that."
    ),
    path=("tin",),
)
