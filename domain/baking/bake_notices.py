"""Warnings about an estimate of a bake: where the model is stretched, and what does not fit."""

from domain.baking.cases import Bake, SolvedCase
from domain.baking.oven import conventional_c, fan_offset_matters
from domain.errors import broken_limit
from domain.notices import Notice

STRETCHED_DEPTH_RATIO = 3.0  # our own limit: beyond it the model with one film is stretched
STRETCHED_OVEN_C = 40.0  # our own limit for the difference of the ovens
USUAL_DIFFUSIVITY = (1.0, 40.0)  # mm² a minute; batters have about 6 to 12 (from memory), steam helps


def bake_notices(reference: Bake, target: Bake, central: SolvedCase) -> tuple[Notice, ...]:
    """The warnings about two bakes and what the model makes of them.

    Args:
        reference: the bake that works.
        target: the bake to estimate.
        central: its solution in the central case.
    Returns:
        Warnings with paths that start with `reference` or `target`.
    """
    notices = [n.within(name) for name, bake in (("reference", reference), ("target", target)) for n in _of_bake(bake)]
    sides = [("reference", reference)] + [("target", target)] * (target.oven != reference.oven)
    notices += [notice.at(name, "oven") for name, bake in sides for notice in bake.oven.notices]
    ratio = target.filled_depth_mm / reference.filled_depth_mm
    if not 1 / STRETCHED_DEPTH_RATIO <= ratio <= STRETCHED_DEPTH_RATIO:
        message = (
            f"The batter is {ratio:.2g} times as deep as in the bake that works. Where one is more than"
            f" {STRETCHED_DEPTH_RATIO:g} times as deep as the other, the minutes are only a rough guide: bake a trial."
        )
        limit = broken_limit(ratio, 1 / STRETCHED_DEPTH_RATIO, STRETCHED_DEPTH_RATIO)
        notices.append(Notice("depth_stretched", message, ("target", "filled_depth"), ratio, limit))
    ovens = [conventional_c(bake.oven, central.case.heat.fan_offset_c) for bake in (reference, target)]
    if (apart_c := abs(ovens[1] - ovens[0])) > STRETCHED_OVEN_C:
        message = (
            f"This oven and that of the bake that works are {apart_c:.0f} °C apart. Beyond {STRETCHED_OVEN_C:g} °C,"
            " crust and rise differ as well: bake a trial."
        )
        notices.append(Notice("oven_stretched", message, ("target", "oven"), apart_c, STRETCHED_OVEN_C, "celsius"))
    if fan_offset_matters(reference.oven, target.oven):
        message = (
            "One oven has a fan and the other has none. Ovens differ in how much lower a fan is set, and the window "
            "allows for that: give your oven's own fan_offset if you know it."
        )
        notices.append(Notice(code="fan_offset_varies", message=message, path=("target", "oven", "fan")))
    if reference.material != target.material:
        message = (
            "The two tins are of different material. How much faster or slower that bakes is our own judgement: check"
            " early."
        )
        notices.append(Notice(code="tin_material_differs", message=message, path=("target", "tin_material")))
    if not USUAL_DIFFUSIVITY[0] <= central.diffusivity <= USUAL_DIFFUSIVITY[1]:
        word = "short" if central.diffusivity > USUAL_DIFFUSIVITY[1] else "long"
        message = (
            f"The minutes of the bake that works are very {word} for a batter of this depth in this oven: check its"
            " depth, minutes, oven and core temperature."
        )
        limit = broken_limit(central.diffusivity, *USUAL_DIFFUSIVITY)
        notices.append(
            Notice("unusual_reference", message, ("reference",), central.diffusivity, limit, "mm2_per_minute")
        )
    return tuple(notices)


def _of_bake(bake: Bake) -> tuple[Notice, ...]:
    if bake.pieces is None or not bake.has_pieces or bake.pieces.diameter_mm <= 2 * bake.body.least_half_mm:
        return bake.notices
    piece_mm, batter_mm = bake.pieces.diameter_mm, 2 * bake.body.least_half_mm
    message = (
        f"A piece of {piece_mm:.3g} mm is thicker than the batter, {batter_mm:.3g} mm: it sticks out, and the time is"
        " for a piece as thick as the batter."
    )
    return (*bake.notices, Notice("pieces_stick_out", message, ("pieces",), piece_mm, batter_mm, "mm"))
