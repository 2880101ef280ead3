"""Which of several ingredients a word means where the fat, the cocoa or the market is said."""

from fractions import Fraction
from types import MappingProxyType

from domain.measures.units import Measures
from domain.reading.numbers import plain_number
from domain.reading.tokens import Token
from domain.reading.values import Remark
from domain.reference import rows
from domain.things.ingredients import INGREDIENTS

_SHARES = tuple(
    (row["ingredient"], Fraction(row["low"]), Fraction(row["high"]), row["meant"]) for row in rows("share_names")
)
# By measures and word; common practice of one market, so the reader says what it took.
USUAL: MappingProxyType[tuple[Measures | None, str], str] = MappingProxyType(
    {(row["measures"] or None, row["word"]): row["ingredient"] for row in rows("usual_names")}  # type: ignore[misc]  # the table's own names
)


def share_of(tokens: list[Token]) -> Fraction | None:
    """The percentage that a line names, such as the fat of cream; None without one."""
    for at, token in enumerate(tokens[1:]):
        if token.key == "%" and tokens[at].kind == "number":
            values = plain_number(tokens[at].text, "point")
            return values[0] if len(values) == 1 else None
    return None


def by_share(ids: tuple[str, ...], share: Fraction) -> tuple[str, ...]:
    """The ingredient that a share decides on.

    Args:
        ids: what the name may mean.
        share: percent of fat or cocoa, as the line says it.
    Returns:
        One id where the share decides, else the ids.
    """
    meant = tuple(dict.fromkeys(to for of, low, high, to in _SHARES if of in ids and low <= share <= high))
    return meant if len(meant) == 1 else ids


def usual_taken(ingredient: str, ids: tuple[str, ...]) -> Remark:
    """What is said where a market's usual meaning is taken."""
    others = ", ".join(INGREDIENTS[key].british for key in ids if key != ingredient)
    return Remark(code="taken", message=f"{INGREDIENTS[ingredient].british} is taken, not {others}.")
