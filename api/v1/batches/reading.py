"""From a batches request to the domain's products, orders and stock, with every error at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from api.v1.batches.schemas import BatchesRequest, BatchSizeIn, ProductIn, StockIn
from api.v1.rescale.schemas import LineIn
from api.v1.shop.reading import UnreadGood, check_work, read_book, read_shop_line, read_weighed_formula
from api.v1.tins.reading import read_tin
from api.wire.reading import read_length_mm
from domain.errors import AmbiguousError, DomainErrors, ErrorCollector, NeededError, UnknownError, at_path
from domain.formulas.formula import Line
from domain.measures.quantities import parse_amount
from domain.shop.buying import add_stock
from domain.shop.goods import Book, Good, find_good
from domain.shop.money import Currency, find_currency
from domain.shop.tin_plan import Order, Product, TinSize, check_sizes, check_tins_per_shelf, pieces_of_grid
from domain.things.conversion import EGG_PARTS
from domain.things.eggs import EggClass, find_egg_class
from domain.tins.shapes import Tin


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A batches request in the domain's types. `stock_g` is by `composition.key_of`."""

    products: tuple[Product, ...]
    orders: tuple[Order, ...]
    stock_g: dict[object, float]
    classes: tuple[EggClass, ...]
    book: Book


def read_day(body: BatchesRequest, shop: Book) -> Day:
    """The parts of a batches request.

    Args:
        body: the request.
        shop: the book of the shop file.
    Returns:
        The parts.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    formulas = (
        (product.formula, ("products", i, "formula"), len(product.sizes)) for i, product in enumerate(body.products)
    )
    check_work(body.own_ingredients, *formulas)
    collector = ErrorCollector()
    currency: Currency | None = None
    with collector.at("currency"):
        currency = None if body.currency is None else find_currency(body.currency)
    priced = body.currency is None or currency is not None
    book = read_book(body.own_ingredients, shop, currency, collector, priced=priced)
    products = [_product(row, i, body, book, collector) for i, row in enumerate(body.products)]
    orders = _orders(body, collector)
    classes = _classes(body, collector)
    stock_g = _stock(body, book, classes[0] if classes else None, collector)
    if collector.errors:
        # Without errors the sizes are checked when the tins are planned.
        for i, product in enumerate(products):
            if product is not None:
                with collector.at("products", i):
                    check_sizes(product)
        raise DomainErrors(collector.errors)
    return Day(
        products=tuple(product for product in products if product is not None),
        orders=orders,
        stock_g=stock_g,
        classes=classes,
        book=book,
    )


def _product(row: ProductIn, place: int, body: BatchesRequest, book: Book, collector: ErrorCollector) -> Product | None:
    """A product; None if it has errors."""
    of_product = ErrorCollector()
    weighed = read_weighed_formula(row.formula, body.measures, book, of_product, at=("formula",))
    _check_names([size.name for size in row.sizes], of_product, "sizes")
    sizes = []
    for i, size in enumerate(row.sizes):
        with of_product.at("sizes", i):
            sizes.append(_size(size))
        if body.oven_shelves is not None:
            with of_product.at("sizes", i):
                check_tins_per_shelf(size.bake_minutes, size.tins_per_shelf)
    with collector.at("products", place):
        of_product.raise_if_any()
    if weighed is None or of_product.errors:
        return None
    return Product(
        name=row.name,
        weighed=weighed,
        sizes=tuple(sizes),
        bake_loss_percent=row.bake_loss_percent,
        spare_percent=parse_amount(row.spare_percent),
    )


def _size(size: BatchSizeIn) -> TinSize:
    collector = ErrorCollector()
    tin: Tin | None = None
    depth_mm: float | None = None
    with collector.at("tin"):
        tin = None if size.tin is None else read_tin(size.tin)
    with collector.at():
        depth_mm = None if size.depth is None or size.depth == "keep" else read_length_mm(size.depth, "depth")
    collector.raise_if_any()
    return TinSize(
        name=size.name,
        pieces_per_tin=size.pieces_per_tin or (pieces_of_grid(size.cuts.rows, size.cuts.columns) if size.cuts else 1),
        tin=tin,
        depth_mm=depth_mm,
        oven=size.oven,
        bake_minutes=size.bake_minutes,
        tins_per_shelf=size.tins_per_shelf,
    )


def _orders(body: BatchesRequest, collector: ErrorCollector) -> tuple[Order, ...]:
    names = [product.name for product in body.products]
    _check_names(names, collector, "products")
    places = {name: i for i, name in enumerate(names)}
    sizes = [{size.name: i for i, size in enumerate(product.sizes)} for product in body.products]
    orders = []
    for i, order in enumerate(body.orders):
        with collector.at("orders", i):
            place = _place(places, order.product, "product")
            size = None if order.size is None else _place(sizes[place], order.size, "size")
            orders.append(Order(product=place, size=size, pieces=order.pieces))
    return tuple(orders)


def _place(places: dict[str, int], name: str, field: str) -> int:
    try:
        return places[name]
    except KeyError:
        raise UnknownError(
            f"products has no {field} of this name.",
            path=(field,),
            code=f"unknown_{field}",
            candidates=tuple(places),
        ) from None


def _check_names(names: Sequence[str], collector: ErrorCollector, field: str) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            with collector.at(field, i, "name"):
                raise AmbiguousError("This name occurs twice, and an order could mean either.", code="name_twice")


def _classes(body: BatchesRequest, collector: ErrorCollector) -> tuple[EggClass, ...]:
    """The classes of eggs in the shop, or else those of the formulas, whose errors are collected with the formulas."""
    classes = []
    for i, name in enumerate(body.available_eggs):
        with collector.at("available_eggs", i):
            classes.append(find_egg_class(name))
    for product in body.products if not body.available_eggs else []:
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
    line = LineIn(ingredient=row.ingredient, quantity=row.quantity)
    shop_line = read_shop_line(line, good, egg_class, body.measures)
    ingredient = shop_line.thing.ingredient
    is_counted_egg = (
        shop_line.quantity.unit.dimension == "count" and ingredient is not None and ingredient.id in EGG_PARTS
    )
    if is_counted_egg and egg_class is None:
        raise NeededError("Eggs are counted by weight class: give available_eggs.", code="egg_class_needed")
    return shop_line, good
