"""The core temperature at which a mix of each kind is usually taken out."""

from dataclasses import dataclass

from domain.formulas.kinds import FormulaKind


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualCore:
    """Degrees of the core when done, in °C, and the mixes of which they are common practice."""

    core_c: float
    mixes: str


CAKE = UsualCore(core_c=96.0, mixes="cakes")  # a cake that is done reads 95 to 98 °C: common practice
_OTHERS: dict[FormulaKind, UsualCore] = {
    "yeast_dough": UsualCore(core_c=96.0, mixes="breads"),  # 93 to 98 °C: common practice
    # Egg sets milk and cheese near 70 °C and curdles above 85 °C: common practice; 75 °C is a hold of core_holds.csv.
    "custard": UsualCore(core_c=75.0, mixes="custards and cheesecakes"),
}


def usual_core(kind: FormulaKind) -> UsualCore:
    """The core of a mix when it is done.

    Args:
        kind: of the mix.
    Returns:
        Degrees, and the name of the mixes that are done at them.
    Source:
        Common practice.
    """
    return _OTHERS.get(kind, CAKE)
