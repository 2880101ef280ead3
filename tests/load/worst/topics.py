"""Tins, eggs, ovens and the lists of reference data."""

from tests.load.worst.asking import Build, get, post
from tests.load.worst.formulas import LONG

DEEP_TIN = {"shape": "tapered_rectangle", "depth": "50 mm", "corner_radius": "10 mm"} | {
    f"{end}_{side}": f"{size} mm" for end, size in (("top", 200), ("base", 180)) for side in ("length", "width")
}
KINDS = [{"tin": f"square {100 + 7 * i} x 60 mm", "count": 200} for i in range(24)]
ALIKE = [{"tin": f"square {100 + i / 100} x 60 mm", "count": 20} for i in range(24)]
WORST: dict[str, Build] = {
    "compute_tin_choice: 24 kinds of 200 tins": lambda turn: post(
        "/v1/tins/choose",
        {"grams": 900_000 + turn, "g_per_ml": 0.9, "depth_low": "30 mm", "depth_high": "30 mm", "tins": KINDS},
    ),
    "compute_tin_choice: kinds that are nearly alike": lambda turn: post(
        "/v1/tins/choose",
        {"grams": 60_130 + turn, "g_per_ml": 1, "depth_low": "30 mm", "depth_high": "30 mm", "tins": ALIKE},
    ),
    "compute_tin_choice: a wide range of depths": lambda turn: post(
        "/v1/tins/choose",
        {"grams": 50_000 + turn, "g_per_ml": 0.9, "depth_low": "10 mm", "depth_high": "39 mm", "tins": KINDS},
    ),
    "get_eggs: 40 classes": lambda turn: get(
        "/v1/eggs",
        *(("available_egg_classes", "eu_m") for _ in range(40)),
        ("egg_class", "eu_l"),
        whole=f"{turn} 1/1733",
        yolks="1/7",
        whites="1/9",
    ),
    "get_eggs: 3,500 classes": lambda _: get(
        "/v1/eggs", *(("available_egg_classes", f"c{i}") for i in range(3_500)), ("egg_class", "eu_l"), whole="1"
    ),
    "compute_eggs: 40 classes": lambda turn: post(
        "/v1/eggs",
        {
            "egg_class": "eu_m",
            "whole": f"{turn} 1/1733",
            "yolks": "3",
            "whites": "4",
            "available_egg_classes": ["eu_l", "us_jumbo"] * 20,
        },
    ),
    "compute_eggs: 200,000 bad classes": lambda _: post(
        "/v1/eggs", {"egg_class": "eu_m", "whole": "1", "available_egg_classes": [1] * 200_000}
    ),
    "compute_eggs: unknown": lambda turn: post("/v1/eggs", {"egg_class": f"c{turn}", "whole": "1"}),
    "measure_tin: text": lambda turn: get(
        "/v1/tins/measure", tin=f"rectangle {turn}.5 x 30 x 5 cm", filled_depth="3 cm"
    ),
    "measure_tin: nothing": lambda _: get("/v1/tins/measure", tin=("1x" * 40)[:79]),
    "compute_tin_measures: tapered": lambda turn: post(
        "/v1/tins/measure", {"tin_shape": DEEP_TIN | {"depth": f"{50 + turn} mm"}, "filled_depth": "30 mm"}
    ),
    "compute_tin_factor: tapered": lambda turn: post(
        "/v1/tins/factor",
        {
            "have_shape": DEEP_TIN | {"depth": f"{50 + turn} mm"},
            "want_shape": DEEP_TIN | {"depth": "70 mm"},
            "filled_depth": "30 mm",
            "depth": "40 mm",
        },
    ),
    "get_tin_factor: text": lambda turn: get(
        "/v1/tins/factor", have=f"round {20 + turn} x 7 cm", want="square 21 x 8 cm", filled_depth="4 cm"
    ),
    "compute_cool: freezing a deep round": lambda turn: post(
        "/v1/cool",
        {
            "tin": "round 1200 x 300 mm",
            "depth": f"{290 + turn / 7:.3f} mm",
            "start_temperature": "97 celsius",
            "place": "freezer",
            "unmould_temperature": "50 celsius",
            "cut_temperature": "28 celsius",
            "core_temperature": "-15.3 celsius",
            "curve": True,
        },
    ),
    "compute_cool: thawing a wide thin slab": lambda turn: post(
        "/v1/cool",
        {
            "tin": "square 100 cm",
            "depth": f"{10 + turn / 7:.3f} mm",
            "start_temperature": "-18 celsius",
            "place": "bench",
            "core_temperature": "10 celsius",
            "curve": True,
        },
    ),
    "compute_cool: chilling a slab": lambda turn: post(
        "/v1/cool",
        {
            "tin": "rectangle 60 x 40 cm",
            "depth": f"{40 + turn / 7:.3f} mm",
            "start_temperature": "97 celsius",
            "place": "fridge",
            "covered": True,
            "core_temperature": "8 celsius",
            "curve": True,
        },
    ),
    "get_oven: setting": lambda turn: get(
        "/v1/oven", setting=f"{180 + turn}.123456789 celsius", fan="true", fan_offset_celsius="19.123456789"
    ),
    "get_oven: gas": lambda turn: get("/v1/oven", setting=f"gas mark 1 {turn + 1}/1733"),
    "compute_oven: setting": lambda turn: post(
        "/v1/oven",
        {
            "setting": f"180 {turn + 1}/1733 celsius",
            "fan": True,
            "fan_offset_celsius": 19.123456789,
        },
    ),
    "list_ingredients: one letter": lambda turn: get("/v1/ingredients", name="aeiou"[turn]),
    "list_ingredients: one letter, CSV": lambda turn: get("/v1/ingredients", name="aeiou"[turn], format="csv"),
    "list_ingredients: one letter, XML": lambda turn: get("/v1/ingredients", name="aeiou"[turn], format="xml"),
    "list_ingredients: XML": lambda turn: get("/v1/ingredients", format="xml", field=f"ingredients.{turn}"),
    "list_ingredients: field": lambda turn: get("/v1/ingredients", format="csv", field=f"ingredients.{turn}"),
    "list_ingredients: unknown field": lambda turn: get("/v1/ingredients", format="csv", field=f"ingredients.{turn}x"),
    "get_ingredient: a long name": lambda turn: get("/v1/ingredients/" + f"{turn} {LONG}" * 900),
    "get_ingredient: unknown": lambda turn: get(f"/v1/ingredients/{turn} {LONG}"),
    "list_units: field": lambda turn: get("/v1/units", format="xml", field=f"units.{turn}"),
    "list_units: unknown field": lambda turn: get("/v1/units", format="text", field=f"units.{turn}x.factor"),
    "get_source: unknown": lambda turn: get(f"/v1/sources/{turn} {LONG}"),
    "list_sources: XML field": lambda turn: get("/v1/sources", format="xml", field=f"sources.{turn}"),
    "list_tins: XML field": lambda turn: get("/v1/tins", format="xml", field=f"nominal.{turn}"),
    "list_egg_classes: XML field": lambda turn: get("/v1/eggs/classes", format="xml", field=f"egg_classes.{turn}"),
}
