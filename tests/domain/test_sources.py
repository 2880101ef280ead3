"""How far a figure is known: what its row says, and never better than its source."""

import pytest

from domain.reference import rows
from domain.sources import CONFIDENCES, SOURCES, Cited, cited
from domain.things.ingredients import INGREDIENTS


def test_every_source_has_a_confidence() -> None:
    assert {source.confidence for source in SOURCES.values()} <= set(CONFIDENCES)
    assert {key for key, source in SOURCES.items() if source.confidence == "own"} == {"own-limit", "own-classification"}


@pytest.mark.parametrize(
    ("row", "confidence"),
    [
        ({"source": "usda-sr28", "confidence": "read"}, "read"),
        ({"source": "usda-sr28"}, "read"),
        ({"source": "usda-sr28", "confidence": "recalled"}, "recalled"),
        ({"source": "gasmark-2nd", "confidence": "read"}, "quoted"),
        ({"source": "trade-common", "confidence": "read"}, "recalled"),
        ({"source": "own-limit", "confidence": "recalled"}, "own"),
        ({"source": "usda-sr28", "confidence": "read", "use": "analogy"}, "borrowed"),
        ({"source": "usda-sr28", "confidence": "read", "use": "figure"}, "read"),
    ],
)
def test_a_figure_is_no_better_known_than_its_source(row: dict[str, str], confidence: str) -> None:
    assert cited({"record": "page 1", **row}).confidence == confidence


def test_a_borrowed_density_says_so() -> None:
    borrowed = {(row["ingredient"], row["packing"]) for row in rows("densities") if row["use"] == "analogy"}
    assert borrowed
    for ingredient, packing in borrowed:
        density = INGREDIENTS[ingredient].densities[packing]
        assert "borrowed" in {each.confidence for each in density.cited}


def test_other_words_are_no_confidence() -> None:
    with pytest.raises(ValueError, match="not a citation"):
        Cited(source="usda-sr28", record="page 1", confidence="memory")
