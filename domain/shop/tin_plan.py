"""From orders to tins: the fewest that cover every order, and the oven loads they make."""

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
ALL_STEPS = 10_000  # steps of all searches for tins in one answer; our own limit


@dataclass(frozen=True, slots=True, kw_only=True)
class TinSize:
    """A size a product is sold in: its tin (None: the formula's own), pieces cut from one, and how it bakes.

    Tins with the same `oven` and `bake_minutes` may share a load; without minutes no loads are counted.
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
    """What is made: a formula, its sizes, and how many pieces more than ordered there should be."""

    name: str
    weighed: WeighedFormula
    sizes: tuple[TinSize, ...]
    bake_loss_percent: float = 0.0
    spare_percent: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """So many pieces of a product, of one of its sizes or of any; both by their place."""

    product: int
    size: int | None
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TinsOfSize:
    """Tins of one size of a product. `factor` is of one tin, on the formula; `pieces_each_g` is after the oven."""

    product: int
    size: int
    tins: int
    factor: float
    scaled: Rescaled
    pieces_made: int
    pieces_each_g: float

    @property
    def mix_factor(self) -> float:
        """What all the tins take of the formula."""
        return self.factor * self.tins


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductPlan:
    """A product's tins: pieces ordered, needed with the spare ones, made, and over the order."""

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
    """Tins that may share a load: their shelves, the fewest loads, and the minutes these take one after the other."""

    oven: str
    bake_minutes: float
    tins: int
    shelves: int
    loads: int

    @property
    def minutes(self) -> float:
        """Baking time of all loads, without loading and heating up."""
        return self.loads * self.bake_minutes


def plan_tins(products: Sequence[Product], orders: Sequence[Order]) -> tuple[ProductPlan, ...]:
    """The fewest tins that cover every order.

    Args:
        products: what can be made.
        orders: of them; those of one product and size add up.
    Returns:
        One plan for each product that is ordered. Orders of a size are covered by tins of that size; orders of any
        size take what these leave over, then the fewest more tins, of these the fewest pieces over (solved exactly).
        Spare pieces are part of what must be covered, rounded up for each size.
    Raises:
        DomainErrors: every size whose tin cannot take the formula, each with its path.
    """
    findings, plans, budget = ErrorCollector(), [], StepBudget(ALL_STEPS)
    for i, product in enumerate(products):
        asked = [order for order in orders if order.product == i]
        if not asked:
            continue
        try:
            plans.append(_plan(product, i, asked, budget))
        except DomainErrors as errors:
            findings.errors += errors.errors
    findings.raise_if_any()
    return tuple(plans)


def pieces_needed(ordered: int, spare_percent: Fraction) -> int:
    """Pieces to make for an order with its spare ones, rounded up.

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
        One group for each oven setting and time, in the order in which they first appear; sizes without minutes
        are left out.
    Raises:
        NeededError: a size has minutes and does not say how many of its tins fit a shelf.
    """
    found: dict[tuple[str, float], list[tuple[int, int]]] = {}
    for plan in plans:
        for of_size in plan.tins:
            size = products[of_size.product].sizes[of_size.size]
            if size.bake_minutes is None or not of_size.tins:
                continue
            if size.tins_per_shelf is None:
                raise NeededError(
                    "Say how many of these tins fit a shelf: tins_per_shelf.",
                    path=("products", of_size.product, "sizes", of_size.size, "tins_per_shelf"),
                    code="tins-per-shelf-needed",
                )
            taken = -(-of_size.tins // size.tins_per_shelf)
            found.setdefault((size.oven, size.bake_minutes), []).append((of_size.tins, taken))
    return tuple(
        OvenGroup(
            oven=oven,
            bake_minutes=minutes,
            tins=sum(tins for tins, _ in entries),
            shelves=sum(taken for _, taken in entries),
            loads=-(-sum(taken for _, taken in entries) // shelves),
        )
        for (oven, minutes), entries in found.items()
    )


def plan_notices(plans: Sequence[ProductPlan]) -> tuple[Notice, ...]:
    """What rescaling said of each size's tin."""
    return tuple(
        _moved(notice, of_size) for plan in plans for of_size in plan.tins for notice in of_size.scaled.notices
    )


def _plan(product: Product, place: int, asked: Sequence[Order], budget: StepBudget) -> ProductPlan:
    needs = [0] * len(product.sizes)
    for order in asked:
        if order.size is not None:
            needs[order.size] += order.pieces
    any_size = sum(order.pieces for order in asked if order.size is None)
    needs = [pieces_needed(need, product.spare_percent) for need in needs]
    tins = [-(-need // size.pieces_per_tin) for need, size in zip(needs, product.sizes, strict=True)]
    over = sum(t * size.pieces_per_tin for t, size in zip(tins, product.sizes, strict=True)) - sum(needs)
    rest = pieces_needed(any_size, product.spare_percent) - over
    if rest > 0:
        # Every tin costs one: the cheapest cover is the fewest tins.
        offered = [Size(holds=Fraction(size.pieces_per_tin), cost=Fraction(1)) for size in product.sizes]
        more = budget.cover(Fraction(rest), offered)
        tins = [t + extra for t, extra in zip(tins, more.counts, strict=True)]
    scaled = _rescaled(product, place)
    of_sizes = tuple(_of_size(product, place, i, tins[i], scaled[i]) for i in range(len(product.sizes)) if tins[i])
    return ProductPlan(
        product=place,
        tins=of_sizes,
        ordered=sum(order.pieces for order in asked),
        needed=sum(needs) + pieces_needed(any_size, product.spare_percent),
        made=sum(of_size.pieces_made for of_size in of_sizes),
    )


def _rescaled(product: Product, place: int) -> tuple[Rescaled, ...]:
    own = 1 / product.weighed.formula.tins
    targets = tuple(
        Target(label=size.name, factor=own)
        if size.tin is None
        else Target(label=size.name, tin=size.tin, depth_mm=size.depth_mm)
        for size in product.sizes
    )
    try:
        return rescale(product.weighed, targets, _BENCH)
    except DomainErrors as errors:
        for error in errors.errors:
            head, *rest = error.path
            error.path = ("products", place, "sizes" if head == "targets" else head, *rest)
        raise


def _of_size(product: Product, place: int, size: int, tins: int, scaled: Rescaled) -> TinsOfSize:
    pieces = product.sizes[size].pieces_per_tin
    return TinsOfSize(
        product=place,
        size=size,
        tins=tins,
        factor=scaled.factor,
        scaled=scaled,
        pieces_made=tins * pieces,
        pieces_each_g=scaled.mass.grams * (1 - product.bake_loss_percent / 100) / pieces,
    )


def _moved(notice: Notice, of_size: TinsOfSize) -> Notice:
    path = ("products", of_size.product, "sizes", of_size.size, *notice.path[2:])
    return Notice(code=notice.code, message=notice.message, path=path)
