"""From a bake request to the domain's bakes, and what was taken for granted because nothing was said."""

from dataclasses import dataclass, replace

from api.v1.bake.schemas import BakeRequest, FormulaBakeIn, PiecesInBatter, ReferenceBakeIn, TargetBakeIn
from api.v1.oven.reading import read_setting
from api.v1.oven.schemas import OvenRequest
from api.v1.tins.reading import read_tin
from api.wire.reading import read_length_mm, read_quantity
from api.wire.schemas import QuantityObject
from domain.baking.bodies import same_depth
from domain.baking.cases import DOUGH_G_PER_ML, TIN_MATERIALS, USUAL_START_C, Bake, BatterPieces, piece_diameter_mm
from domain.baking.oven import Oven, parse_degrees, parse_oven
from domain.baking.window import USUAL_CORE_C
from domain.errors import DomainError, DomainErrors, MismatchError, at_path
from domain.measures.temperatures import convert_temperature
from domain.measures.units import UNITS, expect
from domain.notices import Notice


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedBake:
    """A request as the domain takes it."""

    reference: Bake
    minutes: float
    core_c: float
    target: Bake
    notices: tuple[Notice, ...]


def read_bake(body: BakeRequest) -> AskedBake:
    """Both bakes of a request."""
    with at_path("reference"):
        reference = read_reference(body.reference)
    with at_path("target"):
        target = _target(body.target, reference)
    core = body.reference.core_temperature
    return AskedBake(
        reference=reference,
        minutes=body.reference.minutes,
        core_c=USUAL_CORE_C if core is None else read_celsius(core, "reference", "core_temperature"),
        target=target,
        notices=tuple(notice.within("reference") for notice in assumed(body.reference)),
    )


def read_reference(given: ReferenceBakeIn) -> Bake:
    """The bake that works."""
    with at_path("tin"):
        tin = read_tin(given.tin)
    oven = read_oven_in(given.oven, given.fan)
    start = given.start_temperature
    start_c = USUAL_START_C if start is None else read_celsius(start, "start_temperature")
    return Bake(
        tin=tin,
        filled_depth_mm=read_length_mm(given.filled_depth, "filled_depth"),
        oven=oven,
        start_c=start_c,
        material=TIN_MATERIALS[given.tin_material or "dull_metal"],
        pieces=_pieces(given.pieces, start_c),
    )


def assumed(given: ReferenceBakeIn | FormulaBakeIn) -> list[Notice]:
    """What the caller did not say of the bake that works, and what was taken instead."""
    found = []
    if given.core_temperature is None:
        message = f"Not given: {USUAL_CORE_C:g} °C taken, common practice for cakes."
        found.append(Notice(code="assumed_figure", message=message, path=("core_temperature",)))
    if given.start_temperature is None:
        message = f"Not given: {USUAL_START_C:g} °C taken."
        found.append(Notice(code="assumed_figure", message=message, path=("start_temperature",)))
    return found


def read_oven_in(given: str | OvenRequest, fan: bool | None) -> Oven:  # noqa: FBT001 - it is what was sent
    """An oven from either of its forms."""
    if not isinstance(given, str):
        if fan is not None and fan != given.fan:
            raise MismatchError("The oven's fan and the fan beside it differ: say it once.", path=("fan",))
        with at_path("oven"):
            return read_setting(given)
    try:
        return parse_oven(given, fan=bool(fan))
    except (DomainError, DomainErrors) as refusal:  # the text is the setting: there is no field of that name below it
        for error in refusal.errors if isinstance(refusal, DomainErrors) else [refusal]:
            if error.path[:1] == ("setting",):
                error.path = ("oven", *error.path[1:])
        raise


def read_celsius(given: str | QuantityObject, *path: str) -> float:
    """A temperature in °C."""
    with at_path(*path):
        quantity = parse_degrees(given) if isinstance(given, str) else read_quantity(given)
        expect(quantity.unit, "temperature")
        return float(convert_temperature(quantity, UNITS["celsius"]).amount)


def _target(given: TargetBakeIn, reference: Bake) -> Bake:
    with at_path("tin"):
        tin = read_tin(given.tin)
    depth, start, oven = given.filled_depth, given.start_temperature, reference.oven
    if given.oven is not None:
        oven = read_oven_in(given.oven, given.fan)
    elif given.fan is not None:
        oven = replace(oven, fan=given.fan)
    start_c = reference.start_c if start is None else read_celsius(start, "start_temperature")
    depth_mm = same_depth(tin, reference.filled_depth_mm) if depth is None else read_length_mm(depth, "filled_depth")
    return Bake(
        tin=tin,
        filled_depth_mm=depth_mm,
        oven=oven,
        start_c=start_c,
        material=reference.material if given.tin_material is None else TIN_MATERIALS[given.tin_material],
        pieces=reference.pieces if given.pieces is None else _pieces(given.pieces, start_c),
    )


def _pieces(given: PiecesInBatter | None, batter_c: float) -> BatterPieces | None:
    if given is None:
        return None
    start = given.start_temperature
    with at_path("pieces"):
        start_c = batter_c if start is None else read_celsius(start, "start_temperature")
        if given.diameter is not None:
            diameter = read_length_mm(given.diameter, "diameter")
        else:
            diameter = piece_diameter_mm(given.grams_each or 0.0, given.g_per_ml or DOUGH_G_PER_ML)
    return BatterPieces(diameter_mm=diameter, start_c=start_c, count=given.count)
