"""The substances that UK law adds to white wheat flour, and that the label must list."""

from collections.abc import Iterable

from domain.notices import Notice
from domain.reference import rows
from domain.shop.allergens import Market
from domain.shop.composition import Use
from domain.things.ingredients import INGREDIENTS


def flour_notices(uses: Iterable[Use], market: Market) -> tuple[Notice, ...]:
    """Warnings about white wheat flour whose statutory additions the shop has not listed.

    Args:
        uses: what the formula uses.
        market: only the UK asks for them.
    Returns:
        One warning for each flour without parts, with the path of its first line.
    """
    if market != "uk":
        return ()
    return tuple(
        Notice(
            code="flour_additions",
            message=(
                f"{use.name}: UK law adds {ADDITIONS} to white wheat flour, and the list must name them. Give the flour"
                " its parts from the bag."
            ),
            path=use.path,
        )
        for use in uses
        if use.ingredient is not None
        and use.ingredient.id in FORTIFIED
        and not (use.good is not None and use.good.parts)
    )


FORTIFIED = frozenset(row["ingredient"] for row in rows("fortified_flours"))
ADDITIONS = "calcium carbonate, iron, thiamin and niacin"  # flour_additions in label_rules.csv
if wrong := FORTIFIED - INGREDIENTS.keys():
    raise ValueError(f"fortified_flours.csv: not ingredients: {sorted(wrong)}")
