"""Where pieces go in a tin: in an even pattern, and by the portion if the tin is cut."""

from dataclasses import dataclass
from typing import Any

from api.drawings.cuts import draw_cuts
from api.drawings.language import ENGLISH, Language
from api.drawings.pieces import draw_pieces
from api.drawings.style import ALONE, SheetStyle
from api.wire.answers import without_none
from domain.baking.targets import pieces_in_batter
from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import CutLayout
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainError, MismatchError
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice
from domain.pieces.balls import ball_mm
from domain.pieces.counts import Pieces
from domain.pieces.on_grid import knife_notice, per_portion_of, pieces_under_knife, set_on_cuts
from domain.pieces.patterns import MAX_SET, PiecePattern, set_pieces
from domain.tins.shapes import CavitiesTin


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPieces:
    """An even pattern of pieces in one tin; with the cuts of the tin, also the places by the portion."""

    pattern: PiecePattern
    diameter_mm: float | None
    layout: CutLayout | None = None
    on_cuts: PiecePattern | None = None
    notices: tuple[Notice, ...] = ()

    def answer(self) -> dict[str, Any]:
        """The places, and how many pieces of the even pattern a cut goes through."""
        under_knife = None
        if self.layout is not None:
            under_knife = pieces_under_knife(self.pattern, self.layout, self.diameter_mm)
        return without_none(
            pattern=pattern_answer(self.pattern),
            on_cuts=None if self.on_cuts is None else pattern_answer(self.on_cuts),
            pieces_under_knife=under_knife,
        )

    def drawing(self, label: str, *, style: SheetStyle = ALONE, language: Language = ENGLISH) -> str:
        """The pieces as SVG, with the cuts if the tin is cut."""
        if self.layout is None:
            return draw_pieces(self.pattern, self.diameter_mm, label, style=style, language=language)
        return draw_cuts(
            self.layout, label, self.on_cuts or self.pattern, self.diameter_mm, style=style, language=language
        )


def place_on(pattern: PiecePattern, diameter_mm: float | None, layout: CutLayout | None) -> PlacedPieces:
    """Place pieces that are in an even pattern by the portion too.

    Args:
        pattern: the even pattern in one tin.
        diameter_mm: of a piece, if it is known.
        layout: how the tin is cut, if it is.
    Returns:
        Both, with the warnings about the pattern that is drawn.
    """
    if layout is None:
        return PlacedPieces(pattern=pattern, diameter_mm=diameter_mm, notices=pattern.notices)
    try:
        on_cuts = set_on_cuts(layout, per_portion_of(layout, len(pattern.positions)), diameter_mm)
    except MismatchError as error:
        uneven = Notice("pieces_uneven", error.detail, (), error.value, error.limit)
        notices = (*pattern.notices, *knife_notice(pattern, layout, diameter_mm), uneven)
        return PlacedPieces(pattern=pattern, diameter_mm=diameter_mm, layout=layout, notices=notices)
    return PlacedPieces(
        pattern=pattern, diameter_mm=diameter_mm, layout=layout, on_cuts=on_cuts, notices=on_cuts.notices
    )


def place_dough(
    pieces: Pieces, result: Rescaled, layout: CutLayout | None, budget: CutBudget, *, drawing: bool
) -> PlacedPieces | None:
    """Place the pieces of a dough in one of a target's tins.

    Args:
        pieces: in all the tins.
        result: the formula for the target.
        layout: how one tin is cut, if it is.
        budget: is charged for each piece.
        drawing: whether they will be drawn.
    Returns:
        The places; None without a tin, and in a tin of cavities.
    Raises:
        DomainError: the tin has no shape, there are too many pieces, or the budget is used up.
    """
    tin, division = result.target.tin, pieces.division
    if tin is None or isinstance(tin, CavitiesTin):
        return None
    diameter_mm = None if division is None else division.diameter_mm
    if diameter_mm is None and division is not None and division.g_per_ml is not None:
        diameter_mm = ball_mm(pieces.grams_each, division.g_per_ml)
    slab, _ = slab_of(tin)
    budget.spend(min(pieces.per_tin, MAX_SET) * (costs.PLACED_PIECE + costs.DRAWN_PIECE * drawing))
    return place_on(set_pieces(slab, pieces.per_tin, diameter_mm), diameter_mm, layout)


def pieces_on_cuts(result: Rescaled, layout: CutLayout, budget: CutBudget) -> PlacedPieces | None:
    """The pieces of a target's batter, for the drawing of its cuts.

    Args:
        result: the formula for the target.
        layout: how one tin is cut.
        budget: is charged for each piece.
    Returns:
        The places; None without pieces in a batter, and where they cannot be placed.
    """
    pieces = pieces_in_batter(result.components)
    if pieces is None:
        return None
    try:
        return place_dough(pieces, result, layout, budget, drawing=True)
    except DomainError:
        return None


def pattern_answer(pattern: PiecePattern) -> dict[str, Any]:
    """Where the pieces sit in the tin."""
    return without_none(
        along=pattern.along,
        piece_rows=[
            {"count": row.count, "at_mm": row.at_mm, "first_mm": row.first_mm, "pitch_mm": row.pitch_mm}
            for row in pattern.rows
        ],
        piece_rings=[
            {
                "count": ring.count,
                "radius_mm": ring.radius_mm,
                "first_degrees": ring.first_degrees,
                "step_degrees": ring.step_degrees,
            }
            for ring in pattern.rings
        ],
        positions=[{"x_mm": x, "y_mm": y} for x, y in pattern.positions],
        nearest_mm=pattern.nearest_mm,
        wall_mm=pattern.wall_mm,
    )
