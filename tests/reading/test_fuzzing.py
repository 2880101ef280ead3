"""A sample of the fuzz texts; the rest is run by hand."""

from tests.reading.fuzzing import fuzz


def test_random_texts_give_readings_only() -> None:
    assert sum(fuzz(3_000, seed=20).values()) >= 3_000
