"""Reads the pieces and the bake of a formula or target."""

from api.v1.job import schemas as job
from api.v1.job.wishes import Pieces
from api.wire.reading import read_optional_mm
from domain.baking.cases import TIN_MATERIALS, TinMaterial, check_batter
from domain.baking.oven import Oven, parse_degrees, parse_oven
from domain.baking.targets import BakeChange, FormulaBake
from domain.errors import ErrorCollector, NeededError, at_arguments, at_path
from domain.measures.temperatures import convert_temperature
from domain.measures.units import UNITS, expect
from domain.pieces.counts import Division

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
        start_c = _optional_celsius(pieces.start_temperature, "start_temperature")
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


def read_formula_bake(bake: job.Bake, oven: str) -> FormulaBake:
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
        core_c = _optional_celsius(bake.core_temperature, "core_temperature")
    with errors.at():
        start_c = _optional_celsius(bake.start_temperature, "start_temperature")
    errors.raise_if_any()
    if setting is None:
        raise AssertionError("a field without a value has an error")
    return FormulaBake(
        oven=setting,
        material=_material(bake.tin_material) or USUAL_MATERIAL,
        minutes=bake.minutes,
        core_c=core_c,
        start_c=start_c,
    )


def read_changes(bake: job.Bake) -> BakeChange:
    """What differs in the bake of a target.

    Raises:
        DomainErrors: everything that is wrong with it.
    """
    errors, oven, start_c = ErrorCollector(), None, None
    for name in ("minutes", "core_temperature"):
        if getattr(bake, name) is not None:
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
        start_c = _optional_celsius(bake.start_temperature, "start_temperature")
        check_batter(start_c=start_c)
    errors.raise_if_any()
    return BakeChange(oven=oven, material=_material(bake.tin_material), start_c=start_c)


def _oven(written: str, fan: bool | None) -> Oven:  # noqa: FBT001 - the request's field
    with at_arguments(setting=("oven",)):
        return parse_oven(written, fan=bool(fan))


def _optional_celsius(written: str | None, field: str) -> float | None:
    if written is None:
        return None
    with at_path(field):
        quantity = parse_degrees(written)
        expect(quantity.unit, "temperature")
        return float(convert_temperature(quantity, UNITS["celsius"]).amount)


def _material(name: job.TinMaterial | None) -> TinMaterial | None:
    return None if name is None else TIN_MATERIALS[name]
