"""Pieces on a tray: how many fit, in straight or in staggered rows."""

import math
from dataclasses import dataclass
from typing import Literal

from domain.errors import MismatchError, NeededError, OutOfRangeError
from domain.tins.shapes import RectangleTin, SquareTin, TaperedRectangleTin, Tin

FITS = 1e-9  # relative: lengths that differ by less are equal
MAX_ON_TRAY = 10_000  # our own limit, no source
STEP = math.sqrt(3) / 2  # distance of the rows of circles packed in triangles, as a share of their pitch


@dataclass(frozen=True, slots=True, kw_only=True)
class TraySpace:
    """The inside of a tray, and the distances to keep: `spacing_mm` between pieces, `margin_mm` from the walls."""

    length_mm: float
    width_mm: float
    diameter_mm: float
    spacing_mm: float = 0.0
    margin_mm: float = 0.0

    @property
    def pitch_mm(self) -> float:
        """Distance from middle to middle."""
        return self.diameter_mm + self.spacing_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayPattern:
    """Rows on a tray: the number of pieces in each, and the side that they run `along`.

    The middles of two neighbouring rows are `row_pitch_mm` apart, those of two pieces in a row `pitch_mm`.
    """

    pattern: Literal["square", "staggered"]
    along: Literal["length", "width"]
    rows: tuple[int, ...]
    pitch_mm: float
    row_pitch_mm: float

    @property
    def per_tray(self) -> int:
        """Number of pieces on one tray."""
        return sum(self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayFit:
    """The number of trays that a count needs, and the number of pieces on the last one."""

    pattern: TrayPattern
    trays: int
    on_last: int


def fit_trays(count: int, space: TraySpace) -> tuple[TrayFit, TrayFit]:
    """Fit pieces on trays, in straight and in staggered rows.

    Args:
        count: number of pieces.
        space: the tray and the distances to keep.
    Returns:
        The square pattern, then the staggered one: the better of rows along the length and along the width.
    Raises:
        OutOfRangeError: not one piece fits, or more than anybody bakes.
    Source:
        Plane geometry: circles in straight rows, and in triangles.
    """
    if _in_a_row(space.length_mm, space) < 1 or _in_a_row(space.width_mm, space) < 1:
        raise OutOfRangeError(
            "Not one piece fits the tray within its margin.",
            path=("tray",),
            code="piece_too_large",
            value=space.diameter_mm,
            limit=max(0.0, min(space.length_mm, space.width_mm) - 2 * space.margin_mm),
            unit="mm",
        )
    if (places := space.length_mm * space.width_mm / space.pitch_mm**2) > MAX_ON_TRAY:
        message = f"There would be more than {MAX_ON_TRAY:,} pieces on a tray."
        raise OutOfRangeError(message, path=("tray",), value=places, limit=MAX_ON_TRAY)
    square = _square(space)
    runs: tuple[Literal["length", "width"], ...] = ("length", "width")
    staggered = max((_staggered(space, run) for run in runs), key=lambda pattern: pattern.per_tray)
    return _fit(count, square), _fit(count, staggered)


def tray_of(tin: Tin, diameter_mm: float | None, *, spacing_mm: float, margin_mm: float) -> TraySpace:
    """The space on a tray for pieces of one diameter.

    Args:
        tin: the tray, inside.
        diameter_mm: diameter of a piece, None if it is not known.
        spacing_mm: distance between pieces.
        margin_mm: distance from the walls.
    Returns:
        The tray and the distances.
    Raises:
        MismatchError: the tray is not rectangular.
        NeededError: the diameter is not known.
    """
    if not isinstance(tin, SquareTin | RectangleTin | TaperedRectangleTin):
        raise MismatchError("Trays are rectangular: give its length and width.", path=("tray",), code="tray_mismatch")
    if diameter_mm is None:
        raise NeededError(
            "Give diameter, or g_per_ml to use the diameter of a ball.",
            path=("diameter",),
            code="diameter_needed",
        )
    length_mm, width_mm = _size_mm(tin)
    return TraySpace(
        length_mm=length_mm, width_mm=width_mm, diameter_mm=diameter_mm, spacing_mm=spacing_mm, margin_mm=margin_mm
    )


def _size_mm(tin: SquareTin | RectangleTin | TaperedRectangleTin) -> tuple[float, float]:
    match tin:
        case SquareTin():
            return tin.side_mm, tin.side_mm
        case RectangleTin():
            return tin.length_mm, tin.width_mm
        case TaperedRectangleTin():
            return tin.top_length_mm, tin.top_width_mm


def _square(space: TraySpace) -> TrayPattern:
    across, down = _in_a_row(space.length_mm, space), _in_a_row(space.width_mm, space)
    return TrayPattern(
        pattern="square", along="length", rows=(across,) * down, pitch_mm=space.pitch_mm, row_pitch_mm=space.pitch_mm
    )


def _staggered(space: TraySpace, along: Literal["length", "width"]) -> TrayPattern:
    run, across = (space.length_mm, space.width_mm) if along == "length" else (space.width_mm, space.length_mm)
    odd = _in_a_row(run, space)
    even = _in_a_row(run - space.pitch_mm / 2, space)  # the first piece is half a pitch further in
    depth = across - 2 * space.margin_mm - space.diameter_mm
    rows = math.floor(depth / (space.pitch_mm * STEP) * (1 + FITS)) + 1
    # If no piece fits the shifted rows, only the first row is as this pattern describes it.
    counts = tuple(even if j % 2 else odd for j in range(rows if even else 1))
    return TrayPattern(
        pattern="staggered",
        along=along,
        rows=tuple(count for count in counts if count),
        pitch_mm=space.pitch_mm,
        row_pitch_mm=space.pitch_mm * STEP,
    )


def _in_a_row(run_mm: float, space: TraySpace) -> int:
    return max(0, math.floor((run_mm - 2 * space.margin_mm + space.spacing_mm) / space.pitch_mm * (1 + FITS)))


def _fit(count: int, pattern: TrayPattern) -> TrayFit:
    trays = math.ceil(count / pattern.per_tray)
    return TrayFit(pattern=pattern, trays=trays, on_last=count - (trays - 1) * pattern.per_tray)
