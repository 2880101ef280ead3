"""Warnings as data."""

from typing import Literal, NamedTuple

from domain.errors import Path

NoticeCode = Literal[
    "alcohol_kept",
    "allergens_depend",
    "allergens_unknown",
    "analogy",
    "assumed_class_weight",
    "assumed_figure",
    "bake_loss_missing",
    "composition_assumed",
    "compound_unlisted",
    "contradicts_reference",
    "depth_not_kept",
    "disagreement",
    "depth_stretched",
    "edges_trimmed",
    "fan_offset_varies",
    "fill_unchecked",
    "flour_additions",
    "larger_than_oven",
    "loss_unchecked",
    "low_fill",
    "marked_cup_differs",
    "no_composition",
    "no_bake_window",
    "no_doneness",
    "no_gas_mark",
    "not_cut",
    "not_placed",
    "nominal_size",
    "nutrition_incomplete",
    "nuts_unnamed",
    "oven_stretched",
    "other_market",
    "own_ingredient",
    "pack_unpriced",
    "packs_not_found",
    "packing_assumed",
    "past_rim",
    "piece_mass_off",
    "past_two_thirds",
    "pieces_cook_last",
    "pieces_stick_out",
    "pieces_touch",
    "pieces_under_knife",
    "pieces_uneven",
    "poor_shape",
    "portions_short",
    "price_missing",
    "scoop_by_rule",
    "shallow_fill",
    "shallow_tin",
    "short_of_hold",
    "shape_approximated",
    "taken",
    "tapered_face",
    "tin_material_differs",
    "unlikely_amount",
    "unlikely_density",
    "unlikely_volume",
    "too_many_components",
    "too_many_lines",
    "unusual_reference",
    "vague_measure",
    "weighing_error",
    "weighs_nothing",
    "wide_range",
    "yield_from_reference",
]


class Notice(NamedTuple):
    """One warning; `path` names the part of the request that it is about.

    `value` is the figure that the message names, and `limit` what it is compared with, both in `unit` ("": a number).

    A NamedTuple, because a response can hold hundreds of them.
    """

    code: NoticeCode
    message: str
    path: Path = ()
    value: float | None = None
    limit: float | None = None
    unit: str = ""

    def within(self, *path: str | int) -> "Notice":
        """The same warning with *path* before its own path."""
        return Notice(self.code, self.message, path + self.path, self.value, self.limit, self.unit)

    def at(self, *path: str | int) -> "Notice":
        """The same warning with *path* in place of its own path."""
        return Notice(self.code, self.message, path, self.value, self.limit, self.unit)
