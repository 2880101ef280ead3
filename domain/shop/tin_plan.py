"""From orders to tins: the fewest tins that cover every order, and the oven loads that they make."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.baking.oven import Oven, read_oven
from domain.errors import ErrorCollector, NeededError
from domain.formulas.formula import WeighedFormula
from domain.formulas.portioning import portion_target
from domain.formulas.rescaling import Bench, Rescaled, rescale
from domain.formulas.targets import Target
from domain.notices import Notice
from domain.shop.packs import Size, StepBudget
from domain.tins.shapes import Tin

_BENCH = Bench()
ALL_STEPS = 10_000  # search steps for all products of one answer together; our own limit


@dataclass(frozen=True, slots=True, kw_only=True)
class TinSize:
    """A size that a product is sold in: its tin (None for the formula's own), the portions of one tin, how it bakes.

    `portion_g` is the mass of a portion after the oven; None if it is not known.

    Tins whose ovens are at the same temperature for the same `bake_minutes` may share a load. Without minutes no loads
    are counted.
    """

    name: str
    portions_per_tin: int = 1
    portion_g: float | None = None
    tin: Tin | None = None
    depth_mm: float | None = None
    oven: Oven | None = None
    bake_minutes: float | None = None
    tins_per_shelf: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A product: a formula, the sizes it is sold in, and the share of spare portions beyond the order.

    `scaled` is the result of `rescaled_sizes`; it is empty until that is worked out.
    """

    name: str
    weighed: WeighedFormula
    sizes: tuple[TinSize, ...]
    spare_percent: Fraction = Fraction(0)
    scaled: tuple[Rescaled, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order of portions: `product` and `size` are places in their lists; `size` is None for any size."""

    product: int
    size: int | None
    portions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoughPieces:
    """The dough pieces of a component, per tin and in all tins of a size; they share all of the dough.

    `leftover_g` is the dough left in all tins if each piece weighs exactly what is written.
    """

    component: str
    per_tin: int
    count: int
    grams_each: float
    leftover_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TinsOfSize:
    """The tins of one size of a product. `factor` is that of one tin; `portion_g` is the mass after the oven.

    It is None if the bake loss is not known.
    """

    product: int
    size: int
    tins: int
    factor: float
    scaled: Rescaled
    portions_made: int
    portion_g: float | None
    dough_pieces: tuple[DoughPieces, ...]

    @property
    def mix_factor(self) -> float:
        """The factor on the formula for all the tins together."""
        return self.factor * self.tins


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductPlan:
    """The tins of a product, and its portions: ordered, needed with the spare ones, and made."""

    product: int
    tins: tuple[TinsOfSize, ...]
    ordered: int
    needed: int
    made: int

    @property
    def over(self) -> int:
        """Portions made beyond the order."""
        return self.made - self.ordered


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenGroup:
    """Tins that may share a load, the shelves they fill and the fewest loads. `oven` is that of the first of them."""

    oven: Oven | None
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
        size take the portions that these leave over, then the fewest more tins, and of these the fewest portions over
        (solved exactly). Spare portions must be covered too, rounded up for each size.
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


def portions_of_tins(size: TinSize, tins: int) -> int:
    """The portions of an order of whole tins.

    Args:
        size: of the tins.
        tins: how many of them.
    Returns:
        The number of portions.
    """
    return tins * size.portions_per_tin


def portions_needed(ordered: int, spare_percent: Fraction) -> int:
    """The portions to make for an order, with spare ones, rounded up.

    Args:
        ordered: at least 0.
        spare_percent: at least 0.
    Returns:
        Whole portions.

    >>> portions_needed(40, Fraction(5)), portions_needed(41, Fraction(5))
    (42, 44)
    """
    # In whole numbers, since exact fractions are slow and a day asks for hundreds.
    hundred = 100 * spare_percent.denominator
    return -(-ordered * (hundred + spare_percent.numerator) // hundred)


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
    groups: dict[tuple[object, float], list[tuple[int, int]]] = {}
    ovens: dict[tuple[object, float], Oven | None] = {}
    for plan in plans:
        for tins in plan.tins:
            size = products[tins.product].sizes[tins.size]
            with errors.at("products", tins.product, "targets", tins.size):
                check_tins_per_shelf(size.bake_minutes, size.tins_per_shelf)
                if size.bake_minutes is not None and size.tins_per_shelf is not None:
                    shelves_taken = -(-tins.tins // size.tins_per_shelf)
                    key = (_heat(size.oven), size.bake_minutes)
                    groups.setdefault(key, []).append((tins.tins, shelves_taken))
                    ovens.setdefault(key, size.oven)
    errors.raise_if_any()
    return tuple(
        OvenGroup(
            oven=ovens[key],
            bake_minutes=key[1],
            tins=sum(n for n, _ in entries),
            shelves=sum(shelves_of_size for _, shelves_of_size in entries),
            loads=-(-sum(shelves_of_size for _, shelves_of_size in entries) // shelves),
        )
        for key, entries in groups.items()
    )


def plan_notices(plans: Sequence[ProductPlan]) -> tuple[Notice, ...]:
    """The warnings of rescaling, each with the path of its size, and of products whose portions have no mass."""
    of_sizes = (_moved(notice, tins) for plan in plans for tins in plan.tins for notice in tins.scaled.notices)
    without_mass = (plan.product for plan in plans if any(tins.portion_g is None for tins in plan.tins))
    return (*of_sizes, *(bake_loss_missing("products", product) for product in without_mass))


def bake_loss_missing(*path: str | int) -> Notice:
    """The warning that portions have no mass."""
    message = "Portions have no mass after the oven: give bake_loss_percent, or 0 if nothing is baked."
    return Notice(code="bake_loss_missing", message=message, path=path)


def _heat(oven: Oven | None) -> object:
    """What ovens have in common that can bake the same load: the temperature without a fan, or the word."""
    return None if oven is None else read_oven(oven).celsius.amount or oven.word


def _plan(product: Product, place: int, orders: Sequence[Order], budget: StepBudget) -> ProductPlan:
    ordered = [sum(order.portions for order in orders if order.size == i) for i in range(len(product.sizes))]
    of_any_size = sum(order.portions for order in orders if order.size is None)
    needed = [portions_needed(portions, product.spare_percent) for portions in ordered]
    tins = [-(-portions // size.portions_per_tin) for portions, size in zip(needed, product.sizes, strict=True)]
    over = sum(n * size.portions_per_tin for n, size in zip(tins, product.sizes, strict=True)) - sum(needed)
    rest = portions_needed(of_any_size, product.spare_percent) - over
    if rest > 0:
        # Every tin costs one: the cheapest cover is the fewest tins.
        offered = [Size(holds=Fraction(size.portions_per_tin), cost=Fraction(1)) for size in product.sizes]
        cover = budget.cover(Fraction(rest), offered)
        tins = [n + more for n, more in zip(tins, cover.counts, strict=True)]
    scaled = product.scaled or rescaled_sizes(product)
    sizes = tuple(_tins_of_size(product, place, i, tins[i], scaled[i]) for i in range(len(product.sizes)) if tins[i])
    return ProductPlan(
        product=place,
        tins=sizes,
        ordered=sum(order.portions for order in orders),
        needed=sum(needed) + portions_needed(of_any_size, product.spare_percent),
        made=sum(size.portions_made for size in sizes),
    )


def rescaled_sizes(product: Product) -> tuple[Rescaled, ...]:
    """The formula for one tin of each size.

    Args:
        product: with its sizes.
    Returns:
        One result for each size.
    Raises:
        DomainErrors: every size whose tin cannot take the formula.
    """
    own_tin = 1 / product.weighed.formula.tins
    targets = tuple(
        Target(label=size.name, tin=product.weighed.formula.tin, factor=own_tin)
        if size.tin is None
        else Target(label=size.name, tin=size.tin, depth_mm=size.depth_mm)
        for size in product.sizes
    )
    return rescale(product.weighed, targets, _BENCH)


def _tins_of_size(product: Product, place: int, size: int, tins: int, scaled: Rescaled) -> TinsOfSize:
    portions_per_tin = product.sizes[size].portions_per_tin
    scaled = portion_target(product.weighed, scaled, portions_per_tin, size)
    return TinsOfSize(
        product=place,
        size=size,
        tins=tins,
        factor=scaled.factor,
        scaled=scaled,
        portions_made=tins * portions_per_tin,
        portion_g=product.sizes[size].portion_g,
        dough_pieces=tuple(
            DoughPieces(
                component=component.weighed.component.name,
                per_tin=component.pieces.count,
                count=component.pieces.count * tins,
                grams_each=component.pieces.grams_each,
                leftover_g=component.pieces.leftover_grams * tins,
            )
            for component in scaled.components
            if component.pieces is not None
        ),
    )


def _moved(notice: Notice, tins: TinsOfSize) -> Notice:
    _, _, *rest = notice.path  # the target and its place
    path = ("products", tins.product, "targets", tins.size, *rest)
    return notice.at(*path)
