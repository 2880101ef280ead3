"""Cooling times: an independent finite-volume solution, laws, refusals and the published limits."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.bodies import body_of
from domain.cooling.cooled_bodies import Ball, Composition, CoolingBody, InTin
from domain.cooling.cooling import CoolingEstimate, estimate_cooling
from domain.cooling.places import PLACES, range_of
from domain.cooling.round_bodies import round_extents
from domain.cooling.substances import mass_fractions_of, substance_of
from domain.errors import DomainErrors
from domain.tins.text import parse_tin
from tests.domain.finite_volumes import at_centre, axis, left
from tests.strategies import LAW


def body(**changes: Any) -> CoolingBody:
    form = InTin(tin=parse_tin(changes.pop("tin", "square 23 cm")), depth_mm=changes.pop("depth_mm", 40.0))
    return CoolingBody(**{"form": form, "start_c": 96.0, "place": "rack", "in_tin": False, **changes})


def minutes(celsius: float, **changes: Any) -> float:
    return estimate_cooling(body(**changes), {"core_temperature": celsius}).milestones[0].minutes


def outcomes(estimate: CoolingEstimate) -> dict[str, str]:
    return {check.rule.id: check.outcome for check in estimate.rules}


def test_a_slab_on_a_rack_cools_as_in_independent_finite_volumes() -> None:
    mix = mass_fractions_of(**{name: range_of(f"{name}_share").central for name in ("water", "fat", "protein", "salt")})
    made = substance_of(mix, freezing_c=-3, density=600)
    vapour = 1.15 ** ((96 - 30) / 70)  # all of the central share if it comes boiling, none at 30 °C
    film = range_of("film_coefficient", "rack").central * vapour / made.conductivity / 1000
    air = range_of("surroundings", "rack").central
    t = minutes(30, grams=0.6 * 23 * 23 * 4)
    s = made.conductivity / made.capacity * 1e6 * 60 * t
    parts = [at_centre(left([axis("slab", half, film, 120)[0]], s)) for half in (115, 115, 20)]
    assert air + math.prod(parts) * (96 - air) == pytest.approx(30, abs=0.1)


def test_a_rectangle_on_the_grid_is_near_the_closed_form_above_freezing() -> None:
    """A fixed surface: the first root of both is the same, so their late courses run in parallel."""
    shape = body_of(parse_tin("rectangle 20 x 30 cm"), 40)[0]
    radius, half = round_extents(shape.extents)
    assert half == 20
    slab = (math.pi / 2) ** 2 * (1 / 100**2 + 1 / 150**2)
    assert (2.404825557695773 / radius) ** 2 == pytest.approx(slab, rel=1e-12)


@pytest.mark.parametrize("place", PLACES)
def test_deeper_hotter_heavier_and_in_its_tin_never_cools_faster(place: str) -> None:
    usual = minutes(40, place=place, grams=1200)
    assert minutes(40, place=place, grams=1200, depth_mm=50) > 0
    deeper = minutes(40, place=place, grams=1200 * 50 / 40, depth_mm=50)
    assert deeper > usual
    assert minutes(40, place=place, grams=1200, start_c=99) > usual
    assert minutes(40, place=place, grams=1200, in_tin=True) > usual
    assert minutes(40, place=place, grams=1200, covered=True) > usual
    assert minutes(35, place=place, grams=1200) > usual


@given(start=st.floats(24, 105), more=st.floats(0.5, 30), place=st.sampled_from(["bench", "rack", "fridge"]))
@LAW
def test_a_hotter_start_never_cools_faster_although_it_gives_off_more_vapour(
    start: float, more: float, place: str
) -> None:
    hotter = min(110.0, start + more)
    for wanted in (27.0, start - 0.5):
        if 27 <= wanted < start:
            assert minutes(wanted, place=place, start_c=hotter) > minutes(wanted, place=place, start_c=start)


def test_vapour_cools_a_hot_bake_but_neither_a_covered_nor_a_cool_one() -> None:
    def named(**changes: Any) -> set[str]:
        return {each.parameter for each in estimate_cooling(body(**changes), {"core_temperature": 27}).ranges}

    assert "evaporation_share" in named()
    assert "evaporation_share" not in named(covered=True)
    assert "evaporation_share" not in named(start_c=29.0)


def test_colder_places_cool_faster() -> None:
    times = [minutes(30, place=place) for place in ("bench", "rack", "fridge", "blast_chiller", "blast_freezer")]
    assert times == sorted(times, reverse=True)


@pytest.mark.parametrize(
    ("wanted", "changes"),
    [(30, {}), (50, {"place": "bench"}), (-15, {"place": "freezer"}), (10, {"place": "bench", "start_c": -18.0})],
)
def test_a_window_holds_its_median_and_is_at_least_8_percent_wide_each_way(
    wanted: float, changes: dict[str, Any]
) -> None:
    window = estimate_cooling(body(**changes), {"core_temperature": wanted}).milestones[0]
    assert window.minutes_low <= 0.93 * window.minutes
    assert window.minutes_high >= 1.07 * window.minutes


def test_freezing_takes_longer_than_the_same_fall_without_ice() -> None:
    dry = Composition(water=0.02)
    assert minutes(-12, place="freezer", start_c=20.0) > 1.5 * minutes(
        -12, place="freezer", start_c=20.0, composition=dry
    )


def test_freezing_and_thawing_say_where_the_ice_begins() -> None:
    frozen = estimate_cooling(body(place="blast_freezer", start_c=20.0), {"core_temperature": -15})
    assert frozen.freezing_c is not None
    assert (
        -12 < frozen.freezing_c < -6
    )  # a syrup with as much sugar, 58 %, freezes near -10 °C: tables of sucrose, from memory
    assert estimate_cooling(body(), {"core_temperature": 30}).freezing_c is None


@pytest.mark.parametrize(
    ("wanted", "changes"),
    [
        ({"core_temperature": 20.0}, {"place": "rack"}),
        ({"core_temperature": 97.0}, {"place": "rack"}),
        ({"core_temperature": 30.0}, {"place": "bench", "start_c": -18.0}),
    ],
)
def test_a_core_that_the_place_cannot_give_is_refused(wanted: dict[str, float], changes: dict[str, Any]) -> None:
    with pytest.raises(DomainErrors) as refused:
        estimate_cooling(body(**changes), wanted)
    assert [(error.code, error.path) for error in refused.value.errors] == [
        ("temperature_not_reached", ("core_temperature",))
    ]


def test_everything_wrong_with_a_body_is_said_at_once() -> None:
    with pytest.raises(DomainErrors) as refused:
        body(depth_mm=500, start_c=200.0, place="roof", surroundings_c=-90.0, composition=Composition(water=1.4))
    assert [error.path for error in refused.value.errors] == [
        ("depth",),
        ("start_temperature",),
        ("surroundings",),
        ("place",),
        ("composition",),
    ]


def test_the_two_stages_and_the_advice_are_checked() -> None:
    """US Food Code 3-501.14: 57 to 21 °C in 2 h and to 5 °C in 6 h; UK advice: 8 °C in 90 minutes."""
    thin = estimate_cooling(body(place="blast_chiller", depth_mm=15), {"core_temperature": 5})
    assert set(outcomes(thin).values()) == {"within"}
    thick = estimate_cooling(body(place="fridge", depth_mm=120, grams=4000), {"core_temperature": 8})
    assert outcomes(thick)["us_first_stage"] == "not_within"
    assert outcomes(thick)["uk_advice"] == "not_within"
    warm = estimate_cooling(body(place="rack"), {"core_temperature": 30})
    assert set(outcomes(warm).values()) == {"not_reached"}
    limits = {
        check.rule.id: [check.rule.from_celsius, check.rule.to_celsius, check.rule.minutes] for check in warm.rules
    }
    assert limits["us_first_stage"] == [57, 21, 120]
    assert limits["us_both_stages"] == [57, 5, 360]
    assert limits["uk_advice"][1:] == [8, 90]


def test_the_curve_starts_at_the_start_and_only_falls() -> None:
    cases: list[tuple[dict[str, Any], float]] = [({}, 30), ({"place": "freezer"}, -12)]
    for changes, wanted in cases:
        temperatures = [c for _, c in estimate_cooling(body(**changes), {"core_temperature": wanted}).curve]
        assert temperatures[0] == pytest.approx(96, abs=1e-6)
        assert temperatures == sorted(temperatures, reverse=True)


def ball(diameter: float, **changes: Any) -> CoolingBody:
    return CoolingBody(**{"form": Ball(diameter_mm=diameter), "start_c": 20.0, "in_tin": False, **changes})


def test_a_ball_of_dough_chills_as_in_independent_finite_volumes() -> None:
    shares = {name: range_of(f"dough_{name}_share").central for name in ("water", "fat", "protein", "salt")}
    mix = mass_fractions_of(**shares)
    made = substance_of(mix, freezing_c=-3, density=range_of("dough_density").central)
    film, air = range_of("film_coefficient", "fridge").central, range_of("surroundings", "fridge").central
    t = estimate_cooling(ball(40, place="fridge"), {"core_temperature": 8}).milestones[0].minutes
    s = made.conductivity / made.capacity * 6e7 * t
    share = at_centre(left([axis("sphere", 20, film / made.conductivity / 1000, 160)[0]], s))
    assert air + share * (20 - air) == pytest.approx(8, abs=0.1)


def test_a_larger_or_heavier_ball_freezes_later_and_its_bench_insulates_nothing() -> None:
    balls = [ball(diameter, place="freezer") for diameter in (20, 28, 35, 60)]
    times = [estimate_cooling(each, {"core_temperature": -12}).milestones[0].minutes for each in balls]
    assert times == sorted(times)
    bench, rack = (
        estimate_cooling(ball(30, place=place, start_c=-18.0), {"core_temperature": 10}).milestones[0].minutes
        for place in ("bench", "rack")
    )
    assert bench == rack
