"""Slabs and wishes to divide them, as hypothesis strategies."""

from hypothesis import assume
from hypothesis import strategies as st

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import CutLayout, Cutting
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.wishes import CountWish, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.errors import DomainError

EXACT = 1e-9  # relative: far below what a ruler or a scale shows
sides = st.floats(80, 700)
aspects = st.sampled_from([1.0, 1.5, 2.0, 3.0])


@st.composite
def cuttings(draw: st.DrawFn) -> Cutting:
    knife = draw(st.sampled_from([0.0, 0.5, 1.0, 2.0]) | st.floats(0, 3))
    trim = draw(st.just(0.0) | st.floats(max(knife, 0.5), 12))
    return Cutting(trim_mm=trim, knife_mm=knife, slab_g=draw(st.floats(200, 9_000)))


rectangles = st.builds(RectangleSlab, length_mm=sides, width_mm=sides, corner_radius_mm=st.just(0.0) | st.floats(0, 30))
rounds = st.builds(RoundSlab, diameter_mm=sides)
rings = st.builds(RingSlab, diameter_mm=st.floats(160, 400), hole_mm=st.floats(20, 90))
polygons = st.builds(
    PolygonSlab,
    sides=st.integers(3, 12),
    across_flats_mm=st.floats(120, 400),
    corner_radius_mm=st.just(0.0) | st.floats(0, 25),
)
size_wishes = st.builds(SizeWish, length_mm=st.floats(12, 120), width_mm=st.floats(12, 120))
grid_wishes: st.SearchStrategy[Wish] = st.one_of(
    st.builds(GridWish, rows=st.integers(1, 12), columns=st.integers(1, 12)),
    st.builds(CountWish, portions=st.integers(1, 120), aspect=aspects),
    size_wishes,
    st.builds(MassWish, portion_g=st.floats(15, 400), aspect=aspects),
)
round_wishes: st.SearchStrategy[Wish] = st.one_of(
    st.builds(WedgesWish, wedges=st.integers(1, 40)),
    st.builds(MassWish, portion_g=st.floats(40, 400)),
    st.builds(CountWish, portions=st.integers(1, 40)),
)
ring_wishes: st.SearchStrategy[Wish] = st.builds(
    RingsWish,
    rings=st.lists(st.integers(1, 16), min_size=1, max_size=4).map(tuple),
    by=st.sampled_from(["equal_rings", "equal_pieces"]),
) | st.builds(
    RingsWish,
    rings=st.lists(st.integers(1, 16), min_size=2, max_size=4).map(tuple),
    by=st.just("width"),
    width_mm=st.floats(10, 40),
)
laid_wishes: st.SearchStrategy[Wish] = st.one_of(
    st.builds(GridWish, rows=st.integers(1, 9), columns=st.integers(1, 9)),
    st.builds(SizeWish, length_mm=st.floats(15, 90), width_mm=st.floats(15, 90)),
)
slabs_with_wishes: st.SearchStrategy[tuple[Slab, Wish]] = st.one_of(
    st.tuples(rectangles, grid_wishes),
    st.tuples(rounds, round_wishes | ring_wishes | laid_wishes),
    st.tuples(rings, round_wishes),
    st.tuples(polygons, laid_wishes),
)


def cut(slab: Slab, wish: Wish, cutting: Cutting) -> CutLayout:
    """The layout; hypothesis tries another example if this one cannot be cut."""
    try:
        return cut_slab(slab, wish, cutting)
    except DomainError:
        assume(False)
        raise
