"""From bake requests to the domain's bakes. All errors of a request are collected and raised together."""

from dataclasses import dataclass, replace

from api.v1.bake.schemas import BakeRequest, FormulaBakeIn, PiecesInBatter, ReferenceBakeIn, TargetBakeIn
from api.v1.oven.reading import read_setting
from api.v1.oven.schemas import OvenRequest
from api.v1.tins.reading import read_tin_of, tin_field
from api.wire.reading import read_length_mm
from domain.baking.bodies import same_depth
from domain.baking.cases import (
    DOUGH_G_PER_ML,
    TIN_MATERIALS,
    USUAL_START_C,
    Bake,
    BatterPieces,
    TinMaterial,
    check_batter,
    piece_diameter_mm,
)
from domain.baking.oven import Oven, parse_degrees, parse_oven
from domain.baking.targets import FormulaBake
from domain.baking.window import USUAL_CORE_C, BakeEstimate, assumed_figures, check_core, estimate_bake
from domain.errors import ErrorCollector, MismatchError, at_arguments, at_path
from domain.measures.temperatures import convert_temperature
from domain.measures.units import UNITS, expect
from domain.notices import Notice
from domain.tins.shapes import Tin

USUAL_MATERIAL = TIN_MATERIALS["dull_metal"]
_OF_REFERENCE = {"minutes": ("reference", "minutes"), "core_temperature": ("reference", "core_temperature")}


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeQuestion:
    """A request as the domain takes it."""

    reference: Bake
    minutes: float
    core_c: float
    target: Bake
    notices: tuple[Notice, ...]

    def estimate(self) -> BakeEstimate:
        """Estimate the target's bake; errors name the fields of the request."""
        with at_arguments(**_OF_REFERENCE):
            return estimate_bake(self.reference, self.minutes, self.target, self.core_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """One bake of a request, as far as it could be read: a field is None if it is missing or in error."""

    tin: Tin | None = None
    filled_depth_mm: float | None = None
    oven: Oven | None = None
    start_c: float | None = USUAL_START_C
    material: TinMaterial = USUAL_MATERIAL
    pieces: BatterPieces | None = None
    bake: Bake | None = None


def read_bake(body: BakeRequest) -> BakeQuestion:
    """Read both bakes of a request.

    Raises:
        DomainErrors: everything in the request that cannot be read or used.
    """
    errors = ErrorCollector()
    core_c: float | None = USUAL_CORE_C
    if body.reference.core_temperature is not None:
        core_c = None
        with errors.at("reference"):
            core_c = read_celsius(body.reference.core_temperature, "core_temperature")
    reference = _read_side(body.reference, _Side(), errors, "reference")
    target = _read_side(body.target, reference, errors, "target")
    if core_c is not None:
        with errors.at(), at_arguments(**_OF_REFERENCE):
            check_core(core_c, reference=reference.oven, target=target.oven)
    errors.raise_if_any()
    if core_c is None or reference.bake is None or target.bake is None:
        raise AssertionError("a field without a value has an error")
    assumed = assumed_figures(
        core_c=None if body.reference.core_temperature is None else core_c,
        start_c=None if body.reference.start_temperature is None else reference.start_c,
    )
    return BakeQuestion(
        reference=reference.bake,
        minutes=body.reference.minutes,
        core_c=core_c,
        target=target.bake,
        notices=tuple(notice.within("reference") for notice in assumed),
    )


def read_formula_bake(given: FormulaBakeIn, oven: str | OvenRequest, errors: ErrorCollector) -> FormulaBake | None:
    """The bake of a formula.

    Args:
        given: the formula's `bake`.
        oven: its oven.
        errors: collects what cannot be read, with paths inside `bake`.
    Returns:
        The bake; None if its oven cannot be read.
    """
    temperatures = {}
    for name in ("core_temperature", "start_temperature", "piece_start_temperature"):
        written = getattr(given, name)
        with errors.at():
            temperatures[name] = None if written is None else read_celsius(written, name)
    with errors.at():
        return FormulaBake(
            oven=read_oven_in(oven, given.fan),
            material=_material(given.tin_material, USUAL_MATERIAL),
            minutes=given.minutes,
            core_c=temperatures.get("core_temperature"),
            start_c=temperatures.get("start_temperature"),
            piece_start_c=temperatures.get("piece_start_temperature"),
        )
    return None


def read_oven_in(given: str | OvenRequest, fan: bool | None) -> Oven:  # noqa: FBT001 - the request's field
    """An oven from either of its forms."""
    if not isinstance(given, str):
        if fan is not None and fan != given.fan:
            raise MismatchError("The oven's fan and the fan beside it differ: give one of them.", path=("fan",))
        with at_path("oven"):
            return read_setting(given)
    with at_arguments(setting=("oven",)):
        return parse_oven(given, fan=bool(fan))


def read_celsius(given: str, field: str) -> float:
    """A temperature in °C."""
    with at_path(field):
        quantity = parse_degrees(given)
        expect(quantity.unit, "temperature")
        return float(convert_temperature(quantity, UNITS["celsius"]).amount)


def _read_side(given: ReferenceBakeIn | TargetBakeIn, defaults: _Side, errors: ErrorCollector, name: str) -> _Side:
    """Read the fields that are given, take the others from *defaults*, and check each by itself."""
    tin, filled_depth_mm, oven, start_c, pieces = None, None, None, None, None
    errors_before = len(errors.errors)
    with errors.at(name):
        tin = read_tin_of(given.tin, given.tin_shape, "tin")
    with errors.at(name):
        oven = _oven(given, defaults.oven)
    with errors.at(name):
        start_c = defaults.start_c
        if given.start_temperature is not None:
            start_c = None
            read_c = read_celsius(given.start_temperature, "start_temperature")
            check_batter(start_c=read_c)
            start_c = read_c
    with errors.at(name):
        if given.filled_depth is not None:
            read_mm = read_length_mm(given.filled_depth, "filled_depth")
            check_batter(filled_depth_mm=read_mm)
            filled_depth_mm = read_mm
        elif tin is not None and defaults.filled_depth_mm is not None:
            filled_depth_mm = same_depth(tin, defaults.filled_depth_mm)
    with errors.at(name, "pieces"):
        pieces = defaults.pieces if given.pieces is None else _pieces(given.pieces, start_c)
    material, bake = _material(given.tin_material, defaults.material), None
    readable = len(errors.errors) == errors_before
    if readable and tin is not None and filled_depth_mm is not None and oven is not None and start_c is not None:
        with errors.at(name), at_arguments(tin=(tin_field(given.tin_shape, "tin"),)):
            bake = Bake(
                tin=tin, filled_depth_mm=filled_depth_mm, oven=oven, start_c=start_c, material=material, pieces=pieces
            )
    return _Side(
        tin=tin,
        filled_depth_mm=filled_depth_mm,
        oven=oven,
        start_c=start_c,
        material=material,
        pieces=pieces,
        bake=bake,
    )


def _oven(given: ReferenceBakeIn | TargetBakeIn, default: Oven | None) -> Oven | None:
    if given.oven is None:
        return default if default is None or given.fan is None else replace(default, fan=given.fan)
    oven = read_oven_in(given.oven, given.fan)
    check_batter(oven=oven)
    return oven


def _material(name: str | None, default: TinMaterial) -> TinMaterial:
    return default if name is None else TIN_MATERIALS[name]


def _pieces(given: PiecesInBatter, batter_c: float | None) -> BatterPieces:
    errors = ErrorCollector()
    start_c: float | None = USUAL_START_C if batter_c is None else batter_c
    diameter_mm: float | None = None
    if given.start_temperature is not None:
        start_c = None
        with errors.at():
            start_c = read_celsius(given.start_temperature, "start_temperature")
    with errors.at():
        if given.diameter is not None:
            diameter_mm = read_length_mm(given.diameter, "diameter")
        else:
            diameter_mm = piece_diameter_mm(given.grams_each or 0.0, given.g_per_ml or DOUGH_G_PER_ML)
    errors.raise_if_any()
    if start_c is None or diameter_mm is None:
        raise AssertionError("a field without a value has an error")
    with at_arguments(diameter=("diameter" if given.diameter is not None else "grams_each",)):
        return BatterPieces(diameter_mm=diameter_mm, start_c=start_c, count=given.count)
