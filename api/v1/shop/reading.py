"""From a shop's rows to its book, and from a formula in the shop's own words to the domain's."""

from collections.abc import Sequence
from fractions import Fraction

from api.v1.rescale.reading import LineReader, line_of, read_formula, read_formula_line
from api.v1.rescale.schemas import FormulaIn, LineIn
from api.v1.shop.schemas import NutritionIn, OwnIngredientIn, PackIn
from api.wire.reading import read_quantity, read_thing
from domain.errors import DomainError, DomainErrors, ErrorCollector, Path, at_path
from domain.formulas.formula import Formula, Line, WeighedFormula, weigh_formula
from domain.measures.quantities import Quantity, parse_amount, positive
from domain.measures.units import UNITS, Measures
from domain.notices import Notice
from domain.shop.goods import Book, Good, Pack, Part, find_good, make_book
from domain.shop.money import Currency, find_currency, parse_money
from domain.shop.nutrition import Composition, composition_of, make_composition, merged
from domain.things.eggs import EggClass
from domain.things.ingredients import Ingredient, find_ingredient

OWN = ("own_ingredients",)


def read_book(
    given: Sequence[OwnIngredientIn], shop: Book, currency: Currency | None, findings: ErrorCollector, at: Path = OWN
) -> Book:
    """The request's rows over the shop file's.

    Args:
        given: the rows.
        shop: the shop file's book.
        currency: of prices that do not say.
        findings: takes the refusals.
        at: where the rows stand.
    Returns:
        The book, without the rows that could not be read.
    """
    goods = []
    for i, row in enumerate(given):
        with findings.at(*at, i):
            goods.append(read_good(row, currency))
    try:
        return make_book(goods, shop)
    except DomainError as error:
        findings.errors.append(error.within(*at))
        return shop


def read_good(given: OwnIngredientIn, currency: Currency | None = None) -> Good:
    """One row of a shop.

    Raises:
        DomainError: what is wrong with it.
    """
    ingredient = _ingredient(given)
    with at_path("currency"):
        currency = currency if given.currency is None else find_currency(given.currency)
    packs = []
    for i, pack in enumerate(given.packs):
        with at_path("packs", i):
            packs.append(_pack(pack))
    priced = any(pack.price is not None for pack in packs)
    return Good(
        name=given.name,
        ingredient=ingredient,
        label_name=given.label_name or "",
        g_per_ml=None if given.g_per_ml is None else parse_amount(given.g_per_ml),
        grams_each=None if given.grams_each is None else parse_amount(given.grams_each),
        currency=currency if priced else None,
        packs=tuple(packs),
        usable_yield_percent=given.usable_yield_percent,
        contains=None if given.contains is None else tuple(given.contains),
        may_contain=tuple(given.may_contain),
        free_from=tuple(given.free_from),
        parts=tuple(Part(name=part.name, percent=part.percent) for part in given.parts),
        composition=_composition(given.nutrition, ingredient, given.name),
    )


def read_shop_formula(
    given: FormulaIn, measures: Measures | None, book: Book, findings: ErrorCollector, at: Path
) -> Formula:
    """A formula whose lines may name the shop's own goods; what cannot be read is noted under *at*."""
    return read_formula(given, measures, findings, at, line_reader(book))


def line_reader(book: Book) -> LineReader:
    """What reads a line that may name one of the shop's own goods."""
    if not book.goods:
        return read_formula_line

    def reader(line: LineIn, egg_class: EggClass | None, measures: Measures | None) -> Line:
        with at_path("ingredient"):
            good = find_good(book, line.ingredient)
        return read_shop_line(line, good, egg_class, measures)

    return reader


def read_shop_line(line: LineIn, good: Good | None, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """A line of the shop's good, with its density or the mass of one; without a good, of our own tables."""
    if good is None:
        return read_formula_line(line, egg_class, measures)
    ingredient = good.ingredient.id if good.ingredient is not None else None
    density = line.g_per_ml if line.g_per_ml is not None or good.g_per_ml is None else float(good.g_per_ml)
    thing = read_thing(ingredient, line.packing, density, egg_class)
    written = line.quantity if isinstance(line.quantity, str) else (line.quantity["amount"], line.quantity["unit"])
    read = line_of(line.ingredient, thing, written, measures, shop_good=True)
    if read.quantity.unit.dimension != "count" or good.grams_each is None:
        return read
    # The shop says what one weighs.
    grams = Quantity(amount=read.quantity.amount * good.grams_each, unit=UNITS["g"])
    return Line(name=line.ingredient, thing=thing, quantity=grams, shop_good=True)


def weigh_all(formulas: Sequence[tuple[Formula, Path]]) -> list[WeighedFormula]:
    """Formulas in grams, each with the path it stands at.

    Raises:
        DomainErrors: every line of any of them that cannot be weighed.
    """
    findings, weighed = ErrorCollector(), []
    for formula, at in formulas:
        try:
            weighed.append(weigh_formula(formula))
        except DomainErrors as errors:
            findings.errors += [error.within(*at) for error in errors.errors]
    findings.raise_if_any()
    return weighed


def line_notices(weighed: WeighedFormula, book: Book) -> tuple[Notice, ...]:
    """What weighing had to say, without calling a good of the shop unknown."""

    def known(notice: Notice) -> bool:
        _, i, _, j = notice.path
        line = weighed.components[int(i)].lines[int(j)].line
        return find_good(book, line.name) is not None

    return tuple(one for one in weighed.notices if one.code != "own_ingredient" or not known(one))


def read_money(given: str | float, *path: str | int) -> Fraction:
    """An amount of money at a path."""
    with at_path(*path):
        return parse_money(given)


def _ingredient(given: OwnIngredientIn) -> Ingredient | None:
    if given.ingredient is not None:
        with at_path("ingredient"):
            return find_ingredient(given.ingredient)
    try:
        return find_ingredient(given.name)
    except DomainError:
        return None


def _pack(given: PackIn) -> Pack:
    with at_path("size"):
        size = positive(read_quantity(given.size), "mass", "volume", "count")
    return Pack(size=size, price=None if given.price is None else read_money(given.price, "price"))


def _composition(given: NutritionIn | None, ingredient: Ingredient | None, name: str) -> Composition | None:
    reference = composition_of(ingredient, name)
    if given is None:
        return reference
    figures = given.model_dump(exclude_none=True)
    with at_path("nutrition"):
        own = make_composition(figures, own=True)  # type: ignore[arg-type]  # the model's names are the nutrients'
        return merged(own, reference)
