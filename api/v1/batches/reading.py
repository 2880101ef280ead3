"""From a batches request to the domain's products, orders and stock; every refusal at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from api.v1.batches.schemas import BatchesRequest, BatchSizeIn, ProductIn, StockIn
from api.v1.rescale.schemas import LineIn
from api.v1.shop.reading import read_book, read_shop_formula, read_shop_line, weigh_all
from api.v1.shop.work import check_work
from api.v1.tins.reading import read_tin
from api.wire.reading import read_egg_class, read_length_mm
from domain.errors import AmbiguousError, DomainErrors, ErrorCollector, Path, UnknownError
from domain.formulas.formula import Component, Formula, Line, WeighedFormula
from domain.measures.quantities import parse_amount
from domain.shop.composition import key_of
from domain.shop.goods import Book, find_good
from domain.shop.money import find_currency
from domain.shop.tin_plan import Order, Product, TinSize
from domain.things.eggs import EggClass


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedDay:
    """A request in the domain's words; `stock_g` is by `composition.key_of`."""

    products: tuple[Product, ...]
    orders: tuple[Order, ...]
    stock_g: dict[object, float]
    classes: tuple[EggClass, ...]
    book: Book


def read_day(body: BatchesRequest, shop: Book) -> AskedDay:
    """The parts of a request.

    Raises:
        DomainErrors: everything in it that cannot be read or weighed.
    """
    scaled = ((one.formula, ("products", i, "formula"), len(one.sizes)) for i, one in enumerate(body.products))
    check_work(body.own_ingredients, *scaled)
    findings = ErrorCollector()
    currency = None
    with findings.at("currency"):
        currency = None if body.currency is None else find_currency(body.currency)
    book = read_book(body.own_ingredients, shop, currency, findings)
    formulas = [
        read_shop_formula(product.formula, body.measures, book, findings, ("products", i, "formula"))
        for i, product in enumerate(body.products)
    ]
    sizes = [_sizes(product, i, findings) for i, product in enumerate(body.products)]
    orders = _orders(body, findings)
    classes = _classes(body, formulas, findings)
    stock = _stock(body, book, classes[0] if classes else None, findings)
    findings.raise_if_any()
    *weighed, in_stock = _weigh(formulas, stock)
    products = tuple(
        Product(
            name=given.name,
            weighed=one,
            sizes=of_product,
            bake_loss_percent=given.bake_loss_percent,
            spare_percent=parse_amount(given.spare_percent),
        )
        for given, one, of_product in zip(body.products, weighed, sizes, strict=True)
    )
    stock_g: dict[object, float] = {}
    for component in in_stock.components:
        for line in component.lines:
            key = key_of(line, find_good(book, line.line.name))
            stock_g[key] = stock_g.get(key, 0.0) + line.mass.grams
    return AskedDay(products=products, orders=orders, stock_g=stock_g, classes=classes, book=book)


def _weigh(formulas: Sequence[Formula], stock: Formula) -> list[WeighedFormula]:
    placed: list[tuple[Formula, Path]] = [(one, ("products", i, "formula")) for i, one in enumerate(formulas)]
    try:
        return weigh_all([*placed, (stock, ("stock",))])
    except DomainErrors as errors:
        for error in errors.errors:
            if error.path[0] == "stock":  # its rows are components of one line
                error.path = ("stock", error.path[2], *error.path[5:])
        raise


def _sizes(given: ProductIn, place: int, findings: ErrorCollector) -> tuple[TinSize, ...]:
    _twice([size.name for size in given.sizes], ("products", place, "sizes"), findings)
    sizes = []
    for i, size in enumerate(given.sizes):
        with findings.at("products", place, "sizes", i):
            sizes.append(_size(size))
    return tuple(sizes)


def _size(given: BatchSizeIn) -> TinSize:
    depth = None if given.depth is None or given.depth == "keep" else read_length_mm(given.depth, "depth")
    return TinSize(
        name=given.name,
        pieces_per_tin=given.pieces_per_tin or (given.cuts.rows * given.cuts.columns if given.cuts else 1),
        tin=None if given.tin is None else read_tin(given.tin),
        depth_mm=depth,
        oven=given.oven,
        bake_minutes=given.bake_minutes,
        tins_per_shelf=given.tins_per_shelf,
    )


def _orders(body: BatchesRequest, findings: ErrorCollector) -> tuple[Order, ...]:
    names = [product.name for product in body.products]
    _twice(names, ("products",), findings)
    places = {name: i for i, name in enumerate(names)}
    sizes = [{size.name: j for j, size in enumerate(product.sizes)} for product in body.products]
    orders = []
    for i, order in enumerate(body.orders):
        with findings.at("orders", i):
            place = _place(places, order.product, "product")
            size = None if order.size is None else _place(sizes[place], order.size, "size")
            orders.append(Order(product=place, size=size, pieces=order.pieces))
    return tuple(orders)


def _place(places: dict[str, int], name: str, field: str) -> int:
    try:
        return places[name]
    except KeyError:
        raise UnknownError(
            f"No {field} of that name in products.",
            path=(field,),
            code=f"unknown-{field}",
            candidates=tuple(places),
        ) from None


def _twice(names: Sequence[str], at: tuple[str | int, ...], findings: ErrorCollector) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            with findings.at(*at, i, "name"):
                raise AmbiguousError("This name is there twice; orders could mean either.", code="name-twice")


def _classes(body: BatchesRequest, formulas: Sequence[Formula], findings: ErrorCollector) -> tuple[EggClass, ...]:
    if not body.available_eggs:
        return tuple(dict.fromkeys(one.egg_class for one in formulas if one.egg_class is not None))
    classes = []
    for i, name in enumerate(body.available_eggs):
        with findings.at("available_eggs", i):
            if (egg_class := read_egg_class(name)) is not None:
                classes.append(egg_class)
    return tuple(dict.fromkeys(classes))


def _stock(body: BatchesRequest, book: Book, egg_class: EggClass | None, findings: ErrorCollector) -> Formula:
    """The stock as a formula, so that it is weighed as everything else is; one component a row keeps the paths."""
    components = []
    for i, given in enumerate(body.stock):
        with findings.at("stock", i):
            line = _stock_line(given, body, book, egg_class)
            components.append(Component(name=given.ingredient, lines=(line,)))
    return Formula(name="stock", components=tuple(components), egg_class=egg_class)


def _stock_line(given: StockIn, body: BatchesRequest, book: Book, egg_class: EggClass | None) -> Line:
    line = LineIn(ingredient=given.ingredient, quantity=given.quantity)
    return read_shop_line(line, find_good(book, given.ingredient), egg_class, body.measures)
