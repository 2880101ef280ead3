"""From tins in requests to the domain's tins."""

from collections.abc import Callable, Iterable
from typing import Any

from api.v1.tins.schemas import (
    CavitiesTinIn,
    FactorQuery,
    FactorRequest,
    MeasuredTinIn,
    MeasureQuery,
    MeasureRequest,
    TinShape,
)
from api.wire.reading import read_length_mm, read_positive
from api.wire.schemas import Query, Schema
from domain.errors import DomainError, ErrorCollector, MismatchError, NeededError, at_arguments, at_path
from domain.notices import Notice
from domain.tins.geometry import TinFactor, TinMeasure, cavities_of, measure_tin, tin_factor, water_volume_ml
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


def read_tin_of(text: str | None, shape: TinShape | None, field: str) -> Tin:
    """A tin from the pair of fields that hold it, of which a request has one.

    Args:
        text: the field *field*.
        shape: the field *field* with `_shape`.
        field: its name, such as `tin`. Errors have the path of the field that was sent.
    Raises:
        NeededError: none of the two was sent, or both.
        DomainError, DomainErrors: everything that is wrong with the tin.
    """
    if (text is None) == (shape is None):
        raise NeededError(
            f"Give one of {field} and {field}_shape.",
            path=(field,),
            candidates=(field, f"{field}_shape"),
            code="one_of_needed",
        )
    if shape is not None:
        with at_path(f"{field}_shape"):
            return _read_shape(shape)
    with at_path(field):
        try:
            return parse_tin(text or "")
        except DomainError as error:
            error.path = ()  # text has no fields to point at
            raise


def read_optional_tin_of(text: str | None, shape: TinShape | None, field: str) -> Tin | None:
    """As `read_tin_of`, or None if none of the two fields was sent."""
    return None if text is None and shape is None else read_tin_of(text, shape, field)


def tin_field(shape: TinShape | None, field: str) -> str:
    """The name of the field that holds a tin: *field*, or *field* with `_shape` if that was sent."""
    return field if shape is None else f"{field}_shape"


def at_tin_field(notices: Iterable[Notice], field: str) -> tuple[Notice, ...]:
    """Warnings about the argument `tin`, under the name of the field that was sent."""
    return tuple(notice.at(field, *notice.path[1:]) if notice.path[:1] == ("tin",) else notice for notice in notices)


def _read_shape(tin: TinShape) -> Tin:
    if isinstance(tin, CavitiesTinIn):
        return _read_cavities(tin)
    if isinstance(tin, MeasuredTinIn):
        return _read_measured(tin)
    return _SHAPES[tin.shape](**_sizes(tin))


def _read_cavities(tin: CavitiesTinIn) -> CavitiesTin:
    errors, volume_ml, sizes = ErrorCollector(), None, dict[str, float]()
    with errors.at():
        volume_ml = None if tin.volume is None else read_positive(tin.volume, "volume", "volume").base_float
    for name in ("depth", "top_diameter", "base_diameter"):
        with errors.at():
            if (value := getattr(tin, name)) is not None:
                sizes[f"{name}_mm"] = read_length_mm(value, name)
    errors.raise_if_any()
    diameters = sizes.keys() - {"depth_mm"}
    if tin.volume is not None and diameters:
        message = "Give `volume`, or the depth and both diameters, not both."
        raise MismatchError(
            message, path=("top_diameter" if tin.top_diameter else "base_diameter",), code="given_twice"
        )
    if tin.volume is not None and volume_ml is not None:
        return CavitiesTin(count=tin.count, volume_ml=volume_ml, depth_mm=sizes.get("depth_mm"))
    missing = [name for name in ("depth", "top_diameter", "base_diameter") if f"{name}_mm" not in sizes]
    if missing:
        message = "Give the `volume` of one cavity, or its `depth`, `top_diameter` and `base_diameter`."
        raise NeededError(message, path=("volume" if not diameters else missing[0],), code="needed")
    return cavities_of(tin.count, TaperedRoundTin(**sizes))


def _read_measured(tin: MeasuredTinIn) -> MeasuredTin:
    errors, area_mm2 = ErrorCollector(), None
    with errors.at():
        volume_ml = _read_water_ml(tin.volume)
    with errors.at():
        area_mm2 = tin.base_area and read_positive(tin.base_area, "base_area", "area").base_float
    errors.raise_if_any()
    return MeasuredTin(volume_ml=volume_ml, base_area_mm2=area_mm2 or None)


def _read_water_ml(quantity: str) -> float:
    water = read_positive(quantity, "volume", "volume", "mass")
    return water_volume_ml(water.base) if water.unit.dimension == "mass" else water.base_float


def _sizes(tin: TinShape) -> dict[str, Any]:
    """The sizes of a tin, under the names of the domain's arguments."""
    sizes, errors = dict[str, Any](), ErrorCollector()
    for name, value in tin:
        if name == "sides":
            sizes[name] = value
        elif name != "shape" and value is not None:
            try:
                sizes[f"{name}_mm"] = read_length_mm(value, name)
            except DomainError as error:
                errors.errors.append(error)
    errors.raise_if_any()
    return sizes


def read_measure(request: MeasureQuery | MeasureRequest) -> tuple[Tin, TinMeasure]:
    """The tin of a request and its sizes.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, filled_depth_mm = ErrorCollector(), None
    with errors.at():
        tin = read_tin_of(request.tin, shape_of(request, "tin"), "tin")
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
    have_shape, want_shape = shape_of(request, "have"), shape_of(request, "want")
    with errors.at():
        have = read_tin_of(request.have, have_shape, "have")
    with errors.at():
        want = read_tin_of(request.want, want_shape, "want")
    if request.filled_depth is not None:
        with errors.at():
            filled_depth_mm = read_length_mm(request.filled_depth, "filled_depth")
    if request.depth != "keep":
        with errors.at():
            depth_mm = read_length_mm(request.depth, "depth")
    errors.raise_if_any()
    with at_arguments(have=(tin_field(have_shape, "have"),), want=(tin_field(want_shape, "want"),)):
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
            if error.path and getattr(request, str(error.path[0])) is not None:
                error.path = error.path[:1]  # text has no fields to point at
            raise
    return have, want, factor


def shape_of(request: Query | Schema, field: str) -> TinShape | None:
    """The tin as data beside the text *field*; a query has none."""
    shape: TinShape | None = getattr(request, f"{field}_shape", None)
    return shape
