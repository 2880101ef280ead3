"""Doneness by place on the cut card: as the API says it, and the reason where there is none."""

from api.pages.cards.fields import query_string
from tests.api.conftest import Call
from tests.pages.test_cut_card import JOB, NBSP, SQUARE, path, rows_of


def test_the_card_of_a_job_shows_where_it_is_done_last_as_the_api_says(call: Call) -> None:
    page = call("GET", f"/cards/cuts?{query_string(JOB)}").text
    text = {"text": JOB["recipe"], "measures": "uk", "egg_class": "eu_m"}
    formula = call("POST", "/v1/formulas/read", json=text).json()["formula"] | {"filled_depth": "26 mm"}
    next(part for part in formula["components"] if part["name"] == "Nuggets")["pieces"] = {"count": 16}
    target = {"tin": "rectangle 20 x 30 x 5 cm", "cuts": {"portions": 24, "bake_loss_percent": 11}}
    body = {"formula": formula, "targets": [target | {"bake": {"doneness": {}}}], "measures": "uk"}
    answer = call("POST", "/v1/bake", json=body)
    portions = answer.json()["targets"][0]["bake"]["doneness"]["portions"]
    rows = rows_of(page, "done")[1:]
    assert sum(int(row[1]) for row in rows) == len(portions) == 24
    for numbers, _, coldest, crust in rows:
        for number in (int(each) for each in numbers.split(", ")):
            portion = portions[number - 1]
            assert coldest == f"{portion['coldest_celsius']:.1f}".removesuffix(".0") + f"{NBSP}°C"
            assert crust == f"{portion['crust_percent']:.0f}{NBSP}%"
    temperatures = [float(row[2].removesuffix(f"{NBSP}°C")) for row in rows]
    assert temperatures == sorted(temperatures)
    assert page.count("<svg") >= 2  # the cuts and the map


NEEDED = "With the oven, the minutes and the filled depth of the bake that works"


def test_a_cut_card_without_a_bake_says_what_the_map_needs(call: Call) -> None:
    page = call("GET", f"/cards/cuts?{query_string({**JOB, 'depth': ''})}").text
    assert NEEDED in page
    assert "Where it is done last" not in page
    crowded = call("GET", f"/cards/cuts?{query_string({**JOB, 'depth': '310 mm'})}")  # deeper than the model takes
    assert "The bake card says why" in crowded.text
    alone = call("GET", path(SQUARE)).text
    assert NEEDED not in alone
    assert "Where it is done last" not in alone


def test_pieces_that_are_alike_are_one_row_and_the_warmest_rows_are_left_out(call: Call) -> None:
    torte = JOB | {"want": "round 26 x 7 cm", "portions": "", "wedges": "12"}
    page = call("GET", f"/cards/cuts?{query_string(torte)}").text
    assert [row[:2] for row in rows_of(page, "done")[1:]] == [["1–12", "12"]]
    many = call("GET", f"/cards/cuts?{query_string({**JOB, 'portions': '100'})}").text
    assert len(rows_of(many, "done")) == 1 + 6
    assert "all others are hotter" in many
    # A card maps no more than 100 pieces; the cuts are shown all the same.
    most = call("GET", f"/cards/cuts?{query_string({**JOB, 'portions': '110'})}")
    assert most.status_code == 200
    assert "shown for at most 100 pieces" in most.text
    assert "Where it is done last" not in most.text
