"""From the shop's rows to its book of goods, and from formulas that name its goods to the domain's formulas."""

from collections.abc import Callable, Sequence
from fractions import Fraction

from starlette.requests import Request

from api.v1.job.reading import LineReader, line_of, read_formula, read_line, written_quantity
from api.v1.job.schemas import Formula
from api.v1.job.schemas import Line as SentLine
from api.v1.shop.schemas import NutritionIn, OwnIngredientIn, PackIn, Shop
from api.wire.reading import read_positive, read_thing
from domain.errors import DomainError, ErrorCollector, NeededError, OutOfRangeError, Path, at_path
from domain.formulas.formula import Line, WeighedFormula, weigh_formula
from domain.measures.quantities import parse_amount, parse_quantity
from domain.measures.units import Measures
from domain.shop.goods import Book, Good, Pack, Part, by_mass, find_good, make_book
from domain.shop.money import Currency, find_currency, parse_money
from domain.shop.nutrition import Composition, make_composition
from domain.things.conversion import Thing
from domain.things.eggs import EggClass
from domain.things.ingredients import Ingredient, find_ingredient, normal_name

# Our own limits. A long formula has thirty lines, and a shop's row two packs, four allergens and a few parts.
MAX_LINES_OF_JOB, MAX_SCALED_LINES, MAX_DETAILS = 300, 1_600, 400
_ANY_MASS = parse_quantity("1 g")  # of a line whose good could not be read
GoodCheck = Callable[[Good, EggClass | None], object]


class UnreadGood(Good):
    """Stands for a row that could not be read, so that the lines that name it are not reported as unknown too."""

    __slots__ = ()


def shop_book(request: Request) -> Book:
    """The book of the shop file, which the service read at start-up."""
    book: Book = request.app.state.book
    return book


def check_work(shop: Shop, *formulas: tuple[Formula | None, Path, int]) -> None:
    """Reject a request that would take too long, before any of it is read.

    Args:
        shop: of the request; its rows are counted.
        formulas: each with its path, and the number of sizes that its lines are scaled to.
    Raises:
        OutOfRangeError: too many lines, lines times sizes, or packs, allergens and parts of rows.
    """
    if (details := sum(_details(row) for row in shop.own_ingredients)) > MAX_DETAILS:
        raise OutOfRangeError(
            f"Packs, allergens, parts and nutrition of own_ingredients are at most {MAX_DETAILS} together in one "
            "request: leave out rows that no formula uses, or put them into the shop file.",
            path=("shop", "own_ingredients"),
            value=details,
            limit=MAX_DETAILS,
        )
    lines = scaled = 0
    for formula, path, sizes in formulas:
        count = 0 if formula is None else sum(len(component.lines) for component in formula.components)
        lines, scaled = lines + count, scaled + count * sizes
        if lines > MAX_LINES_OF_JOB:
            raise OutOfRangeError(
                f"More than {MAX_LINES_OF_JOB} lines in the formulas of one request: ask for the rest in another.",
                path=path,
                value=lines,
                limit=MAX_LINES_OF_JOB,
            )
        if scaled > MAX_SCALED_LINES:
            raise OutOfRangeError(
                f"Lines times sizes are at most {MAX_SCALED_LINES:,} in one request: ask for the rest in another.",
                path=path,
                value=scaled,
                limit=MAX_SCALED_LINES,
            )


def read_shop(
    shop: Shop, file: Book, collector: ErrorCollector, *, needs_currency: bool = False
) -> tuple[Book, Currency | None]:
    """The goods and the currency of a request's shop.

    Args:
        shop: of the request.
        file: the book of the shop file.
        collector: takes the errors, each once; they are the same whatever is asked about the shop.
        needs_currency: whether the answer is money.
    Returns:
        The book, and the currency of its prices; None if there is none. A row that could not be read is an
        `UnreadGood` in the book.
    """
    currency: Currency | None = None
    with collector.at("shop"):
        currency = _currency(shop, needed=needs_currency)
    book = read_book(
        shop.own_ingredients, file, currency, collector, priced=currency is not None, at=("shop", "own_ingredients")
    )
    return book, currency


def _currency(shop: Shop, *, needed: bool) -> Currency | None:
    if shop.currency is not None:
        with at_path("currency"):
            return find_currency(shop.currency)
    if needed:
        raise NeededError("Give currency: a cost is money.", path=("currency",), code="currency_needed")
    if any(row.currency is None and _has_price(row) for row in shop.own_ingredients):
        raise NeededError(
            "Give currency: rows of own_ingredients have prices without one.",
            path=("currency",),
            code="currency_needed",
        )
    return None


def read_book(
    rows: Sequence[OwnIngredientIn],
    file: Book,
    currency: Currency | None,
    collector: ErrorCollector,
    *,
    priced: bool = False,
    at: Path = ("own_ingredients",),
) -> Book:
    """The book of the request's rows and the shop file's goods.

    Args:
        rows: the request's own rows; they replace the shop file's.
        file: the book of the shop file.
        currency: of the prices in rows that do not give one.
        collector: takes the errors.
        priced: whether prices without a currency of their own are kept.
        at: the path of the rows in the request.
    Returns:
        The book. A row that could not be read is an `UnreadGood` in it.
    """
    if not rows:
        return file
    goods: list[Good] = []
    for i, row in enumerate(rows):
        with collector.at(*at, i):
            goods.append(read_good(row, currency, priced=priced or row.currency is not None))
        if len(goods) == i:
            goods.append(UnreadGood(name=row.name))
    with collector.at(*at):
        return make_book(goods, file)
    first_of_name = {normal_name(good.name): good for good in reversed(goods)}
    return make_book(first_of_name.values(), file)


def read_good(row: OwnIngredientIn, currency: Currency | None = None, *, priced: bool = True) -> Good:
    """The good of one row.

    Args:
        row: of a request or of the shop file.
        currency: of its prices, if the row does not give one.
        priced: whether to keep the prices.
    Returns:
        The good.
    Raises:
        DomainErrors: everything that is wrong with the row.
    """
    collector = ErrorCollector()
    ingredient: Ingredient | None = None
    with collector.at("ingredient"):
        ingredient = _ingredient(row)
    if row.currency is not None:
        currency = None
        with collector.at("currency"):
            currency = find_currency(row.currency)
        priced = priced and currency is not None
    packs = []
    for i, pack in enumerate(row.packs):
        with collector.at("packs", i):
            packs.append(_pack(pack, priced=priced))
    composition: Composition | None = None
    with collector.at("nutrition"):
        composition = _composition(row.nutrition)
    with collector.at():
        good = Good(
            name=row.name,
            ingredient=ingredient,
            label_name=row.label_name or "",
            # Numbers of JSON, read as the decimals that they print as.
            g_per_ml=None if row.g_per_ml is None else parse_amount(row.g_per_ml),
            grams_each=None if row.grams_each is None else parse_amount(row.grams_each),
            currency=currency if any(pack.price is not None for pack in packs) else None,
            packs=tuple(packs),
            usable_yield_percent=row.usable_yield_percent,
            contains=None if row.contains is None else tuple(row.contains),
            may_contain=tuple(row.may_contain),
            free_from=tuple(row.free_from),
            parts=tuple(Part(name=part.name, percent=part.percent) for part in row.parts),
            composition=composition,
        )
    collector.raise_if_any()
    return good


def read_weighed_formula(
    formula: Formula,
    measures: Measures | None,
    book: Book,
    collector: ErrorCollector,
    *,
    at: Path,
    check_good: GoodCheck | None = None,
) -> WeighedFormula | None:
    """A formula in grams whose lines may name the shop's goods.

    Args:
        formula: of the request.
        measures: whose kitchen words are meant.
        book: the shop's goods.
        collector: takes the errors, under *at*.
        at: the path of the formula in the request.
        check_good: a further check of the good of each line, which raises what is wrong.
    Returns:
        The formula in grams; None if *collector* has errors.
    """
    read = read_formula(formula, measures, collector, at, line_reader(book, check_good))
    if collector.errors:
        return None
    with collector.at(*at):
        return weigh_formula(read)
    return None


def once_for_each_good(check: GoodCheck) -> GoodCheck:
    """The same check, which reports what is wrong with a good at the first line that names it."""
    checked: set[Good] = set()

    def check_once(good: Good, egg_class: EggClass | None) -> None:
        if good not in checked:
            checked.add(good)
            check(good, egg_class)

    return check_once


def line_reader(book: Book, check_good: GoodCheck | None = None) -> LineReader:
    """A reader of lines that may name the shop's goods.

    Args:
        book: the shop's goods.
        check_good: a further check of the good of each line.
    Returns:
        The reader.
    """
    if not book.goods:
        return read_line

    def read_shop_good(line: SentLine, egg_class: EggClass | None, measures: Measures | None) -> Line:
        with at_path("ingredient"):
            good = find_good(book, line.ingredient)
        shop_line = read_shop_line(line, good, egg_class, measures)
        if isinstance(good, UnreadGood):
            return Line(name=line.ingredient, thing=Thing(), quantity=_ANY_MASS, shop_good=True)
        if good is not None and check_good is not None:
            check_good(good, egg_class)
        return shop_line

    return read_shop_good


def read_shop_line(line: SentLine, good: Good | None, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """A line of a good of the shop, with its density or the mass of one; without a good, of our own tables."""
    if good is None:
        return read_line(line, egg_class, measures)
    ingredient = good.ingredient.id if good.ingredient is not None else None
    density = line.g_per_ml if line.g_per_ml is not None or good.g_per_ml is None else float(good.g_per_ml)
    thing = read_thing(ingredient, line.packing, density, egg_class)
    shop_line = line_of(line.ingredient, thing, written_quantity(line), measures, shop_good=True)
    quantity = by_mass(good, shop_line.quantity)
    if quantity is shop_line.quantity:
        return shop_line
    return Line(name=line.ingredient, thing=thing, quantity=quantity, shop_good=True)


def read_money(written: str, *path: str | int) -> Fraction:
    """An amount of money; its errors have the path."""
    with at_path(*path):
        return parse_money(written)


def _details(row: OwnIngredientIn) -> int:
    allergens = len(row.contains or ()) + len(row.may_contain) + len(row.free_from)
    return len(row.packs) + allergens + len(row.parts) + (row.nutrition is not None)


def _has_price(row: OwnIngredientIn) -> bool:
    return any(pack.price is not None for pack in row.packs)


def _ingredient(row: OwnIngredientIn) -> Ingredient | None:
    if row.ingredient is not None:
        return find_ingredient(row.ingredient)
    try:
        return find_ingredient(row.name)
    except DomainError:
        return None


def _pack(pack: PackIn, *, priced: bool) -> Pack:
    # Without measures: the shop file has none, and a row means the same in it as in a request.
    size = read_positive(pack.size, "size", "mass", "volume", "count")
    price = None if pack.price is None else read_money(pack.price, "price")
    return Pack(size=size, price=price if priced else None)


def _composition(nutrition: NutritionIn | None) -> Composition | None:
    if nutrition is None:
        return None
    figures = nutrition.model_dump(exclude_none=True)
    return make_composition(figures, own=True)  # type: ignore[arg-type]  # the fields have the nutrients' names
