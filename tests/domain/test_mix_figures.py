"""What a formula says of its own batter, and the laws of its windows over random formulas, tins and ovens."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.assumptions import RANGES
from domain.baking.cases import TIN_MATERIALS
from domain.baking.mix_figures import assumed_ranges, mix_ranges
from domain.baking.oven import parse_oven
from domain.baking.oven_load import OvenLoad
from domain.baking.targets import BakeChange, FormulaBake, bake_targets
from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.rescaling import Bench, rescale
from domain.formulas.targets import Target
from domain.tins.text import parse_tin
from tests import formulas
from tests.strategies import LAW

CAKE = {"plain-flour": 250, "butter": 200, "caster-sugar": 220, "whole-milk": 120, "baking-powder": 8}
SPONGE = {"plain-flour": 120, "egg": 240, "caster-sugar": 120}
CUSTARD = {"whole-milk": 500, "egg": 200, "caster-sugar": 90}
OATS = {"rolled-oats": 300, "butter": 200, "golden-syrup": 120, "demerara-sugar": 100}


def formula(
    grams: Mapping[str, float], tin: str = "square 20 x 8 cm", depth: float = 24.0, **more: Any
) -> WeighedFormula:
    mix = formulas.component(*((name, f"{amount} g") for name, amount in grams.items()))
    return weigh_formula(formulas.formula(mix, tin=tin, filled_depth_mm=depth, **more))


@pytest.mark.parametrize(
    ("grams", "kind"),
    [(CAKE, "chemically_raised"), (SPONGE, "whisked"), (CUSTARD, "custard"), (OATS, "dense_slab")],
)
def test_the_rise_is_that_of_the_kind_and_within_the_range_of_all_batters_or_below(
    grams: Mapping[str, float], kind: str
) -> None:
    made = formula(grams)
    assert made.kind == kind
    rise = mix_ranges(made).rise
    assert 1 <= rise.low < rise.central < rise.high <= 2  # published: a batter at most doubles
    assert rise.meaning != RANGES["rise"].meaning


def test_a_caller_who_knows_the_kind_or_the_figures_overrides_them() -> None:
    made = formula(CAKE)
    assert mix_ranges(formula(CAKE, kind="yeast_dough")).rise.central > mix_ranges(made).rise.central
    own = mix_ranges(made, rise=1.05, conductivity=0.4)
    assert [own.rise.low, own.rise.central] == [1.0, 1.05]  # nothing falls below its filled depth
    conductivity = own.conductivity
    assert [conductivity.low, conductivity.central, conductivity.high] == pytest.approx([0.36, 0.4, 0.44])


def test_a_cake_batter_conducts_as_the_range_of_all_batters_says() -> None:
    """The two were judged independently: one from ovens, the other from composition and wet pores."""
    of_mix, usual = mix_ranges(formula(CAKE)).conductivity, RANGES["conductivity"]
    assert of_mix.central == pytest.approx(usual.central, rel=0.25)
    assert of_mix.low == pytest.approx(usual.low, rel=0.25)
    assert of_mix.high == pytest.approx(usual.high, rel=0.25)


def test_a_batter_takes_up_the_heat_of_its_components_and_some_for_evaporation() -> None:
    heat = mix_ranges(formula(CAKE)).heat_content
    # 798 g in 20 x 20 x 2.4 cm are 0.83 g/ml. Specific heats at 60 °C, from memory of handbooks: water 4.18, fat 2.1,
    # starch and sugar 1.6, protein 2.0 kJ/(kg K); about 24 % water, 23 % fat, 48 % carbohydrate and 4 % protein.
    raw = 798 / 960 * (0.24 * 4.18 + 0.23 * 2.1 + 0.48 * 1.6 + 0.04 * 2.0)
    assert heat.low < heat.central < heat.high
    assert raw < heat.central < 1.3 * raw
    usual = RANGES["heat_content"]
    assert usual.low < heat.central < usual.high
    assert mix_ranges(formula(CAKE, depth=30.0)).heat_content.central == pytest.approx(heat.central * 24 / 30)


def test_little_air_narrows_the_range_and_unknown_things_leave_that_of_all_batters() -> None:
    dense, cake = (mix_ranges(formula(grams)).conductivity for grams in (CUSTARD, CAKE))
    assert dense.high / dense.low < cake.high / cake.low
    made = formula(CAKE)
    own = formulas.component(("moondust", "500 g"), name="own")
    unknown = weigh_formula(replace(made.formula, components=(*made.formula.components, own)))
    assert mix_ranges(unknown).conductivity == RANGES["conductivity"]


def test_every_assumption_is_listed_once_with_its_source() -> None:
    own = mix_ranges(formula(CAKE))
    listed = assumed_ranges(own, with_pieces=True)
    assert [each.parameter for each in listed] == list(RANGES)
    assert own.rise in listed
    assert own.conductivity in listed
    assert "piece_slowness" not in {each.parameter for each in assumed_ranges(own, with_pieces=False)}


batters = st.fixed_dictionaries(
    {name: st.integers(20, 300) for name in ("plain-flour", "butter", "caster-sugar", "whole-milk", "egg")},
    optional={"baking-powder": st.integers(3, 10), "fresh-yeast": st.integers(5, 20)},
)
tins = st.sampled_from(["square 20 x 9 cm", "round 23 x 9 cm", "rectangle 30 x 20 x 9 cm", "ring 25 x 8 x 9 cm"])


def minutes(made: WeighedFormula, tin: str, depth: float, **change: Any) -> float:
    bake = FormulaBake(oven=parse_oven("175 celsius"), material=TIN_MATERIALS["dull_metal"], minutes=40.0)
    targets = rescale(made, [Target(label="", tin=parse_tin(tin), depth_mm=depth)], Bench())
    (result,) = bake_targets(made, bake, targets, [BakeChange(**change)])
    assert result is not None
    assert result.estimate is not None, result.notices
    return result.estimate.minutes


@given(grams=batters, tin=tins, depth=st.floats(15, 60), more=st.floats(1.02, 1.5))
@LAW
def test_deeper_colder_and_heavier_loads_are_never_faster(
    grams: Mapping[str, float], tin: str, depth: float, more: float
) -> None:
    made = formula(grams, "square 22 x 9 cm", 60.0)
    usual = minutes(made, tin, depth)
    assert minutes(made, tin, depth * more) > usual
    assert minutes(made, tin, depth, oven=parse_oven("160 celsius")) > usual
    assert minutes(made, tin, depth, start_c=6.0) > usual
    assert minutes(made, tin, depth, load=OvenLoad(tins=4)) > usual
    assert minutes(made, tin, depth, load=OvenLoad(tins=4, shelves=2, openings=1)) > minutes(
        made, tin, depth, load=OvenLoad(tins=4)
    )
