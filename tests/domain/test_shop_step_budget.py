"""All searches of one answer share a budget of steps; easy searches still succeed."""

from fractions import Fraction

import pytest

from domain.errors import OutOfRangeError
from domain.shop.packs import MAX_STEPS, Size, StepBudget, cheapest_cover

# All packs have the same price per gram and no few of them meet the need, so the search cannot prune anything.
UNEVEN = [Size(holds=Fraction(g), cost=Fraction(g)) for g in (19324, 40753, 26706, 29670, 47510, 47546, 28015, 21149)]
PLAIN = [Size(holds=Fraction(1_500), cost=Fraction(129)), Size(holds=Fraction(16_000), cost=Fraction(1_120))]


def test_a_search_within_the_budget_finds_the_same_packs() -> None:
    budget = StepBudget(1_000)
    assert budget.cover(Fraction(18_200), PLAIN) == cheapest_cover(Fraction(18_200), PLAIN)
    assert 900 < budget.remaining_steps < 1_000


def test_an_abandoned_search_uses_only_its_allowed_steps() -> None:
    budget = StepBudget(MAX_STEPS + 50)
    with pytest.raises(OutOfRangeError):
        budget.cover(Fraction(25_000_001), UNEVEN)
    assert budget.remaining_steps == 50
    budget.cover(Fraction(18_200), PLAIN)


def test_a_spent_budget_rejects_the_next_search() -> None:
    budget = StepBudget(0)
    with pytest.raises(OutOfRangeError):
        budget.cover(Fraction(18_200), PLAIN)
    assert budget.remaining_steps == 0
