"""How many layouts and drawings one request gets: what keeps it within some tens of milliseconds."""

from domain.cutting.layouts import CutLayout
from domain.cutting.slabs import RectangleSlab
from domain.errors import OutOfRangeError

# Hundredths of a millisecond as once measured; only how they stand to each other matters.
_LAYOUT, _SEARCH, _DRAWING = 20, 300, 200
_PIECE, _DRAWN_PIECE, _SLIVER, _RING = 0.5, 4, 3, 30
_FEW_RINGS = 6  # our own choice: so many are within what any search costs
MOST_WORK = 3_000  # our own limit: 12 drawings of 24 pieces, or 80 layouts of them without


class CutWork:
    """What the layouts of one request have taken so far."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.spent = 0.0

    def admit(self) -> None:
        """Let the next layout in.

        Raises:
            OutOfRangeError: those before it have taken all that one request gets.
        """
        if self.spent > MOST_WORK:
            raise OutOfRangeError(
                "Too many pieces, searches or drawings in one request: ask for the rest in another, "
                "or for drawings a few at a time."
            )

    def add(self, layout: CutLayout, *, drawing: bool) -> None:
        """Count a layout.

        Args:
            layout: as answered; where no side is straight, or rings are to hold equal pieces, it was searched for.
            drawing: whether it was drawn too.
        """
        plain = layout.layout == "wedges" or (layout.layout == "grid" and isinstance(layout.slab, RectangleSlab))
        # At a rim that is not straight every part's area is worked out; of pieces of a usual shape few are parts.
        slivers = 0 if plain else max(0, len(layout.shapes) - 2 * layout.pieces)
        rings = max(0, len(layout.kinds) - _FEW_RINGS) if layout.layout == "rings" else 0
        self.spent += _LAYOUT + (0 if plain else _SEARCH) + layout.pieces * _PIECE + slivers * _SLIVER + rings * _RING
        if drawing:
            self.spent += _DRAWING + layout.pieces * _DRAWN_PIECE
