"""From the requests of `/v1/eggs` to the domain's egg classes and portions."""

from typing import NamedTuple

from api.v1.eggs.schemas import EggsQuery, EggsRequest
from domain.errors import ErrorCollector, NeededError
from domain.reading.quantities import read_number
from domain.things.eggs import EggClass, EggPart, EggPortion, check_egg_count, egg_portion, find_egg_class

_FIELDS: dict[str, EggPart] = {"whole": "whole", "yolks": "yolk", "whites": "white"}


class Eggs(NamedTuple):
    """The eggs of a request."""

    egg_class: EggClass
    portions: tuple[EggPortion, ...]
    available: tuple[EggClass, ...]


def read_eggs(request: EggsQuery | EggsRequest) -> Eggs:
    """The eggs of a request.

    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    errors, available, counts = ErrorCollector(), list[EggClass](), dict[str, float]()
    with errors.at("egg_class"):
        egg_class = find_egg_class(request.egg_class)
    for index, name in enumerate(request.available_egg_classes):
        with errors.at("available_egg_classes", index):
            available.append(find_egg_class(name))
    for field in _FIELDS:
        written = getattr(request, field)
        if written is not None:
            with errors.at(field):
                counts[field] = check_egg_count(float(read_number(written)))
    if all(getattr(request, field) is None for field in _FIELDS):
        errors.errors.append(NeededError("Give a number of whole, yolks or whites.", code="eggs_needed"))
    errors.raise_if_any()
    portions = tuple(egg_portion(_FIELDS[field], count, egg_class) for field, count in counts.items())
    return Eggs(egg_class, portions, tuple(available))
