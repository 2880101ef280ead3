"""Transient heat conduction, compared with finite volumes and with scipy's Bessel functions, and its laws."""

import math
import random

import numpy as np
import pytest
import scipy.integrate
import scipy.optimize
import scipy.special
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.conduction import Shape, confinement, temperature_ratio, terms_of
from domain.baking.heating import Body, ColdPiece, Extent, heating, sphere_left
from domain.baking.special_functions import bessel_j0_j1, bessel_zero, erfcx
from domain.errors import OutOfRangeError
from tests.domain.finite_volumes import at_centre, axis, left
from tests.strategies import LAW

SHAPES: tuple[Shape, ...] = ("slab", "cylinder", "sphere")
DIMENSIONS = {"slab": 1, "cylinder": 2, "sphere": 3}
shapes = st.sampled_from(SHAPES)
biots = st.floats(-3, 3).map(lambda exponent: 10.0**exponent)
fouriers = st.floats(-4, 0.7).map(lambda exponent: 10.0**exponent)


def test_bessel_functions_equal_scipys() -> None:
    for x in [*np.logspace(-9, 3, 3001), *np.linspace(0, 60, 3001)]:
        j0, j1 = bessel_j0_j1(float(x))
        assert abs(j0 - scipy.special.j0(x)) < 1e-14
        assert abs(j1 - scipy.special.j1(x)) < 1e-14


@pytest.mark.parametrize("order", [0, 1])
def test_bessel_zeros_equal_scipys(order: int) -> None:
    zeros = [bessel_zero(order, number) for number in range(1, 201)]
    assert zeros == pytest.approx(scipy.special.jn_zeros(order, 200), rel=1e-14)


def test_scaled_complementary_error_function_against_scipy() -> None:
    for x in np.linspace(0, 200, 2001):
        assert erfcx(float(x)) == pytest.approx(scipy.special.erfcx(x), rel=1e-12)


@given(shape=shapes, biot=biots)
@LAW
def test_each_interval_contains_one_root_that_solves_the_equation(shape: Shape, biot: float) -> None:
    for number, term in enumerate(terms_of(shape, biot, 30), start=1):
        root = term.root
        # The difference of both sides changes sign within 1e-10 of the root.
        below, above = (_sides_differ(shape, biot, root * stretch) for stretch in (1 - 1e-10, 1 + 1e-10))
        assert below * above <= 0
        starts = {"slab": (number - 1) * math.pi, "sphere": (number - 1) * math.pi}
        start = starts.get(shape, float(scipy.special.jn_zeros(1, number)[-2]) if number > 1 else 0.0)
        assert start <= root <= start + math.pi


def _sides_differ(shape: Shape, biot: float, x: float) -> float:
    if shape == "slab":
        return x * math.sin(x) - biot * math.cos(x)
    if shape == "cylinder":
        return float(x * scipy.special.j1(x) - biot * scipy.special.j0(x))
    return x * math.cos(x) - (1 - biot) * math.sin(x)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("biot", [0.01, 0.5, 3.0, 40.0, math.inf])
def test_terms_left_out_are_below_a_millionth_at_every_fourier_number(shape: Shape, biot: float) -> None:
    # The reference is the same series with so many terms that the truncation is negligible.
    many = terms_of(shape, biot, 700)
    for fourier in [*np.logspace(-4, 1, 101), 0.0125, 0.0124999, 0.05, 0.0499999]:
        whole = math.fsum(t.coefficient * math.exp(-t.root * t.root * fourier) for t in many)
        assert temperature_ratio(shape, biot, float(fourier)) == pytest.approx(whole, abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_terms_left_out_are_below_a_millionth_away_from_the_middle(shape: Shape) -> None:
    forms = {"slab": math.cos, "cylinder": scipy.special.j0, "sphere": lambda z: math.sin(z) / z}
    for biot in (0.2, 4.0, math.inf):
        many = terms_of(shape, biot, 700)
        for fourier in (1e-4, 1e-3, 0.01, 0.05, 0.3, 2.0):
            for place in (0.3, 0.8, 1.0):
                whole = math.fsum(
                    t.coefficient * forms[shape](t.root * place) * math.exp(-t.root * t.root * fourier) for t in many
                )
                assert temperature_ratio(shape, biot, fourier, place) == pytest.approx(whole, abs=1e-6)


def _random_cases() -> list[tuple[str, tuple[tuple[Shape, float], ...], float, float]]:
    """Thirty bodies: ten of one direction, ten discs (cylinder × slab) and squares, ten blocks."""
    dice = random.Random(20261125)  # noqa: S311 - reproducible cases, not a secret
    cases = []
    for number in range(30):
        half, second_half, third = (dice.uniform(10, 60) for _ in range(3))
        extents: tuple[tuple[Shape, float], ...]
        if number < 10:
            extents = ((SHAPES[number % 3], half),)
        elif number < 20:
            extents = ((("cylinder", "slab")[number % 2], half), ("slab", second_half))
        else:
            extents = (("slab", half), ("slab", second_half), ("slab", third))
        film = 10 ** dice.uniform(-2, -0.5)  # 1/mm: Biot numbers from 0.1 to 20
        s = dice.uniform(0.05, 0.6) * min(size for _, size in extents) ** 2
        cases.append((f"{number}: {'x'.join(kind for kind, _ in extents)}", extents, film, s))
    return cases


@pytest.mark.parametrize(("name", "extents", "film", "s"), _random_cases(), ids=[c[0] for c in _random_cases()])
def test_the_series_agrees_with_finite_volumes(
    name: str,  # noqa: ARG001 - the test's id
    extents: tuple[tuple[Shape, float], ...],
    film: float,
    s: float,
) -> None:
    cells = {1: 100, 2: 32, 3: 15}[len(extents)]
    field = left([axis(kind, half, film, cells)[0] for kind, half in extents], s)
    body = Body(extents=tuple(Extent(shape=kind, half_mm=half) for kind, half in extents), volume_mm3=1.0)
    hot = heating(body, film_per_mm=film, surroundings_c=1.0, start_c=0.0)
    assert 1 - hot.core_c(s) == pytest.approx(at_centre(field), rel=5e-3)
    if len(extents) == 1:
        (kind, half), ((_, places),) = extents[0], [axis(extents[0][0], extents[0][1], film, cells)]
        for index in (0, cells // 2, cells - 1):
            ratio = temperature_ratio(kind, film * half, s / half**2, places[index] / half)
            assert ratio == pytest.approx(field[index], rel=5e-3)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_small_biot_number_is_a_lumped_body(shape: Shape) -> None:
    # Volume over surface is L, R/2 and R/3: the lumped body of any textbook, exp(−n Bi Fo).
    for fourier in (1.0, 30.0, 300.0):
        lumped = math.exp(-DIMENSIONS[shape] * 1e-3 * fourier)
        assert temperature_ratio(shape, 1e-3, fourier) == pytest.approx(lumped, rel=1e-3)
    assert temperature_ratio(shape, 0.0, 5.0) == 1.0


@pytest.mark.parametrize("shape", SHAPES)
def test_a_large_biot_number_fixes_the_surface_temperature(shape: Shape) -> None:
    for fourier in (0.02, 0.06, 0.3, 1.0):
        fixed = temperature_ratio(shape, math.inf, fourier)
        assert temperature_ratio(shape, 1e8, fourier) == pytest.approx(fixed, abs=1e-7)
        assert temperature_ratio(shape, math.inf, fourier, 1.0) == pytest.approx(0.0, abs=1e-6)


def test_a_slab_with_a_fixed_surface_temperature_by_its_series() -> None:
    # Conduction of Heat in Solids, 1959, 3.3: (4/π) Σ (−1)^n/(2n+1) exp(−(2n+1)²π²Fo/4), from memory.
    for fourier in (0.03, 0.1, 0.5):
        series = sum(
            4 / math.pi * (-1) ** n / (2 * n + 1) * math.exp(-((2 * n + 1) ** 2) * math.pi**2 * fourier / 4)
            for n in range(60)
        )
        assert temperature_ratio("slab", math.inf, fourier) == pytest.approx(series, abs=1e-9)


def mean_ratio(shape: Shape, biot: float, fourier: float) -> float:
    """θ averaged over the volume of the body: n ∫ θ(x) x^(n−1) dx from 0 to 1, by Gauss and Legendre."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    n = DIMENSIONS[shape]
    places = [(1 + float(node)) / 2 for node in nodes]
    ratios = [temperature_ratio(shape, biot, fourier, place) * place ** (n - 1) for place in places]
    return n / 2 * math.fsum(float(weight) * ratio for weight, ratio in zip(weights, ratios, strict=True))


@given(shape=shapes, biot=biots, fourier=st.floats(1e-3, 3))
@LAW
def test_heat_through_the_film_equals_heat_absorbed(shape: Shape, biot: float, fourier: float) -> None:
    step = 1e-4 * fourier
    slope = (mean_ratio(shape, biot, fourier + step) - mean_ratio(shape, biot, fourier - step)) / (2 * step)
    through = -DIMENSIONS[shape] * biot * temperature_ratio(shape, biot, fourier, 1.0)
    assert slope == pytest.approx(through, rel=2e-3, abs=1e-5 * (1 + biot))


@given(shape=shapes, biot=biots, fourier=fouriers, place=st.floats(0, 1))
@LAW
def test_the_share_is_from_0_to_1_and_smallest_at_the_surface(
    shape: Shape, biot: float, fourier: float, place: float
) -> None:
    here = temperature_ratio(shape, biot, fourier, place)
    assert -1e-6 <= here <= 1 + 1e-6
    assert here <= temperature_ratio(shape, biot, fourier) + 2e-6
    assert temperature_ratio(shape, biot, fourier, 1.0) <= here + 2e-6
    assert temperature_ratio(shape, biot, 1.3 * fourier, place) <= here + 2e-6
    assert temperature_ratio(shape, 1.3 * biot, fourier, place) <= here + 2e-6


@pytest.mark.parametrize(
    ("biot", "fourier", "place"),
    [(-1, 1, 0), (math.nan, 1, 0), (1, -1, 0), (1, math.inf, 0), (1, 1, 1.5), (1, 1e-9, 0.5)],
)
def test_arguments_outside_the_solution_are_rejected(biot: float, fourier: float, place: float) -> None:
    with pytest.raises(OutOfRangeError):
        temperature_ratio("sphere", biot, fourier, place)


def test_a_cold_sphere_in_infinite_space() -> None:
    # Finite volumes in a sphere eight times as wide, so that its wall is too far away to matter.
    matrix, places = axis("sphere", 80.0, 1e-9, 400)
    for s in (10.0, 40.0, 150.0):
        field = left([matrix], s, (places < 10.0).astype(float))
        assert sphere_left(10.0, s) == pytest.approx(at_centre(field), abs=2e-3)


@pytest.mark.parametrize("film", [0.02, 0.08, 0.4])
@pytest.mark.parametrize(("depth", "diameter", "within"), [(40, 20, 0.004), (40, 30, 0.012), (40, 40, 0.04)])
def test_a_cold_piece_between_the_faces(film: float, depth: float, diameter: float, within: float) -> None:
    # A disc with the sphere in its middle: finite volumes in r and z, compared with the product of confinements.
    across, down = axis("cylinder", 50.0, film, 40), axis("slab", depth / 2, film, 20)
    inside = across[1][:, None] ** 2 + down[1][None, :] ** 2 < (diameter / 2) ** 2
    body = Body(extents=(Extent(shape="cylinder", half_mm=50), Extent(shape="slab", half_mm=depth / 2)), volume_mm3=1.0)
    plain = heating(body, film_per_mm=film, surroundings_c=1.0, start_c=0.0)
    cold = heating(
        body,
        film_per_mm=film,
        surroundings_c=1.0,
        start_c=0.0,
        piece=ColdPiece(radius_mm=diameter / 2, colder_by_c=1.0),
    )
    for s in (60.0, 150.0, 300.0):
        field = left([across[0], down[0]], s, inside.astype(float))
        assert plain.core_c(s) - cold.core_c(s) == pytest.approx(at_centre(field), abs=within)


def test_confinement_falls_from_one_to_zero() -> None:
    for shape in SHAPES:
        terms = terms_of(shape, 2.0)
        assert confinement(shape, terms, 1e-3) == 1.0
        # The short-time value and the series agree where one replaces the other.
        assert confinement(shape, terms, 0.05) == pytest.approx(1.0, abs=1e-6)
        assert confinement(shape, terms, 20.0) < 1e-3


@pytest.mark.parametrize("film", [0.02, 0.08, 0.4])
@pytest.mark.parametrize(("outer", "hole"), [(125.0, 40.0), (110.0, 30.0), (90.0, 45.0)])
def test_a_ring_heats_like_a_bar_as_thick(film: float, outer: float, hole: float) -> None:
    # A hollow cylinder with a film on both faces, compared with the plane wall that represents it: the time until
    # the coldest place has absorbed half, and nine tenths, of its heat.
    matrix, _ = axis("cylinder", outer, film, 100, inner=hole)
    half = (outer - hole) / 2
    wall = heating(
        Body(extents=(Extent(shape="slab", half_mm=half),), volume_mm3=1.0),
        film_per_mm=film,
        surroundings_c=1.0,
        start_c=0.0,
    )
    for core in (0.5, 0.9):
        s = wall.s_at(core)
        slower, faster = (left([matrix], s * factor).max() for factor in (0.92, 1.08))
        assert slower > 1 - core > faster


@pytest.mark.parametrize("ratio", [2.0, 3.0, 4.0])
def test_the_first_root_of_a_hollow_cylinder_is_nearly_that_of_a_wall(ratio: float) -> None:
    def cross(x: float) -> float:
        j, y = scipy.special.j0, scipy.special.y0
        return float(j(x) * y(ratio * x) - j(ratio * x) * y(x))

    root = scipy.optimize.brentq(cross, 0.9 * math.pi / (ratio - 1), 1.05 * math.pi / (ratio - 1))
    assert root * (ratio - 1) == pytest.approx(math.pi, rel=0.025)


@given(radius=st.floats(2, 30), slowness=st.floats(1, 3), s=st.floats(0.01, 3000))
@LAW
def test_trailing_and_catching_up_are_inverse(radius: float, slowness: float, s: float) -> None:
    body = Body(extents=(Extent(shape="slab", half_mm=40),), volume_mm3=1.0)
    piece = ColdPiece(radius_mm=radius, colder_by_c=1.0)
    hot = heating(body, film_per_mm=0.1, surroundings_c=1.0, start_c=0.0, piece=piece)
    assert hot.trailing(hot.catching_up(s, slowness), slowness) == pytest.approx(s, rel=1e-9, abs=1e-9)
    assert hot.catching_up(s, slowness) >= s
    assert hot.trailing(s, 1.0) == s


@pytest.mark.parametrize("slowness", [1.5, 2.0])
def test_the_lag_of_a_slower_sphere_against_finite_volumes(slowness: float) -> None:
    # The surface of a sphere rises linearly; its centre finally lags by radius²/(6·diffusivity). Two
    # spheres, one slower than the other, differ by the lag: Duhamel's sum over the step response.
    radius, steps = 12.0, 400
    matrix, _ = axis("sphere", radius, 1e6, 60)

    def middle(s: float) -> float:
        times = (np.arange(steps) + 0.5) * s / steps
        step_response = [1 - temperature_ratio("sphere", math.inf, float(t) / radius**2) for t in times]
        return float(np.sum(step_response) * s / steps)

    own = at_centre(left([matrix], 30.0))
    assert temperature_ratio("sphere", math.inf, 30.0 / radius**2) == pytest.approx(own, rel=5e-3)
    s = 250.0
    lag = middle(s) - middle(s / slowness) * slowness  # both in units of the rise per mm² of the batter's `s`
    assert lag == pytest.approx(radius**2 / 6 * (slowness - 1), rel=2e-2)


@given(shape=shapes, biot=st.floats(0.05, 50), first=st.floats(0.002, 0.2), more=st.floats(1.5, 20))
@LAW
def test_the_heat_that_a_body_gains_is_the_heat_that_passes_its_surface(
    shape: Shape, biot: float, first: float, more: float
) -> None:
    """The balance of energy: the film passes n·Bi·θ(1) for each unit of the Fourier number; scipy integrates it."""
    passed, _ = scipy.integrate.quad(
        lambda fourier: DIMENSIONS[shape] * biot * temperature_ratio(shape, biot, fourier, 1.0), first, first * more
    )
    gained = mean_ratio(shape, biot, first) - mean_ratio(shape, biot, first * more)
    assert passed == pytest.approx(gained, rel=1e-3, abs=1e-6)
