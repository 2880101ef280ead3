"""A short version of `tests.fuzz.run`: parsers raise only domain errors, and are fast.

The long run, of a million texts, is recorded in DEVELOPERS.md.
"""

import time
from collections import Counter
from collections.abc import Callable
from functools import partial

import pytest

from domain.errors import DomainError, DomainErrors
from domain.measures.quantities import parse_amount, parse_quantity
from domain.measures.units import resolve_unit
from domain.shop.money import parse_money
from domain.things.ingredients import find_ingredient
from domain.tins.text import parse_tin
from tests.fuzz.parsers import PARSERS, outcome
from tests.fuzz.texts import texts
from tests.load.clock import best_ms

SEED = 7
EACH = 5_000
TOO_LONG_S = 0.5  # for one short text; a thousand times the usual time


@pytest.mark.parametrize("name", PARSERS)
def test_a_parser_accepts_a_text_or_raises_a_domain_error(name: str) -> None:
    parser, found = PARSERS[name], Counter[str]()
    for text in texts(parser.own, SEED, EACH, parser.longest):
        begin = time.process_time()
        found[outcome(parser, text)] += 1
        if time.process_time() - begin > TOO_LONG_S:  # once may be a garbage collection
            again = best_ms(partial(outcome, parser, text)) / 1_000
            assert again < TOO_LONG_S, ascii(text)
    print(f"{name}: {found.most_common()}")
    assert len(found) >= 2  # some accepted, some rejected: otherwise nothing was tested


# Texts that make a regular expression backtrack, far beyond the contract's limits.
REPEATED = {
    "digits": "9",
    "spaces": " ",
    "tabs": "\t",
    "fractions": "½",
    "slashes": "1/",
    "sizes": " x 1",
    "words": "a-",
}


@pytest.mark.parametrize("parse", [parse_amount, parse_quantity, parse_tin, parse_money, resolve_unit, find_ingredient])
@pytest.mark.parametrize("way", REPEATED)
def test_twice_the_text_takes_about_twice_the_time(parse: Callable[[str], object], way: str) -> None:
    def once(length: int) -> float:
        return best_ms(lambda: _refused(parse, "1" + REPEATED[way] * length + "!"))

    short, long = once(20_000), once(80_000)
    print(f"{way}: {short:.2f} ms, four times as long {long:.2f} ms")
    assert long < 0.5 + 12 * short  # quadratic is sixteen


def _refused(parse: Callable[[str], object], text: str) -> None:
    try:
        parse(text)
    except (DomainError, DomainErrors):
        return
