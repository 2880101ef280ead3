"""Dashes, rounded and heaped spoons and packets, compared with portions that the USDA weighed."""

import pytest

from domain.measures.units import UNITS
from domain.reading.vocabulary import PACK_WEIGHTS, SPOON_LEVELS

TSP_ML = 4.92892159375
DASHES = [  # grams of a dash and of a level teaspoon, records of usda-sr28, file WEIGHT
    (0.4, 6.0, "salt, NDB 02047 seq 4 and 1"),
    (0.1, 2.3, "pepper, NDB 02030 seq 4 and 1"),
]


@pytest.mark.parametrize(("dash", "spoon", "records"), DASHES)
def test_a_dash_of_the_usda_lies_in_the_range(dash: float, spoon: float, records: str) -> None:
    ml = dash / spoon * TSP_ML
    assert float(UNITS["dash"].low) <= ml + 0.005, records
    assert ml <= float(UNITS["dash"].high), records


def test_the_dash_is_that_of_salt() -> None:
    assert float(UNITS["dash"].factor) == pytest.approx(0.4 / 6.0 * TSP_ML, abs=0.005)


LEVELS = [  # word, grams in the spoon so filled, grams in a level one, records of usda-sr28
    ("rounded", 1.8, 1.0, "instant coffee, NDB 14218 and 14214"),
    ("rounded", 1.4, 0.7, "instant tea, NDB 14368 and 14366"),
    ("heaped", 23 / 3, 182 / 48, "tea mix, NDB 14357: 3 heaping teaspoons, a cup"),
    ("heaped", 21 / 4, 21 / 12, "malt drink, NDB 14309: 4 to 5 heaping teaspoons, or 4 tablespoons"),
    ("heaped", 21 / 5, 21 / 12, "malt drink, NDB 14309: 4 to 5 heaping teaspoons, or 4 tablespoons"),
]


@pytest.mark.parametrize(("word", "filled", "level", "records"), LEVELS)
def test_spoons_as_weighed_lie_in_the_range(word: str, filled: float, level: float, records: str) -> None:
    words = SPOON_LEVELS[word]
    assert float(words.low) <= filled / level <= float(words.high) + 1e-9, records


@pytest.mark.parametrize(("word", "filled", "level"), [("rounded", 1.8, 1.0), ("heaped", 23 / 3, 182 / 48)])
def test_the_central_figure_is_that_of_a_record(word: str, filled: float, level: float) -> None:
    assert float(SPOON_LEVELS[word].factor) == pytest.approx(filled / level, abs=0.005)


def test_words_for_spoons_stand_in_order() -> None:
    in_order = [SPOON_LEVELS[word].factor for word in ("scant", "level", "generous", "rounded", "heaped")]
    assert in_order == sorted(in_order)
    assert SPOON_LEVELS["level"].low == SPOON_LEVELS["level"].high == 1


def test_an_american_packet_of_dry_yeast() -> None:
    # usda-sr28, NDB 18375 WEIGHT seq 3: 7.2 g, three packets, standard deviation 0.173 g.
    packet = PACK_WEIGHTS["en", "packet", "active-dry-yeast"]
    assert float(packet.amount) == 7.2
    assert float(packet.high - packet.amount) == pytest.approx(2 * 0.173, abs=0.05)
    assert float(packet.amount - packet.low) == pytest.approx(2 * 0.173, abs=0.05)
