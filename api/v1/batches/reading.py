"""From a batches request to the domain's products, orders and stock, with every error at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from api.v1.batches.schemas import BatchesRequest, BatchTarget, ProductIn, StockIn
from api.v1.cuts.reading import read_target_cuts
from api.v1.job.reading import bake_loss_percent
from api.v1.job.schemas import Formula
from api.v1.job.schemas import Line as SentLine
from api.v1.shop.reading import UnreadGood, check_work, read_shop, read_shop_line, read_weighed_formula
from api.v1.shop.schemas import Shop
from api.v1.tins.reading import read_optional_tin_of
from api.wire.reading import read_length_mm
from domain.baking.oven import parse_oven, read_oven
from domain.cutting.budget import CutBudget
from domain.errors import (
    AmbiguousError,
    ErrorCollector,
    MismatchError,
    NeededError,
    UnknownError,
    at_arguments,
    at_path,
)
from domain.formulas.formula import Line
from domain.measures.quantities import parse_amount
from domain.shop.buying import add_stock
from domain.shop.goods import Book, Good, find_good
from domain.shop.portions import portions_of_one_tin
from domain.shop.tin_plan import Order, Product, TinSize, check_tins_per_shelf, portions_of_tins, rescaled_sizes
from domain.things.conversion import EGG_PARTS
from domain.things.eggs import EggClass, find_egg_class


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A batches request in the domain's types. `stock_g` is by `composition.key_of`."""

    products: tuple[Product, ...]
    orders: tuple[Order, ...]
    stock_g: dict[object, float]
    classes: tuple[EggClass, ...]
    book: Book


def read_day(body: BatchesRequest, file: Book) -> Day:
    """The parts of a batches request.

    Args:
        body: the request.
        file: the book of the shop file.
    Returns:
        The parts.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    formulas = (
        (product.formula, ("products", i, "formula"), max(1, len(product.targets)))
        for i, product in enumerate(body.products)
    )
    check_work(body.shop, *formulas)
    collector = ErrorCollector()
    book, _ = read_shop(body.shop, file, collector)
    budget = CutBudget()
    products = list[Product | None]()
    for i, row in enumerate(body.products):
        product = None
        with collector.at("products", i):
            product = _product(row, body, book, budget)
        products.append(product)
    orders = _orders(body, products, collector)
    classes = _classes(body, collector)
    stock_g = _stock(body, book, classes[0] if classes else None, collector)
    collector.raise_if_any()
    return Day(
        products=tuple(product for product in products if product is not None),
        orders=orders,
        stock_g=stock_g,
        classes=classes,
        book=book,
    )


def _product(row: ProductIn, body: BatchesRequest, book: Book, budget: CutBudget) -> Product:
    """A product.

    Raises:
        DomainErrors: everything that is wrong with it.
    """
    of_product = ErrorCollector()
    weighed = read_weighed_formula(row.formula, body.measures, book, of_product, at=("formula",))
    sent = row.targets or [BatchTarget(label=row.name)]
    _check_names([target.label or "" for target in sent], of_product, "targets", "label")
    sizes = list[TinSize]()
    for i, target in enumerate(sent):
        with of_product.at("targets", i):
            sizes.append(_size(target, row.formula, needs_shelf=body.oven_shelves is not None))
    of_product.raise_if_any()
    if weighed is None:
        raise AssertionError("a formula without errors has a mass")
    # A number of JSON, read as the decimal that it prints as.
    product = Product(name=row.name, weighed=weighed, sizes=tuple(sizes), spare_percent=parse_amount(row.spare_percent))
    product = replace(product, scaled=rescaled_sizes(product))
    return replace(product, sizes=_portioned(product, row, sent, body.shop, budget))


def _size(target: BatchTarget, formula: Formula, *, needs_shelf: bool) -> TinSize:
    errors, tin, depth_mm, oven = ErrorCollector(), None, None, None
    for name in ("factor", "grams", "portions", "pieces"):
        if getattr(target, name) is not None:
            errors.errors.append(
                MismatchError(f"A size is one tin: leave `{name}` out.", path=(name,), code="field_not_used")
            )
    if target.tins != 1:
        errors.errors.append(MismatchError("A size is one tin: the orders say how many.", path=("tins",)))
    with errors.at():
        tin = read_optional_tin_of(target.tin, target.tin_shape, "tin")
    with errors.at():
        depth_mm = None if target.depth is None or target.depth == "keep" else read_length_mm(target.depth, "depth")
    bakes = [bake for bake in (target.bake, formula.bake) if bake is not None and bake.oven is not None]
    if bakes:
        with errors.at("bake"), at_arguments(setting=("oven",)):
            oven = parse_oven(bakes[0].oven or "", fan=bool(bakes[0].fan))
            read_oven(oven)
    minutes = None if target.bake is None else target.bake.minutes
    if minutes is None and tin is None and formula.bake is not None:
        minutes = formula.bake.minutes
    if needs_shelf:
        with errors.at():
            check_tins_per_shelf(minutes, target.tins_per_shelf)
    errors.raise_if_any()
    return TinSize(
        name=target.label or "",
        tin=tin,
        depth_mm=depth_mm,
        oven=oven,
        bake_minutes=minutes,
        tins_per_shelf=target.tins_per_shelf,
    )


def _portioned(
    product: Product, row: ProductIn, sent: Sequence[BatchTarget], shop: Shop, budget: CutBudget
) -> tuple[TinSize, ...]:
    """The sizes of a product with the portions of their cuts, which are those of `/v1/rescale`."""
    errors, sizes = ErrorCollector(), list[TinSize]()
    for i, (target, size, result) in enumerate(zip(sent, product.sizes, product.scaled, strict=True)):
        loss_percent = bake_loss_percent(target, row.formula, shop)
        loss_percent = row.bake_loss_percent if loss_percent is None else loss_percent
        tin = size.tin or product.weighed.formula.tin
        cuts, path = (target.cuts, ("targets", i, "cuts")) if target.cuts else (row.formula.cuts, ("formula", "cuts"))
        count, grams_each = None, None
        with errors.at():
            if target.cuts is not None and tin is None:
                raise NeededError("`cuts` go with a tin: give the formula's.", path=path, code="tin_needed")
            if cuts is not None and tin is not None:
                question = read_target_cuts(
                    cuts, tin, result.mass.grams, loss_percent, label=None, target_path=("targets", i), path=path
                )
                layout, _ = question.cut(budget)
                count, grams_each = layout.pieces, layout.piece.grams
        portions = portions_of_one_tin(result, loss_percent, count, grams_each)
        sizes.append(replace(size, portions_per_tin=portions.count, portion_g=portions.grams_each))
    errors.raise_if_any()
    return tuple(sizes)


def _orders(body: BatchesRequest, products: Sequence[Product | None], collector: ErrorCollector) -> tuple[Order, ...]:
    names = [product.name for product in body.products]
    _check_names(names, collector, "products", "name")
    places = {name: i for i, name in enumerate(names)}
    labels = [
        {target.label: j for j, target in enumerate(product.targets) if target.label} or {product.name: 0}
        for product in body.products
    ]
    orders = []
    for i, order in enumerate(body.orders):
        with collector.at("orders", i):
            if (order.portions is None) == (order.tins is None):
                raise NeededError("Give one of portions and tins.", code="portions_needed")
            place = _place(places, order.product, "product")
            size = None if order.label is None else _place(labels[place], order.label, "label")
            product = products[place]
            if order.tins is not None and size is None:
                raise NeededError("Give label: whole tins are of one size.", path=("label",), code="label_needed")
            if product is not None:
                portions = order.portions or portions_of_tins(product.sizes[size or 0], order.tins or 0)
                orders.append(Order(product=place, size=size, portions=portions))
    return tuple(orders)


def _place(places: Mapping[str, int], name: str, field: str) -> int:
    try:
        return places[name]
    except KeyError:
        raise UnknownError(
            f"products has no {field} of this name.",
            path=(field,),
            code=f"unknown_{field}",
            candidates=tuple(places),
        ) from None


def _check_names(names: Sequence[str], collector: ErrorCollector, field: str, name_field: str) -> None:
    for i, name in enumerate(names):
        if name and name in names[:i]:
            with collector.at(field, i, name_field):
                raise AmbiguousError("This name occurs twice, and an order could mean either.", code="name_twice")


def _classes(body: BatchesRequest, collector: ErrorCollector) -> tuple[EggClass, ...]:
    """The classes of eggs in the shop, or else those of the formulas, whose errors are collected with the formulas."""
    classes = []
    for i, name in enumerate(body.available_egg_classes):
        with collector.at("available_egg_classes", i):
            classes.append(find_egg_class(name))
    for product in body.products if not body.available_egg_classes else []:
        if product.formula.egg_class is not None:
            with ErrorCollector().at():
                classes.append(find_egg_class(product.formula.egg_class))
    return tuple(dict.fromkeys(classes))


def _stock(
    body: BatchesRequest, book: Book, egg_class: EggClass | None, collector: ErrorCollector
) -> dict[object, float]:
    stock_g: dict[object, float] = {}
    for i, row in enumerate(body.stock):
        with collector.at("stock", i):
            line, good = _stock_line(row, body, book, egg_class)
            if isinstance(good, UnreadGood):
                continue
            add_stock(stock_g, line, good)
    return stock_g


def _stock_line(row: StockIn, body: BatchesRequest, book: Book, egg_class: EggClass | None) -> tuple[Line, Good | None]:
    with at_path("ingredient"):
        good = find_good(book, row.ingredient)
    line = SentLine(ingredient=row.ingredient, quantity=row.quantity)
    shop_line = read_shop_line(line, good, egg_class, body.measures)
    ingredient = shop_line.thing.ingredient
    is_counted_egg = (
        shop_line.quantity.unit.dimension == "count" and ingredient is not None and ingredient.id in EGG_PARTS
    )
    if is_counted_egg and egg_class is None:
        raise NeededError("Eggs are counted by weight class: give available_egg_classes.", code="egg_class_needed")
    return shop_line, good
