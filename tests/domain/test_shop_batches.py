"""A day's orders: the fewest tins, compared with an exhaustive search; mixes, bowls, eggs and oven loads."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.oven import parse_oven
from domain.errors import DomainErrors
from domain.formulas.formula import Component, Formula, weigh_formula
from domain.shop.buying import ingredient_totals
from domain.shop.composition import key_of
from domain.shop.goods import EMPTY_BOOK, make_book
from domain.shop.mixes import day_mixes, eggs_needed
from domain.shop.portions import portions_of_one_tin
from domain.shop.tin_plan import Order, Product, TinSize, oven_loads, plan_notices, plan_tins, rescaled_sizes
from domain.things.eggs import EGG_CLASSES
from domain.tins.text import parse_tin
from tests.domain.shop_kitchen import EU_M, good, line, weighed
from tests.strategies import LAW


def bun(*sizes: int, spare: int = 0, tins: int = 1) -> Product:
    return Product(
        name="bun",
        weighed=weighed({"plain flour": 500, "egg": "2 each"}, tins=tins),
        sizes=tuple(TinSize(name=str(i), portions_per_tin=n) for i, n in enumerate(sizes)),
        spare_percent=Fraction(spare),
    )


def fewest(sizes: list[int], of_size: list[int], any_size: int) -> int:
    """The fewest tins, by trying every number of each size."""
    most = [-(-(sum(of_size) + any_size) // size) for size in sizes]
    enough = []
    for counts in product(*(range(n + 1) for n in most)):
        made = [n * size for n, size in zip(counts, sizes, strict=True)]
        if all(m >= need for m, need in zip(made, of_size, strict=True)) and sum(made) >= sum(of_size) + any_size:
            enough.append(sum(counts))
    return min(enough)


@LAW
@given(data=st.data(), sizes=st.lists(st.integers(1, 9), min_size=1, max_size=3))
def test_orders_are_covered_with_the_fewest_tins(data: st.DataObject, sizes: list[int]) -> None:
    of_size = [data.draw(st.integers(0, 14)) for _ in sizes]
    any_size = data.draw(st.integers(0 if any(of_size) else 1, 14))
    orders = [Order(product=0, size=i, portions=n) for i, n in enumerate(of_size) if n]
    orders += [Order(product=0, size=None, portions=any_size)] if any_size else []
    (plan,) = plan_tins([bun(*sizes)], orders)
    made = {of.size: of.portions_made for of in plan.tins}
    assert all(made.get(i, 0) >= need for i, need in enumerate(of_size))
    assert plan.made >= plan.needed == sum(of_size) + any_size
    assert sum(of.tins for of in plan.tins) == fewest(sizes, of_size, any_size)


@LAW
@given(portions=st.integers(1, 500), spare=st.integers(0, 100), per_tin=st.integers(1, 40))
def test_spare_portions_are_covered_too(portions: int, spare: int, per_tin: int) -> None:
    (plan,) = plan_tins([bun(per_tin, spare=spare)], [Order(product=0, size=0, portions=portions)])
    assert plan.made >= portions * (1 + spare / 100) - 1e-9
    assert plan.made - per_tin < math.ceil(Fraction(portions) * (100 + spare) / 100)
    assert plan.over == plan.made - portions


@LAW
@given(bowl=st.floats(50, 20_000), portions=st.integers(1, 300), tins=st.integers(1, 4))
def test_bowls_are_equal_fit_and_hold_everything(bowl: float, portions: int, tins: int) -> None:
    products = [bun(10, tins=tins)]
    plans = plan_tins(products, [Order(product=0, size=0, portions=portions)])
    (mix,) = day_mixes(products, plans, EMPTY_BOOK, bowl)
    assert mix.bowl_g <= bowl * (1 + 1e-6)
    assert mix.bowls == 1 or mix.mass.grams / (mix.bowls - 1) > bowl
    per_tin = products[0].weighed.mass.grams / tins
    assert mix.mass.grams == pytest.approx(per_tin * -(-portions // 10))


def test_two_products_share_a_mix_of_the_same_proportions_under_any_name() -> None:
    def made(name: str, flour: float, oats: float, extra: float) -> Product:
        lines = (line("plain flour", flour), line("rolled oats", oats))
        own = (line("caster sugar", extra),)
        components = (Component(name=f"{name} base", lines=lines), Component(name=f"{name} own", lines=own))
        weighed_ = weigh_formula(Formula(name=name, components=components))
        return Product(name=name, weighed=weighed_, sizes=(TinSize(name="one", portions_per_tin=1),))

    products = [made("a", 300, 100, 50), made("b", 150, 50, 70), made("c", 150, 60, 10)]
    plans = plan_tins(products, [Order(product=i, size=0, portions=2) for i in range(3)])
    mixes = day_mixes(products, plans, EMPTY_BOOK, None)
    # Pure sugar is the same mix in every product; the base of c has other proportions.
    assert [[part.product for part in mix.parts] for mix in mixes] == [[0, 1], [0, 1, 2], [2]]
    assert mixes[0].mass.grams == pytest.approx(2 * 600)
    assert math.fsum(mix.mass.grams for mix in mixes) == pytest.approx(
        2 * math.fsum(product_.weighed.mass.grams for product_ in products)
    )


def test_a_larger_tin_takes_more_of_the_mix() -> None:
    formula = Formula(
        name="slab",
        components=(Component(name="mix", lines=(line("plain flour", 400),)),),
        tin=parse_tin("square 20 x 5 cm"),
        filled_depth_mm=30,
    )
    sizes = (TinSize(name="tray", portions_per_tin=24, tin=parse_tin("rectangle 20 x 30 x 5 cm")),)
    slab = Product(name="slab", weighed=weigh_formula(formula), sizes=sizes)
    (plan,) = plan_tins([slab], [Order(product=0, size=0, portions=30)])
    (of,) = plan.tins
    assert of.tins == 2
    assert [of.factor, of.mix_factor] == pytest.approx([1.5, 3])
    assert of.scaled.mass.grams == pytest.approx(400 * 1.5)


def test_portions_without_a_mass_have_a_warning() -> None:
    weighable = replace(bun(10), sizes=(TinSize(name="0", portions_per_tin=10, portion_g=55.0),))
    products = [bun(10), weighable]
    plans = plan_tins(products, [Order(product=i, size=0, portions=10) for i in range(2)])
    assert [plan.tins[0].portion_g for plan in plans] == [None, 55.0]
    notices = plan_notices(plans)
    assert [(notice.code, notice.path) for notice in notices] == [("bake_loss_missing", ("products", 0))]


@LAW
@given(loss=st.floats(0, 50), portions=st.integers(1, 40))
def test_portions_of_a_tin_add_up_to_its_bake(loss: float, portions: int) -> None:
    (tin,) = rescaled_sizes(bun(portions))
    baked_g = tin.mass.grams * (1 - loss / 100)
    whole = portions_of_one_tin(tin, loss)
    assert whole.count == 1
    assert whole.grams_each == pytest.approx(baked_g)
    cut = portions_of_one_tin(tin, loss, portions, baked_g / portions)
    assert (cut.count, cut.grams_each) == (portions, baked_g / portions)
    muffins = replace(tin, target=replace(tin.target, tin=parse_tin(f"cavities {portions} x 90 ml")))
    each = portions_of_one_tin(muffins, loss)
    assert each.count == portions
    assert each.grams_each == pytest.approx(baked_g / portions)
    assert portions_of_one_tin(tin, None).grams_each is None


def test_a_size_with_a_tin_needs_the_tin_of_the_formula() -> None:
    sized = Product(
        name="x",
        weighed=weighed({"plain flour": 400}),
        sizes=(TinSize(name="tray", portions_per_tin=24, tin=parse_tin("square 20 x 5 cm")),),
    )
    with pytest.raises(DomainErrors) as refused:
        plan_tins([bun(4), sized], [Order(product=1, size=0, portions=1)])
    assert [error.path for error in refused.value.errors] == [("products", 1, "formula", "tin")]


def test_stock_is_used_before_packs_are_bought() -> None:
    products = [bun(10)]
    plans = plan_tins(products, [Order(product=0, size=0, portions=40)])
    book = make_book([good("plain flour", ("1.5 kg", "1.29"), ("16 kg", "11.20")), good("egg", ("30 each", "5.40"))])
    mixes = day_mixes(products, plans, book, None)
    flour = mixes[0].lines[0]
    needed, _ = ingredient_totals(mixes, {key_of(flour.line, flour.good): 600.0}, EU_M)
    assert needed[0].name == "plain flour"
    assert [needed[0].purchased_g, needed[0].to_buy_g] == pytest.approx([2000, 1400])
    assert needed[0].packs is not None
    assert needed[0].packs.counts == (1, 0)


def test_a_pack_of_unknown_mass_causes_a_warning_and_not_an_error() -> None:
    products = [bun(10)]
    plans = plan_tins(products, [Order(product=0, size=0, portions=40)])
    mixes = day_mixes(products, plans, make_book([good("plain flour", ("3 each", "1.00"))]), None)
    needed, notices = ingredient_totals(mixes, {}, None)
    assert needed[0].packs is None
    assert [notice.code for notice in notices] == ["packs_not_found"]


def test_eggs_to_crack_are_the_whole_ones_and_the_larger_of_yolks_and_whites() -> None:
    mixed = weighed({"egg": "3 each", "egg yolk": "5 each", "egg white": "2 each"})
    made = Product(name="x", weighed=mixed, sizes=(TinSize(name="one", portions_per_tin=1),))
    plans = plan_tins([made], [Order(product=0, size=0, portions=4)])
    (eggs,) = eggs_needed(day_mixes([made], plans, EMPTY_BOOK, None), [EU_M])
    assert (eggs.crack, eggs.trays, eggs.spare_yolk_g) == (32, 2, 0)
    assert eggs.spare_white_g == pytest.approx(
        12 / 20 * 20 * next(p for p in eggs.parts if p.part == "white").grams / 8
    )
    smaller = eggs_needed(day_mixes([made], plans, EMPTY_BOOK, None), [EGG_CLASSES["eu_s"]])
    assert smaller[0].crack > eggs.crack


def test_sizes_share_an_oven_load_but_not_a_shelf() -> None:
    sizes = (
        TinSize(name="a", portions_per_tin=10, oven=parse_oven("160 celsius"), bake_minutes=40, tins_per_shelf=2),
        TinSize(name="b", portions_per_tin=10, oven=parse_oven("140 C", fan=True), bake_minutes=40, tins_per_shelf=3),
        TinSize(name="c", portions_per_tin=10, oven=parse_oven("180 celsius"), bake_minutes=20, tins_per_shelf=1),
        TinSize(name="d", portions_per_tin=10),
    )
    made = Product(name="x", weighed=weighed({"plain flour": 100}), sizes=sizes)
    plans = plan_tins([made], [Order(product=0, size=i, portions=50) for i in range(4)])
    groups = oven_loads([made], plans, 4)
    # 5 tins: 3 shelves of a and 2 of b are 5 shelves, 2 loads; 5 shelves of c are 2 loads.
    assert [(group.tins, group.shelves, group.loads, group.minutes) for group in groups] == [
        (10, 5, 2, 80),
        (5, 5, 2, 40),
    ]


def test_bake_minutes_need_tins_per_shelf() -> None:
    made = Product(
        name="x", weighed=weighed({"plain flour": 100}), sizes=(TinSize(name="a", portions_per_tin=1, bake_minutes=9),)
    )
    plans = plan_tins([made], [Order(product=0, size=0, portions=1)])
    with pytest.raises(DomainErrors) as refused:
        oven_loads([made], plans, 4)
    assert [error.path for error in refused.value.errors] == [("products", 0, "targets", 0, "tins_per_shelf")]
