"""Reads the pieces and the bake of a formula or target."""

from api.v1.job import baking_schemas as sent_as
from api.v1.job.wishes import Pieces
from api.v1.tins.reading import read_tin_of
from api.wire.reading import read_optional_mm
from domain.baking.calibration import TimedBake
from domain.baking.cases import TIN_MATERIALS, USUAL_START_C, Bake, TinMaterial, check_batter
from domain.baking.doneness import Band, check_bands
from domain.baking.oven import Oven, parse_oven
from domain.baking.oven_load import ONE_TIN, OvenLoad
from domain.baking.targets import BakeChange, FormulaBake
from domain.errors import ErrorCollector, NeededError, at_arguments, at_path
from domain.measures.temperatures import convert_temperature
from domain.measures.units import UNITS, expect
from domain.pieces.counts import Division
from domain.reading.degrees import read_degrees

USUAL_MATERIAL = TIN_MATERIALS["dull_metal"]


def read_pieces(pieces: Pieces, *, of_target: bool = False) -> Division:
    """How a dough is divided.

    Args:
        pieces: of a component or a target.
        of_target: whether it may only say what to keep.
    Raises:
        DomainErrors: everything that is wrong with the pieces.
    """
    errors, diameter_mm, start_c = ErrorCollector(), None, None
    wishes = {
        "count": pieces.count,
        "grams_each": pieces.grams_each,
        "per_tin": pieces.per_tin,
        "per_cavity": pieces.per_cavity,
        "per_portion": pieces.per_portion,
    }
    sent = [name for name, wish in wishes.items() if wish is not None]
    if len(sent) > 1 or not (sent or (of_target and pieces.keep is not None)):
        message = f"Give one of {', '.join(f'`{name}`' for name in wishes)}{' or `keep`' if of_target else ''}."
        errors.errors.append(NeededError(message, path=tuple(sent[1:2]), code="pieces_needed"))
    with errors.at():
        diameter_mm = read_optional_mm(pieces.diameter, "diameter")
    with errors.at():
        start_c = read_optional_celsius(pieces.start_temperature, "start_temperature")
    errors.raise_if_any()
    return Division(
        count=pieces.count,
        grams_each=pieces.grams_each,
        per_tin=pieces.per_tin,
        per_cavity=pieces.per_cavity,
        per_portion=pieces.per_portion,
        keep=pieces.keep,
        tolerance_percent=pieces.tolerance_percent,
        g_per_ml=pieces.g_per_ml,
        diameter_mm=diameter_mm,
        start_c=start_c,
    )


def read_formula_bake(bake: sent_as.Bake, oven: str) -> FormulaBake:
    """The bake that works in the formula's own tin.

    Args:
        bake: of the formula.
        oven: its oven.
    Raises:
        DomainErrors: everything that is wrong with the bake.
    """
    errors, setting, core_c, start_c = ErrorCollector(), None, None, None
    with errors.at():
        setting = _oven(oven, bake.fan)
    with errors.at():
        core_c = read_optional_celsius(bake.core_temperature, "core_temperature")
    with errors.at():
        start_c = read_optional_celsius(bake.start_temperature, "start_temperature")
    load = ONE_TIN
    with errors.at("load"):
        load = read_load(bake.load)
    references = list[TimedBake]()
    material = _material(bake.tin_material) or USUAL_MATERIAL
    for index, each in enumerate(bake.references):
        with errors.at("references", index):
            references.append(_reference(each, setting, material, start_c))
    with errors.at("doneness"):
        check_bands(read_bands(bake.doneness))
    errors.raise_if_any()
    if setting is None:
        raise AssertionError("a field without a value has an error")
    return FormulaBake(
        oven=setting,
        material=material,
        minutes=bake.minutes,
        core_c=core_c,
        start_c=start_c,
        load=load,
        rise=bake.rise_factor,
        conductivity=bake.conductivity,
        references=tuple(references),
    )


def read_changes(bake: sent_as.Bake) -> BakeChange:
    """What differs in the bake of a target.

    Raises:
        DomainErrors: everything that is wrong with it.
    """
    errors, oven, start_c, load = ErrorCollector(), None, None, None
    for name in ("minutes", "core_temperature", "rise_factor", "conductivity", "references"):
        if getattr(bake, name):
            errors.errors.append(
                NeededError(f"`{name}` belongs to the bake of the formula: a target's is computed.", path=(name,))
            )
    if bake.fan is not None and bake.oven is None:
        errors.errors.append(NeededError("`fan` goes with `oven`.", path=("fan",), code="oven_needed"))
    if bake.oven is not None:
        with errors.at():
            oven = _oven(bake.oven, bake.fan)
            check_batter(oven=oven)
    with errors.at():
        start_c = read_optional_celsius(bake.start_temperature, "start_temperature")
        check_batter(start_c=start_c)
    if bake.load is not None:
        with errors.at("load"):
            load = read_load(bake.load)
    with errors.at("doneness"):
        check_bands(read_bands(bake.doneness))
    errors.raise_if_any()
    return BakeChange(oven=oven, material=_material(bake.tin_material), start_c=start_c, load=load)


def read_load(load: sent_as.OvenLoad | None) -> OvenLoad:
    """What is in the oven at the same time; one tin if nothing is said."""
    return ONE_TIN if load is None else OvenLoad(tins=load.tins, shelves=load.shelves, openings=load.openings)


def read_bands(wish: sent_as.DonenessWish | None) -> list[Band]:
    """The shop's own words for doneness; none if none are sent."""
    return [] if wish is None else [Band(name=band.name, up_to_c=band.up_to) for band in wish.bands]


def _reference(
    sent: sent_as.BakeReference, oven: Oven | None, material: TinMaterial, formula_start_c: float | None
) -> TimedBake:
    """A further bake that works; what it leaves out is as in the formula's own bake."""
    errors, tin, depth_mm, start_c = ErrorCollector(), None, None, None
    with errors.at():
        tin = read_tin_of(sent.tin, sent.tin_shape, "tin")
    with errors.at():
        depth_mm = read_optional_mm(sent.filled_depth, "filled_depth")
    with errors.at():
        start_c = read_optional_celsius(sent.start_temperature, "start_temperature")
    if sent.oven is None and sent.fan is not None:
        errors.errors.append(NeededError("`fan` goes with `oven`.", path=("fan",), code="oven_needed"))
    if sent.oven is not None:
        with errors.at():
            oven = _oven(sent.oven, sent.fan)
    with errors.at("load"):
        read_load(sent.load)
    errors.raise_if_any()
    if tin is None or depth_mm is None:
        raise AssertionError("a field without a value has an error")
    if oven is None:
        raise NeededError("The formula's oven cannot be read: give one here.", path=("oven",), code="oven_needed")
    bake = Bake(
        tin=tin,
        filled_depth_mm=depth_mm,
        oven=oven,
        start_c=next((c for c in (start_c, formula_start_c) if c is not None), USUAL_START_C),
        material=_material(sent.tin_material) or material,
        load=read_load(sent.load),
    )
    return TimedBake(bake=bake, minutes=sent.minutes)


def _oven(written: str, fan: bool | None) -> Oven:  # noqa: FBT001 - the request's field
    with at_arguments(setting=("oven",)):
        return parse_oven(written, fan=bool(fan))


def read_optional_celsius(written: str | None, field: str) -> float | None:
    """A temperature in °C, or None if the field was not sent."""
    if written is None:
        return None
    with at_path(field):
        quantity = read_degrees(written)
        expect(quantity.unit, "temperature")
        return float(convert_temperature(quantity, UNITS["celsius"]).amount)


def _material(name: sent_as.TinMaterial | None) -> TinMaterial | None:
    return None if name is None else TIN_MATERIALS[name]
