"""From a question about cuts to the answer of `/v1/cuts`; `/v1/rescale` uses the same answers."""

from typing import Any

from api.drawings.cuts import draw_cuts
from api.v1.cuts.reading import CutQuestion
from api.v1.pieces.placing import PlacedPieces
from api.wire.answers import warnings, without_none
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import charge_drawing
from domain.cutting.layouts import Alternative, CutLayout, Part, PieceKind
from domain.cutting.marks import CutMarks, Mark
from domain.errors import at_path


def question_answer(question: CutQuestion, budget: CutBudget, *, in_query: bool = False) -> dict[str, Any]:
    """Divide one slab and describe the layout.

    Args:
        question: the slab and how to divide it.
        budget: is charged for the layout and its drawing.
        in_query: whether warnings name query parameters.
    Returns:
        The answer, without the fields that are not known.
    Raises:
        DomainError: the slab cannot be divided like this, or the budget is used up.
    """
    layout, notices = question.cut(budget)
    with at_path(*question.path):
        slab_warnings = warnings(notices, in_query=in_query)
        return cuts_answer(layout, slab_warnings, budget, label=question.label, drawing=question.drawing)


def cut_drawing(question: CutQuestion, budget: CutBudget) -> str:
    """The drawing of one layout, as SVG."""
    layout, _ = question.cut(budget)
    charge_drawing(layout, budget)
    return draw_cuts(layout, question.label or "")


def cuts_answer(
    layout: CutLayout,
    slab_warnings: list[dict[str, Any]],
    budget: CutBudget,
    *,
    label: str | None = None,
    drawing: bool = False,
    title: str = "",
    placed: PlacedPieces | None = None,
) -> dict[str, Any]:
    """Describe one layout.

    Args:
        layout: how the slab is divided.
        slab_warnings: its warnings.
        budget: is charged for the drawing.
        label: the caller's own name for the slab.
        drawing: whether to draw the layout.
        title: of the drawing, where there is no label.
        placed: dough pieces that the drawing shows too.
    Returns:
        The answer, without the fields that are not known.
    Raises:
        OutOfRangeError: the budget is used up.
    """
    if drawing:
        charge_drawing(layout, budget)
    return without_none(
        label=label,
        layout=layout.layout,
        portion_figure=layout.figure,
        portion_rule=layout.rule,
        portions=layout.pieces,
        rows=layout.rows,
        columns=layout.columns,
        corner_portions=layout.count_of("corner"),
        edge_portions=layout.count_of("edge"),
        centre_portions=layout.count_of("centre"),
        portion=_mean(layout),
        portion_kinds=[
            without_none(place=kind.place, ring=kind.ring, count=kind.count, **_piece(kind)) for kind in layout.kinds
        ],
        marks=_marks(layout.marks),
        cuts_to_make=layout.cuts_to_make,
        slab=_share(layout, "slab"),
        knife=_share(layout, "knife"),
        trim=_share(layout, "trim"),
        offcut=_share(layout, "offcut"),
        error_percent=layout.error_percent,
        alternatives=[_alternative(alternative) for alternative in layout.alternatives],
        drawing=_drawn(layout, label or title, placed) if drawing else None,
        warnings=slab_warnings,
    )


def _drawn(layout: CutLayout, label: str, placed: PlacedPieces | None) -> str:
    return draw_cuts(layout, label) if placed is None else placed.drawing(label)


def _mean(layout: CutLayout) -> dict[str, Any]:
    mean = _piece(layout.piece)
    return mean if layout.has_one_size else {name: mean[name] for name in ("area_mm2", "grams") if name in mean}


def _piece(kind: PieceKind) -> dict[str, Any]:
    return without_none(
        length_mm=kind.length_mm,
        width_mm=kind.width_mm,
        area_mm2=kind.area_mm2,
        grams=kind.grams,
        grams_low=kind.grams_low,
        grams_high=kind.grams_high,
    )


def _share(layout: CutLayout, part: Part) -> dict[str, Any]:
    return without_none(area_mm2=layout.areas.of(part), grams=layout.grams_of(part), percent=layout.percent_of(part))


def _alternative(alternative: Alternative) -> dict[str, Any]:
    return without_none(
        portions=alternative.pieces,
        rows=alternative.rows,
        columns=alternative.columns,
        length_mm=alternative.length_mm,
        width_mm=alternative.width_mm,
        grams=alternative.grams,
        rings=list(alternative.rings) or None,
        reason=alternative.reason,
        message=alternative.message,
    )


def _marks(marks: CutMarks) -> dict[str, Any]:
    return {
        "length": [_mark(mark) for mark in marks.length],
        "width": [_mark(mark) for mark in marks.width],
        "radius": [_mark(mark) for mark in marks.radius],
        "rim": [
            {
                "ring": rim.ring,
                "degrees": rim.degrees,
                "rim_mm": rim.rim_mm,
                "chord_mm": rim.chord_mm,
                "x_mm": rim.x_mm,
                "y_mm": rim.y_mm,
            }
            for rim in marks.rim
        ],
        "oblique": [
            {
                "from_x_mm": line.from_x_mm,
                "from_y_mm": line.from_y_mm,
                "to_x_mm": line.to_x_mm,
                "to_y_mm": line.to_y_mm,
            }
            for line in marks.oblique
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
