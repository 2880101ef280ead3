"""From fields that many requests share to the domain's values; each error has the path of its field."""

from fractions import Fraction
from functools import lru_cache

from domain.errors import DomainError, DomainErrors, ErrorCollector, OutOfRangeError, UnknownError, at_path
from domain.measures.quantities import Quantity, check_amount, parse_amount
from domain.measures.units import Dimension, Measures
from domain.reading import quantities
from domain.reading.dimensions import read_dimension
from domain.things.conversion import Thing
from domain.things.eggs import EggClass, find_egg_class
from domain.things.ingredients import find_ingredient, size_in

MAX_WORDED = 200  # our own limit: different quantities of a request in another form than one number and one unit


class TooManyWordedError(OutOfRangeError):
    """More quantities that only the reader of recipes can read, which is slow, than a request may have."""


def count_if_worded(worded: set[str], quantity: str, measures: Measures | None) -> None:
    """As `count_worded`, for a quantity that is not known to be worded; one that cannot be read is not counted."""
    try:
        plain = quantities.plain_quantity(quantity, measures) is not None
    except DomainError:
        return  # it is reported when it is read, in its place
    if not plain:
        count_worded(worded, quantity)


def count_worded(worded: set[str], quantity: str) -> None:
    """Count a quantity of which `plain_quantity` is None.

    Args:
        worded: the different ones of the request so far; takes this one.
        quantity: of a line or row.
    Raises:
        TooManyWordedError: there are more than `MAX_WORDED`.
    """
    worded.add(quantity)
    if len(worded) > MAX_WORDED:
        worded.remove(quantity)
        raise TooManyWordedError(
            f"At most {MAX_WORDED} different quantities of a request may have more than a number and a unit: send the"
            " rest in another request.",
            path=("quantity",),
            value=MAX_WORDED + 1,
            limit=MAX_WORDED,
        )


def read_quantity(quantity: str, measures: Measures | None = None) -> Quantity:
    """A quantity from its text."""
    try:
        return quantities.read_quantity(quantity, measures)
    except DomainError as error:
        error.path = ()  # text has no fields to point at
        raise


def quantity_of(amount: str, unit: str, measures: Measures | None = None) -> Quantity:
    """A quantity from its two fields.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the two.
    """
    try:
        return Quantity(amount=quantities.read_number(amount), unit=quantities.read_unit(unit, measures))
    except DomainError:
        pass  # read it again to collect the errors, which is too slow for valid quantities
    errors = ErrorCollector()
    with errors.at("amount"):
        check_amount(*quantities.read_number(amount).as_integer_ratio())
    with errors.at("unit"):
        quantities.read_unit(unit, measures)
    for error in errors.errors:
        error.path = error.path[:1]
    raise DomainErrors(errors.errors)


def read_positive(quantity: str, field: str, *dimensions: Dimension, measures: Measures | None = None) -> Quantity:
    """A quantity above zero with one of the expected dimensions."""
    try:
        return read_dimension(quantity, *dimensions, measures=measures)
    except DomainError as error:
        error.path = (field,)  # text has no fields to point at
        raise


def read_length_mm(quantity: str, field: str) -> float:
    """A length above zero, in millimetres."""
    return read_positive(quantity, field, "length").base_float


def read_optional_mm(quantity: str | None, field: str) -> float | None:
    """A length above zero in millimetres, or None if the field was not sent."""
    return None if quantity is None else read_length_mm(quantity, field)


def read_grams(quantity: str, field: str, measures: Measures | None = None) -> Fraction:
    """A mass above zero, in grams."""
    return read_positive(quantity, field, "mass", measures=measures).base


def read_egg_class(name: str | None, *path: str | int) -> EggClass | None:
    """The egg class of this name, if there is one."""
    if name is None:
        return None
    with at_path(*path):
        return find_egg_class(name)


@lru_cache(maxsize=1024)  # every line of a formula is read, and shops use few ingredients
def read_thing(
    name: str | None, packing: str | None, g_per_ml: float | None, egg_class: EggClass | None, *, own: bool = False
) -> Thing:
    """The thing that is measured.

    A name in no table is rejected, unless it is the caller's `own` ingredient or has the caller's own density.
    """
    ingredient = None
    if name is not None:
        try:
            ingredient = find_ingredient(name)
        except DomainError as error:
            if not isinstance(error, UnknownError) or (not own and g_per_ml is None):
                raise error.within("ingredient") from None
    # A number of JSON, read as the decimal that it prints as.
    density = None if g_per_ml is None else parse_amount(g_per_ml)
    size = None if name is None else size_in(name)
    return Thing(ingredient=ingredient, packing=packing, g_per_ml=density, egg_class=egg_class, size=size)
