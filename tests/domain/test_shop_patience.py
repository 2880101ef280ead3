"""All searches of one answer together stay within a number of steps, and what needs few of them is still found."""

from fractions import Fraction

import pytest

from domain.errors import OutOfRangeError
from domain.shop.packs import MAX_STEPS, Patience, Size, cheapest_cover

# One price a gram, and a need that no few of them make up: nothing can be left out of the search.
UNEVEN = [Size(holds=Fraction(g), cost=Fraction(g)) for g in (19324, 40753, 26706, 29670, 47510, 47546, 28015, 21149)]
PLAIN = [Size(holds=Fraction(1_500), cost=Fraction(129)), Size(holds=Fraction(16_000), cost=Fraction(1_120))]


def test_what_is_found_is_what_a_search_alone_finds() -> None:
    patience = Patience(1_000)
    assert patience.cover(Fraction(18_200), PLAIN) == cheapest_cover(Fraction(18_200), PLAIN)
    assert 900 < patience.steps < 1_000


def test_a_search_given_up_takes_what_it_was_allowed_and_no_more() -> None:
    patience = Patience(MAX_STEPS + 50)
    with pytest.raises(OutOfRangeError):
        patience.cover(Fraction(25_000_001), UNEVEN)
    assert patience.steps == 50
    patience.cover(Fraction(18_200), PLAIN)


def test_when_patience_is_at_an_end_the_next_is_refused_at_once() -> None:
    patience = Patience(0)
    with pytest.raises(OutOfRangeError):
        patience.cover(Fraction(18_200), PLAIN)
    assert patience.steps == 0
