"""From orders to tins: the fewest tins that cover every order, and the oven loads that they make."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.errors import DomainErrors, ErrorCollector, NeededError
from domain.formulas.formula import WeighedFormula
from domain.formulas.rescaling import Bench, Rescaled, Target, rescale
from domain.notices import Notice
from domain.shop.packs import Size, StepBudget
from domain.tins.shapes import Tin

_BENCH = Bench()
ALL_STEPS = 10_000  # search steps for all products of one answer together; our own limit


@dataclass(frozen=True, slots=True, kw_only=True)
class TinSize:
    """A size that a product is sold in: its tin (None for the formula's own), the pieces of one tin, how it bakes.

    Tins with the same `oven` and `bake_minutes` may share a load. Without minutes no loads are counted.
    """

    name: str
    pieces_per_tin: int
    tin: Tin | None = None
    depth_mm: float | None = None
    oven: str = ""
    bake_minutes: float | None = None
    tins_per_shelf: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A product: a formula, the sizes it is sold in, and the share of spare pieces beyond the order."""

    name: str
    weighed: WeighedFormula
    sizes: tuple[TinSize, ...]
    bake_loss_percent: float = 0.0
    spare_percent: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order of pieces: `product` and `size` are places in their lists; `size` is None for any size."""

    product: int
    size: int | None
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoughPieces:
    """The dough pieces of a component, per tin and in all tins of a size."""

    component: str
    per_tin: int
    count: int
    grams_each: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TinsOfSize:
    """The tins of one size of a product. `factor` is that of one tin; `pieces_each_g` is the mass after the oven."""

    product: int
    size: int
    tins: int
    factor: float
    scaled: Rescaled
    pieces_made: int
    pieces_each_g: float
    dough_pieces: tuple[DoughPieces, ...]

    @property
    def mix_factor(self) -> float:
        """The factor on the formula for all the tins together."""
        return self.factor * self.tins


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductPlan:
    """The tins of a product, and its pieces: ordered, needed with the spare ones, and made."""

    product: int
    tins: tuple[TinsOfSize, ...]
    ordered: int
    needed: int
    made: int

    @property
    def over(self) -> int:
        """Pieces made beyond the order."""
        return self.made - self.ordered


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenGroup:
    """Tins that may share a load, the shelves they fill and the fewest loads."""

    oven: str
    bake_minutes: float
    tins: int
    shelves: int
    loads: int

    @property
    def minutes(self) -> float:
        """Baking time of all loads one after the other, without loading and heating up."""
        return self.loads * self.bake_minutes


def plan_tins(products: Sequence[Product], orders: Sequence[Order]) -> tuple[ProductPlan, ...]:
    """The fewest tins that cover every order.

    Args:
        products: the products of the shop.
        orders: of the day. Orders of the same product and size add up.
    Returns:
        One plan for each product that is ordered. Orders of a size are covered by tins of that size. Orders of any
        size take the pieces that these leave over, then the fewest more tins, and of these the fewest pieces over
        (solved exactly). Spare pieces must be covered too, rounded up for each size.
    Raises:
        DomainErrors: every size whose tin cannot take the formula, and every product with sizes too uneven to search.
    """
    errors, plans, budget = ErrorCollector(), [], StepBudget(ALL_STEPS)
    for i, product in enumerate(products):
        of_product = [order for order in orders if order.product == i]
        if of_product:
            with errors.at("products", i):
                plans.append(_plan(product, i, of_product, budget))
    errors.raise_if_any()
    return tuple(plans)


def check_sizes(product: Product) -> None:
    """Check that the formula of a product can be scaled to each of its sizes.

    Args:
        product: with its sizes.
    Raises:
        DomainErrors: every size whose tin cannot take the formula.
    """
    _rescaled(product)


def pieces_of_grid(rows: int, columns: int) -> int:
    """The pieces of a slab that is cut into a grid.

    Args:
        rows: of the grid.
        columns: of the grid.
    Returns:
        The number of pieces.
    """
    return rows * columns


def check_tins_per_shelf(bake_minutes: float | None, tins_per_shelf: int | None) -> None:
    """Check that the oven loads of a size can be counted.

    Args:
        bake_minutes: of the size; None if no loads are counted.
        tins_per_shelf: how many of its tins fit a shelf.
    Raises:
        NeededError: there are bake minutes and no tins per shelf.
    """
    if bake_minutes is not None and tins_per_shelf is None:
        raise NeededError(
            "Give tins_per_shelf: how many of these tins fit a shelf.",
            path=("tins_per_shelf",),
            code="tins_per_shelf_needed",
        )


def pieces_needed(ordered: int, spare_percent: Fraction) -> int:
    """The pieces to make for an order, with spare ones, rounded up.

    Args:
        ordered: at least 0.
        spare_percent: at least 0.
    Returns:
        Whole pieces.

    >>> pieces_needed(40, Fraction(5)), pieces_needed(41, Fraction(5))
    (42, 44)
    """
    return math.ceil(ordered * (1 + spare_percent / 100))


def oven_loads(products: Sequence[Product], plans: Sequence[ProductPlan], shelves: int) -> tuple[OvenGroup, ...]:
    """The fewest oven loads, one size to a shelf.

    Args:
        products: with the minutes of each size.
        plans: the tins.
        shelves: of the oven, at least 1.
    Returns:
        One group for each oven setting and time, in the order in which they first appear. Sizes without minutes are
        left out.
    Raises:
        DomainErrors: every size that has minutes and does not say how many of its tins fit a shelf.
    """
    errors = ErrorCollector()
    groups: dict[tuple[str, float], list[tuple[int, int]]] = {}
    for plan in plans:
        for tins in plan.tins:
            size = products[tins.product].sizes[tins.size]
            with errors.at("products", tins.product, "sizes", tins.size):
                check_tins_per_shelf(size.bake_minutes, size.tins_per_shelf)
                if size.bake_minutes is not None and size.tins_per_shelf is not None:
                    shelves_taken = -(-tins.tins // size.tins_per_shelf)
                    groups.setdefault((size.oven, size.bake_minutes), []).append((tins.tins, shelves_taken))
    errors.raise_if_any()
    return tuple(
        OvenGroup(
            oven=oven,
            bake_minutes=minutes,
            tins=sum(n for n, _ in entries),
            shelves=sum(taken for _, taken in entries),
            loads=-(-sum(taken for _, taken in entries) // shelves),
        )
        for (oven, minutes), entries in groups.items()
    )


def plan_notices(plans: Sequence[ProductPlan]) -> tuple[Notice, ...]:
    """The warnings of rescaling, each with the path of its size."""
    return tuple(_moved(notice, tins) for plan in plans for tins in plan.tins for notice in tins.scaled.notices)


def _plan(product: Product, place: int, orders: Sequence[Order], budget: StepBudget) -> ProductPlan:
    ordered = [sum(order.pieces for order in orders if order.size == i) for i in range(len(product.sizes))]
    of_any_size = sum(order.pieces for order in orders if order.size is None)
    needed = [pieces_needed(pieces, product.spare_percent) for pieces in ordered]
    tins = [-(-pieces // size.pieces_per_tin) for pieces, size in zip(needed, product.sizes, strict=True)]
    over = sum(n * size.pieces_per_tin for n, size in zip(tins, product.sizes, strict=True)) - sum(needed)
    rest = pieces_needed(of_any_size, product.spare_percent) - over
    if rest > 0:
        # Every tin costs one: the cheapest cover is the fewest tins.
        offered = [Size(holds=Fraction(size.pieces_per_tin), cost=Fraction(1)) for size in product.sizes]
        cover = budget.cover(Fraction(rest), offered)
        tins = [n + more for n, more in zip(tins, cover.counts, strict=True)]
    scaled = _rescaled(product)
    sizes = tuple(_tins_of_size(product, place, i, tins[i], scaled[i]) for i in range(len(product.sizes)) if tins[i])
    return ProductPlan(
        product=place,
        tins=sizes,
        ordered=sum(order.pieces for order in orders),
        needed=sum(needed) + pieces_needed(of_any_size, product.spare_percent),
        made=sum(size.pieces_made for size in sizes),
    )


def _rescaled(product: Product) -> tuple[Rescaled, ...]:
    """The formula for one tin of each size.

    Raises:
        DomainErrors: the targets of `rescale` are the sizes of the product, and the paths say so.
    """
    own_tin = 1 / product.weighed.formula.tins
    targets = tuple(
        Target(label=size.name, factor=own_tin)
        if size.tin is None
        else Target(label=size.name, tin=size.tin, depth_mm=size.depth_mm)
        for size in product.sizes
    )
    try:
        return rescale(product.weighed, targets, _BENCH)
    except DomainErrors as errors:
        for error in errors.errors:
            argument, *rest = error.path
            error.path = ("sizes" if argument == "targets" else argument, *rest)
        raise


def _tins_of_size(product: Product, place: int, size: int, tins: int, scaled: Rescaled) -> TinsOfSize:
    pieces_per_tin = product.sizes[size].pieces_per_tin
    return TinsOfSize(
        product=place,
        size=size,
        tins=tins,
        factor=scaled.factor,
        scaled=scaled,
        pieces_made=tins * pieces_per_tin,
        pieces_each_g=scaled.mass.grams * (1 - product.bake_loss_percent / 100) / pieces_per_tin,
        dough_pieces=tuple(
            DoughPieces(
                component=component.weighed.component.name,
                per_tin=component.pieces.count,
                count=component.pieces.count * tins,
                grams_each=component.pieces.grams_each,
            )
            for component in scaled.components
            if component.pieces is not None
        ),
    )


def _moved(notice: Notice, tins: TinsOfSize) -> Notice:
    _, _, *rest = notice.path  # the target and its place
    path = ("products", tins.product, "sizes", tins.size, *rest)
    return Notice(code=notice.code, message=notice.message, path=path)
