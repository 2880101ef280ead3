"""Kinds of mixes by their ingredients, how full a tin is filled with them, and the checks of the commonest slips."""

from typing import Any

import pytest

from domain.errors import DomainErrors
from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.kinds import USUAL_FILL, FormulaKind
from domain.formulas.rescaling import Bench, Rescaled, rescale
from domain.formulas.targets import Portions, Target
from domain.things.eggs import EGG_CLASSES
from domain.tins.text import parse_tin
from tests.formulas import component, formula

EU_M = EGG_CLASSES["eu_m"]
# Mixes in the proportions that any handbook gives for them; common practice.
MIXES: dict[str, tuple[FormulaKind, dict[str, float]]] = {
    "victoria sponge": (
        "chemically_raised",
        {"butter": 200, "caster sugar": 200, "egg": 200, "self-raising flour": 200},
    ),
    "genoise": ("whisked", {"egg": 200, "caster sugar": 125, "plain flour": 125, "butter": 25}),
    "fatless sponge": ("whisked", {"egg": 150, "caster sugar": 75, "plain flour": 75}),
    "almond torte without flour": ("whisked", {"egg": 300, "caster sugar": 175, "ground almonds": 250}),
    "meringue": ("whisked", {"egg white": 100, "caster sugar": 200}),
    "white loaf": ("yeast_dough", {"strong white flour": 500, "water": 325, "salt": 10, "instant yeast": 7}),
    "baked custard": ("custard", {"whole milk": 500, "egg": 150, "caster sugar": 60}),
    "cheesecake": ("custard", {"cream cheese": 600, "egg": 150, "caster sugar": 150, "plain flour": 20}),
    "brownie": (
        "dense_slab",
        {"butter": 200, "dark chocolate": 200, "caster sugar": 250, "egg": 150, "plain flour": 90},
    ),
    "shortbread": ("dense_slab", {"butter": 200, "caster sugar": 100, "plain flour": 300}),
    "flapjack": ("dense_slab", {"butter": 200, "demerara sugar": 150, "golden syrup": 100, "rolled oats": 400}),
}
SPONGE = MIXES["victoria sponge"][1]


def weighed(
    mix: dict[str, float], tin: str = "square 20 x 8 cm", depth_mm: float | None = 40, **more: Any
) -> WeighedFormula:
    made = component(*((name, f"{grams} g") for name, grams in mix.items()), egg_class=EU_M)
    return weigh_formula(formula(made, tin=tin, filled_depth_mm=depth_mm, **more))


def scaled(formula: WeighedFormula, **target: object) -> Rescaled:
    (result,) = rescale(formula, [Target(label="", **target)], Bench(available_eggs=(EU_M,)))  # type: ignore[arg-type]
    return result


def codes(formula: WeighedFormula) -> set[str]:
    return {notice.code for notice in formula.notices}


@pytest.mark.parametrize("name", MIXES)
def test_a_mix_is_of_its_kind(name: str) -> None:
    kind, mix = MIXES[name]
    assert weighed(mix).kind == kind


def test_the_caller_may_say_another_kind() -> None:
    assert weighed(SPONGE, kind="dense_slab").kind == "dense_slab"


def test_a_mass_in_a_tin_has_the_depth_of_its_volume() -> None:
    # 800 g fill 20 x 20 cm to 40 mm: 0.5 g/ml. 1,500 g are 3,000 ml, and stand 3,000 / (π/4 · 25²) cm in a round 25.
    result = scaled(weighed(SPONGE), tin=parse_tin("round 25 x 10 cm"), grams=1_500)
    assert result.mass.grams == pytest.approx(1_500)
    assert result.filled_depth_mm == pytest.approx(61.115, abs=1e-3)  # 3000 / 490.874 cm²
    assert result.fill_percent == pytest.approx(61.115, abs=1e-3)


def test_a_factor_and_portions_fill_a_tin_as_their_mass_does() -> None:
    formula = weighed(SPONGE)
    tin = parse_tin("square 20 x 8 cm")
    by_mass = scaled(formula, tin=tin, grams=1_200)
    by_factor = scaled(formula, tin=tin, factor=1.5)
    by_portions = scaled(formula, tin=tin, portions=Portions(count=20, grams_each=54, bake_loss_percent=10))
    for other in (by_factor, by_portions):
        assert other.filled_depth_mm == pytest.approx(by_mass.filled_depth_mm)
        assert other.mass.grams == pytest.approx(1_200)


def test_the_density_of_the_caller_is_used() -> None:
    formula = weighed(SPONGE, depth_mm=None, g_per_ml=0.8)
    assert scaled(formula, tin=parse_tin("square 20 x 8 cm"), grams=1_600).filled_depth_mm == pytest.approx(50)


def test_the_depth_of_a_mass_of_unknown_density_is_not_guessed() -> None:
    result = scaled(weighed(SPONGE, depth_mm=None), tin=parse_tin("square 20 x 8 cm"), grams=900)
    assert (result.filled_depth_mm, result.fill_percent) == (None, None)
    assert "fill_unchecked" in {notice.code for notice in result.notices}
    with pytest.raises(DomainErrors) as caught:
        scaled(weighed(SPONGE, depth_mm=None), tin=parse_tin("square 20 x 8 cm"), fits_usually=True)
    assert [(error.code, error.path) for error in caught.value.errors] == [
        ("filled_depth_needed", ("formula", "filled_depth"))
    ]


@pytest.mark.parametrize("name", MIXES)
def test_the_usual_fill_is_that_of_the_kind(name: str) -> None:
    kind, mix = MIXES[name]
    result = scaled(weighed(mix), tin=parse_tin("round 23 x 7 cm"), fits_usually=True)
    assert result.fill_percent == pytest.approx(USUAL_FILL[kind] * 100)
    cavities = scaled(weighed(mix), tin=parse_tin("cavities 12 x 100 ml"), fits_usually=True)
    assert cavities.fill_percent == pytest.approx(USUAL_FILL[kind] * 100)


@pytest.mark.parametrize(
    ("grams", "depth_mm", "warned"),
    [(105, 45, True), (837, 5, True), (800, 40, False), (2_100, 40, False), (2_400, 40, True), (400, 40, True)],
)
def test_a_mass_that_does_not_go_with_its_depth_has_a_warning(grams: float, depth_mm: float, *, warned: bool) -> None:
    mix = {name: part * grams / 800 for name, part in SPONGE.items()}
    formula = weighed(mix, depth_mm=depth_mm)
    assert ("unlikely_density" in codes(formula)) is warned
    for notice in formula.notices:
        if notice.code == "unlikely_density":
            assert notice.value == pytest.approx(grams / (40 * depth_mm))
            assert f"{grams:,.0f} g" in notice.message


@pytest.mark.parametrize(
    ("tin", "depth_mm", "code"),
    [
        ("square 20 x 20 cm", 40, "low_fill"),
        ("square 20 x 5 cm", 40, "past_two_thirds"),
        ("square 20 cm", 40, "fill_unchecked"),
        ("square 20 x 25 cm", 40, "larger_than_oven"),
        ("rectangle 100 x 40 x 5 cm", 40, "larger_than_oven"),
        ("square 20 x 0.8 cm", 4, "shallow_tin"),
    ],
)
def test_an_unusual_tin_or_fill_has_a_warning(tin: str, depth_mm: float, code: str) -> None:
    assert code in codes(weighed(SPONGE, tin, depth_mm))
    formula = weighed(SPONGE)
    if code not in {"shallow_tin", "low_fill"}:
        result = scaled(formula, tin=parse_tin(tin))
        assert code in {notice.code for notice in result.notices}


def test_a_whisked_mix_has_a_warning_past_two_thirds_and_a_dense_one_is_not() -> None:
    for name, warned in (("genoise", True), ("brownie", False)):
        formula = weighed(MIXES[name][1], "square 20 x 5 cm", 40)
        assert ("past_two_thirds" in codes(formula)) is warned


def test_a_whole_egg_batch_past_the_rim_has_a_warning() -> None:
    formula = weighed(SPONGE | {"egg": 51.37}, "square 20 x 5 cm", 40)  # about one egg, so that two are twice as deep
    result = scaled(formula, tin=parse_tin("square 20 x 5 cm"), factor=1.2)
    assert [batch.fill_percent is not None and batch.fill_percent > 100 for batch in result.whole_egg_batches][-1]
    assert any(notice.path[-1] == "whole_egg_batches" for notice in result.notices if notice.code == "past_rim")
