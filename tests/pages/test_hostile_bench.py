"""Nothing that an address says makes a server error of a card."""

import pytest

from tests.api.conftest import Call
from tests.pages.bench import address

HOSTILE = "<script>alert(1)</script>\x00\ud7ff%(x)s %d {{7*7}}"
CARDS = ("bake", "pieces", "sizes")
QUERIES: tuple[dict[str, str | list[str]], ...] = (
    {"recipe": HOSTILE},
    {"recipe": "1 " * 8_000},
    {"name": HOSTILE, "batch": HOSTILE},
    {"want": HOSTILE},
    {"want": ["square 20 cm"] * 50},
    {"want": ["x 1e308", "9999999999 kg", "square 1e-9 mm"]},
    {"want": "x 0.000001"},
    {"tins": "0"},
    {"tins": "1000"},
    {"depth": "0.0001 mm"},
    {"oven": "9999 C"},
    {"oven": HOSTILE},
    {"minutes": "nan"},
    {"minutes": "0.0000001"},
    {"pieces": "100000"},
    {"pieces": "-1"},
    {"pieces_per_tin": "100000"},
    {"pieces_per_portion": "3"},
    {"piece_grams": "0.000001"},
    {"portions": "1000"},
    {"portions": "997", "trim": "9 cm"},
    {"wedges": "7", "rings": ["1", "2"]},
    {"baked_depth": HOSTILE},
    {"baked_depth": "36 mm", "cut_temperature": HOSTILE},
    {"baked_depth": "36 mm", "cut_temperature": "-273 °C", "cool_place": "blast_freezer"},
    {"baked_depth": "36 mm", "cool_place": HOSTILE},
    {"baked_depth": ["1 mm", "2 mm"]},
    {"lang": HOSTILE},
    {"lang": "de", "unknown_field": "1"},
)


@pytest.mark.parametrize("query", QUERIES, ids="-".join)
@pytest.mark.parametrize("card", CARDS)
def test_hostile_addresses_get_a_page(call: Call, card: str, query: dict[str, str | list[str]]) -> None:
    response = call("GET", address(card, **query))
    assert response.status_code in {200, 422}
    assert response.headers["Content-Type"].startswith("text/html")
    assert "<script>alert" not in response.text


@pytest.mark.parametrize("card", CARDS)
def test_no_link_of_a_card_holds_a_key(call: Call, card: str) -> None:
    html = call("GET", f"{address(card)}&access_token=tw_secret").text
    assert "tw_secret" not in "".join(part.partition('"')[0] for part in html.split('href="')[1:])
