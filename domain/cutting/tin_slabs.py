"""The slab that comes out of a tin, and the face of it that is divided."""

from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.errors import MismatchError, OutOfRangeError
from domain.notices import Notice
from domain.tins.shapes import (
    CavitiesTin,
    MeasuredTin,
    PolygonTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
)


def slab_of(tin: Tin, baked_depth_mm: float | None = None) -> tuple[Slab, tuple[Notice, ...]]:
    """The top face of the slab from a tin, which is where the ruler goes.

    Args:
        tin: any tin with a shape.
        baked_depth_mm: height of the baked slab; it matters only in tins with sloping walls.
    Returns:
        The slab's face. In tins with sloping walls: the section at the baked depth, or at the rim if no depth is
        given, with a warning.
    Raises:
        MismatchError: the tin has cavities, which bake single pieces, or its shape is not known.
        OutOfRangeError: the baked depth lies above the rim.
    """
    match tin:
        case SquareTin(side_mm=side):
            return RectangleSlab(length_mm=side, width_mm=side, corner_radius_mm=tin.corner_radius_mm), ()
        case RectangleTin():
            sizes = {"length_mm": tin.length_mm, "width_mm": tin.width_mm}
            return RectangleSlab(**sizes, corner_radius_mm=tin.corner_radius_mm), ()
        case RoundTin(diameter_mm=diameter):
            return RoundSlab(diameter_mm=diameter), ()
        case RingTin(diameter_mm=diameter, hole_mm=hole):
            return RingSlab(diameter_mm=diameter, hole_mm=hole), ()
        case PolygonTin(sides=sides, across_flats_mm=flats, corner_radius_mm=radius):
            return PolygonSlab(sides=sides, across_flats_mm=flats, corner_radius_mm=radius), ()
        case TaperedRectangleTin() | TaperedRoundTin():
            return _tapered(tin, baked_depth_mm)
        case CavitiesTin(count=count):
            raise MismatchError(
                f"These cavities bake {count} single pieces already: there is no slab to cut.",
                path=("tin",),
                code="nothing_to_cut",
            )
        case MeasuredTin():
            raise MismatchError(
                "Only what this tin holds is known: give its shape, or the slab's length and width.",
                path=("tin",),
                code="shape_needed",
            )


def check_baked_depth(tin: Tin, baked_depth_mm: float | None) -> None:
    """Refuse a baked depth above the rim of a tin with sloping walls, where the face would be unknown.

    Args:
        tin: any tin.
        baked_depth_mm: height of the baked slab, if it is given.
    Raises:
        OutOfRangeError: the slab would be higher than the tin.
    """
    if isinstance(tin, TaperedRectangleTin | TaperedRoundTin) and (baked_depth_mm or 0.0) > tin.depth_mm:
        raise OutOfRangeError(
            "The slab is higher than the tin's rim; measure it.",
            path=("baked_depth",),
            value=baked_depth_mm or 0.0,
            limit=tin.depth_mm,
            unit="mm",
        )


def _tapered(
    tin: TaperedRectangleTin | TaperedRoundTin, baked_depth_mm: float | None
) -> tuple[Slab, tuple[Notice, ...]]:
    check_baked_depth(tin, baked_depth_mm)
    depth = tin.depth_mm if baked_depth_mm is None else baked_depth_mm
    share = depth / tin.depth_mm
    height = f"{depth:g} mm above the base" if baked_depth_mm is not None else "the rim, as baked_depth is not given"
    notice = Notice(
        code="tapered_face",
        message=f"The walls slope: the top face is measured at {height}. Each piece is weighed by its place; give its "
        "baked depth to be exact."
        if baked_depth_mm is None
        else f"The walls slope: the top face is measured at {height}, and each piece is weighed by its place.",
        path=("tin",),
        value=depth,
        unit="mm",
    )
    if isinstance(tin, TaperedRoundTin):
        diameter = _between(tin.base_diameter_mm, tin.top_diameter_mm, share)
        return RoundSlab(diameter_mm=diameter, lean_mm=(diameter - tin.base_diameter_mm) / 2), (notice,)
    length = _between(tin.base_length_mm, tin.top_length_mm, share)
    width = _between(tin.base_width_mm, tin.top_width_mm, share)
    slab = RectangleSlab(
        length_mm=length,
        width_mm=width,
        corner_radius_mm=tin.corner_radius_mm,
        lean_length_mm=(length - tin.base_length_mm) / 2,
        lean_width_mm=(width - tin.base_width_mm) / 2,
    )
    return slab, (notice,)


def _between(base: float, top: float, share: float) -> float:
    return base * (1 - share) + top * share
