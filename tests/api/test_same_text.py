"""The same text means the same in every endpoint."""

from urllib.parse import quote_plus

import pytest

from tests.api.conftest import Call


@pytest.mark.parametrize(
    ("quantity", "ingredient", "measures"),
    [
        ("1 lb 4 oz", "butter", "uk"),
        ("1-3/4 cups", "granulated sugar", "us"),
        ("225 g (8 oz)", "butter", "uk"),
        ("2 EL", "honey", "metric"),
        ("1,5 kg", "plain flour", "metric"),
    ],
)
def test_every_endpoint_weighs_the_same_text_alike(call: Call, quantity: str, ingredient: str, measures: str) -> None:
    line = quote_plus(f"{quantity} {ingredient}")
    cell = call("GET", f"/v1/formulas/read-line?text={line}&measures={measures}").json()["line"]["grams"]
    address = call("GET", f"/v1/rescale?line={line}&measures={measures}&egg_class=eu_m").json()
    formula = {"name": "x", "components": [{"name": "x", "lines": [{"ingredient": ingredient, "quantity": quantity}]}]}
    posted = call("POST", "/v1/rescale", json={"formula": formula, "measures": measures}).json()
    table = {"items": [{"quantity": quantity, "ingredient": ingredient, "to": "g"}], "measures": measures}
    converted = call("POST", "/v1/convert", json=table).json()["items"][0]["answer"]
    read = call("POST", "/v1/formulas/read", json={"text": f"{quantity} {ingredient}", "measures": measures}).json()
    again = call("POST", "/v1/rescale", json={"formula": read["formula"], "measures": measures}).json()
    grams = {answer["targets"][0]["components"][0]["lines"][0]["grams"] for answer in (address, posted, again)} | {
        cell,
        converted["amount"],
    }
    assert len(grams) == 1


def test_what_an_address_takes_is_said(call: Call) -> None:
    answer = call("GET", "/v1/rescale?line=" + quote_plus("2 to 3 tbsp milk") + "&measures=uk").json()
    (warning,) = [each for each in answer["written"]["warnings"] if each["code"] == "taken"]
    assert warning["parameters"] == ["line"]
