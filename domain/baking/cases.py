"""The cases of a bake estimate: each is calibrated on the reference and solved for the target.

Every case assumes, and the answer says: one film coefficient on all faces and surroundings at one temperature,
although heat enters the base and sides through the tin and the top from the air; one diffusivity of the batter,
although it rises and dries; no melting. The calibration on a bake that works absorbs the rest, so only the
differences between reference and target depend on the assumptions.
"""

import math
from dataclasses import dataclass, field
from functools import cache, lru_cache
from itertools import product

from domain.baking.bodies import body_of
from domain.baking.heating import Body, ColdPiece, Heating, heating
from domain.baking.oven import FAN_OFFSETS, Oven, conventional_c
from domain.errors import DomainError, DomainErrors, NeededError, OutOfRangeError
from domain.notices import Notice
from domain.pieces.displacement import DOUGH_G_PER_ML
from domain.reference import rows
from domain.sources import Cited, cited
from domain.tins.shapes import MM3_PER_ML, Tin

BOILING_C = 100.0  # definition, at sea level: steam keeps a wet surface at this temperature
MM_PER_M = 1000  # definition
COLDEST_START_C, WARMEST_START_C = 0.0, 60.0  # our own limits: the model covers neither melting nor cooked batter
MAX_DEPTH_MM = 300.0  # our own limit, no source
DENSEST_PACKING = 0.64  # share of space that randomly packed spheres fill (from memory)
MAX_PIECES = 1_000  # our own limit, no source
USUAL_START_C = 20.0  # our own assumption if none is given: a batter just mixed, in a kitchen
MODEL = (
    "Heat enters the base and sides through the tin and the top from the air; every face has one film coefficient.",
    "The batter conducts heat evenly, although it rises and dries; nothing in it melts.",
    "The bake that works calibrates how fast heat moves; only the differences from it depend on the model.",
    "A dough piece is a sphere in the middle of the batter, the last place to heat up.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptRange:
    """A figure that is not known for this oven, with the range that the cases cover."""

    parameter: str
    meaning: str
    unit: str
    low: float
    central: float
    high: float
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class TinMaterial:
    """What a tin is made of; `film_share` is the film coefficient relative to dull light metal."""

    id: str
    film_share: float
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class BatterPieces:
    """Dough pieces set inside a batter: spheres of one size and temperature, `count` of them in one tin.

    If the count is None, one piece sits in the middle and the others are left out; 0 means that there is none.
    Errors name the fields without their unit: `diameter`, `count`, `start_temperature`.
    """

    diameter_mm: float
    start_c: float
    count: int | None = None

    def __post_init__(self) -> None:
        """Check the size, the number and the temperature.

        Raises:
            DomainErrors: one error for each figure outside its limits.
        """
        errors = list[DomainError]()
        if not 1 <= self.diameter_mm <= MAX_DEPTH_MM:
            errors.append(OutOfRangeError(f"A piece is from 1 to {MAX_DEPTH_MM:g} mm across.", path=("diameter",)))
        if self.count is not None and not 0 <= self.count <= MAX_PIECES:
            errors.append(OutOfRangeError(f"A tin takes at most {MAX_PIECES:,} pieces.", path=("count",)))
        errors += _start_errors(self.start_c)
        if errors:
            raise DomainErrors(errors)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bake:
    """A batter in a tin in an oven.

    `body` is the shape that the model heats, and `notices` says what that shape leaves out. Errors name the fields
    without their unit: `filled_depth`, `start_temperature`, `oven`, `tin`, `pieces`.
    """

    tin: Tin
    filled_depth_mm: float
    oven: Oven
    start_c: float
    material: TinMaterial
    pieces: BatterPieces | None = None
    body: Body = field(init=False, repr=False, compare=False)
    notices: tuple[Notice, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the fields, and work out the shape to heat.

        Raises:
            DomainErrors: one error for each field that the model cannot use.
        """
        check_batter(filled_depth_mm=self.filled_depth_mm, start_c=self.start_c, oven=self.oven)
        try:
            body, notices = body_of(self.tin, self.filled_depth_mm)
        except DomainError as error:
            raise DomainErrors([error]) from error
        object.__setattr__(self, "body", body)
        object.__setattr__(self, "notices", notices)
        if self.piece_share > DENSEST_PACKING:
            too_many = OutOfRangeError(
                "So many pieces of this size do not fit into the batter.", path=("pieces", "count")
            )
            raise DomainErrors([too_many])

    @property
    def has_pieces(self) -> bool:
        """Whether a piece sits in the middle of the batter."""
        return self.pieces is not None and self.pieces.count != 0

    @property
    def piece_share(self) -> float:
        """The pieces' share of the batter's volume; 0 if their count is not known."""
        pieces = self.pieces
        if pieces is None or not pieces.count:
            return 0.0
        return pieces.count * math.pi / 6 * pieces.diameter_mm**3 / self.body.volume_mm3


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One set of assumptions. `fan_offset_c` applies if the caller gives none."""

    film: float
    conductivity: float
    surface_share: float
    fan_offset_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedCase:
    """A case with its calibrated diffusivity, in mm² a minute, and the target's minutes."""

    case: Case
    slowness: float
    diffusivity: float
    minutes: float
    reference: Heating
    target: Heating

    def core_c(self, minutes: float) -> float:
        """The temperature of the target's core after *minutes*."""
        return self.target.core_c(self.target.trailing(self.diffusivity * minutes, self.slowness))

    def reference_core_c(self, minutes: float) -> float:
        """The temperature of the reference's core after *minutes*."""
        return self.reference.core_c(self.reference.trailing(self.diffusivity * minutes, self.slowness))


def check_batter(
    *, filled_depth_mm: float | None = None, start_c: float | None = None, oven: Oven | None = None
) -> None:
    """Check the fields of a bake that can be checked without the others.

    Args:
        filled_depth_mm: height of the batter.
        start_c: its temperature when it goes into the oven.
        oven: the setting.
    Raises:
        DomainErrors: one error for each field that is given and that the model cannot use, named as in `Bake`.
    """
    errors = list[DomainError]()
    if filled_depth_mm is not None and not 1 <= filled_depth_mm <= MAX_DEPTH_MM:
        errors.append(OutOfRangeError(f"The batter stands 1 to {MAX_DEPTH_MM:g} mm high.", path=("filled_depth",)))
    if start_c is not None:
        errors += _start_errors(start_c)
    if oven is not None and oven.quantity is None:
        message = "An oven word covers a range: give degrees or a gas mark."
        errors.append(NeededError(message, path=("oven",), code="oven_needed"))
    if errors:
        raise DomainErrors(errors)


def piece_diameter_mm(grams: float, g_per_ml: float = DOUGH_G_PER_ML) -> float:
    """Diameter of a ball of dough.

    Args:
        grams: mass of the ball.
        g_per_ml: density of the dough.
    Returns:
        Millimetres.

    >>> round(piece_diameter_mm(20.0), 1)
    31.7
    """
    return math.cbrt(6 / math.pi * grams / g_per_ml * MM3_PER_ML)


@cache
def cases(*, sweep_fan_offset: bool) -> tuple[Case, ...]:
    """Every case, the central one first.

    Only the ratio of film and conductivity matters, so its extremes combine the lowest of one with the highest of
    the other. The tests show that cases between these exceed their envelope by less than half a percent.
    """
    film, conductivity, surface = (RANGES[p] for p in ("film_coefficient", "conductivity", "surface_share"))
    ratios = (
        (film.central, conductivity.central),
        (film.low, conductivity.high),
        (film.high, conductivity.low),
    )
    offsets = [float(o.amount) for o in (FAN_OFFSETS[0], FAN_OFFSETS[-1])][: 2 if sweep_fan_offset else 1]
    return tuple(
        Case(film=h, conductivity=k, surface_share=share, fan_offset_c=offset)
        for offset, (h, k), share in product(offsets, ratios, (surface.central, surface.low, surface.high))
    )


def solve(reference: Bake, minutes: float, core_c: float, target: Bake, case: Case) -> tuple[SolvedCase, ...]:
    """The target's minutes in one case; with pieces, for each of their three slownesses.

    Args:
        reference: the bake that works; its core reaches `core_c` after `minutes`.
        minutes: above 0.
        core_c: that both ovens can reach.
        target: the bake to estimate.
        case: the assumptions.
    Returns:
        With s = diffusivity · time of `heating`: the diffusivity is s(reference)/minutes, the target's time
        s(target)/diffusivity. The same bake as target gives the same minutes, bit for bit.
    """
    (before, s_before), (after, s_after) = _solved(reference, core_c, case), _solved(target, core_c, case)
    slow = RANGES["piece_slowness"]
    with_pieces = before.piece is not None or after.piece is not None
    solved = []
    for slowness in (slow.central, slow.low, slow.high) if with_pieces else (1.0,):
        reference_s, target_s = before.catching_up(s_before, slowness), after.catching_up(s_after, slowness)
        solved.append(
            SolvedCase(
                case=case,
                slowness=slowness,
                diffusivity=reference_s / minutes,
                minutes=minutes * (target_s / reference_s),
                reference=before,
                target=after,
            )
        )
    return tuple(solved)


@lru_cache(maxsize=1024)  # one reference serves many targets, and the same tins come again
def _solved(bake: Bake, core_c: float, case: Case) -> tuple[Heating, float]:
    heated = heating_of(bake, case)
    return heated, heated.s_at(core_c)


def heating_of(bake: Bake, case: Case) -> Heating:
    """The heating of a bake in one case. A piece thicker than the batter counts as thick as the batter."""
    start, piece = bake.start_c, None
    if bake.pieces is not None and bake.has_pieces:
        others = bake.piece_share * (1 - 1 / bake.pieces.count) if bake.pieces.count else 0.0
        start -= max(0.0, bake.start_c - bake.pieces.start_c) * others
        radius = min(bake.pieces.diameter_mm / 2, bake.body.least_half_mm)
        piece = ColdPiece(radius_mm=radius, colder_by_c=max(0.0, start - bake.pieces.start_c))
    return heating(
        bake.body,
        film_per_mm=case.film * bake.material.film_share / case.conductivity / MM_PER_M,
        surroundings_c=surroundings_c(bake.oven, case),
        start_c=start,
        piece=piece,
    )


def surroundings_c(oven: Oven, case: Case) -> float:
    """The temperature around the batter's surface.

    Args:
        oven: a setting in degrees or a gas mark.
        case: gives the surface share, and the fan offset if the oven has none.
    Returns:
        °C: the boiling point plus the case's share of the excess of the oven; for a cooler oven, its own temperature.
    """
    oven_c = conventional_c(oven, case.fan_offset_c)
    return oven_c if oven_c <= BOILING_C else BOILING_C + case.surface_share * (oven_c - BOILING_C)


def _start_errors(start_c: float) -> list[DomainError]:
    if COLDEST_START_C <= start_c <= WARMEST_START_C:
        return []
    message = (
        f"The start temperature is from {COLDEST_START_C:g} to {WARMEST_START_C:g} °C. Thaw frozen batter or dough "
        "first: the model does not cover melting."
    )
    return [OutOfRangeError(message, path=("start_temperature",))]


RANGES = {
    row["parameter"]: SweptRange(
        parameter=row["parameter"],
        meaning=row["meaning"],
        unit=row["unit"],
        low=float(row["low"]),
        central=float(row["central"]),
        high=float(row["high"]),
        cited=cited(row),
    )
    for row in rows("bake_ranges")
}
TIN_MATERIALS = {
    row["material"]: TinMaterial(id=row["material"], film_share=float(row["film_share"]), cited=cited(row))
    for row in rows("tin_materials")
}
