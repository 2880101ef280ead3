"""From request models to the domain's value objects; refusals carry the path of the field."""

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Any

from api.v1.tins import schemas
from api.wire.schemas import QuantityObject
from domain.errors import DomainError, UnknownError, at_path
from domain.measures.quantities import Quantity, parse_amount, parse_quantity, positive
from domain.measures.units import Dimension, Measures, resolve_unit
from domain.things.conversion import Thing
from domain.things.eggs import EggClass, find_egg_class
from domain.things.ingredients import find_ingredient
from domain.tins.shapes import (
    CavitiesTin,
    MeasuredTin,
    PolygonTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
)
from domain.tins.text import parse_tin

WATER_G_PER_ML = Fraction("0.998")  # at 20 °C: fao-dens2, sheet Density DB row 45


def read_quantity(given: str | QuantityObject, measures: Measures | None = None) -> Quantity:
    """A quantity from either of its forms."""
    if isinstance(given, str):
        return parse_quantity(given, measures)
    return quantity_of(given["amount"], given["unit"], measures)


@lru_cache(maxsize=2048)
def quantity_of(amount: str | float, unit: str, measures: Measures | None = None) -> Quantity:
    """A quantity from its two parts."""
    # Here and where else a batch passes: try costs nothing until it is needed, a with block does.
    try:
        exact = parse_amount(amount)
    except DomainError as error:
        raise error.within("amount") from None
    try:
        resolved = resolve_unit(unit, measures)
    except DomainError as error:
        raise error.within("unit") from None
    return Quantity(amount=exact, unit=resolved)


def read_positive(given: str | QuantityObject, field: str, *dimensions: Dimension) -> Quantity:
    """A quantity above zero of the right kind."""
    with at_path(field):
        return positive(read_quantity(given), *dimensions)


def read_length_mm(given: str | QuantityObject, field: str) -> float:
    """A length above zero, in millimetres."""
    return float(read_positive(given, field, "length").base)


def read_optional_mm(given: str | QuantityObject | None, field: str) -> float | None:
    """A length above zero in millimetres, or None if the field was not sent."""
    return None if given is None else read_length_mm(given, field)


def read_grams(given: str | QuantityObject, field: str) -> Fraction:
    """A mass above zero, in grams."""
    return read_positive(given, field, "mass").base


def read_egg_class(name: str | None, *path: str | int) -> EggClass | None:
    """An egg class, if one was named."""
    if name is None:
        return None
    with at_path(*path):
        return find_egg_class(name)


@lru_cache(maxsize=1024)
def read_thing(
    name: str | None, packing: str | None, g_per_ml: float | None, egg_class: EggClass | None, *, own: bool = False
) -> Thing:
    """What is measured; a name in no table is refused unless the caller says or shows that it is theirs."""
    ingredient = None
    if name is not None:
        try:
            with at_path("ingredient"):
                ingredient = find_ingredient(name)
        except UnknownError:
            if not own and g_per_ml is None:
                raise
    density = None if g_per_ml is None else parse_amount(g_per_ml)
    return Thing(ingredient=ingredient, packing=packing, g_per_ml=density, egg_class=egg_class)


def read_tin(given: "str | schemas.TinObject") -> Tin:
    """A tin from either of its forms."""
    if isinstance(given, str):
        try:
            return parse_tin(given)
        except DomainError as error:
            error.path = ()  # a text has no parts to point at
            raise
    if isinstance(given, schemas.CavitiesTinIn):
        return CavitiesTin(count=given.count, volume_ml=float(read_positive(given.volume, "volume", "volume").base))
    if isinstance(given, schemas.MeasuredTinIn):
        area = given.base_area and float(read_positive(given.base_area, "base_area", "area").base)
        return MeasuredTin(volume_ml=_water_ml(given.volume), base_area_mm2=area or None)
    return _SHAPES[given.shape](**_sizes(given))


def _sizes(given: "schemas.TinObject") -> dict[str, Any]:
    """Every length of a shape in millimetres, under the name the domain has for it."""
    sizes: dict[str, Any] = {}
    for name, value in given:
        if name == "sides":
            sizes[name] = value
        elif name != "shape" and value is not None:
            sizes[f"{name}_mm"] = read_length_mm(value, name)
    return sizes


def _water_ml(given: str | QuantityObject) -> float:
    water = read_positive(given, "volume", "volume", "mass")
    return float(water.base / WATER_G_PER_ML if water.unit.dimension == "mass" else water.base)


_SHAPES: dict[str, Callable[..., Tin]] = {
    "square": SquareTin,
    "rectangle": RectangleTin,
    "round": RoundTin,
    "ring": RingTin,
    "polygon": PolygonTin,
    "tapered_rectangle": TaperedRectangleTin,
    "tapered_round": TaperedRoundTin,
}
