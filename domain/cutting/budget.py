"""A limit on the work that one request may cause by cutting and drawing slabs."""

from domain.errors import OutOfRangeError

# Costs are relative: 1 is the work of laying out about ten pieces of a rectangle.
LAYOUT = 15  # any layout, whatever it holds
PIECE = 0.1  # a rectangular piece or a wedge
SLOPING_PIECE = 0.4  # a piece that is weighed under sloping walls
SLOPING_FACET = 5.0  # a triangle or a diamond at a sloping wall
SLOPING_CELL = 3.0  # a cell of a grid over a round slab that is weighed under sloping walls
COLUMNS = 0.3  # one number of columns that a search looks at
GRID = 0.5  # one grid that a search looks at
ROW = 0.06  # one row of a grid over a round slab, for one position of the grid
POSITION = 0.5  # one position of such a grid
CELL = 0.15  # one cell of such a grid, whole or not
RING = 5  # one ring of a given area or width
RING_OF_PIECES = 18  # one ring of pieces with a given area, found by iteration
PLACED_PIECE = 1.3  # a dough piece that is placed in a tin, and on its cuts
DRAWING = 60  # any drawing
DRAWN_PIECE = 1.0  # a rectangle in a drawing
DRAWN_WEDGE = 1.6  # a wedge or a part of a ring in a drawing
DRAWN_KNIFE = 0.8  # the gap that a knife leaves beside a wedge in a drawing
DRAWN_MARK = 1.3  # a mark on a ruler in a drawing
WINDOW = 52  # the bake of one target, in a request that asks for doneness
MAP = 170  # the doneness of any slab, with its isotherms
MAPPED_PIECE = 3.6  # the doneness of a piece
MAX_WORK = 2_600  # our own limit: one drawing of 1,000 pieces fits, whatever their shape


class CutBudget:
    """Work left for all the layouts and drawings of one request.

    Every step is charged before it is done, so layouts that end in an error count as well.

    >>> budget = CutBudget(10)
    >>> budget.spend(8)
    >>> budget.left
    2.0
    """

    def __init__(self, work: float = MAX_WORK) -> None:
        """Start with *work* left."""
        self.most = self.left = float(work)

    def spend(self, work: float) -> None:
        """Charge a step that is about to be done.

        Args:
            work: the cost of the step.
        Raises:
            OutOfRangeError: less than that is left; from then on every step is refused.
        """
        if work > self.left:
            spent, self.left = self.most - self.left + work, 0.0
            raise OutOfRangeError(
                "Too many pieces, searches or drawings in one request: ask for larger pieces, or for the rest in "
                "another request.",
                value=spent,
                limit=self.most,
            )
        self.left -= work
