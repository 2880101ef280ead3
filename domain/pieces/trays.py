"""Pieces on a tray: how many sit on it, in straight rows or staggered."""

import math
from dataclasses import dataclass
from typing import Literal

from domain.cutting.slabs import RectangleSlab
from domain.errors import OutOfRangeError

FITS = 1e-9  # relative: what differs by less is the same length
MAX_ON_TRAY = 10_000  # our own limit, no source
STEP = math.sqrt(3) / 2  # rows of circles packed in triangles are this share of their pitch apart


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayRoom:
    """A tray, inside, and how pieces must sit: `spacing_mm` between them, `margin_mm` from the walls."""

    length_mm: float
    width_mm: float
    diameter_mm: float
    spacing_mm: float = 0.0
    margin_mm: float = 0.0

    @property
    def pitch_mm(self) -> float:
        """From middle to middle."""
        return self.diameter_mm + self.spacing_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayPattern:
    """Rows on a tray; `rows` says how many sit in each, `along` which side they run along.

    The middles of two rows are `row_pitch_mm` apart, those of two in a row `pitch_mm`.
    """

    pattern: Literal["square", "staggered"]
    along: Literal["length", "width"]
    rows: tuple[int, ...]
    pitch_mm: float
    row_pitch_mm: float

    @property
    def per_tray(self) -> int:
        """How many sit on one tray."""
        return sum(self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayFit:
    """Trays that a count needs, and what sits on the last one."""

    pattern: TrayPattern
    trays: int
    on_last: int


def fit_trays(count: int, room: TrayRoom) -> tuple[TrayFit, TrayFit]:
    """How pieces sit on trays, in straight rows and staggered.

    Args:
        count: of pieces.
        room: the tray and the distances.
    Returns:
        Square first, then staggered, each the better of rows along the length and along the width.
    Raises:
        OutOfRangeError: not one piece fits, or too many to be true.
    Source:
        Plane geometry: circles in straight rows, and in triangles.
    """
    if _in_a_row(room.length_mm, room) < 1 or _in_a_row(room.width_mm, room) < 1:
        raise OutOfRangeError("Not one piece fits the tray within its margin.", path=("tray",), code="piece-too-large")
    if room.length_mm * room.width_mm > MAX_ON_TRAY * room.pitch_mm**2:
        raise OutOfRangeError(f"More than {MAX_ON_TRAY:,} on a tray.", path=("tray",))
    square = _square(room)
    runs: tuple[Literal["length", "width"], ...] = ("length", "width")
    staggered = max((_staggered(room, run) for run in runs), key=lambda one: one.per_tray)
    return _fit(count, square), _fit(count, staggered)


def tray_of(slab: RectangleSlab, diameter_mm: float, *, spacing_mm: float, margin_mm: float) -> TrayRoom:
    """A rectangular tray for pieces of one diameter."""
    return TrayRoom(
        length_mm=slab.length_mm,
        width_mm=slab.width_mm,
        diameter_mm=diameter_mm,
        spacing_mm=spacing_mm,
        margin_mm=margin_mm,
    )


def _square(room: TrayRoom) -> TrayPattern:
    across, down = _in_a_row(room.length_mm, room), _in_a_row(room.width_mm, room)
    return TrayPattern(
        pattern="square", along="length", rows=(across,) * down, pitch_mm=room.pitch_mm, row_pitch_mm=room.pitch_mm
    )


def _staggered(room: TrayRoom, along: Literal["length", "width"]) -> TrayPattern:
    run, across = (room.length_mm, room.width_mm) if along == "length" else (room.width_mm, room.length_mm)
    odd = _in_a_row(run, room)
    even = _in_a_row(run - room.pitch_mm / 2, room)  # its first piece stands half a pitch further in
    depth = across - 2 * room.margin_mm - room.diameter_mm
    rows = math.floor(depth / (room.pitch_mm * STEP) * (1 + FITS)) + 1
    counts = tuple(even if j % 2 else odd for j in range(rows))
    return TrayPattern(
        pattern="staggered",
        along=along,
        rows=tuple(count for count in counts if count),
        pitch_mm=room.pitch_mm,
        row_pitch_mm=room.pitch_mm * STEP,
    )


def _in_a_row(run_mm: float, room: TrayRoom) -> int:
    return max(0, math.floor((run_mm - 2 * room.margin_mm + room.spacing_mm) / room.pitch_mm * (1 + FITS)))


def _fit(count: int, pattern: TrayPattern) -> TrayFit:
    trays = math.ceil(count / pattern.per_tray)
    return TrayFit(pattern=pattern, trays=trays, on_last=count - (trays - 1) * pattern.per_tray)
