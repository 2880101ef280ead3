"""Warnings as data: what a result should not be used without knowing."""

from dataclasses import dataclass
from typing import Literal

from domain.errors import Path

NoticeCode = Literal[
    "analogy",
    "assumed_class_weight",
    "depth_not_kept",
    "eggs_not_whole",
    "nominal_size",
    "own_ingredient",
    "packing_assumed",
    "past_rim",
    "past_two_thirds",
    "recalled_figure",
    "shallow_fill",
    "vague_measure",
    "weighs_nothing",
    "wide_range",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """One warning; `path` says which part of the request it is about."""

    code: NoticeCode
    message: str
    path: Path = ()

    def under(self, *path: str | int) -> "Notice":
        """The same warning, seen from further out."""
        return Notice(code=self.code, message=self.message, path=path + self.path)
