"""From tins in requests to the domain's tins."""

from collections.abc import Callable
from typing import Any

from api.v1.tins.schemas import (
    CavitiesTinIn,
    FactorQuery,
    FactorRequest,
    MeasuredTinIn,
    MeasureQuery,
    MeasureRequest,
    TinObject,
)
from api.wire.reading import read_length_mm, read_positive
from api.wire.schemas import QuantityObject
from domain.errors import DomainError, ErrorCollector
from domain.tins.geometry import TinFactor, TinMeasure, measure_tin, tin_factor, water_volume_ml
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

_SHAPES: dict[str, Callable[..., Tin]] = {
    "square": SquareTin,
    "rectangle": RectangleTin,
    "round": RoundTin,
    "ring": RingTin,
    "polygon": PolygonTin,
    "tapered_rectangle": TaperedRectangleTin,
    "tapered_round": TaperedRoundTin,
}


def read_tin(tin: str | TinObject) -> Tin:
    """A tin in either of its forms.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the tin.
    """
    if isinstance(tin, str):
        try:
            return parse_tin(tin)
        except DomainError as error:
            error.path = ()  # text has no fields to point at
            raise
    if isinstance(tin, CavitiesTinIn):
        return CavitiesTin(count=tin.count, volume_ml=float(read_positive(tin.volume, "volume", "volume").base))
    if isinstance(tin, MeasuredTinIn):
        return _read_measured(tin)
    return _SHAPES[tin.shape](**_sizes(tin))


def _read_measured(tin: MeasuredTinIn) -> MeasuredTin:
    errors, area_mm2 = ErrorCollector(), None
    with errors.at():
        volume_ml = _read_water_ml(tin.volume)
    with errors.at():
        area_mm2 = tin.base_area and float(read_positive(tin.base_area, "base_area", "area").base)
    errors.raise_if_any()
    return MeasuredTin(volume_ml=volume_ml, base_area_mm2=area_mm2 or None)


def _read_water_ml(quantity: str | QuantityObject) -> float:
    water = read_positive(quantity, "volume", "volume", "mass")
    return water_volume_ml(water.base) if water.unit.dimension == "mass" else float(water.base)


def _sizes(tin: TinObject) -> dict[str, Any]:
    """The sizes of a tin, under the names of the domain's arguments."""
    sizes, errors = dict[str, Any](), ErrorCollector()
    for name, value in tin:
        if name == "sides":
            sizes[name] = value
        elif name != "shape" and value is not None:
            with errors.at():
                sizes[f"{name}_mm"] = read_length_mm(value, name)
    errors.raise_if_any()
    return sizes


def read_measure(request: MeasureQuery | MeasureRequest) -> tuple[Tin, TinMeasure]:
    """The tin of a request and its sizes.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, filled_depth_mm = ErrorCollector(), None
    with errors.at("tin"):
        tin = read_tin(request.tin)
    if request.filled_depth is not None:
        with errors.at():
            filled_depth_mm = read_length_mm(request.filled_depth, "filled_depth")
    errors.raise_if_any()
    return tin, measure_tin(tin, filled_depth_mm)


def read_factor(request: FactorQuery | FactorRequest) -> tuple[Tin, Tin, TinFactor]:
    """The two tins of a request and the factor between them.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, filled_depth_mm, depth_mm = ErrorCollector(), None, None
    with errors.at("have"):
        have = read_tin(request.have)
    with errors.at("want"):
        want = read_tin(request.want)
    if request.filled_depth is not None:
        with errors.at():
            filled_depth_mm = read_length_mm(request.filled_depth, "filled_depth")
    if request.depth != "keep":
        with errors.at():
            depth_mm = read_length_mm(request.depth, "depth")
    errors.raise_if_any()
    try:
        factor = tin_factor(
            have,
            want,
            have_tins=request.have_tins,
            want_tins=request.want_tins,
            filled_depth_mm=filled_depth_mm,
            want_depth_mm=depth_mm,
        )
    except DomainError as error:
        if error.path and isinstance(getattr(request, str(error.path[0])), str):
            error.path = error.path[:1]  # text has no fields to point at
        raise
    return have, want, factor
