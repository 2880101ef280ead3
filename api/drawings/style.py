"""How a drawing of a slab looks: with its words or as part of a card, in which units, and how large its text is."""

from dataclasses import dataclass
from typing import Literal

from api.drawings.svg import FIGURE, HEADING, LINE


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStyle:
    """Sizes of text in units of the drawing; a heading of 0 leaves out the text above the slab.

    `with_losses`: whether the key has the masses of what is lost.
    """

    heading: float
    line: float
    figure: float
    measure: Literal["both", "mm", "in"]
    with_losses: bool


ALONE = SheetStyle(heading=HEADING, line=LINE, figure=FIGURE, measure="both", with_losses=True)
# The page of a card has the words, and what is lost in a table that adds up. Its figures are read from a distance of
# 1 m: on a screen of 1280 x 800 a unit is about 5 px.
CARD_FIGURE = 4.3
ON_CARD = SheetStyle(heading=0.0, line=CARD_FIGURE, figure=CARD_FIGURE, measure="mm", with_losses=False)
