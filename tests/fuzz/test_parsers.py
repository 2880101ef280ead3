"""A short version of `tests.fuzz.run`: parsers raise only domain errors, and their time grows with the length."""

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
from tests.load.worst.asking import yardstick_ms

SEED = 7
EACH = 5_000
TOO_LONG = 50  # times the yardstick, for one short text; a thousand times the usual time


@pytest.mark.parametrize("name", PARSERS)
def test_a_parser_accepts_a_text_or_raises_a_domain_error(name: str) -> None:
    parser, results = PARSERS[name], Counter[str]()
    limit_ms = TOO_LONG * yardstick_ms()
    for text in texts(parser.seeds, SEED, EACH, parser.longest):
        begin = time.process_time()
        results[outcome(parser, text)] += 1
        if (time.process_time() - begin) * 1_000 > limit_ms:  # once may be a garbage collection
            assert best_ms(partial(outcome, parser, text)) < limit_ms, ascii(text)
    print(f"{name}: {results.most_common()}")
    assert len(results) >= 2  # some texts are accepted and some are rejected


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
def test_the_time_grows_at_most_in_proportion_to_the_length(parse: Callable[[str], object], way: str) -> None:
    def once(length: int) -> float:
        return best_ms(lambda: _refused(parse, "1" + REPEATED[way] * length + "!"))

    short, long = once(20_000), once(80_000)
    print(f"{way}: {short:.2f} ms, four times as long {long:.2f} ms")
    assert long < 12 * short + yardstick_ms() / 20  # quadratic growth would be sixteen times; a margin for noise


def _refused(parse: Callable[[str], object], text: str) -> None:
    try:
        parse(text)
    except (DomainError, DomainErrors):
        return
