"""Everything wrong with a request of the shop's topics is reported at once, with pointers to what the caller sent."""

from typing import Any

import pytest

from tests.api.conftest import Call

GOOD_LINE: dict[str, Any] = {"ingredient": "plain flour", "quantity": "500 g"}
UNKNOWN_LINE: dict[str, Any] = {"ingredient": "moon dust", "quantity": "1 g"}
UNWEIGHABLE_LINE: dict[str, Any] = {"ingredient": "xanthan gum", "quantity": "3 each"}
BAD_UNIT_LINE: dict[str, Any] = {"ingredient": "butter", "quantity": "2 miles"}
BAD_ROW: dict[str, Any] = {
    "name": "wharf flour",
    "ingredient": "moon flour",
    "currency": "XXX",
    "packs": [{"size": "1 mile", "price": "1"}, {"size": "1 kg", "price": "cheap"}],
    "contains": ["dust", "milk", "fog"],
    "nutrition": {"fat_g": 90, "protein_g": 90},
}
BAD_ROW_ERRORS = {
    "/own_ingredients/0/ingredient": "unknown_ingredient",
    "/own_ingredients/0/currency": "unknown_currency",
    "/own_ingredients/0/packs/0/size": "unknown_unit",
    "/own_ingredients/0/packs/1/price": "unreadable",
    "/own_ingredients/0/contains/0": "unknown_allergen",
    "/own_ingredients/0/contains/2": "unknown_allergen",
    "/own_ingredients/0/nutrition": "too_much_in_100g",
}


def formula(*lines: dict[str, Any], **fields: Any) -> dict[str, Any]:
    return {"name": "bake", "components": [{"name": "mix", "lines": list(lines)}], **fields}


BAD_FORMULA = formula(GOOD_LINE, UNKNOWN_LINE, UNWEIGHABLE_LINE, BAD_UNIT_LINE, egg_class="eu_xxl")


def bad_formula_errors(at: str) -> dict[str, str]:
    return {
        f"{at}/egg_class": "unknown_egg_class",
        f"{at}/components/0/lines/1/ingredient": "unknown_ingredient",
        f"{at}/components/0/lines/2": "no_piece_weight",
        f"{at}/components/0/lines/3/quantity": "unknown_unit",
    }


REQUESTS: list[tuple[str, dict[str, Any], dict[str, str]]] = [
    (
        "/v1/cost",
        {
            "formula": BAD_FORMULA,
            "currency": "XXX",
            "own_ingredients": [BAD_ROW],
            "packaging": [{"name": "band", "amount": "much", "per": "piece"}],
            "labour": [{"minutes": 5, "rate_per_hour": "a lot", "per": "piece"}],
            "target": {"margin_percent": 60, "per": "piece"},
            "price": {"amount": "dear", "per": "piece"},
        },
        {
            "/currency": "unknown_currency",
            "/packaging/0/amount": "unreadable",
            "/packaging/0/per": "pieces_needed",
            "/labour/0/rate_per_hour": "unreadable",
            "/labour/0/per": "pieces_needed",
            "/target/per": "pieces_needed",
            "/price/per": "pieces_needed",
            "/price/amount": "unreadable",
            **BAD_ROW_ERRORS,
            **bad_formula_errors("/formula"),
        },
    ),
    (
        "/v1/cost",
        {
            "formula": formula({"ingredient": "butter", "quantity": "1 kg"}, UNKNOWN_LINE),
            "currency": "GBP",
            "own_ingredients": [{"name": "butter", "currency": "EUR", "packs": [{"size": "1 kg", "price": 9}]}],
            "target": {"margin_percent": 60, "per": "batch", "price_step": "0.001"},
        },
        {
            "/formula/components/0/lines/0": "currency_mismatch",
            "/formula/components/0/lines/1/ingredient": "unknown_ingredient",
            "/target/price_step": "out_of_range",
        },
    ),
    (
        "/v1/label",
        {
            "formula": BAD_FORMULA,
            "market": "eu",
            "may_contain": ["fog", "milk", "dust"],
            "own_ingredients": [BAD_ROW],
        },
        {
            "/bake_loss_percent": "bake_loss_needed",
            "/may_contain/0": "unknown_allergen",
            "/may_contain/2": "unknown_allergen",
            **BAD_ROW_ERRORS,
            **bad_formula_errors("/formula"),
        },
    ),
    (
        "/v1/label",
        {"formula": formula(GOOD_LINE), "market": "eu", "baked_grams": 600, "piece_grams": 700},
        {"/baked_grams": "out_of_range", "/piece_grams": "out_of_range"},
    ),
    (
        "/v1/balance",
        {
            "formula": BAD_FORMULA,
            "compare_with": formula(UNKNOWN_LINE),
            "component": "icing",
            "own_ingredients": [BAD_ROW],
        },
        {
            "/component": "unknown_component",
            "/compare_with/components/0/lines/0/ingredient": "unknown_ingredient",
            **BAD_ROW_ERRORS,
            **bad_formula_errors("/formula"),
        },
    ),
    (
        "/v1/balance",
        {
            "formula": formula(GOOD_LINE),
            "compare_with": formula({"ingredient": "water", "quantity": "1 kg"}),
            "base": ["butter", "plain flour", "salt"],
        },
        {"/base/0": "unknown_base", "/base/2": "unknown_base", "/compare_with": "base_needed"},
    ),
    (
        "/v1/balance",
        {"percentages": [{"ingredient": "flour", "percent": 100}], "pieces": {"count": 100_000, "grams_each": 100_000}},
        {"/pieces": "out_of_range"},
    ),
    (
        "/v1/batches",
        {
            "products": [
                {
                    "name": "bun",
                    "formula": BAD_FORMULA,
                    "sizes": [
                        {"name": "one", "pieces_per_tin": 6, "tin": "cube 5 cm", "depth": "2 kg", "bake_minutes": 20},
                        {"name": "one", "pieces_per_tin": 6},
                    ],
                },
                {
                    "name": "bun",
                    "formula": formula(GOOD_LINE),
                    "sizes": [{"name": "tray", "pieces_per_tin": 24, "tin": "square 20 x 5 cm"}],
                },
            ],
            "orders": [{"product": "pie", "pieces": 1}, {"product": "bun", "size": "huge", "pieces": 1}],
            "stock": [UNKNOWN_LINE, {"ingredient": "salt", "quantity": "1 kg"}, UNWEIGHABLE_LINE],
            "available_eggs": ["large", "eu_m", "eu_xxl"],
            "oven_shelves": 4,
            "currency": "XXX",
            "own_ingredients": [BAD_ROW],
        },
        {
            "/currency": "unknown_currency",
            "/products/0/sizes/0/tin": "unreadable_tin",
            "/products/0/sizes/0/depth": "unit_mismatch",
            "/products/0/sizes/0/tins_per_shelf": "tins_per_shelf_needed",
            "/products/0/sizes/1/name": "name_twice",
            "/products/1/name": "name_twice",
            "/products/1/formula/tin": "tin_needed",
            "/orders/0/product": "unknown_product",
            "/orders/1/size": "unknown_size",
            "/stock/0/ingredient": "unknown_ingredient",
            "/stock/2": "no_piece_weight",
            "/available_eggs/0": "ambiguous_egg_class",
            "/available_eggs/2": "unknown_egg_class",
            **BAD_ROW_ERRORS,
            **bad_formula_errors("/products/0/formula"),
        },
    ),
    (
        "/v1/batches",
        {
            "products": [
                {
                    "name": "bun",
                    "formula": formula(UNKNOWN_LINE),
                    "sizes": [{"name": "one", "pieces_per_tin": 6}],
                },
                {
                    "name": "slab",
                    "formula": formula(GOOD_LINE),
                    "sizes": [{"name": "tray", "pieces_per_tin": 24, "tin": "square 20 x 5 cm"}],
                },
            ],
            "orders": [{"product": "bun", "pieces": 1}, {"product": "slab", "pieces": 1}],
        },
        {
            "/products/0/formula/components/0/lines/0/ingredient": "unknown_ingredient",
            "/products/1/formula/tin": "tin_needed",
        },
    ),
]


def is_sent(body: Any, pointer: str) -> bool:
    """Whether a pointer names a field of the body, or a missing field of an object that the body has."""
    *parents, last = pointer.split("/")[1:]
    for part in parents:
        body = body[int(part)] if isinstance(body, list) else body[part]
    return isinstance(body, dict) or (isinstance(body, list) and int(last) < len(body))


@pytest.mark.parametrize(("path", "body", "errors"), REQUESTS)
def test_everything_wrong_is_reported_at_once(
    call: Call, path: str, body: dict[str, Any], errors: dict[str, str]
) -> None:
    answer = call("POST", path, json=body)
    assert answer.status_code == 422, answer.text
    listed = [(error["pointer"], error["code"]) for error in answer.json()["errors"]]
    assert dict(listed) == errors
    assert len(listed) == len(errors)
    assert all(is_sent(body, pointer) for pointer, _ in listed)


PRICED_ROWS = [
    {"name": f"good {i}", "packs": [{"size": "1 kg", "price": "1.00"}], "contains": ["dust"] if i == 3 else []}
    for i in range(15)
]


@pytest.mark.parametrize(
    ("path", "body"), [("/v1/label", {"market": "eu", "bake_loss_percent": 10}), ("/v1/balance", {})]
)
def test_where_prices_are_not_used_rows_need_no_currency(call: Call, path: str, body: dict[str, Any]) -> None:
    body = body | {"formula": formula(GOOD_LINE), "own_ingredients": PRICED_ROWS}
    answer = call("POST", path, json=body)
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/own_ingredients/3/contains/0", "unknown_allergen")
    ]
    rows = [row for row in PRICED_ROWS if not row["contains"]]
    assert call("POST", path, json=body | {"own_ingredients": rows}).status_code == 200


def test_a_missing_currency_of_the_day_is_reported_once(call: Call) -> None:
    body = {
        "products": [
            {"name": "bun", "formula": formula(GOOD_LINE), "sizes": [{"name": "one", "pieces_per_tin": 6}]},
        ],
        "orders": [{"product": "bun", "pieces": 1}],
        "own_ingredients": [row | {"contains": []} for row in PRICED_ROWS],
    }
    answer = call("POST", "/v1/batches", json=body)
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/currency", "currency_needed")
    ]
    assert call("POST", "/v1/batches", json=body | {"currency": "GBP"}).status_code == 200


def test_lines_of_a_row_with_errors_are_not_reported_as_unknown(call: Call) -> None:
    body = {
        "formula": formula({"ingredient": "wharf dust", "quantity": "2 us_cup"}),
        "market": "eu",
        "bake_loss_percent": 0,
        "own_ingredients": [{"name": "wharf dust", "contains": ["fog"]}],
    }
    answer = call("POST", "/v1/label", json=body)
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/own_ingredients/0/contains/0"]


def test_eggs_by_number_without_a_class_are_reported_where_they_are_used(call: Call) -> None:
    eggs = {"ingredient": "egg", "quantity": "12 each"}
    body: dict[str, Any] = {
        "products": [
            {"name": "bun", "formula": formula(GOOD_LINE), "sizes": [{"name": "one", "pieces_per_tin": 6}]},
        ],
        "orders": [{"product": "bun", "pieces": 1}],
        "stock": [eggs],
    }
    answer = call("POST", "/v1/batches", json=body)
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/stock/0", "egg_class_needed")
    ]
    assert call("POST", "/v1/batches", json=body | {"available_eggs": ["eu_m"]}).status_code == 200
    rows = [{"name": "egg", "packs": [{"size": "30 each", "price": "5.40"}]}]
    by_mass = formula({"ingredient": "egg", "quantity": "100 g"})
    answer = call("POST", "/v1/cost", json={"formula": by_mass, "currency": "GBP", "own_ingredients": rows})
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/formula/components/0/lines/0", "egg_class_needed")
    ]
