"""A soak of one minute: no answer is wrong, no file stays open, and memory does not grow."""

import pytest

from tests.standing.driver import Outcome
from tests.standing.soak import Soaked, soak, table

GROWTH_PERCENT = 4.0  # over half a minute


@pytest.fixture(scope="module")
def soaked() -> Soaked:
    # Three thousand requests have about ten thousand different lines, more than any cache holds.
    return soak(minutes=1, measured_s=4, share=0.7, variety=3_000)


def test_every_answer_is_right(soaked: Soaked) -> None:
    print(table(soaked))
    assert set(soaked.tally.counts) == {Outcome.RIGHT}, soaked.tally.failures[:5]
    assert soaked.tally.counts[Outcome.RIGHT] > 0.5 * 60 * soaked.asked_per_s  # a machine may become busier meanwhile


def test_memory_does_not_grow(soaked: Soaked) -> None:
    assert len(soaked.samples) > 100
    assert soaked.growth_percent("private_mb") < GROWTH_PERCENT, table(soaked)
    assert soaked.growth_percent("resident_mb") < GROWTH_PERCENT, table(soaked)


def test_the_number_of_files_and_threads_does_not_grow(soaked: Soaked) -> None:
    most = {number: max(sample.files for sample in soaked.quarter(number)) for number in (2, 4)}
    assert most[4] <= most[2]
    assert max(sample.threads for sample in soaked.quarter(4)) <= max(sample.threads for sample in soaked.quarter(2))
