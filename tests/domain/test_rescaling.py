"""Laws of rescaling: factor 1, there and back, sums, order, whole eggs."""

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from domain.errors import DomainError, DomainErrors
from domain.formulas.formula import Formula, WeighedFormula, total, weigh_formula
from domain.formulas.rescaling import Bench, Rescaled, rescale
from domain.formulas.targets import Target
from domain.measures.weighing import Scales
from domain.pieces.counts import Division
from domain.things.eggs import EGG_CLASSES, EggClass
from domain.tins.geometry import volume_ml
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import parse_tin
from tests.formulas import component, formula
from tests.strategies import HEAVY_LAW, counts, egg_classes, factors, formulas, tins_with_walls

BENCH = Bench(measures="us", available_eggs=(EGG_CLASSES["eu_m"], EGG_CLASSES["us_large"]))


def once(weighed: WeighedFormula, target: Target, bench: Bench = BENCH) -> Rescaled:
    return rescale(weighed, (target,), bench)[0]


@HEAVY_LAW
@given(formulas())
def test_factor_one_returns_identical_doubles(formula: Formula) -> None:
    weighed = weigh_formula(formula)
    same_tin = Target(label="", tin=formula.tin, tins=formula.tins)
    for target in (Target(label="", factor=1.0), Target(label="", grams=weighed.mass.grams), same_tin):
        result = once(weighed, target)
        assert result.factor == 1.0
        assert result.mass == weighed.mass
        for part, before in zip(result.components, weighed.components, strict=True):
            assert (part.mass, part.pieces) == (before.mass, before.pieces)
            assert [line.mass for line in part.lines] == [line.mass for line in before.lines]
    assert once(weighed, same_tin).filled_depth_mm == formula.filled_depth_mm
    assert once(weighed, same_tin).fill_percent == weighed.fill_percent


@HEAVY_LAW
@given(formulas(), tins_with_walls(), counts)
def test_rescaling_there_and_back_changes_nothing(formula: Formula, tin: Tin, tins: int) -> None:
    weighed = weigh_formula(formula)
    there = once(weighed, Target(label="", tin=tin, tins=tins))
    back = once(weighed, Target(label="", factor=there.factor))
    away = Formula(name="", components=formula.components, tin=tin, tins=tins, filled_depth_mm=there.filled_depth_mm)
    home = once(weigh_formula(away), Target(label="", tin=formula.tin, tins=formula.tins))
    assert there.factor * home.factor == pytest.approx(1, rel=1e-13)
    assert there.mass == back.mass
    assert home.filled_depth_mm == formula.filled_depth_mm


@HEAVY_LAW
@given(formulas(tin=False), factors, factors)
def test_rescaling_twice_multiplies_the_factors(formula: Formula, first_factor: float, second_factor: float) -> None:
    weighed = weigh_formula(formula)
    first, both = (
        once(weighed, Target(label="", factor=first_factor)),
        once(weighed, Target(label="", factor=first_factor * second_factor)),
    )
    assert first.mass.times(second_factor).grams == pytest.approx(both.mass.grams, rel=1e-13)


@HEAVY_LAW
@given(formulas(tin=False), factors)
def test_totals_are_the_sums_and_scale_as_the_lines_do(formula: Formula, factor: float) -> None:
    weighed = weigh_formula(formula)
    result = once(weighed, Target(label="", factor=factor))
    assert result.mass == total(part.mass for part in result.components)
    for part in result.components:
        assert part.mass == total(line.mass for line in part.lines)
        for line in part.lines:
            assert line.mass == line.weighed.mass.times(factor)
            assert line.mass.low <= line.mass.grams <= line.mass.high
    assert result.mass.grams == pytest.approx(weighed.mass.grams * factor, rel=1e-13)


@HEAVY_LAW
@given(formulas(tin=False), factors, st.floats(1.001, 2))
def test_a_larger_factor_gives_more_of_every_line(formula: Formula, factor: float, more: float) -> None:
    weighed = weigh_formula(formula)
    small, large = (once(weighed, Target(label="", factor=f)) for f in (factor, factor * more))
    for part, larger in zip(small.components, large.components, strict=True):
        for line, larger_line in zip(part.lines, larger.lines, strict=True):
            assert line.mass.grams < larger_line.mass.grams
            assert line.weigh_grams <= larger_line.weigh_grams


@HEAVY_LAW
@given(formulas(tin=False), st.floats(10, 1e4))
def test_the_requested_grams_are_the_total(formula: Formula, grams: float) -> None:
    result = once(weigh_formula(formula), Target(label="", grams=grams))
    assert result.mass.grams == pytest.approx(grams, rel=1e-13)


@HEAVY_LAW
@given(formulas(), tins_with_walls(), counts)
def test_the_filled_depth_is_the_depth_of_the_batter(formula: Formula, tin: Tin, tins: int) -> None:
    weighed = weigh_formula(formula)
    result = once(weighed, Target(label="", tin=tin, tins=tins))
    walls = walls_of(tin)
    assert walls is not None
    assert weighed.batter_ml is not None
    assert result.filled_depth_mm == formula.filled_depth_mm  # kept, unless the request sets it
    batter_ml = tins * volume_ml(walls, result.filled_depth_mm or 0)
    assert batter_ml == pytest.approx(result.factor * formula.tins * weighed.batter_ml, rel=1e-13)


@HEAVY_LAW
@given(formulas(tin=False), factors)
def test_piece_count_scales_and_the_written_piece_mass_stays(formula: Formula, factor: float) -> None:
    weighed = weigh_formula(formula)
    for part, before in zip(once(weighed, Target(label="", factor=factor)).components, weighed.components, strict=True):
        if before.pieces is None or part.pieces is None:
            assert part.pieces is before.pieces is None
            continue
        assert part.pieces.written_grams == before.pieces.written_grams
        assert part.pieces.exact == pytest.approx(before.pieces.exact * factor, rel=1e-12)
        assert part.pieces.count * part.pieces.grams_each == pytest.approx(part.mass.grams)


@HEAVY_LAW
@given(formulas(eggs=True), factors, egg_classes)
def test_whole_egg_batches_come_out_whole_and_bracket_the_target(
    formula: Formula, factor: float, egg_class: EggClass
) -> None:
    weighed = weigh_formula(formula)
    result = once(weighed, Target(label="", factor=factor), Bench(available_eggs=(egg_class,)))
    batches = result.whole_egg_batches
    assert 1 <= len(batches) <= 2
    heaviest = max(weighed.eggs, key=lambda eggs: eggs.mass.grams).part
    for batch in batches:
        whole = {count.part: count for count in batch.eggs}
        assert whole[heaviest].error_percent == 0
        assert whole[heaviest].beaten_grams == 0
        assert whole[heaviest].nearest >= 1
        if egg_class is formula.egg_class and all(eggs.count for eggs in weighed.eggs):
            assert all(count.error_percent == 0 for count in batch.eggs)
        assert batch.grams == pytest.approx(weighed.mass.grams * batch.factor, rel=1e-13)
    low, high = batches[0].factor, batches[-1].factor
    assert low <= factor * (1 + 1e-8) or len(batches) == 1
    assert high >= factor * (1 - 1e-8)


@HEAVY_LAW
@given(formulas(eggs=True), st.integers(1, 9))
def test_a_target_with_whole_eggs_is_its_own_only_suggestion(formula: Formula, times: int) -> None:
    weighed = weigh_formula(formula)
    assert formula.egg_class is not None
    assume(all(eggs.count is not None and eggs.count.denominator == 1 for eggs in weighed.eggs))
    result = once(weighed, Target(label="", factor=float(times)), Bench(available_eggs=(formula.egg_class,)))
    assert [batch.factor for batch in result.whole_egg_batches] == [pytest.approx(times, rel=1e-8)]


@HEAVY_LAW
@given(formulas(eggs=True), tins_with_walls())
def test_whole_egg_batches_have_the_right_filled_depth(formula: Formula, tin: Tin) -> None:
    weighed = weigh_formula(formula)
    result = once(weighed, Target(label="", tin=tin))
    walls = walls_of(tin)
    assert walls is not None
    assert weighed.batter_ml is not None
    for batch in result.whole_egg_batches:
        assert batch.filled_depth_mm is not None
        batter_ml = volume_ml(walls, batch.filled_depth_mm)
        assert batter_ml == pytest.approx(weighed.batter_ml * formula.tins * batch.factor, rel=1e-9)
        assert (batch.filled_depth_mm >= (result.filled_depth_mm or 0)) == (batch.factor >= result.factor)


@HEAVY_LAW
@given(formulas(tin=False), factors, st.sampled_from([Fraction(1, 10), Fraction(1, 2), Fraction(1), Fraction(5)]))
def test_rounding_is_within_half_a_step_and_the_largest_error_is_reported(
    formula: Formula, factor: float, step: Fraction
) -> None:
    scales = Scales(step_g=step, small_step_g=Fraction(1, 10))
    result = once(weigh_formula(formula), Target(label="", factor=factor), Bench(scales=scales))
    lines = [line for part in result.components for line in part.lines]
    for line in lines:
        used = scales.small_step_g if line.on_small_scale else step
        assert abs(line.weigh_grams - line.mass.grams) <= used / 2 * (1 + Fraction(1, 10**9))
        shown = line.mass.grams * (1 + line.rounding_error_percent / 100)
        assert shown == pytest.approx(line.weigh_grams, rel=1e-9, abs=1e-9)
    assert result.rounding_error_percent == max(abs(line.rounding_error_percent) for line in lines)
    nothing = sum(line.weigh_grams == 0 for line in lines)
    assert sum(notice.code == "weighs_nothing" for notice in result.notices) == nothing


def plain(
    *lines: tuple[str, str], tin: str | None = None, depth: float | None = None, pieces: Division | None = None
) -> WeighedFormula:
    mix = component(*lines, pieces=pieces, measures="us")
    return weigh_formula(formula(mix, tin=tin, filled_depth_mm=depth))


CODES = [  # filled depth in a tin 60 mm deep, of a batter that rises or not
    ("baking-powder", 40.0, []),
    ("baking-powder", 40.1, ["past_two_thirds"]),
    ("baking-powder", 61.0, ["past_rim"]),
    ("salt", 59.0, []),
    ("salt", 61.0, ["past_rim"]),
    ("salt", 9.0, ["shallow_fill"]),
]


@pytest.mark.parametrize(("name", "depth", "codes"), CODES, ids=str)
def test_an_unusual_fill_gets_a_warning(name: str, depth: float, codes: list[str]) -> None:
    weighed = plain(("plain-flour", "500 g"), (name, "10 g"), tin="square 20 x 20 cm", depth=depth)
    result = once(weighed, Target(label="", tin=parse_tin("round 23 x 6 cm")))
    assert [notice.code for notice in result.notices if notice.path[0] == "targets"] == codes


@pytest.mark.parametrize(("depth", "code"), [(45.0, "past_two_thirds"), (61.0, "past_rim"), (8.0, "shallow_fill")])
def test_a_requested_depth_is_kept_and_checked(depth: float, code: str) -> None:
    weighed = plain(("plain-flour", "500 g"), ("baking-powder", "10 g"), tin="square 20 x 6 cm", depth=30.0)
    result = once(weighed, Target(label="", tin=parse_tin("square 20 x 6 cm"), depth_mm=depth))
    assert result.factor == pytest.approx(depth / 30)
    assert code in {notice.code for notice in result.notices}


# A pointer names a place in the request: the missing field belongs to the formula, not to the target.
FLOUR = ("plain-flour", "500 g")
REFUSED: list[tuple[WeighedFormula, Target, tuple[str | int, ...]]] = [
    (plain(FLOUR), Target(label=""), ("targets", 0)),
    (plain(FLOUR), Target(label="", tin=parse_tin("square 20 cm")), ("formula", "tin")),
    (
        plain(FLOUR, tin="square 20 cm"),
        Target(label="", tin=parse_tin("square 20 cm"), depth_mm=30),
        ("formula", "filled_depth"),
    ),
    (
        plain(FLOUR, tin="square 20 cm"),
        Target(label="", tin=parse_tin("cavities 12 x 80 ml")),
        ("formula", "tin", "depth"),
    ),
    (
        plain(FLOUR, tin="cavities 12 x 80 ml"),
        Target(label="", tin=parse_tin("square 20 cm")),
        ("targets", 0, "tin", "depth"),
    ),
    (
        plain(FLOUR, tin="square 20 x 5 cm"),
        Target(label="", tin=parse_tin("cavities 12 x 80 ml"), depth_mm=30),
        ("targets", 0, "depth"),
    ),
]


@pytest.mark.parametrize(("weighed", "target", "path"), REFUSED, ids=["/".join(map(str, r[2])) for r in REFUSED])
def test_the_error_of_a_target_names_what_is_missing(
    weighed: WeighedFormula, target: Target, path: tuple[str | int, ...]
) -> None:
    with pytest.raises(DomainErrors) as refusals:
        once(weighed, target)
    assert [error.path for error in refusals.value.errors] == [path]


def test_every_target_without_an_answer_has_an_error() -> None:
    good = Target(label="", factor=2.0)
    with pytest.raises(DomainErrors) as refusals:
        rescale(plain(FLOUR), (good, Target(label=""), good, Target(label="")), BENCH)
    assert [error.path for error in refusals.value.errors] == [("targets", 1), ("targets", 3)]


IMPOSSIBLE: list[tuple[str, Callable[[], object]]] = [
    ("a factor of nothing", lambda: Target(label="", factor=0.0)),
    ("a factor below nothing", lambda: Target(label="", factor=-1.0)),
    ("a factor of no number", lambda: Target(label="", factor=math.nan)),
    ("a factor without end", lambda: Target(label="", factor=math.inf)),
    ("grams of nothing", lambda: Target(label="", grams=0.0)),
    ("no tins", lambda: Target(label="", tin=parse_tin("square 20 cm"), tins=0)),
    ("a depth of nothing", lambda: Target(label="", tin=parse_tin("square 20 cm"), depth_mm=0.0)),
    ("a scale without a step", lambda: Scales(step_g=Fraction(0))),
    ("a scale with a step below nothing", lambda: Scales(small_step_g=Fraction(-1))),
]


@pytest.mark.parametrize("make", [row[1] for row in IMPOSSIBLE], ids=[row[0] for row in IMPOSSIBLE])
def test_invalid_values_cannot_be_constructed(make: Callable[[], object]) -> None:
    with pytest.raises(DomainError):
        make()
