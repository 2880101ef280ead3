"""A bake, and its solution in one case of the assumptions.

Every case assumes one film coefficient on all faces and one temperature around them, although heat enters the base and
sides through the tin and the top from the air. It assumes one diffusivity of the batter, although it rises and dries.
`MODEL` says so in the answer. The calibration on a bake that works absorbs most of the error: only the differences
between reference and target depend on the assumptions.
"""

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache

from domain.baking.assumptions import Case, HeatFigures
from domain.baking.bodies import body_of
from domain.baking.frozen_pieces import UNFROZEN_C, with_ice_c, without_ice_c
from domain.baking.heating import Body, ColdPiece, Heating, heating
from domain.baking.oven import Oven, setting_c
from domain.baking.oven_load import ONE_TIN, OvenLoad
from domain.errors import DomainError, DomainErrors, NeededError, OutOfRangeError, broken_limit
from domain.measures.definitions import BOILING_C, KELVIN, ML_PER_LITRE, MM3_PER_ML, MM_PER_M
from domain.notices import Notice
from domain.reference import rows
from domain.sources import Cited, cited
from domain.tins.shapes import CavitiesTin, Tin

COLDEST_START_C, WARMEST_START_C = 0.0, 60.0  # our own limits of a batter: neither frozen nor cooked
COLDEST_PIECE_C = -30.0  # our own limit: colder than any shop's freezer
MAX_DEPTH_MM = 300.0  # our own limit, no source
DENSEST_PACKING = 0.64  # share of space that randomly packed spheres fill (from memory)
MAX_PIECES = 1_000  # our own limit, no source
USUAL_START_C = 20.0  # our own assumption if none is given: a batter just mixed, in a kitchen
USUAL_AREA_MM2 = 40_000.0  # a square of 20 cm; only ratios of areas matter
USUAL_OVEN_C = 175.0  # only differences from it matter
MODEL = (
    "Each range holds 8 of 10 ovens and batters; combined as independent errors, they give a window for 8 of 10 bakes.",
    "Heat enters the base and sides through the tin and the top from the air; every face has one film coefficient.",
    "The rise follows from the kind of mix, the conductivity from its composition and density, unless they are given.",
    "The batter conducts heat evenly, although it rises and dries.",
    "The bake that works calibrates how fast heat moves; only the differences from it depend on the model.",
    "Its minutes and the heat that its batter takes up say how readily the oven heats.",
    "A dough piece is a sphere in the middle of the batter, the last to heat; its first minutes are rough if frozen.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TinMaterial:
    """What a tin is made of; `film_share` is the film coefficient relative to dull light metal."""

    id: str
    film_share: float
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class BatterPieces:
    """Dough pieces set inside a batter: spheres of one size and temperature, `count` of them in one tin or cup.

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
            errors.append(_size_error("Give pieces from 1 to {} mm across.", "diameter", self.diameter_mm))
        if self.count is not None and not 0 <= self.count <= MAX_PIECES:
            message = f"A tin or cup takes at most {MAX_PIECES:,} pieces."
            errors.append(OutOfRangeError(message, path=("count",), value=self.count, limit=MAX_PIECES))
        errors += _start_errors(self.start_c, COLDEST_PIECE_C)
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
    load: OvenLoad = ONE_TIN
    body: Body = field(init=False, repr=False, compare=False)
    notices: tuple[Notice, ...] = field(init=False, repr=False, compare=False)
    oven_setting_c: float = field(init=False, repr=False, compare=False)  # exact fractions are slow in a sweep

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
        object.__setattr__(self, "oven_setting_c", setting_c(self.oven))
        object.__setattr__(self, "notices", notices)
        if self.piece_share > DENSEST_PACKING:
            too_many = OutOfRangeError(
                f"The dough pieces do not fit: they would take {100 * self.piece_share:.0f} % of the room, and at most"
                f" {100 * DENSEST_PACKING:.0f} % can be pieces. Make fewer or smaller ones.",
                path=("pieces", "count"),
                value=self.piece_share,
                limit=DENSEST_PACKING,
            )
            raise DomainErrors([too_many])

    def conventional_c(self, usual_offset_c: float) -> float:
        """The equivalent setting of a conventional oven, as `domain.baking.oven.conventional_c` gives it."""
        if not self.oven.fan:
            return self.oven_setting_c
        own = self.oven.fan_offset_c
        return self.oven_setting_c + (usual_offset_c if own is None else float(own))

    @property
    def cups(self) -> int:
        """How many bodies of batter one tin holds: its cavities, or 1."""
        return self.tin.count if isinstance(self.tin, CavitiesTin) else 1

    @property
    def litres_in_oven(self) -> float:
        """The batter of all tins that are in the oven together."""
        return self.body.volume_mm3 * self.cups * self.load.tins / MM3_PER_ML / ML_PER_LITRE

    @property
    def has_pieces(self) -> bool:
        """Whether a piece sits in the middle of the batter."""
        return self.pieces is not None and self.pieces.count != 0

    @property
    def has_frozen_pieces(self) -> bool:
        """Whether a piece in the middle of the batter holds ice."""
        return self.pieces is not None and self.has_pieces and self.pieces.start_c < UNFROZEN_C

    @property
    def piece_share(self) -> float:
        """The pieces' share of the batter's volume; 0 if their count is not known."""
        pieces = self.pieces
        if pieces is None or not pieces.count:
            return 0.0
        return pieces.count * math.pi / 6 * pieces.diameter_mm**3 / self.body.volume_mm3


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedCase:
    """A case with its calibrated diffusivity, in mm² a minute, and the target's minutes.

    `stretch` is how much longer the target takes than conduction alone says.
    """

    case: Case
    diffusivity: float
    stretch: float
    minutes: float
    reference: Heating
    target: Heating

    def core_c(self, minutes: float) -> float:
        """The temperature of the target's core after *minutes*."""
        return self._core_c(self.target, self.diffusivity * minutes / self.stretch)

    def reference_core_c(self, minutes: float) -> float:
        """The temperature of the reference's core after *minutes*."""
        return self._core_c(self.reference, self.diffusivity * minutes)

    def _core_c(self, heated: Heating, s_mm2: float) -> float:
        celsius = heated.core_c(heated.trailing(s_mm2, self.case.heat.slowness))
        return celsius if heated.piece is None else with_ice_c(celsius)


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
        errors.append(_size_error("Give a batter from 1 to {} mm deep.", "filled_depth", filled_depth_mm))
    if start_c is not None:
        errors += _start_errors(start_c)
    if oven is not None and oven.quantity is None:
        message = "An oven word covers a range: give degrees or a gas mark."
        errors.append(NeededError(message, path=("oven",), code="oven_needed"))
    if errors:
        raise DomainErrors(errors)


def solve(reference: Bake, minutes: float, core_c: float, target: Bake, case: Case) -> SolvedCase:
    """The target's minutes in one case.

    Args:
        reference: the bake that works; its core reaches `core_c` after `minutes`.
        minutes: above 0.
        core_c: that both ovens can reach.
        target: the bake to estimate.
        case: the assumptions.
    Returns:
        With s = diffusivity · time of `heating`: the diffusivity is s(reference)/minutes, the target's time
        s(target)/diffusivity, times the stretch. The same bake as target gives the same minutes, bit for bit.
    """
    before, reference_s = solved_heating(reference, core_c, case.heat)
    after, target_s = solved_heating(target, core_c, case.heat)
    stretch = stretch_of(target, case) / stretch_of(reference, case)
    return SolvedCase(
        case=case,
        diffusivity=reference_s / minutes,
        stretch=stretch,
        minutes=minutes * (target_s / reference_s * stretch),
        reference=before,
        target=after,
    )


@lru_cache(maxsize=1024)  # one reference serves many targets, and the same tins come again
def solved_heating(bake: Bake, core_c: float, figures: HeatFigures) -> tuple[Heating, float]:
    """The heating of a bake in one case, and diffusivity · time, in mm², at which its core is done.

    Args:
        bake: the batter.
        core_c: of the core when done.
        figures: the assumptions about heat.
    Returns:
        Both. With pieces, the time is that of the piece.
    """
    heated = heating_of(bake, figures)
    return heated, heated.catching_up(heated.s_at(core_c), figures.slowness)


def stretch_of(bake: Bake, case: Case) -> float:
    """What a bake's time is multiplied by besides conduction: breadth, load, shelves, openings and colour.

    Args:
        bake: the batter and its load.
        case: the assumptions.
    Returns:
        A figure that means something only relative to another bake's.
    """
    # A tray of cavities shields its middle from moving air as a slab of their whole area does.
    load, area_mm2 = bake.load, bake.body.volume_mm3 * bake.cups / bake.filled_depth_mm
    oven_c = bake.conventional_c(case.heat.fan_offset_c) + case.heat.oven_error_c
    return (
        math.pow(area_mm2 / USUAL_AREA_MM2, case.breadth_exponent)
        * (1 + case.load_per_litre * bake.litres_in_oven)
        * (1 + case.shelf_share * (load.shelves - 1))
        * (1 + case.opening_share * load.openings)
        * math.exp(-case.colour_share * (oven_c - USUAL_OVEN_C) / 10)
    )


def heating_of(bake: Bake, figures: HeatFigures) -> Heating:
    """The heating of a bake in one case. A piece thicker than the batter counts as thick as the batter."""
    piece = None
    if bake.pieces is not None and bake.has_pieces:
        count = bake.pieces.count or 1
        piece = ColdPiece(
            radius_mm=min(bake.pieces.diameter_mm / 2, bake.body.least_half_mm),
            colder_by_c=max(0.0, bake.start_c - without_ice_c(bake.pieces.start_c)),
            count=count,
            plan_mm2=bake.body.volume_mm3 / bake.filled_depth_mm / count,
        )
    *across, upright = bake.body.extents
    risen = replace(upright, half_mm=upright.half_mm * figures.rise)
    return heating(
        replace(bake.body, extents=(*across, risen)),
        film_per_mm=film_coefficient(bake, figures) / figures.conductivity / MM_PER_M,
        surroundings_c=surroundings_c(bake.conventional_c(figures.fan_offset_c), figures),
        start_c=bake.start_c + figures.start_error_c,
        piece=piece,
    )


def film_coefficient(bake: Bake, figures: HeatFigures) -> float:
    """The film coefficient of a bake in one case, in W/(m² K).

    Args:
        bake: gives the tin's material and the oven.
        figures: the assumptions about heat.
    Returns:
        The case's film, times the material's share; the radiated part grows with the third power of the mean of
        the oven's and the surface's absolute temperature.
    Source:
        Linearised radiation between two surfaces, 4σT³ (textbooks; from memory).
    """
    # The oven's error is left out: it would add roots to find and change the film by under 2 %.
    oven_c = bake.conventional_c(figures.fan_offset_c)
    hotter = (oven_c + BOILING_C + 2 * KELVIN) / (USUAL_OVEN_C + BOILING_C + 2 * KELVIN)
    radiated = figures.radiation_share * hotter**3 + 1 - figures.radiation_share
    return float(figures.film * bake.material.film_share**figures.material_exponent * radiated)


def surroundings_c(conventional_oven_c: float, figures: HeatFigures) -> float:
    """The temperature around the batter's surface.

    Args:
        conventional_oven_c: the setting of a conventional oven.
        figures: give the surface share and the oven's error.
    Returns:
        °C: the boiling point plus the case's share of the excess of the oven; for a cooler oven, its own temperature.
    """
    oven_c = conventional_oven_c + figures.oven_error_c
    return oven_c if oven_c <= BOILING_C else BOILING_C + figures.surface_share * (oven_c - BOILING_C)


def _start_errors(start_c: float, coldest_c: float = COLDEST_START_C) -> list[DomainError]:
    if coldest_c <= start_c <= WARMEST_START_C:
        return []
    message = f"Give a start temperature from {coldest_c:g} to {WARMEST_START_C:g} °C."
    message += " Thaw a frozen batter first: only its dough pieces may be frozen." * (coldest_c == COLDEST_START_C)
    limit = broken_limit(start_c, coldest_c, WARMEST_START_C)
    return [OutOfRangeError(message, path=("start_temperature",), value=start_c, limit=limit, unit="celsius")]


def _size_error(message: str, field: str, value_mm: float) -> DomainError:
    limit = broken_limit(value_mm, 1, MAX_DEPTH_MM)
    return OutOfRangeError(message.format(f"{MAX_DEPTH_MM:g}"), path=(field,), value=value_mm, limit=limit, unit="mm")


TIN_MATERIALS = {
    row["material"]: TinMaterial(id=row["material"], film_share=float(row["film_share"]), cited=cited(row))
    for row in rows("tin_materials")
}
