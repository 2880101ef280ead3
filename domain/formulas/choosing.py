"""Which of a shop's tins to use for a mix, with the mass, the portions and the factor of each choice."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.errors import NeededError, OutOfRangeError
from domain.formulas.formula import WeighedFormula, above_zero
from domain.formulas.kinds import USUAL_FILL, FormulaKind
from domain.formulas.targets import Portions, mix_ml
from domain.tins.choice import ChosenTin, Depths, OwnTin, TinChoice, choose_tins

DEPTH_RANGE = 0.1  # of the formula's own depth, either way: it bakes alike; our own choice
MAX_PORTIONS = 1_000_000  # of one tin; our own limit
NEARLY_WHOLE = 1e-9  # of a portion: no more than rounding errors


@dataclass(frozen=True, slots=True, kw_only=True)
class MixToBake:
    """A raw mix: its mass as written (None without a formula), density, kind, and the depth that it is written for."""

    g_per_ml: float
    kind: FormulaKind
    written_g: float | None = None
    filled_depth_mm: float | None = None

    def __post_init__(self) -> None:
        """Reject figures that are not above 0."""
        above_zero(g_per_ml=self.g_per_ml)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledTin:
    """Tins of one kind, with the mix in each and the whole portions that come out of each."""

    tin: ChosenTin
    grams: float
    portions: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MixChoice:
    """One way to fill tins with a mix."""

    choice: TinChoice
    tins: tuple[FilledTin, ...]
    grams: float
    factor: float | None
    leftover_grams: float
    extra_grams: float
    portions: int | None


def mix_to_bake(formula: WeighedFormula) -> MixToBake:
    """The mix of a formula, with the density that it has in its own tin.

    Args:
        formula: in grams.
    Returns:
        The mix.
    Raises:
        NeededError: its density is not known; the path starts with `formula`.
    """
    grams = formula.mass.grams
    volume_ml = mix_ml(formula.formula, grams)
    return MixToBake(
        g_per_ml=grams / volume_ml,
        kind=formula.kind,
        written_g=grams,
        filled_depth_mm=formula.formula.filled_depth_mm,
    )


def depths_of(mix: MixToBake, low_mm: float | None, high_mm: float | None) -> Depths:
    """How deep a mix may stand.

    Args:
        mix: it gives the depth that is not given, a tenth less or more than the formula's own, and the usual fill.
        low_mm: least height, or None.
        high_mm: largest height, or None.
    Returns:
        The range of heights, and the most of a tin's capacity.
    Raises:
        NeededError: a height is missing, and the mix has no depth of its own.
    """
    own = mix.filled_depth_mm
    low = low_mm if low_mm is not None else None if own is None else own * (1 - DEPTH_RANGE)
    high = high_mm if high_mm is not None else None if own is None else own * (1 + DEPTH_RANGE)
    if low is None or high is None:
        name = "depth_low" if low is None else "depth_high"
        raise NeededError(
            "Give how deep the mix may stand, as depth_low and depth_high, or a formula with its filled depth.",
            path=(name,),
            code="depth_needed",
        )
    return Depths(low_mm=low, high_mm=high, most_share=USUAL_FILL[mix.kind])


def choose_for_mix(
    mix: MixToBake,
    own: Sequence[OwnTin],
    depths: Depths,
    *,
    grams: float | None = None,
    portions: Portions | None = None,
) -> tuple[MixChoice, ...]:
    """The best ways to fill a shop's tins with a mix.

    Args:
        mix: what is baked.
        own: the shop's tins.
        depths: how deep it may stand.
        grams: all of this mass is to be used; the formula's own if neither this nor *portions* is given.
        portions: the tins must hold enough for these, instead of a mass.
    Returns:
        The choices, the best first.
    Raises:
        NeededError: nothing says how much mix there is, or the tins do not suit it.
        OutOfRangeError: there are too many ways to compare, or too many portions.
    """
    wanted = mix.written_g if grams is None else grams
    if portions is not None:
        wanted = portions.mix_g
    if wanted is None:
        raise NeededError("Give how much mix there is: a formula, grams or portions.", path=("grams",))
    choices = choose_tins(wanted / mix.g_per_ml, own, depths, hold_all=portions is not None)
    return tuple(_of_mix(mix, choice, portions) for choice in choices)


def _of_mix(mix: MixToBake, choice: TinChoice, portions: Portions | None) -> MixChoice:
    tins = tuple(_filled(mix, tin, portions) for tin in choice.tins)
    grams = choice.batter_ml * mix.g_per_ml
    return MixChoice(
        choice=choice,
        tins=tins,
        grams=grams,
        factor=None if mix.written_g is None else grams / mix.written_g,
        leftover_grams=choice.leftover_ml * mix.g_per_ml,
        extra_grams=choice.extra_ml * mix.g_per_ml,
        portions=None if portions is None else sum((tin.portions or 0) * tin.tin.count for tin in tins),
    )


def _filled(mix: MixToBake, tin: ChosenTin, portions: Portions | None) -> FilledTin:
    grams = tin.batter_ml * mix.g_per_ml
    count = None
    if portions is not None:
        baked_g = grams * (1 - portions.bake_loss_percent / 100)
        if baked_g > portions.grams_each * MAX_PORTIONS:
            raise OutOfRangeError(
                f"A tin would give more than {MAX_PORTIONS:,} portions.",
                path=("portions", "grams_each"),
                value=portions.grams_each,
                limit=baked_g / MAX_PORTIONS,
                unit="g",
            )
        count = math.floor(baked_g / portions.grams_each * (1 + NEARLY_WHOLE))
    return FilledTin(tin=tin, grams=grams, portions=count)
