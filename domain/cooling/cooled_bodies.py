"""What cools, freezes or thaws: its shape, where it stands, and what is known of it."""

import math
from dataclasses import dataclass, field

from domain.baking.bodies import body_of
from domain.baking.heating import Body, Extent
from domain.cooling.places import check_place
from domain.errors import ErrorCollector, OutOfRangeError, broken_limit
from domain.measures.definitions import G_PER_KG, KG_M3_PER_G_ML, MM3_PER_M3, PERCENT
from domain.notices import Notice
from domain.tins.shapes import Tin

COLDEST_C, WARMEST_C = -40.0, 110.0  # our own limits
MIN_DEPTH_MM, MAX_DEPTH_MM = 1.0, 300.0  # our own limits
LIGHTEST, DENSEST = 100.0, 1500.0  # kg/m³, our own limits of a bake or a dough


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """Shares of mass, each from 0 to 1; None for the usual range of a bake."""

    water: float | None = None
    fat: float | None = None
    protein: float | None = None
    sugar: float | None = None
    salt: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """A ball of dough."""

    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InTin:
    """A bake or dough of a tin's shape."""

    tin: Tin
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingBody:
    """What cools: its shape, where it stands, and what is known of it.

    A ball is out of any tin. `grams` is the mass of the whole body, None if it was not weighed; `surroundings_c` is the
    caller's own. `shape` is the body that the model cools, `notices` what that leaves out. Errors name the fields
    without their unit: `depth`, `ball_diameter`, `start_temperature`, `surroundings`, `grams`, `place`, `tin`.
    """

    form: InTin | Ball
    start_c: float
    place: str
    in_tin: bool
    covered: bool = False
    surroundings_c: float | None = None
    grams: float | None = None
    composition: Composition = Composition()
    shape: Body = field(init=False, repr=False, compare=False)
    notices: tuple[Notice, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the fields.

        Raises:
            DomainErrors: one error for each field outside its limits.
        """
        errors = ErrorCollector()
        with errors.at("ball_diameter" if isinstance(self.form, Ball) else "depth"):
            _check_size(self.form)
        for name, celsius in (("start_temperature", self.start_c), ("surroundings", self.surroundings_c)):
            with errors.at(name):
                check_celsius(celsius)
        with errors.at("place"):
            check_place(self.place)
        with errors.at("composition"):
            _check_shares(self.composition)
        errors.raise_if_any()
        with errors.at():
            shape, notices = _shape_of(self.form)
            object.__setattr__(self, "shape", shape)
            object.__setattr__(self, "notices", notices)
            _check_density(body_density(self))
        errors.raise_if_any()


def _check_size(form: InTin | Ball) -> None:
    ball = isinstance(form, Ball)
    size = form.diameter_mm if isinstance(form, Ball) else form.depth_mm
    if not MIN_DEPTH_MM <= size <= MAX_DEPTH_MM:
        limits = f"{MIN_DEPTH_MM:g} to {MAX_DEPTH_MM:g} mm"
        message = f"Give a ball of {limits} across." if ball else f"Give a height of {limits}."
        limit = broken_limit(size, MIN_DEPTH_MM, MAX_DEPTH_MM)
        raise OutOfRangeError(message, value=size, limit=limit, unit="mm")


def _check_shares(composition: Composition) -> None:
    shares = [share for share in shares_of(composition) if share is not None]
    if all(0 <= share <= 1 for share in shares) and sum(shares) <= 1:
        return
    negative = min(shares) < 0
    value, limit = (PERCENT * min(shares), 0.0) if negative else (PERCENT * max(sum(shares), *shares), 100.0)
    message = "Give each share of the bake from 0 to 100 percent, and together at most 100."
    raise OutOfRangeError(message, value=value, limit=limit, unit="percent")


def _check_density(kg_m3: float | None) -> None:
    if kg_m3 is not None and not LIGHTEST <= kg_m3 <= DENSEST:
        raise OutOfRangeError(
            f"It would weigh {kg_m3 / KG_M3_PER_G_ML:.2f} g/ml: check its grams and its size.",
            path=("grams",),
            value=kg_m3 / KG_M3_PER_G_ML,
            limit=broken_limit(kg_m3, LIGHTEST, DENSEST) / KG_M3_PER_G_ML,
            unit="g_per_ml",
        )


def _shape_of(form: InTin | Ball) -> tuple[Body, tuple[Notice, ...]]:
    if isinstance(form, InTin):
        return body_of(form.tin, form.depth_mm)
    radius = form.diameter_mm / 2
    return Body(extents=(Extent(shape="sphere", half_mm=radius),), volume_mm3=4 / 3 * math.pi * radius**3), ()


def check_celsius(celsius: float | None) -> None:
    """Check a temperature that is given.

    Args:
        celsius: the temperature; None passes.

    Raises:
        OutOfRangeError: outside the range of the component equations.
    """
    if celsius is not None and not COLDEST_C <= celsius <= WARMEST_C:
        limit = broken_limit(celsius, COLDEST_C, WARMEST_C)
        message = f"Give a temperature from {COLDEST_C:g} to {WARMEST_C:g} °C."
        raise OutOfRangeError(message, value=celsius, limit=limit, unit="celsius")


def shares_of(composition: Composition) -> tuple[float | None, ...]:
    """The shares one by one.

    Args:
        composition: the composition.
    Returns:
        Water, fat, protein, sugar and salt.
    """
    return composition.water, composition.fat, composition.protein, composition.sugar, composition.salt


def body_density(body: CoolingBody) -> float | None:
    """Mass over volume.

    Args:
        body: what was weighed, or not.
    Returns:
        kg/m³; None if the body was not weighed.
    """
    return None if body.grams is None else body.grams / G_PER_KG / (body.shape.volume_mm3 / MM3_PER_M3)


def composition_from_percent(
    *,
    water_percent: float | None = None,
    fat_percent: float | None = None,
    protein_percent: float | None = None,
    sugar_percent: float | None = None,
    salt_percent: float | None = None,
) -> Composition:
    """A composition from percentages of the mass.

    Args:
        water_percent: 0 to 100; None for the usual range, as with the others.
        fat_percent: 0 to 100.
        protein_percent: 0 to 100.
        sugar_percent: all sugars, 0 to 100.
        salt_percent: 0 to 100.
    Returns:
        The composition.

    >>> composition_from_percent(water_percent=30).water
    0.3
    """
    percents = water_percent, fat_percent, protein_percent, sugar_percent, salt_percent
    water, fat, protein, sugar, salt = (None if each is None else each / PERCENT for each in percents)
    return Composition(water=water, fat=fat, protein=protein, sugar=sugar, salt=salt)
