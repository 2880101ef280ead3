"""How much the endpoints of the shop take on in one request: what keeps an answer within some tens of milliseconds."""

from collections.abc import Sequence

from api.v1.rescale.schemas import FormulaIn
from api.v1.shop.schemas import OwnIngredientIn
from domain.errors import OutOfRangeError, Path

# Our own limits. A long formula has thirty lines, and a shop's row two packs, four allergens and a few parts.
MOST_LINES, MOST_SCALED_LINES, MOST_DETAILS = 300, 1_600, 400


def check_work(own: Sequence[OwnIngredientIn], *formulas: tuple[FormulaIn | None, Path, int]) -> None:
    """Refuse what would take too long, before any of it is read.

    Args:
        own: the request's own rows.
        formulas: each with its path, and to how many sizes its lines are scaled.
    Raises:
        OutOfRangeError: too many lines, lines times sizes, or packs, allergens and parts of rows.
    """
    details = sum(
        len(row.packs)
        + len(row.contains or ())
        + len(row.may_contain)
        + len(row.free_from)
        + len(row.parts)
        + (row.nutrition is not None)
        for row in own
    )
    if details > MOST_DETAILS:
        raise OutOfRangeError(
            f"Packs, allergens, parts and nutrition of own_ingredients are at most {MOST_DETAILS} together in one "
            "request: leave out rows that no formula uses, or put them into the shop file.",
            path=("own_ingredients",),
        )
    lines = scaled = 0
    for formula, path, sizes in formulas:
        count = 0 if formula is None else sum(len(component.lines) for component in formula.components)
        lines, scaled = lines + count, scaled + count * sizes
        if lines > MOST_LINES:
            raise OutOfRangeError(
                f"More than {MOST_LINES} lines in the formulas of one request: ask for the rest in another.", path=path
            )
        if scaled > MOST_SCALED_LINES:
            raise OutOfRangeError(
                f"Lines times sizes are at most {MOST_SCALED_LINES:,} in one request: ask for the rest in another.",
                path=path,
            )
