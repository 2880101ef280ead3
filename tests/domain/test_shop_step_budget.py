"""All searches of one answer together stay within a number of steps, and what needs few of them is still found."""

from fractions import Fraction

import pytest

from domain.errors import OutOfRangeError
from domain.shop.packs import MAX_STEPS, Size, StepBudget, cheapest_cover

# One price a gram, and a need that no few of them make up: nothing can be left out of the search.
UNEVEN = [Size(holds=Fraction(g), cost=Fraction(g)) for g in (19324, 40753, 26706, 29670, 47510, 47546, 28015, 21149)]
PLAIN = [Size(holds=Fraction(1_500), cost=Fraction(129)), Size(holds=Fraction(16_000), cost=Fraction(1_120))]


def test_what_is_found_is_what_a_search_alone_finds() -> None:
    budget = StepBudget(1_000)
    assert budget.cover(Fraction(18_200), PLAIN) == cheapest_cover(Fraction(18_200), PLAIN)
    assert 900 < budget.steps < 1_000


def test_a_search_given_up_takes_what_it_was_allowed_and_no_more() -> None:
    budget = StepBudget(MAX_STEPS + 50)
    with pytest.raises(OutOfRangeError):
        budget.cover(Fraction(25_000_001), UNEVEN)
    assert budget.steps == 50
    budget.cover(Fraction(18_200), PLAIN)


def test_when_patience_is_at_an_end_the_next_is_refused_at_once() -> None:
    budget = StepBudget(0)
    with pytest.raises(OutOfRangeError):
        budget.cover(Fraction(18_200), PLAIN)
    assert budget.steps == 0
