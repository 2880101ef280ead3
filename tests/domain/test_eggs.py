"""Laws of eggs: parts add up, yolk's share falls with size, counts and grams agree."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, UnknownError
from domain.things.eggs import (
    EGG_CLASSES,
    PARTS,
    EggClass,
    EggPart,
    class_notices,
    count_eggs,
    dried_egg,
    egg_mass,
    egg_sources,
    find_egg_class,
    liquid_egg_ml,
)
from tests.strategies import LAW, egg_classes, egg_of

parts = st.sampled_from(PARTS)


@pytest.mark.parametrize("egg_class", EGG_CLASSES.values(), ids=EGG_CLASSES)
def test_masses_are_in_order_and_add_up(egg_class: EggClass) -> None:
    whole, yolk, white = (egg_mass(part, egg_class) for part in ("whole", "yolk", "white"))
    assert yolk.grams + white.grams == pytest.approx(whole.grams, rel=1e-15)
    for mass in (whole, yolk, white):
        assert 0 < mass.low <= mass.grams <= mass.high
    assert whole.grams < egg_class.typical_g
    assert whole.high < egg_class.max_g
    assert egg_sources(egg_class)


@LAW
@given(st.floats(35, 80), st.floats(35, 80))
def test_larger_eggs_contain_more_of_each_part_and_a_smaller_share_of_yolk(first_g: float, second_g: float) -> None:
    small, large = (egg_of(grams) for grams in sorted((first_g, second_g)))
    if large.typical_g - small.typical_g < 0.01:
        return
    for part in PARTS:
        assert egg_mass(part, small).grams < egg_mass(part, large).grams
    assert share_of_yolk(small) > share_of_yolk(large)


def share_of_yolk(egg_class: EggClass) -> float:
    return egg_mass("yolk", egg_class).grams / egg_mass("whole", egg_class).grams


@pytest.mark.parametrize("region", sorted({egg_class.region for egg_class in EGG_CLASSES.values()}))
def test_mass_rises_and_yolk_share_falls_with_the_classes_of_a_region(region: str) -> None:
    inside = sorted((c for c in EGG_CLASSES.values() if c.region == region), key=lambda c: c.min_g)
    for small, large in pairwise(inside):
        assert small.max_g <= large.min_g
        assert egg_mass("whole", small).grams < egg_mass("whole", large).grams
        assert share_of_yolk(small) > share_of_yolk(large)


@LAW
@given(st.floats(0.01, 100_000), parts, egg_classes)
def test_the_count_of_eggs_its_surplus_and_its_error_agree(grams: float, part: EggPart, egg_class: EggClass) -> None:
    each, count = egg_mass(part, egg_class).grams, count_eggs(grams, part, egg_class)
    assert count.exact == pytest.approx(grams / each, rel=1e-9, abs=1e-9)
    assert abs(count.exact - count.nearest) <= 0.5
    assert count.grams == pytest.approx(count.nearest * each, rel=1e-9, abs=1e-6)
    assert count.surplus_grams == pytest.approx(count.grams - grams, rel=1e-9, abs=1e-6)
    assert count.error_percent == pytest.approx(count.surplus_grams / grams * 100, rel=1e-6, abs=1e-6)
    assert abs(count.surplus_grams) <= each / 2 * (1 + 1e-9)
    assert count.whole_eggs * each + count.beaten_grams == pytest.approx(grams, rel=1e-9)
    assert 0 <= count.beaten_grams < each


@LAW
@given(st.integers(1, 5_000), parts, egg_classes)
def test_whole_numbers_of_eggs_come_out_whole(number: int, part: EggPart, egg_class: EggClass) -> None:
    count = count_eggs(number * egg_mass(part, egg_class).grams, part, egg_class)
    assert (count.exact, count.nearest, count.whole_eggs) == (number, number, number)
    assert (count.surplus_grams, count.error_percent, count.beaten_grams) == (0.0, 0.0, 0.0)
    assert isinstance(count.exact, float)  # so that 4 and 4.5 eggs are written in the same way


@LAW
@given(st.floats(0.01, 100_000), parts)
def test_dried_egg_and_water_make_up_the_liquid(grams: float, part: EggPart) -> None:
    product = dried_egg(grams, part)
    assert product.grams + product.water_grams == pytest.approx(grams, rel=1e-15)
    assert 0 < product.grams < product.water_grams < grams


@LAW
@given(st.floats(0.01, 100_000), parts)
def test_liquid_egg_is_a_little_heavier_than_water(grams: float, part: EggPart) -> None:
    assert 0.9 * grams < liquid_egg_ml(grams, part) < grams
    assert math.isclose(liquid_egg_ml(2 * grams, part), 2 * liquid_egg_ml(grams, part), rel_tol=1e-15)


@pytest.mark.parametrize("name", EGG_CLASSES)
def test_every_egg_class_is_found_by_its_id(name: str) -> None:
    assert find_egg_class(name) is EGG_CLASSES[name]


SIZES = ["large", "Large", " LARGE ", "medium", "small", "jumbo", "extra large", "extra-large", "extra_large", "m", "L"]


@pytest.mark.parametrize("size", SIZES)
def test_a_size_without_a_region_is_rejected(size: str) -> None:
    with pytest.raises(AmbiguousError) as refusal:
        find_egg_class(size)
    assert len(refusal.value.candidates) >= 2
    assert set(refusal.value.candidates) <= set(EGG_CLASSES)


@pytest.mark.parametrize(
    "name", ["", "EU", "eu", "uk_m", "us", "eu_", "_m", "ostrich", "\ud800", "x" * 10_000, "eu_m\x00"]
)
def test_unknown_classes_are_rejected(name: str) -> None:
    with pytest.raises(UnknownError) as refusal:
        find_egg_class(name)
    assert set(refusal.value.candidates) == set(EGG_CLASSES)


def test_classes_without_an_upper_or_lower_bound_state_their_assumption() -> None:
    for egg_class in EGG_CLASSES.values():
        notices = class_notices(egg_class)
        assert bool(notices) == bool(egg_class.open_end)
        for notice in notices:
            assert f"{egg_class.typical_g:g} g" in notice.message
    # "as wide as the class beside it": EU L and M are both 10 g wide
    assert (EGG_CLASSES["eu_xl"].max_g, EGG_CLASSES["eu_s"].min_g) == (83, 43)
