"""Triangles and diamonds: areas, counts and lines, compared with shapely."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry import LineString, Polygon, box

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import CutLayout, Cutting, Facet, Figure, Part
from domain.cutting.slabs import RectangleSlab, RoundSlab
from domain.cutting.wishes import CountWish, GridWish, MassWish, SizeWish, Wish
from domain.errors import DomainError, MismatchError
from domain.pieces.on_grid import pieces_under_knife, set_on_cuts
from tests.domain.cut_strategies import cut, rectangles
from tests.strategies import LAW

TRAY = RectangleSlab(length_mm=300, width_mm=200)
PARTS: tuple[Part, ...] = ("pieces", "knife", "trim", "offcut")
cuttings = st.builds(
    Cutting,
    trim_mm=st.sampled_from([0.0, 5.0]),
    knife_mm=st.sampled_from([0.0, 1.0, 2.0]),
    slab_g=st.just(1_200.0),
    figure=st.sampled_from(["triangle", "diamond"]),
)


def outline(slab: RectangleSlab, cutting: Cutting) -> Polygon:
    radius, trim = slab.corner_radius_mm, cutting.trim_mm
    whole = box(0, 0, slab.length_mm, slab.width_mm)
    rounded = whole.buffer(-radius).buffer(radius, quad_segs=512) if radius > 1e-3 else whole
    return rounded.intersection(box(trim, trim, slab.length_mm - trim, slab.width_mm - trim))


def facets(layout: CutLayout) -> list[Facet]:
    return [shape for shape in layout.shapes if isinstance(shape, Facet)]


@LAW
@given(rectangles, st.integers(2, 60).map(lambda half: 2 * half), cuttings)
def test_areas_and_masses_are_those_of_shapely(slab: RectangleSlab, count: int, cutting: Cutting) -> None:
    layout = cut(slab, CountWish(portions=count), cutting)
    inner = outline(slab, cutting)
    pieces = [Polygon(facet.points).intersection(inner) for facet in facets(layout)]
    whole = [piece.area for piece, facet in zip(pieces, facets(layout), strict=True) if facet.place != "part"]
    tolerance = 2e-6 * slab.area_mm2  # shapely's rounded corners have corners
    assert sum(whole) == pytest.approx(layout.areas.pieces_mm2, abs=tolerance)
    assert sum(piece.area for piece in pieces) == pytest.approx(
        layout.areas.pieces_mm2 + layout.areas.offcut_mm2, abs=tolerance
    )
    assert inner.area - shapely.union_all(pieces).area == pytest.approx(layout.areas.knife_mm2, abs=2 * tolerance)
    assert math.fsum(layout.grams_of(part) or 0 for part in PARTS) == pytest.approx(1_200, rel=1e-9)
    assert layout.pieces == len(whole) == sum(kind.count for kind in layout.kinds if kind.place != "part")


@LAW
@given(rectangles, st.integers(4, 60).map(lambda half: 2 * half), cuttings)
def test_pieces_keep_half_a_knife_from_the_slanting_cuts(slab: RectangleSlab, count: int, cutting: Cutting) -> None:
    layout = cut(slab, CountWish(portions=count), cutting)
    lines = [
        LineString([(each.from_x_mm, each.from_y_mm), (each.to_x_mm, each.to_y_mm)]) for each in layout.marks.oblique
    ]
    shapes = [Polygon(facet.points) for facet in facets(layout)]
    tree = shapely.STRtree(shapes)
    for line in lines:
        near = tree.query(line.buffer(1))
        assert len(near) > 0
        for index in near:
            assert shapes[index].distance(line) >= cutting.knife_mm / 2 - 1e-6


def test_twenty_four_triangles_of_a_tray() -> None:
    cutting = Cutting(slab_g=1_200, figure="triangle")
    layout = cut_slab(TRAY, CountWish(portions=24), cutting)
    # Twelve squares of 66.7 or 75 mm, each cut once from corner to corner: 50 g a triangle.
    assert (layout.pieces, layout.rows, layout.columns) == (24, 3, 4)
    assert [kind.grams for kind in layout.kinds] == pytest.approx([50.0] * len(layout.kinds))
    assert layout.cuts_to_make == 2 + 3 + 6
    with pytest.raises(MismatchError) as refusal:
        cut_slab(TRAY, CountWish(portions=25), cutting)
    assert refusal.value.candidates == ("24", "26")


def test_diamonds_have_four_equal_sides_and_an_angle_of_sixty_degrees() -> None:
    layout = cut_slab(TRAY, CountWish(portions=30), Cutting(slab_g=1_200, knife_mm=1, figure="diamond"))
    assert abs(layout.pieces - 30) <= 8
    for facet in facets(layout):
        if facet.place == "part":
            continue
        sides = [math.dist(facet.points[i - 1], facet.points[i]) for i in range(4)]
        assert sides == pytest.approx([layout.piece.length_mm] * 4)
        area = Polygon(facet.points).area
        assert area == pytest.approx(sides[0] ** 2 * math.sin(math.radians(60)))


def test_a_mass_of_diamonds_and_of_triangles_keeps_its_rule() -> None:
    for figure in ("triangle", "diamond"):
        cutting = Cutting(slab_g=1_200, figure=figure)
        least = cut_slab(TRAY, MassWish(portion_g=40, rule="at_least"), cutting)
        most = cut_slab(TRAY, MassWish(portion_g=40, rule="at_most"), cutting)
        assert (least.lightest_g or 0) >= 40 >= (most.piece.grams or 99)


def test_corners_under_sloping_walls_weigh_less() -> None:
    slab = RectangleSlab(length_mm=316, width_mm=216, lean_length_mm=8, lean_width_mm=8)
    layout = cut_slab(slab, CountWish(portions=24), Cutting(slab_g=1_500, figure="triangle"))
    corner = next(kind for kind in layout.kinds if kind.place == "corner")

    def mean(facet: Facet) -> float:
        def area(share: float) -> float:
            section = box(8 * share, 8 * share, 316 - 8 * share, 216 - 8 * share)
            return float(Polygon(facet.points).intersection(section).area)

        return float(quad(area, 0, 1, epsabs=1e-6, limit=200)[0])

    whole = mean(Facet(points=((0, 0), (316, 0), (316, 216), (0, 216)), place="centre"))
    masses = [1_500 * mean(facet) / whole for facet in facets(layout) if facet.place == "corner"]
    assert (corner.grams_low, corner.grams_high) == pytest.approx((min(masses), max(masses)), rel=1e-6)
    assert math.fsum(layout.grams_of(part) or 0 for part in PARTS) == pytest.approx(1_500)


@pytest.mark.parametrize(
    ("slab", "wish", "figure"),
    [
        (RoundSlab(diameter_mm=230), CountWish(portions=12), "triangle"),
        (TRAY, GridWish(rows=3, columns=4), "diamond"),
        (TRAY, SizeWish(length_mm=40, width_mm=40), "diamond"),
    ],
    ids=str,
)
def test_a_slab_that_cannot_be_cut_into_such_pieces_is_refused(
    slab: RectangleSlab | RoundSlab, wish: Wish, figure: Figure
) -> None:
    with pytest.raises(MismatchError) as refusal:
        cut_slab(slab, wish, Cutting(figure=figure))
    assert refusal.value.code == "cut_mismatch"


@LAW
@given(st.sampled_from(["triangle", "diamond"]), st.integers(4, 30).map(lambda half: 2 * half))
def test_one_piece_in_each_is_inside_and_not_under_the_knife(figure: Figure, count: int) -> None:
    layout = cut(TRAY, CountWish(portions=count), Cutting(knife_mm=1, figure=figure))
    pattern = set_on_cuts(layout, 1)
    whole = [Polygon(facet.points) for facet in facets(layout) if facet.place != "part"]
    for place, piece in zip(pattern.positions, whole, strict=True):
        assert piece.contains(shapely.Point(place))
    assert pieces_under_knife(pattern, layout, None) == 0
    with pytest.raises(DomainError):
        set_on_cuts(layout, 2)
