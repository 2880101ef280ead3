"""The numbers of a query string, where every value is text: `812.5`, and `812,5` or `½` as people write them."""

import re
import sys
from collections.abc import Mapping
from typing import Any

from api.wire.problems import fault_item
from api.wire.validation import ValidationFault
from domain.errors import AmbiguousError, DomainError
from domain.reading.quantities import read_number

_NUMBER = re.compile(r"\s*[+-]?[0-9._]+(?:[eE][+-]?[0-9]+)?\s*", re.ASCII)


def as_numbers(
    values: Mapping[str, object], names: frozenset[str]
) -> tuple[Mapping[str, object], dict[str, dict[str, Any]]]:
    """The values of a query with its numbers as plain numbers.

    Args:
        values: of the query, by name.
        names: of its numbers. A point is a decimal point, as in a number of JSON.
    Returns:
        The values; and for each number whose comma may separate thousands, the error that asks.
    """
    read, ambiguous = dict[str, object](), dict[str, dict[str, Any]]()
    for name in names & values.keys():
        written = values[name]
        if not isinstance(written, str) or _NUMBER.fullmatch(written):
            continue
        try:
            read[name] = float(read_number(written.strip()))
        except AmbiguousError as error:
            fault = ValidationFault(error.code, error.detail, candidates=error.candidates)
            ambiguous[name] = fault_item(fault, (name,), in_query=True)
            read[name] = float(error.candidates[-1])  # stands in for it while the rest of the query is read
        except DomainError:
            continue  # the model refuses it
    return ({**values, **read} if read else values), ambiguous


def is_underflow(value: object) -> bool:
    """Whether the text of a number is not 0, but too small for a normal double."""
    if not isinstance(value, str) or not _NUMBER.fullmatch(value):
        return False
    mantissa = value.casefold().partition("e")[0]
    try:
        return abs(float(value)) < sys.float_info.min and any(digit in "123456789" for digit in mantissa)
    except ValueError:
        return False
