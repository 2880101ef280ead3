"""Food safety of the core: lethality, the holding times that agencies publish, and the usual cautions."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from domain.reference import rows
from domain.sources import Cited, cite, cited

REFERENCE_C = 70.0  # reference temperature of the lethality: uk-fsa-2nd, 70 °C for 2 minutes
Z_C = 7.5  # a minute counts ten times if the core is this much hotter: fits the five holds of uk-fsa-2nd, 60 to 80 °C
SIMPSON_STEPS = 64  # even; with half as many the result differs by less than a thousandth
REFERENCE_CITED = cite("uk-fsa-2nd", "core time and temperature combinations")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A core temperature and how long it is held; 0 seconds means no holding time."""

    agency: str
    applies_to: str
    celsius: float
    seconds: float
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One of the usual cautions."""

    id: str
    text: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Lethality:
    """Minutes at the reference temperature with the same effect as the heating so far, and the core by then."""

    minutes: float
    at_minutes: float
    core_c: float
    reference_c: float = REFERENCE_C
    z_c: float = Z_C
    cited: Cited = REFERENCE_CITED


def lethality(core_c: Callable[[float], float], until_minutes: float, z_c: float = Z_C) -> Lethality:
    """The heating of the core so far, as minutes at 70 °C.

    Args:
        core_c: the core's temperature at a number of minutes.
        until_minutes: when to stop counting, at least 0.
        z_c: how much hotter the core is where a minute counts ten times.
    Returns:
        The integral of 10^((T − 70)/z) over the time, in minutes. It is a measure of heating, not a proof that
        a bake is safe.
    Source:
        The general method of thermal processing, from memory; reference temperature and z as above.

    >>> round(lethality(lambda minutes: 70.0, 2.0).minutes, 6)
    2.0
    """
    return lethality_of(temperatures(core_c, until_minutes), until_minutes, z_c)


def temperatures(core_c: Callable[[float], float], until_minutes: float) -> tuple[float, ...]:
    """The core's temperatures at equal steps of a time, as `lethality_of` takes them.

    Args:
        core_c: the core's temperature at a number of minutes.
        until_minutes: the last of them, at least 0.
    Returns:
        °C, from the start on.
    """
    step = until_minutes / SIMPSON_STEPS
    return tuple(core_c(step * i) for i in range(SIMPSON_STEPS + 1))


def lethality_of(temperatures_c: tuple[float, ...], until_minutes: float, z_c: float = Z_C) -> Lethality:
    """The same as `lethality`, from temperatures that are worked out already: they serve more than one z.

    Args:
        temperatures_c: of the core, as from `temperatures`.
        until_minutes: the same as for them.
        z_c: how much hotter the core is where a minute counts ten times.
    Returns:
        As from `lethality`.
    """
    rates = [10 ** ((celsius - REFERENCE_C) / z_c) for celsius in temperatures_c]
    total = rates[0] + rates[-1] + 4 * sum(rates[1:-1:2]) + 2 * sum(rates[2:-1:2])
    minutes = total * until_minutes / SIMPSON_STEPS / 3
    return Lethality(minutes=minutes, at_minutes=until_minutes, core_c=temperatures_c[-1], z_c=z_c)


def cautions(*, pieces: bool) -> tuple[Caution, ...]:
    """The usual cautions for any bake; those for dough pieces come first if there are any.

    Those about raw flour and raw egg go with a formula (`domain.formulas.cautions`).
    """
    of_all = tuple(caution for caution in CAUTIONS["bake"] if caution.id not in RAW)
    return (CAUTIONS["pieces"] if pieces else ()) + of_all


def _load_cautions() -> dict[str, tuple[Caution, ...]]:
    table: dict[str, tuple[Caution, ...]] = {"bake": (), "pieces": (), "cool": ()}
    for row in rows("cautions"):
        table[row["applies_to"]] += (Caution(id=row["id"], text=row["text"], cited=cited(row)),)
    return table


HOLDS = tuple(
    Hold(
        agency=row["agency"],
        applies_to=row["applies_to"],
        celsius=float(row["celsius"]),
        seconds=float(row["seconds"]),
        cited=cited(row),
    )
    for row in rows("core_holds")
)
# The two holds against E. coli O157 give their own z, and with it the equivalent hold at the reference temperature.
_COOLER, _HOTTER = sorted((hold for hold in HOLDS if hold.cited.source == "acmsf-2nd"), key=lambda hold: hold.celsius)
Z_FLOUR_C = (_HOTTER.celsius - _COOLER.celsius) / math.log10(_COOLER.seconds / _HOTTER.seconds)
FLOUR_HOLD_MINUTES = _HOTTER.seconds / 60 * 10 ** ((_HOTTER.celsius - REFERENCE_C) / Z_FLOUR_C)
RAW = ("raw_flour", "raw_egg")  # cautions about what a mix may hold
CAUTIONS = _load_cautions()
