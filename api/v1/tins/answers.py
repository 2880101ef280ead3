"""From the domain's tins to the answers of `/v1/tins`."""

from typing import Any

from api.wire.answers import source_refs, warnings, without_none
from domain.notices import Notice
from domain.tins.geometry import TinFactor, TinMeasure
from domain.tins.shapes import Tin
from domain.tins.text import NAMED_TINS, tin_notices

_EXAMPLES = {
    "square": "square 20 cm",
    "rectangle": "rectangle 20 x 30 x 5 cm",
    "round": "round 23 x 7 cm",
    "ring": "ring 25 x 8 x 9 cm",
    "hexagon": "hexagon 20 x 5 cm",
    "octagon": "octagon 20 x 5 cm",
    "cavities": "cavities 12 x 80 ml",
}


def measure_answer(tin: Tin, measure: TinMeasure, *, in_query: bool) -> dict[str, Any]:
    """The sizes of a tin, with its warnings."""
    notices = [*_within("tin", tin_notices(tin)), *_within("filled_depth", measure.notices)]
    return without_none(
        area_cm2=measure.base_area_cm2,
        top_area_cm2=measure.top_area_cm2,
        depth_mm=measure.depth_mm,
        volume_ml=measure.volume_ml,
        filled_depth_mm=measure.filled_depth_mm,
        filled_ml=measure.filled_ml,
        fill_percent=measure.fill_percent,
        warnings=warnings(notices, in_query=in_query),
    )


def factor_answer(have: Tin, want: Tin, factor: TinFactor, *, in_query: bool) -> dict[str, Any]:
    """The factor between two tins, with the warnings about both."""
    notices = [*_within("have", tin_notices(have)), *_within("want", (*tin_notices(want), *factor.notices))]
    return without_none(
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
                "length_mm": tin.length_mm,
                "width_mm": tin.width_mm,
                "depths_mm": list(tin.depths_mm),
                "sources": source_refs((tin.cited,)),
            }
            for tin in NAMED_TINS.values()
        ],
    }


def _within(field: str, notices: tuple[Notice, ...]) -> list[Notice]:
    return [notice.within(field) for notice in notices]
