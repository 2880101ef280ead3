"""`/v1/batches`, `/v1/cost`, `/v1/label`, `/v1/balance`: answers, errors, and the shop file."""

import asyncio
from copy import deepcopy
from decimal import Decimal
from typing import Any

import httpx
import pytest

from api.app import create_app
from api.contract.examples import FOLDER, load_examples
from api.settings import Settings
from api.wire.answers import without_none
from tests.api.conftest import Call

EXAMPLES = load_examples()
SHOP = [name for name in EXAMPLES if name.split("-")[0] in {"batches", "cost", "label", "balance"}]


def example_request(name: str, shop: dict[str, Any] | None = None, **changes: Any) -> dict[str, Any]:
    """The request of an example with changes, some of them in its shop; None leaves a field out."""
    request: dict[str, Any] = deepcopy(EXAMPLES[name]["request"]) | changes
    if shop is not None:
        request["shop"] = without_none(**(request.get("shop", {}) | shop))
    return without_none(**request)


def pointers(answer: httpx.Response) -> dict[str, str]:
    assert answer.status_code == 422, answer.text
    return {error["pointer"]: error["code"] for error in answer.json()["errors"]}


def the_part(response: httpx.Response, name: str) -> dict[str, Any]:
    """A part of the only target's answer."""
    assert response.status_code == 200, response.text
    (target,) = response.json()["targets"]
    assert "problem" not in target, target
    part: dict[str, Any] = target[name]
    return part


def problem_of(response: httpx.Response) -> dict[str, str]:
    """Pointers and codes of the only target's problem."""
    assert response.status_code == 200, response.text
    (target,) = response.json()["targets"]
    return {error["pointer"]: error["code"] for error in target["problem"]["errors"]}


def test_each_topic_has_an_example() -> None:
    assert {name.split("-")[0] for name in SHOP} == {"batches", "cost", "label", "balance"}


def test_costs_add_up_in_the_answer(call: Call) -> None:
    answer = the_part(call("POST", "/v1/cost", json=example_request("cost-parkin")), "cost")
    total = Decimal(answer["cost"])
    components = [Decimal(component["cost"]) for component in answer["components"]]
    lines = [Decimal(line["cost"]) for component in answer["components"] for line in component["lines"]]
    extras = [Decimal(extra["cost"]) for extra in answer["extras"]]
    assert sum(lines) + sum(extras) == sum(components) + sum(extras) == total
    for each in (answer["per_tin"], answer["per_portion"]):
        assert sum(part["count"] for part in each["split"]) == each["count"]
        assert sum(part["count"] * Decimal(part["cost"]) for part in each["split"]) == total


def test_missing_prices_are_listed_and_no_price_is_made_up(call: Call) -> None:
    body = example_request("cost-torte-missing", {"target_price": {"margin_percent": 60}})
    answer = the_part(call("POST", "/v1/cost", json=body), "cost")
    assert not answer["complete"]
    assert [line["pointer"] for line in answer["missing_prices"]] == [
        f"/formula/components/0/lines/{i}" for i in range(2, 8)
    ]
    assert "target_price" not in answer
    assert "cost" not in answer["components"][0]["lines"][2]


def test_a_target_price_leaves_at_least_its_margin(call: Call) -> None:
    answer = the_part(call("POST", "/v1/cost", json=example_request("cost-parkin")), "cost")
    assert answer["target_price"]["margin_percent"] >= 62
    assert Decimal(answer["target_price"]["price"]) % Decimal("0.05") == 0
    assert answer["asked_price"]["price"] == "2.00"  # 2.40 with 20 % tax in it


REFUSALS: list[tuple[str, dict[str, Any], str, str]] = [
    ("cost-parkin", {"shop": {"currency": "XXX"}}, "/shop/currency", "unknown_currency"),
    ("cost-parkin", {"shop": {"currency": None}}, "/shop/currency", "currency_needed"),
    ("label-parkin-uk", {"shop": {"market": None}}, "/shop/market", "market_needed"),
    ("label-parkin-uk", {"shop": {"may_contain": ["dust"]}}, "/shop/may_contain/0", "unknown_allergen"),
    ("label-parkin-uk", {"shop": {"market": "moonbase"}}, "/shop/market", "not_allowed"),
    ("balance-loaf", {"base": ["moonflour"]}, "/base/0", "unknown_base"),
    ("balance-loaf", {"component": "icing"}, "/component", "unknown_component"),
    ("batches-monday", {"orders": [{"product": "pie", "portions": 1}]}, "/orders/0/product", "unknown_product"),
    (
        "batches-monday",
        {"orders": [{"product": "parkin", "label": "huge", "portions": 1}]},
        "/orders/0/label",
        "unknown_label",
    ),
    ("batches-monday", {"available_egg_classes": ["large"]}, "/available_egg_classes/0", "ambiguous_egg_class"),
    (
        "batches-monday",
        {"stock": [{"ingredient": "salt", "quantity": "1 kg"}, {"ingredient": "xanthan gum", "quantity": "3 each"}]},
        "/stock/1",
        "no_piece_weight",
    ),
]


@pytest.mark.parametrize(("name", "changes", "pointer", "code"), REFUSALS)
def test_an_error_has_a_pointer_and_a_code(
    call: Call, name: str, changes: dict[str, Any], pointer: str, code: str
) -> None:
    body = example_request(name, **changes)
    assert pointers(call("POST", EXAMPLES[name]["path"], json=body)).get(pointer) == code


@pytest.mark.parametrize(
    ("name", "changes", "pointer", "code"),
    [
        ("cost-parkin", {"formula": "uncut"}, "/shop/packaging/0/per", "portions_needed"),
        ("cost-parkin", {"targets": [{"factor": 2}]}, "/shop/packaging/1/per", "tins_needed"),
        ("label-parkin-uk", {"shop": {"bake_loss_percent": None}}, "/shop/bake_loss_percent", "bake_loss_needed"),
        ("label-parkin-uk", {"shop": {"bake_loss_percent": 60}}, "/shop/bake_loss_percent", "loss_over_water"),
    ],
)
def test_a_target_that_lacks_something_has_a_problem(
    call: Call, name: str, changes: dict[str, Any], pointer: str, code: str
) -> None:
    body = example_request(name)
    if changes.get("formula") == "uncut":
        del body["formula"]["cuts"]
    else:
        body = example_request(name, **changes)
    assert problem_of(call("POST", EXAMPLES[name]["path"], json=body)).get(pointer) == code


def test_a_price_in_another_currency_is_reported_at_the_line_that_needs_it(call: Call) -> None:
    body = example_request("cost-parkin", {"currency": "EUR"})
    for row in body["shop"]["own_ingredients"]:
        row["currency"] = "GBP"
    assert pointers(call("POST", "/v1/cost", json=body))["/formula/components/0/lines/0"] == "currency_mismatch"


@pytest.mark.parametrize("price", [1.29, 1])
def test_money_is_text(call: Call, price: object) -> None:
    rows = [{"name": "butter", "packs": [{"size": "1 kg", "price": price}]}]
    body = example_request("cost-parkin", {"own_ingredients": rows})
    assert "/shop/own_ingredients/0/packs/0/price" in pointers(call("POST", "/v1/cost", json=body))


def test_every_bad_row_is_reported_at_once(call: Call) -> None:
    rows = [
        {"name": "a", "packs": [{"size": "1 mile"}]},
        {"name": "b", "contains": ["milk"]},
        {"name": "c", "nutrition": {"fat_g": 90, "protein_g": 90}},
        {"name": "d", "ingredient": "moon dust"},
        {"name": "e", "contains": ["dust"]},
    ]
    listed = pointers(call("POST", "/v1/balance", json=example_request("balance-loaf", {"own_ingredients": rows})))
    assert listed == {
        "/shop/own_ingredients/0/packs/0/size": "unknown_unit",
        "/shop/own_ingredients/2/nutrition": "too_much_in_100g",
        "/shop/own_ingredients/3/ingredient": "unknown_ingredient",
        "/shop/own_ingredients/4/contains/0": "unknown_allergen",
    }


def test_a_repeated_name_is_rejected(call: Call) -> None:
    rows = [{"name": "mill flour"}, {"name": "Mill  Flour"}]
    listed = pointers(call("POST", "/v1/balance", json=example_request("balance-loaf", {"own_ingredients": rows})))
    assert listed == {"/shop/own_ingredients/1/name": "good_twice"}
    day = example_request("batches-monday")
    day["products"][1]["name"] = day["products"][0]["name"]
    assert pointers(call("POST", "/v1/batches", json=day))["/products/1/name"] == "name_twice"


def test_percentages_of_a_formula_give_its_grams_back(call: Call) -> None:
    there = the_part(call("POST", "/v1/balance", json=example_request("balance-loaf")), "balance")
    percentages = [{"ingredient": line["ingredient"], "percent": line["percent"]} for line in there["lines"]]
    back = call("POST", "/v1/balance/grams", json={"percentages": percentages, "grams": there["grams"]}).json()
    assert [line["grams"] for line in back["lines"]] == pytest.approx([line["grams"] for line in there["lines"]])
    assert back["total_percent"] == pytest.approx(there["total_percent"])


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"percentages": [{"ingredient": "flour", "percent": 100}]},
        {"percentages": [{"ingredient": "flour", "percent": 0}], "grams": 10},
        {"percentages": [{"ingredient": "flour", "percent": 1}], "grams": 1, "pieces": {"count": 1, "grams_each": 1}},
        {"percentages": [{"ingredient": "flour", "percent": 1}], "pieces": {"count": 100_000, "grams_each": 100_000}},
    ],
)
def test_grams_need_percentages_and_one_size_of_the_mix(call: Call, body: dict[str, Any]) -> None:
    assert call("POST", "/v1/balance/grams", json=body).status_code == 422


def test_sizes_at_the_same_temperature_share_a_load_however_it_is_written(call: Call) -> None:
    body = example_request("batches-monday")
    tray, square = body["products"][0]["targets"]
    tray["bake"] = {"oven": "150 celsius", "fan": True, "minutes": 48}
    square["bake"] = {"oven": "338 F", "minutes": 48}
    answer = call("POST", "/v1/batches", json=body).json()
    (shared,) = [load for load in answer["oven_loads"] if load["celsius"] == 170 and load["bake_minutes"] == 48]
    assert shared["fan_celsius"] == 150
    assert shared["tins"] == sum(tins["tins"] for tins in answer["products"][0]["tins"])


def test_without_a_bake_loss_portions_have_no_mass_and_a_warning(call: Call) -> None:
    body = example_request("batches-monday")
    del body["products"][0]["bake_loss_percent"]
    answer = call("POST", "/v1/batches", json=body).json()
    assert not any("portion_grams" in tins for tins in answer["products"][0]["tins"])
    assert all("portion_grams" in tins for tins in answer["products"][1]["tins"])
    assert "bake_loss_missing" in {warning["code"] for warning in answer["warnings"]}


def test_a_portion_of_the_day_weighs_what_it_weighs_in_the_job(call: Call) -> None:
    day = example_request("batches-monday")
    product = day["products"][0]
    product["targets"][0]["cuts"]["knife_width"] = "1 mm"
    made = call("POST", "/v1/batches", json=day).json()["products"][0]["tins"]
    job = {
        "formula": product["formula"],
        "targets": [without_none(**target | {"tins_per_shelf": None, "bake": None}) for target in product["targets"]],
        "measures": day["measures"],
        "shop": {"bake_loss_percent": product["bake_loss_percent"]},
        "include": ["lines", "cuts"],
    }
    rescaled = call("POST", "/v1/rescale", json=job).json()["targets"]
    for tins, target in zip(made, rescaled, strict=True):
        assert tins["label"] == target["label"]
        assert tins["portion_grams"] == target["cuts"]["portion"]["grams"]
        assert tins["portions_per_tin"] == target["cuts"]["portions"]
        assert tins["grams_per_tin"] == target["grams"]


def test_whole_tins_can_be_ordered(call: Call) -> None:
    day = example_request("batches-monday")
    by_tin = day | {"orders": [{"product": "parkin", "label": "tray", "tins": 2}]}
    by_portion = day | {"orders": [{"product": "parkin", "label": "tray", "portions": 48}]}
    assert (
        call("POST", "/v1/batches", json=by_tin).json()["products"]
        == call("POST", "/v1/batches", json=by_portion).json()["products"]
    )
    unlabelled = day | {"orders": [{"product": "parkin", "tins": 2}, {"product": "parkin"}]}
    assert pointers(call("POST", "/v1/batches", json=unlabelled)) == {
        "/orders/0/label": "label_needed",
        "/orders/1": "portions_needed",
    }


def test_the_sums_of_a_day_agree(call: Call) -> None:
    answer = call("POST", "/v1/batches", json=example_request("batches-monday")).json()
    mixed = sum(mix["grams"] for mix in answer["mixes"])
    tins = sum(size["tins"] * size["grams_per_tin"] for product in answer["products"] for size in product["tins"])
    assert mixed == pytest.approx(tins)
    assert mixed == pytest.approx(sum(row["grams"] for row in answer["ingredients"]))
    for mix in answer["mixes"]:
        assert mix["bowl_grams"] <= 4000
        assert sum(line["grams_per_bowl"] for line in mix["lines"]) == pytest.approx(mix["bowl_grams"])
    shared = [mix for mix in answer["mixes"] if len({part["product"] for part in mix["parts"]}) > 1]
    assert [mix["name"] for mix in shared] == ["oat-and-treacle nuggets / nuggets"]
    eggs = answer["eggs"][0]
    assert eggs["crack"] <= eggs["trays"] * 30


def test_the_shop_file_gives_the_prices_that_a_request_leaves_out() -> None:
    app = create_app(Settings(shop_file=FOLDER / "shop" / "halfmoon-wharf.csv"))
    body = {
        "formula": {
            "name": "crumb base",
            "components": [
                {
                    "name": "base",
                    "lines": [
                        {"ingredient": "oat biscuit crumbs", "quantity": "200 g"},
                        {"ingredient": "butter", "quantity": "100 g"},
                        {"ingredient": "cooking apple", "quantity": "2 each"},
                    ],
                }
            ],
        },
    }

    async def ask(**shop: Any) -> dict[str, Any]:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            answer = await client.post("/v1/cost", json=body | {"shop": {"currency": "GBP", **shop}})
            return the_part(answer, "cost")

    file = asyncio.run(ask())
    costs = [line["cost"] for line in file["components"][0]["lines"]]
    # By hand: 200 g of 3.20 a kg is 0.64, 100 g of 7.96 a kg 0.796, 360 g at 78 % of 1.40 a kg 0.6462; together
    # 2.0822, so 2.08. Rounded down they leave one penny, which goes to the apple: it lost most.
    assert (costs, file["cost"]) == (["0.64", "0.79", "0.65"], "2.08")
    own = [{"name": "butter", "packs": [{"size": "1 kg", "price": "10.00"}]}]
    assert asyncio.run(ask(own_ingredients=own))["components"][0]["lines"][1]["cost"] == "1.00"


HOSTILE: list[Any] = [0, -1, 1e308, "NaN", "1e9", "", "9" * 21, None, [], {}, True, "½", "../etc", "\x00"]


@pytest.mark.parametrize("name", ["batches-monday", "cost-parkin", "label-parkin-uk", "balance-loaf"])
@pytest.mark.parametrize("value", HOSTILE, ids=repr)
def test_no_request_causes_a_server_error(call: Call, name: str, value: Any) -> None:
    request = EXAMPLES[name]["request"]
    for key in request:
        assert call("POST", EXAMPLES[name]["path"], json=request | {key: value}).status_code < 500, key
    shop = request.get("shop", {})
    for key in shop:
        body = request | {"shop": shop | {key: value}}
        assert call("POST", EXAMPLES[name]["path"], json=body).status_code < 500, key
    row: dict[str, Any] = next(iter(shop.get("own_ingredients", [])), {})
    for key in row:
        body = request | {"shop": shop | {"own_ingredients": [row | {key: value}]}}
        assert call("POST", EXAMPLES[name]["path"], json=body).status_code < 500, key


def test_tiny_packs_and_huge_lines_can_be_costed(call: Call) -> None:
    body = {
        "formula": {
            "name": "x",
            "tins": 1_000,
            "components": [{"name": "y", "lines": [{"ingredient": "honey", "quantity": "1000000 imperial_gallon"}]}],
        },
        "shop": {
            "currency": "KWD",
            "own_ingredients": [{"name": "honey", "packs": [{"size": "0.1 g", "price": "1000000"}]}],
            "labour": [{"minutes": 100_000, "rate_per_hour": "1000000", "per": "tin"}],
            "target_price": {"margin_percent": 99.9, "per": "tin"},
            "tax_percent": 1000,
        },
    }
    answer = the_part(call("POST", "/v1/cost", json=body), "cost")
    assert Decimal(answer["cost"]) > 10**15


@pytest.mark.parametrize("name", ["batches-monday", "cost-parkin", "label-parkin-uk", "balance-loaf"])
@pytest.mark.parametrize("form", ["csv", "xml"])
def test_every_format_is_available(call: Call, name: str, form: str) -> None:
    answer = call("POST", f"{EXAMPLES[name]['path']}?format={form}", json=EXAMPLES[name]["request"])
    assert answer.status_code == 200, answer.text
    assert answer.text
