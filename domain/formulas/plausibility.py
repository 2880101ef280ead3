"""Checks of the commonest slips: a wrong depth, a wrong tin, an amount that no kitchen holds."""

from domain.errors import broken_limit
from domain.formulas.kinds import RISING, FormulaKind
from domain.notices import Notice
from domain.things.eggs import NEARLY_WHOLE
from domain.tins.geometry import SHALLOW_MM, capacity_ml
from domain.tins.shapes import MeasuredTin, Tin, longest_side_mm, walls_of

MIN_G_PER_ML, MAX_G_PER_ML = (
    0.3,
    1.4,
)  # a whisked sponge batter has about 0.4, a dense dough about 1.3: our own limits
MIN_FILL_PERCENT = 25.0  # our own limit, no source
MAX_FILL_PERCENT = 200 / 3  # common practice for a mix that rises
OVEN_SIDE_MM, OVEN_DEPTH_MM = 800.0, 200.0  # our own limits: the inside of a usual deck oven
MIN_TIN_ML, MAX_TIN_ML = 5.0, OVEN_SIDE_MM**2 * OVEN_DEPTH_MM / 1_000  # our own: a small cavity, a whole oven
MIN_TIN_MM = 10.0  # our own limit: a tin this shallow is a sheet


def density_notices(grams: float, batter_ml: float) -> tuple[Notice, ...]:
    """The warning about a mass that does not go with the volume it is said to fill.

    Args:
        grams: of the whole mix, above 0.
        batter_ml: what it is said to fill, above 0.
    Returns:
        One warning outside 0.3 to 1.4 g/ml, or none.
    """
    density = grams / batter_ml
    if MIN_G_PER_ML <= density <= MAX_G_PER_ML:
        return ()
    limit = MIN_G_PER_ML if density < MIN_G_PER_ML else MAX_G_PER_ML
    message = (
        f"{grams:,.0f} g of mix are said to fill {batter_ml:,.0f} ml: {density:.2f} g/ml, and a mix has"
        f" {MIN_G_PER_ML:g} to {MAX_G_PER_ML:g}. Check the depth, the tin and the amounts."
    )
    return (Notice("unlikely_density", message, (), density, limit, "g_per_ml"),)


def fill_notices(kind: FormulaKind, tin: Tin, percent: float | None, depth_mm: float | None) -> tuple[Notice, ...]:
    """The warnings about how full a tin is.

    Args:
        kind: of the mix.
        tin: that it is in.
        percent: of the tin's capacity; None if it is not known.
        depth_mm: height of the mix; None if it is not known.
    Returns:
        Warnings about a fill that was not checked, under a quarter, or over two thirds with a mix that rises. A fill
        past the rim, and a mix under a centimetre, have warnings of their own.
    """
    if percent is None:
        if capacity_ml(tin) is not None:
            return ()
        message = (
            "The tin's depth is not given, so its fill was not checked: a mix that rises needs the upper third free."
        )
        return (Notice("fill_unchecked", message),)
    if percent < MIN_FILL_PERCENT and (depth_mm is None or depth_mm >= SHALLOW_MM):
        message = (
            f"The tin is {percent:.0f} % full; under {MIN_FILL_PERCENT:g} % a smaller or shallower tin bakes better."
        )
        return (Notice("low_fill", message, (), percent, MIN_FILL_PERCENT, "percent"),)
    if kind in RISING and MAX_FILL_PERCENT < percent <= 100:
        message = f"A mix that rises ({_WORDS[kind]}) fills {percent:.0f} % of the tin; two thirds is the usual most."
        return (Notice("past_two_thirds", message, (), percent, MAX_FILL_PERCENT, "percent"),)
    return ()


def tin_size_notices(tin: Tin) -> tuple[Notice, ...]:
    """The warnings about a tin that no usual oven takes, or that is hardly a tin.

    Args:
        tin: any shape.
    Returns:
        At most one warning for its sides, one for its depth, and one for the volume of a tin that is known by it.
    """
    notices = list[Notice]()
    if isinstance(tin, MeasuredTin) and not MIN_TIN_ML <= tin.volume_ml <= MAX_TIN_ML:
        limit = broken_limit(tin.volume_ml, MIN_TIN_ML, MAX_TIN_ML)
        message = (
            f"The tin holds {tin.volume_ml:,.4g} ml; tins hold {MIN_TIN_ML:g} to {MAX_TIN_ML:,.0f} ml. Check its"
            " volume, or the weight of the water, and its unit."
        )
        notices.append(Notice("unlikely_volume", message, (), tin.volume_ml, limit, "ml"))
    side, walls = longest_side_mm(tin), walls_of(tin)
    if side is not None and side > OVEN_SIDE_MM:
        message = f"The tin is {side:,.0f} mm long; a usual deck oven takes {OVEN_SIDE_MM:g} mm. Check its size."
        notices.append(Notice("larger_than_oven", message, (), side, OVEN_SIDE_MM, "mm"))
    depth = None if walls is None else walls.depth_mm
    if depth is not None and depth > OVEN_DEPTH_MM:
        message = f"The tin is {depth:,.0f} mm deep; a usual deck oven takes {OVEN_DEPTH_MM:g} mm. Check its depth."
        notices.append(Notice("larger_than_oven", message, (), depth, OVEN_DEPTH_MM, "mm"))
    if depth is not None and depth < MIN_TIN_MM:
        message = f"The tin is only {depth:g} mm deep. Check its depth and its unit."
        notices.append(Notice("shallow_tin", message, (), depth, MIN_TIN_MM, "mm"))
    return tuple(notices)


def batch_notices(egg_class: str, factor: float, percent: float | None) -> tuple[Notice, ...]:
    """The warning about a whole-egg batch that its tin does not hold.

    Args:
        egg_class: whose eggs it takes.
        factor: that the formula is multiplied by.
        percent: of the tin's capacity; None if it is not known.
    Returns:
        One warning past the rim, or none.
    """
    if percent is None or percent <= 100 * (1 + NEARLY_WHOLE):
        return ()
    message = (
        f"The batch of factor {factor:.3g}, which takes whole {egg_class} eggs, fills {percent:.0f} % of the tin: use a"
        " larger tin, or more tins."
    )
    return (Notice("past_rim", message, ("whole_egg_batches",), percent, 100.0, "percent"),)


_WORDS: dict[FormulaKind, str] = {
    "chemically_raised": "it has a raising agent",
    "whisked": "it is whisked",
    "yeast_dough": "it has yeast",
    "custard": "a custard",
    "dense_slab": "a dense slab",
}
