"""One request costs, labels and balances every target, with the same figures as the endpoints of their own."""

from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest

from api.contract.examples import load_examples
from tests.api.conftest import Call

EXAMPLE = load_examples()["rescale-parkin-sold"]
PARTS = {"/v1/cost": "cost", "/v1/label": "label_figures", "/v1/balance": "balance"}


def request(**changes: Any) -> dict[str, Any]:
    body: dict[str, Any] = deepcopy(EXAMPLE["request"]) | changes
    return body


def alone(body: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in body.items() if name != "include"}


@pytest.fixture(scope="module")
def whole(call: Call) -> dict[str, Any]:
    answer: dict[str, Any] = call("POST", "/v1/rescale", json=request()).json()
    return answer


@pytest.mark.parametrize("path", PARTS)
def test_the_same_job_has_the_same_figures_both_ways(call: Call, whole: dict[str, Any], path: str) -> None:
    answer = call("POST", path, json=alone(request())).json()
    assert answer["formula"] == whole["formula"]
    for target, rescaled in zip(answer["targets"], whole["targets"], strict=True):
        assert target[PARTS[path]] == rescaled[PARTS[path]]
        for field in ("label", "target", "factor", "tins", "grams", "grams_low", "grams_high"):
            assert target[field] == rescaled[field]
    assert answer.get("label_rules") == (whole["label_rules"] if path == "/v1/label" else None)


def test_every_target_is_costed_and_labelled(whole: dict[str, Any]) -> None:
    assert [target["label"] for target in whole["targets"]] == ["square", "tray", "round"]
    assert all(target["cost"]["complete"] and target["label_figures"]["nutrition"] for target in whole["targets"])


def test_a_line_weighs_the_same_wherever_it_is_asked(whole: dict[str, Any]) -> None:
    for target in whole["targets"]:
        for component, costed in zip(target["components"], target["cost"]["components"], strict=True):
            for line, cost in zip(component["lines"], costed["lines"], strict=True):
                assert [line[name] for name in ("ingredient", "grams", "grams_low", "grams_high")] == [
                    cost[name] for name in ("ingredient", "grams", "grams_low", "grams_high")
                ]
        assert target["balance"]["grams"] == pytest.approx(target["grams"])
        assert target["label_figures"]["mix_grams"] == target["grams"]


def test_a_portion_is_that_of_the_cuts_in_number_and_mass(whole: dict[str, Any]) -> None:
    for target in whole["targets"]:
        cuts, portions = target["cuts"], target["cost"]["per_portion"]["count"]
        assert portions == cuts["portions"] * target["tins"]
        assert target["label_figures"]["portion_grams"] == cuts["portion"]["grams"]


def test_the_cost_of_a_target_is_its_factor_times_that_of_the_formula(call: Call) -> None:
    shop = request()["shop"] | {"packaging": [], "labour": [], "other": []}
    body = request(targets=[{}, {"factor": 2}, {"grams": 1000}], shop=without_prices(shop), include=["cost"])
    written, double, kilogram = (target["cost"] for target in call("POST", "/v1/rescale", json=body).json()["targets"])
    for figure in ("cost_exact", "cost_low", "cost_high"):
        assert float(double[figure]) == pytest.approx(2 * float(written[figure]), abs=2e-6)
    assert Decimal(written["cost_low"]) < Decimal(written["cost_exact"]) < Decimal(written["cost_high"])
    assert "per_tin" not in double
    assert sum(line["grams"] for part in kilogram["components"] for line in part["lines"]) == pytest.approx(1000)


def without_prices(shop: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in shop.items() if name not in {"target_price", "asked_price"}}


def test_percentages_and_figures_per_100_g_are_the_same_for_every_target(whole: dict[str, Any]) -> None:
    first, *others = whole["targets"]
    for other in others:
        assert other["balance"]["total_percent"] == pytest.approx(first["balance"]["total_percent"])
        for line, other_line in zip(
            first["label_figures"]["nutrition"], other["label_figures"]["nutrition"], strict=True
        ):
            assert other_line["per_100g"] == pytest.approx(line["per_100g"])
            assert other_line["printed_per_100g"] == line["printed_per_100g"]


def test_the_bake_loss_of_a_targets_cuts_goes_before_that_of_the_shop(call: Call) -> None:
    body = request(include=["cuts", "label"])
    body["targets"][1]["cuts"] |= {"bake_loss_percent": 15}
    first, second, _ = call("POST", "/v1/rescale", json=body).json()["targets"]
    assert [each["label_figures"]["bake_loss_percent"] for each in (first, second)] == [11, 15]
    assert second["label_figures"]["portion_grams"] == second["cuts"]["portion"]["grams"]


def test_a_target_with_a_problem_leaves_the_others_their_answers(call: Call) -> None:
    body = alone(request())
    body["targets"][1] = {"label": "muffins", "factor": 2}
    good, bad, other = call("POST", "/v1/cost", json=body).json()["targets"]
    assert {error["code"] for error in bad["problem"]["errors"]} == {"portions_needed", "tins_needed"}
    assert "cost" in good
    assert "cost" in other


def test_every_source_is_cited_and_every_citation_is_a_source(whole: dict[str, Any]) -> None:
    cited: set[str] = set()

    def collect(part: Any) -> None:
        if isinstance(part, dict):
            cited.update(ref["source"] for ref in part.get("cited", []))
            for value in part.values():
                collect(value)
        elif isinstance(part, list):
            for value in part:
                collect(value)

    collect(whole)
    assert cited == {source["id"] for source in whole["sources"]}


def test_the_formula_and_targets_of_an_answer_go_back_unchanged(call: Call, whole: dict[str, Any]) -> None:
    again = request(formula=whole["formula"], targets=[target["target"] for target in whole["targets"]])
    assert call("POST", "/v1/rescale", json=again).json() == whole


def test_cavities_are_portions(call: Call) -> None:
    body = request(targets=[{"tin": "cavities 12 x 110 ml", "tins": 2}], include=["cost", "label"])
    del body["formula"]["cuts"]
    (target,) = call("POST", "/v1/rescale", json=body).json()["targets"]
    assert target["cost"]["per_portion"]["count"] == 24
    assert target["label_figures"]["portion_grams"] == pytest.approx(target["grams"] * 0.89 / 24)
