"""From a cut layout to what `/v1/cuts` sends; `/v1/rescale` sends the same."""

from typing import Any

from api.drawings.cuts import draw_cuts
from api.wire.answers import warnings, without_none
from domain.cutting.layouts import Alternative, CutLayout, PieceKind
from domain.cutting.marks import CutMarks, Mark
from domain.notices import Notice


def cuts_answer(
    layout: CutLayout,
    notices: tuple[Notice, ...],
    *,
    label: str | None = None,
    drawing: bool = False,
    in_query: bool = False,
) -> dict[str, Any]:
    """One layout as it goes out.

    Args:
        layout: how the slab is divided.
        notices: what to know of it, with the paths of the request.
        label: the caller's own name for it.
        drawing: whether to draw it.
        in_query: whether paths are query parameters.
    """
    areas = layout.areas
    return without_none(
        label=label,
        layout=layout.layout,
        pieces=layout.pieces,
        rows=layout.rows,
        columns=layout.columns,
        corner=layout.count_of("corner"),
        edge=layout.count_of("edge"),
        centre=layout.count_of("centre"),
        piece=_mean(layout),
        kinds=[
            without_none(place=kind.place, ring=kind.ring, count=kind.count, **_piece(kind)) for kind in layout.kinds
        ],
        marks=_marks(layout.marks),
        cuts_to_make=layout.cuts_to_make,
        slab=_share(layout, areas.slab_mm2),
        knife=_share(layout, areas.knife_mm2),
        trim=_share(layout, areas.trim_mm2),
        offcut=_share(layout, areas.offcut_mm2),
        error_percent=layout.error_percent,
        alternatives=[_alternative(one) for one in layout.alternatives],
        drawing=draw_cuts(layout, label or "") if drawing else None,
        warnings=warnings(notices, in_query=in_query),
    )


def _mean(layout: CutLayout) -> dict[str, Any]:
    mean = _piece(layout.piece)
    sizes = {(kind.length_mm, kind.width_mm) for kind in layout.kinds}
    return mean if len(sizes) == 1 else {name: mean[name] for name in ("area_mm2", "grams") if name in mean}


def _piece(kind: PieceKind) -> dict[str, Any]:
    return without_none(length_mm=kind.length_mm, width_mm=kind.width_mm, area_mm2=kind.area_mm2, grams=kind.grams)


def _share(layout: CutLayout, area_mm2: float) -> dict[str, Any]:
    percent = area_mm2 / layout.areas.slab_mm2 * 100
    return without_none(area_mm2=area_mm2, grams=layout.grams_of(area_mm2), percent=percent)


def _alternative(one: Alternative) -> dict[str, Any]:
    return without_none(
        pieces=one.pieces,
        rows=one.rows,
        columns=one.columns,
        length_mm=one.length_mm,
        width_mm=one.width_mm,
        grams=one.grams,
        reason=one.reason,
        message=one.message,
    )


def _marks(marks: CutMarks) -> dict[str, Any]:
    return {
        "length": [_mark(mark) for mark in marks.length],
        "width": [_mark(mark) for mark in marks.width],
        "radius": [_mark(mark) for mark in marks.radius],
        "rim": [
            {"ring": rim.ring, "degrees": rim.degrees, "rim_mm": rim.rim_mm, "x_mm": rim.x_mm, "y_mm": rim.y_mm}
            for rim in marks.rim
        ],
    }


def _mark(mark: Mark) -> dict[str, Any]:
    return {
        "mm": mark.mm,
        "nearest_mm": mark.nearest_mm,
        "nearest_sixteenths": mark.nearest_sixteenths,
        "inches": mark.inches,
        "kind": mark.kind,
    }
