"""From the domain's tins to the answers of `/v1/tins`."""

from typing import Any

from api.v1.tins.reading import shape_of, tin_field
from api.v1.tins.schemas import FactorQuery, FactorRequest, MeasureQuery, MeasureRequest, TinShape
from api.wire.answers import source_refs, warnings, without_none
from domain.formulas.plausibility import density_notices, tin_size_notices
from domain.notices import Notice
from domain.tins.geometry import TinFactor, TinMeasure
from domain.tins.shapes import Tin
from domain.tins.text import NAMED_TINS, tin_notices
from domain.tins.yields import density_g_per_ml, loss_percent, weighed_ml

_EXAMPLES = {
    "square": "square 20 cm",
    "rectangle": "rectangle 20 x 30 x 5 cm",
    "round": "round 23 x 7 cm",
    "ring": "ring 25 x 8 x 9 cm",
    "hexagon": "hexagon 20 x 5 cm",
    "octagon": "octagon 20 x 5 cm",
    "cavities": "cavities 12 x 80 ml",
}


def measure_answer(
    request: MeasureQuery | MeasureRequest, tin: Tin, measure: TinMeasure, *, in_query: bool
) -> dict[str, Any]:
    """The sizes of a tin, with its warnings."""
    field = tin_field(shape_of(request, "tin"), "tin")
    notices = [*_of_tin(field, tin), *_within("filled_depth", measure.notices)]
    volume_ml = weighed_ml(measure)
    if request.grams is not None and volume_ml is not None:
        notices += _within("grams", density_notices(request.grams, volume_ml))
    return _as_sent(request, "tin") | without_none(
        area_cm2=measure.base_area_cm2,
        top_area_cm2=measure.top_area_cm2,
        depth_mm=measure.depth_mm,
        volume_ml=measure.volume_ml,
        filled_depth_mm=measure.filled_depth_mm,
        filled_ml=measure.filled_ml,
        fill_percent=measure.fill_percent,
        g_per_ml=None if request.grams is None else density_g_per_ml(measure, request.grams),
        **_yields(request),
        warnings=warnings(notices, in_query=in_query),
    )


def _yields(request: MeasureQuery | MeasureRequest) -> dict[str, Any]:
    """The bake loss and the trim of a yield test."""
    losses = dict[str, Any]()
    if request.raw_grams is not None and request.baked_grams is not None:
        losses["bake_loss_percent"] = loss_percent(request.raw_grams, request.baked_grams, "baked_grams")
    if request.baked_grams is not None and request.trimmed_grams is not None:
        losses["trim_percent"] = loss_percent(request.baked_grams, request.trimmed_grams, "trimmed_grams")
    return losses


def factor_answer(
    request: FactorQuery | FactorRequest, have: Tin, want: Tin, factor: TinFactor, *, in_query: bool
) -> dict[str, Any]:
    """The factor between two tins, with the warnings about both."""
    of_have, of_want = (tin_field(shape_of(request, field), field) for field in ("have", "want"))
    notices = [*_of_tin(of_have, have), *_of_tin(of_want, want), *_within(of_want, factor.notices)]
    return _as_sent(request, "have", "want") | without_none(
        factor=factor.factor,
        kept=factor.kept,
        filled_depth_mm=factor.filled_depth_mm,
        fill_percent=factor.fill_percent,
        warnings=warnings(notices, in_query=in_query),
    )


def tins_answer() -> dict[str, Any]:
    """The shapes and the nominal tins."""
    return {
        "shapes": [{"shape": shape, "example": example} for shape, example in _EXAMPLES.items()],
        "nominal": [
            {
                "name": tin.name,
                "other_names": list(tin.other_names),
                "size": tin.size,
                "length_mm": tin.length_mm,
                "width_mm": tin.width_mm,
                "depths_mm": list(tin.depths_mm),
                "cited": source_refs((tin.cited,)),
            }
            for tin in NAMED_TINS.values()
        ],
    }


def _as_sent(request: MeasureQuery | MeasureRequest | FactorQuery | FactorRequest, *fields: str) -> dict[str, Any]:
    """The tins of a request, each in the field that it was sent in."""
    tins = dict[str, Any]()
    for field in fields:
        shape = shape_of(request, field)
        tins[tin_field(shape, field)] = getattr(request, field) if shape is None else as_data(shape)
    return tins


def as_data(shape: TinShape) -> dict[str, Any]:
    """A tin as data, as it was sent."""
    return shape.model_dump(exclude_unset=True)


def _of_tin(field: str, tin: Tin) -> list[Notice]:
    return _within(field, (*tin_notices(tin), *tin_size_notices(tin)))


def _within(field: str, notices: tuple[Notice, ...]) -> list[Notice]:
    return [notice.within(field) for notice in notices]
