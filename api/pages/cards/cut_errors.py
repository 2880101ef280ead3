"""What is wrong with how a slab is cut, in the words of the trade."""

from api.pages.cards.fields import N_

_MASS = N_("Write a weight, such as 940 g, 812.5 g or 1.2 kg.")
_LENGTH = N_("Write a length with its unit, such as 5 mm or 1/4 in.")
_PERCENT = N_("Write a percentage, such as 11 or 11.5 %.")
_SIZE = N_("Write a length and a width with their unit, such as 30 x 20 cm.")
_COUNT = N_("From 1 to 1,000 pieces, each at least 5 mm across: ask for fewer.")
_BY_CODE = {
    "unreadable_size": _SIZE,
    "slab_needed": N_("Write the tin, or the length and width of the slab; one of the two."),
    "cut_wish_needed": N_("Say how it is cut: so many pieces, or one of the other ways to cut, and only one."),
    "slab_grams_needed": N_("Write what the cooled slab weighs. Without it no piece has a weight."),
    "bake_loss_needed": N_(
        "Write what the mix loses in the oven, in percent: weigh one slab when it has cooled, and compare it with its "
        "mix."
    ),
    "given_twice": N_("Fill in one of the two: the weight of the cooled slab, or that of the raw mix."),
    "piece_too_large": N_("Not one whole piece of this size comes out of the slab."),
    "no_grid": N_("No way of cutting makes such pieces. Ask for another number or weight, or allow larger pieces."),
    "nothing_to_cut": N_("These cavities bake single pieces already: there is no slab to cut."),
    "shape_needed": N_("Write the shape of the tin, or the length and width of the slab."),
    "limit_broken": N_("Some pieces would be larger than that. Ask for more pieces, or allow larger ones."),
    "cut_mismatch": N_("This slab is not cut like that."),
}
_BY_FIELD = {
    ("slab", "out_of_range"): N_("A slab is from 5 mm to 2 m each way."),
    ("trim", "out_of_range"): N_("The trim leaves something to cut, and is at least as wide as the knife."),
    **{(name, "out_of_range"): _COUNT for name in ("portions", "wedges", "rows", "columns")},
    ("portions", "cut_mismatch"): N_("This slab does not come out in so many pieces."),
    ("portion_size", "out_of_range"): N_("A piece is at least 5 mm each way, and a slab makes at most 1,000 of them."),
    ("portion_grams", "out_of_range"): N_("A piece of this weight would be a crumb, or more than the slab."),
    ("portion_shape", "unreadable"): N_("Choose a shape, or write two sides such as 3:2."),
    ("portion_shape", "out_of_range"): N_("A piece is at least 5 mm across, and at most 20 times as long as wide."),
    ("portion_shape", "cut_mismatch"): N_("Only a rectangular slab is cut into triangles or diamonds."),
    ("rings", "out_of_range"): N_("At most 20 rings, each with a piece or more and at least 5 mm wide: ask for fewer."),
    ("ring_width", "out_of_range"): N_(
        "A width of at least 5 mm, if “rings of one width” is chosen; else leave it empty."
    ),
    ("ring_width", "cut_mismatch"): N_("A width of rings goes with rings."),
    ("baked_depth", "out_of_range"): N_("The slab is not higher than its tin: measure it."),
}
# Codes of an amount whose unit is missing, unknown or of another kind, and of an amount outside its limits.
_AMOUNT_CODES = frozenset({"ambiguous_unit", "unit_mismatch", "unknown_unit", "unreadable", "out_of_range"})
_AMOUNTS = {
    **dict.fromkeys(("slab_grams", "mix_grams", "portion_grams", "piece_grams", "largest_mass", "bowl"), _MASS),
    **dict.fromkeys(("trim", "knife_width", "longest_side", "ring_width", "baked_depth"), _LENGTH),
    "bake_loss_percent": _PERCENT,
    "portion_size": _SIZE,
    "slab": _SIZE,
}


def cut_message(name: str, code: str) -> str | None:
    """The message for an error of a field of cuts; None where the usual message will do.

    Args:
        name: of the field.
        code: of the problem.
    """
    message = _BY_FIELD.get((name, code)) or _BY_CODE.get(code)
    if message is None and code in _AMOUNT_CODES:
        return _AMOUNTS.get(name)
    return message
