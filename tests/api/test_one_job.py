"""One job in one request, and the same job at every single endpoint: the figures are the same to the last digit."""

from typing import Any

import pytest

from tests.api.conftest import Call
from tests.api.samples import EXAMPLES

JOBS = ("rescale-rye-plum", "rescale-parkin", "rescale-torte", "cuts-after-rescale")
ANSWERED = [
    name
    for name, example in EXAMPLES.items()
    if example["status"] == 200 and isinstance(example.get("response"), dict) and "written" in example["response"]
]


def post(call: Call, path: str, body: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request that is answered."""
    answer = call("POST", path, json=body)
    assert answer.status_code == 200, answer.text
    result: dict[str, Any] = answer.json()
    assert result.pop("figures") == answer.headers["X-Figures"]
    return result


def same_where_both_speak(whole: Any, view: Any, at: str = "") -> int:
    """Compare two parts of answers field by field, and count the numbers that both have."""
    if isinstance(whole, dict) and isinstance(view, dict):
        return sum(
            same_where_both_speak(whole[name], view[name], f"{at}.{name}") for name in whole.keys() & view.keys()
        )
    if isinstance(whole, list) and isinstance(view, list):
        assert len(whole) == len(view), at
        return sum(same_where_both_speak(*pair, f"{at}[{i}]") for i, pair in enumerate(zip(whole, view, strict=True)))
    assert whole == view, at
    return isinstance(whole, int | float)


@pytest.mark.parametrize("name", JOBS)
def test_the_whole_job_and_the_single_endpoints_have_the_same_figures(call: Call, name: str) -> None:
    body = EXAMPLES[name]["request"]
    whole = post(call, "/v1/rescale", body)
    shared = {key: body[key] for key in ("formula", "targets", "measures") if key in body}
    compared = 0
    cut = post(call, "/v1/cuts/batch", shared)
    for target, view in zip(whole["targets"], cut["targets"], strict=True):
        assert ("cuts" in target) == ("cuts" in view)
        if "cuts" in view:
            compared += same_where_both_speak(target["cuts"], view["cuts"])
    if any("pieces" in component for component in body["formula"]["components"]):
        doughs = post(call, "/v1/pieces", shared)
        assert doughs["written"]["components"] == whole["written"]["components"]
        for target, view in zip(whole["targets"], doughs["targets"], strict=True):
            divided = [component["pieces"] for component in target["components"] if "pieces" in component]
            compared += same_where_both_speak(divided, view["pieces"])
    if "bake" in body["formula"]:
        baked = post(call, "/v1/bake", shared)
        assert baked["written"]["cautions"] == whole["written"]["cautions"]
        for target, view in zip(whole["targets"], baked["targets"], strict=True):
            figures = {name: part for name, part in target.items() if name != "warnings"}
            compared += same_where_both_speak(figures, view)
    for target in body["targets"]:
        (alone,) = post(call, "/v1/rescale", body | {"targets": [target]})["targets"]
        together = next(each for each in whole["targets"] if each["target"] == target)
        assert {**alone, "bake": None, "cuts": None, "warnings": None} == {
            **together,
            "bake": None,
            "cuts": None,
            "warnings": None,
        }
    assert compared >= 50 or name in {"rescale-parkin", "rescale-torte"}


def test_the_rye_and_plum_job_is_one_request(call: Call) -> None:
    body = EXAMPLES["rescale-rye-plum"]["request"]
    lines = [line for component in body["formula"]["components"] for line in component["lines"]]
    assert len(lines) == 17
    answer = post(call, "/v1/rescale", body)
    tray, cake, muffins = answer["targets"]
    assert tray["factor"] == pytest.approx(39 * 27 / 24**2)
    assert (tray["cuts"]["portions"], cake["cuts"]["layout"]) == (30, "wedges")
    for target in (tray, cake):
        assert target["bake"]["minutes_low"] <= target["bake"]["minutes"] <= target["bake"]["minutes_high"]
        slab = target["cuts"]["slab"]["grams"]
        assert slab == pytest.approx(target["grams"] * 0.88)
    assert cake["components"][1]["pieces"]["count"] == 24
    assert muffins["components"][1]["pieces"]["count"] == 12
    assert [eggs["part"] for eggs in tray["eggs"]] == ["whole", "white"]


@pytest.mark.parametrize("name", ANSWERED)
def test_the_formula_and_the_targets_of_an_answer_go_back_unchanged(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    if example["method"] != "POST":
        pytest.skip("a query has no fields to send back")
    first = example["response"]
    again = example["request"] | {"formula": first["formula"]}
    if "targets" in example["request"]:
        again["targets"] = [target["target"] for target in first["targets"]]
    assert post(call, example["path"], again) == first
