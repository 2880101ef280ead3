"""The bake of a rescaled formula: which pieces sit in the batter, and when there is a window."""

import pytest

from domain.baking.cases import TIN_MATERIALS, BatterPieces
from domain.baking.mix_figures import mix_ranges
from domain.baking.oven import parse_oven
from domain.baking.targets import (
    MAX_WINDOWS_WITH_PIECES,
    FormulaBake,
    TargetBake,
    bake_targets,
    pieces_in_batter,
    pieces_per_tin,
)
from domain.baking.window import USUAL_CORE_C, assumed_figures, estimate_bake
from domain.errors import OutOfRangeError
from domain.formulas.formula import Component, WeighedFormula, weigh_formula
from domain.formulas.rescaling import Bench, rescale
from domain.formulas.targets import Target, target_as_written
from domain.pieces.balls import ball_mm
from domain.pieces.counts import Division
from domain.pieces.displacement import DOUGH_G_PER_ML
from domain.tins.text import parse_tin
from tests import formulas
from tests.domain.test_baking import bake

BATTER = ("plain-flour", "600 g")
DOUGH = ("rolled-oats", "160 g")
OVEN = parse_oven("180 celsius")


def component(name: str, line: tuple[str, str], pieces: Division | None = None) -> Component:
    """A component of one line."""
    return formulas.component(line, name=name, pieces=pieces)


def weighed(
    *components: Component, tin: str | None = "square 20 x 5 cm", tins: int = 1, depth: float | None = 40.0
) -> WeighedFormula:
    """A formula in grams, `depth` mm deep in its tin."""
    filled_depth_mm = None if tin is None else depth
    return weigh_formula(formulas.formula(*components, tin=tin, tins=tins, filled_depth_mm=filled_depth_mm))


def formula_bake(minutes: float | None = 40.0) -> FormulaBake:
    """40 minutes at 180 °C."""
    return FormulaBake(oven=OVEN, material=TIN_MATERIALS["dull_metal"], minutes=minutes)


def baked(formula: WeighedFormula, *targets: Target, minutes: float | None = 40.0) -> tuple[TargetBake, ...]:
    """The bake of each target."""
    bakes = bake_targets(formula, formula_bake(minutes), rescale(formula, targets, Bench()))
    return tuple(bake for bake in bakes if bake is not None)


def test_the_tin_of_the_formula_gives_the_minutes_of_the_formula() -> None:
    (own,) = baked(weighed(component("batter", BATTER)), Target(label="", tin=parse_tin("square 20 x 5 cm")))
    assert own.estimate is not None
    assert own.estimate.minutes == 40.0
    assert (own.core_c, own.notices) == (USUAL_CORE_C, ())


def test_a_custard_is_done_before_it_curdles_and_after_it_is_safe() -> None:
    """Egg custards thicken near 70 °C and curdle above 85 °C (McGee, On Food and Cooking, ch. 2, from memory).

    The UK's Food Standards Agency holds 70 °C for 2 minutes or 75 °C for 30 seconds to be enough.
    """
    filling = (("cream-cheese", "900 g"), ("caster-sugar", "250 g"), ("egg", "180 g"), ("soured-cream", "200 g"))
    lines = tuple(component(name, (name, quantity)).lines[0] for name, quantity in filling)
    cheesecake = weighed(Component(name="filling", lines=lines))
    (own,) = baked(cheesecake, Target(label="", tin=parse_tin("square 20 x 5 cm")))
    assert cheesecake.kind == "custard"
    assert 70 <= own.core_c <= 85
    (notice, _) = assumed_figures(core_c=None, start_c=None, kind=cheesecake.kind)
    assert f"{own.core_c:g} °C is used, common practice for custards" in notice.message


def test_breads_and_cakes_are_done_near_boiling() -> None:
    """Common practice: a cake reads 95 to 98 °C, a bread 93 to 98 °C."""
    for lines in ((BATTER, ("baking-powder", "10 g")), (BATTER, ("instant-yeast", "7 g"))):
        formula = weighed(*(component(line[0], line) for line in lines))
        (own,) = baked(formula, Target(label="", tin=parse_tin("square 20 x 5 cm")))
        assert 95 <= own.core_c <= 98


def test_a_target_has_the_same_estimate_as_the_same_bake_alone() -> None:
    target = Target(label="", tin=parse_tin("square 20 x 8 cm"), depth_mm=60.0)
    (deeper,) = baked(weighed(component("batter", BATTER)), target)
    alone = estimate_bake(
        bake(tin=parse_tin("square 20 x 5 cm")),
        40.0,
        bake(tin=parse_tin("square 20 cm"), depth=60),
        batter=mix_ranges(weighed(component("batter", BATTER))),
    )
    assert deeper.estimate is not None
    assert deeper.estimate.minutes == alone.minutes > 40


@pytest.mark.parametrize(
    ("divisions", "heaviest_g"),
    [
        pytest.param([None], None, id="no component is divided"),
        pytest.param([Division(count=4)], None, id="all dough: there is no batter around the pieces"),
        pytest.param([Division(count=4), Division(count=8)], None, id="two doughs without a batter"),
        pytest.param([None, Division(count=4)], 40, id="four pieces of 160 g in a batter"),
        pytest.param([None, Division(count=8), Division(count=4)], 40, id="the heavier of two kinds"),
    ],
)
def test_pieces_sit_in_a_batter_only_if_there_is_one(
    divisions: list[Division | None], heaviest_g: float | None
) -> None:
    formula = weighed(*[component(f"part {i}", DOUGH, division) for i, division in enumerate(divisions)])
    pieces = pieces_in_batter(formula.components)
    assert (None if pieces is None else pieces.grams_each) == heaviest_g


@pytest.mark.parametrize(("count", "tins", "expected"), [(16, 1, 16), (16, 2, 8), (25, 2, 13), (1, 4, 1), (0, 2, 1)])
def test_pieces_are_spread_over_the_tins_and_the_fullest_tin_counts(count: int, tins: int, expected: int) -> None:
    assert pieces_per_tin(count, tins) == expected


def test_the_pieces_of_a_target_are_those_of_one_of_its_tins() -> None:
    formula = weighed(component("batter", BATTER), component("dough", DOUGH, Division(count=16)))
    (two_tins,) = baked(formula, Target(label="", tin=parse_tin("square 20 x 5 cm"), tins=2))
    assert two_tins.estimate is not None
    # Twice the mix in two tins: 32 pieces of 10 g, 16 in each tin, as in the formula's own.
    expected = BatterPieces(diameter_mm=ball_mm(10.0, DOUGH_G_PER_ML), start_c=20.0, count=16)
    assert two_tins.estimate.target.pieces == two_tins.estimate.reference.pieces == expected
    assert two_tins.estimate.minutes == 40.0
    assert two_tins.cautions[0].id == "pieces_last"


CUPS = "cavities 12 x 100 ml x 38 mm"


@pytest.mark.parametrize(("count", "in_each_cup"), [(12, 1), (24, 2)])
def test_pieces_in_a_tray_of_cups_are_those_of_the_fullest_cup(count: int, in_each_cup: int) -> None:
    dough = component("dough", ("rolled-oats", "96 g"), Division(count=count, start_c=-18.0))
    muffins = weighed(component("batter", BATTER), dough, tin=CUPS, depth=30.0)
    own, tray = baked(muffins, target_as_written(muffins.formula), Target(label="", tin=parse_tin(CUPS), tins=2))
    for each in (own, tray):
        assert each.estimate is not None
        assert each.estimate.target.pieces is not None
        assert each.estimate.target.pieces.count == in_each_cup
        assert each.estimate.target.filled_depth_mm == pytest.approx(30.0, rel=1e-12)
        assert each.estimate.minutes == pytest.approx(40.0, rel=1e-12)


def test_a_recipe_for_cups_has_a_window_for_a_tin_and_back() -> None:
    dough = component("dough", ("rolled-oats", "96 g"), Division(count=12, start_c=-18.0))
    muffins = weighed(component("batter", BATTER), dough, tin=CUPS, depth=30.0)
    (slab,) = baked(muffins, Target(label="", tin=parse_tin("square 20 x 5 cm")))
    assert slab.estimate is not None
    # Plane geometry: 30 of 38 mm in upright cups are the same share of a capacity as 30 / 38 of an upright tin's.
    assert slab.estimate.target.filled_depth_mm == pytest.approx(50 * 30 / 38, rel=1e-12)
    assert slab.estimate.minutes > 40.0  # a slab of 20 cm is thicker across than a cup, and deeper


@pytest.mark.parametrize(
    ("formula", "target", "minutes", "reason"),
    [
        (weighed(component("batter", BATTER)), Target(label="", factor=2.0), 40.0, "target tin"),
        (weighed(component("batter", BATTER), tin=None), Target(label="", factor=2.0), 40.0, "formula's tin"),
        (
            weighed(component("batter", BATTER), tin=CUPS, depth=None),
            Target(label="", tin=parse_tin(CUPS)),
            40.0,
            "how deep the batter stands in one cup",
        ),
        (weighed(component("batter", BATTER)), Target(label="", tin=parse_tin("round 20 x 5 cm")), None, "minutes"),
        (
            weighed(component("batter", BATTER)),
            Target(label="", tin=parse_tin("square 20 x 40 cm"), depth_mm=310.0),
            40.0,
            "1 to 300 mm",
        ),
    ],
    ids=["no tin", "no own tin", "no depth in the cups", "no minutes", "too deep"],
)
def test_a_warning_says_why_there_is_no_window(
    formula: WeighedFormula, target: Target, minutes: float | None, reason: str
) -> None:
    own_target = Target(label="", factor=1.0)
    _, unknown = baked(formula, own_target, target, minutes=minutes)
    assert unknown.estimate is None
    (notice,) = unknown.notices
    assert (notice.code, notice.path) == ("no_bake_window", ("targets", 1))
    assert reason in notice.message
    assert unknown.cautions


def test_warnings_name_the_formula_or_the_target() -> None:
    formula = weighed(component("batter", BATTER), tin="square 20 x 3 cm")
    kept = Target(label="", tin=parse_tin("square 25 x 3 cm"))
    deep = Target(label="", tin=parse_tin("square 20 x 10 cm"), depth_mm=125.0)
    notices = [{(notice.code, notice.path) for notice in bake.notices} for bake in baked(formula, kept, deep)]
    own = ("past_rim", ("formula", "filled_depth"))
    assert notices[0] >= {own, ("past_rim", ("targets", 0))}  # the depth was kept: the target has none of its own
    assert notices[1] >= {own, ("past_rim", ("targets", 1, "depth")), ("depth_stretched", ("targets", 1, "depth"))}


def test_windows_with_pieces_are_limited_and_others_are_not() -> None:
    targets = [Target(label="", tin=parse_tin("square 20 x 5 cm"))] * (MAX_WINDOWS_WITH_PIECES + 1)
    batter, dough = component("batter", BATTER), component("dough", DOUGH, Division(count=16))
    assert len(baked(weighed(batter), *targets)) == len(targets)
    assert len(baked(weighed(batter, dough), *targets, minutes=None)) == len(targets)
    assert len(baked(weighed(batter, dough), *targets[1:])) == MAX_WINDOWS_WITH_PIECES
    with pytest.raises(OutOfRangeError) as refusal:
        baked(weighed(batter, dough), *targets)
    assert refusal.value.path == ("targets",)


@pytest.mark.parametrize(("piece_start_c", "expected_c"), [(None, 12.0), (4.0, 4.0)])
def test_pieces_start_as_the_batter_does_unless_the_pieces_say_otherwise(
    piece_start_c: float | None, expected_c: float
) -> None:
    formula = weighed(component("batter", BATTER), component("dough", DOUGH, Division(count=4, start_c=piece_start_c)))
    results = rescale(formula, (Target(label="", tin=parse_tin("square 30 x 5 cm")),), Bench())
    cold = FormulaBake(oven=OVEN, material=TIN_MATERIALS["dull_metal"], minutes=40.0, start_c=12.0)
    (result,) = bake_targets(formula, cold, results)
    assert result is not None
    assert result.estimate is not None
    for side in (result.estimate.reference, result.estimate.target):
        assert side.start_c == 12.0
        assert side.pieces is not None
        assert side.pieces.start_c == expected_c
