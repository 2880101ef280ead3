"""From a request for grams to the domain's percentages."""

from api.v1.balance.schemas import FormulaGramsRequest
from domain.errors import at_path
from domain.shop.balance import pieces_mix_g


def read_percentages(body: FormulaGramsRequest) -> tuple[list[float], float]:
    """The percentages of a request, and the mix that it wants in grams.

    Args:
        body: the request.
    Returns:
        Percentages and grams.
    Raises:
        OutOfRangeError: the pieces weigh too much together.
    """
    percentages = [row.percent for row in body.percentages]
    if body.pieces is None:
        return percentages, body.grams or 0.0
    with at_path("pieces"):
        return percentages, pieces_mix_g(body.pieces.count, body.pieces.grams_each)
