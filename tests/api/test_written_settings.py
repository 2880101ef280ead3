"""Temperatures, ovens and tins that people write mean the same in every field, or are asked about alike."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.api.conftest import Call
from tests.api.written import COOL, INCH_MM, Ask, each, of_a_bake, posted, queried

TEMPERATURES = {
    "batter": posted("/v1/bake", "factor", lambda text: of_a_bake(start_temperature=text)),
    "core": posted("/v1/bake", "factor", lambda text: of_a_bake(core_temperature=text)),
    "cooling": posted("/v1/cool", "milestones.0.celsius", lambda text: {**COOL, "core_temperature": text}),
    "surroundings": posted("/v1/cool", "surroundings_celsius", lambda text: {**COOL, "surroundings": text}),
    "query": queried(
        "/v1/rescale?line=1000+g+butter&tin=square+20+cm&filled_depth=3+cm&oven=180+C&minutes=40&start_temperature={}",
        "factor",
    ),
}
OVENS = {
    "oven": posted("/v1/oven", "celsius", lambda text: {"setting": text}),
    "query": queried("/v1/oven?setting={}", "celsius"),
    "bake": posted("/v1/bake", "targets.0.bake.oven.celsius", lambda text: of_a_bake(oven=text)),
    "job": queried(
        "/v1/rescale?line=1000+g+butter&tin=square+20+cm&filled_depth=3+cm&want=square+23+cm&minutes=40&oven={}",
        "targets.0.bake.oven.celsius",
    ),
}
TINS = {
    "query": queried("/v1/tins/measure?tin={}", "area_cm2"),
    "body": posted("/v1/tins/measure", "area_cm2", lambda text: {"tin": text}),
    "factor": queried("/v1/tins/factor?have=square+1+cm&want={}", "factor"),
    "cuts": queried("/v1/cuts?tin={}&portions=4", "factor"),
}


@each(TEMPERATURES)
def test_a_temperature_is_read_as_people_write_it_or_asked_back(call: Call, ask: Ask) -> None:
    for text in ("22,5 °C", "22,5 Grad", "72,5 F", "22.5 celsius"):
        figure, errors = ask(call, text)
        assert not errors
        assert figure in {0.0, 22.5}
    (bare,), (two,), (other,) = (ask(call, text)[1] for text in ("22", "20-22 C", "lukewarm"))
    assert bare["candidates"] == ["22 celsius", "22 fahrenheit"]
    assert two["candidates"] == ["20 celsius", "21 celsius", "22 celsius"]
    assert "temperature" in other["message"]


@each(OVENS)
@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("180C fan", 200),
        ("350 F", (350 - 32) / 1.8),
        ("gas 4", (350 - 32) / 1.8),  # common practice: gas mark 4 is 350 °F
        ("th. 6", 180),  # common practice: thirty degrees a mark
        ("180,5 °C", 180.5),
        ("160 °C Umluft", 180),
    ],
)
def test_an_oven_setting_is_read_as_people_write_it(call: Call, ask: Ask, text: str, celsius: float) -> None:
    figure, errors = ask(call, text)
    assert not errors
    assert figure == pytest.approx(celsius, abs=0.01)


@each(OVENS)
@pytest.mark.parametrize(
    ("text", "candidates"),
    [
        ("180", ["180 celsius"]),
        ("4", ["gas mark 4"]),
        ("220", ["220 celsius", "220 fahrenheit"]),
        ("425", ["425 fahrenheit"]),
        ("160-180 C", ["160 celsius", "170 celsius", "180 celsius"]),
    ],
)
def test_an_oven_that_leaves_something_open_is_asked_about(
    call: Call, ask: Ask, text: str, candidates: list[str]
) -> None:
    (error,) = ask(call, text)[1]
    assert (error["code"], error["candidates"]) == ("unreadable_oven", candidates)
    assert not ask(call, candidates[0])[1]


def warning_codes(answer: Any) -> Iterator[str]:
    """The codes of all warnings of an answer."""
    if isinstance(answer, dict):
        yield from (warning["code"] for warning in answer.get("warnings", []))
    for part in answer.values() if isinstance(answer, dict) else answer if isinstance(answer, list) else []:
        yield from warning_codes(part)


def test_settings_that_disagree_warn(call: Call) -> None:
    answers = (
        call("GET", "/v1/oven?setting=200C%2F300F").json(),
        call("POST", "/v1/bake", json=of_a_bake(oven="200C/300F")).json(),
    )
    assert ["disagreement" in list(warning_codes(answer)) for answer in answers] == [True, True]
    assert "disagreement" not in list(warning_codes(call("GET", "/v1/oven?setting=200C%2F400F%2Fgas+6").json()))


@each(TINS)
@pytest.mark.parametrize(
    ("text", "area_cm2"),
    [
        ("square 20,5 cm", 20.5**2),
        ("9x13 in", 9 * 13 * (INCH_MM / 10) ** 2),
        ("20 cm (8 in) square tin", 400),
        ("20cm/8in square", 400),
        ("Springform Ø 26 cm", 3.141592653589793 * 13**2),
        ("23 centimeter springform", 3.141592653589793 * 11.5**2),
    ],
)
def test_a_tin_is_read_as_people_write_it(call: Call, ask: Ask, text: str, area_cm2: float) -> None:
    figure, errors = ask(call, text)
    assert not errors
    assert figure == pytest.approx(area_cm2 if ask is not TINS["cuts"] else 0, rel=1e-12)


@each(TINS)
@pytest.mark.parametrize(
    ("text", "candidates"),
    [
        ("20,5 cm", ["round 20.5 cm", "square 20.5 cm"]),
        ("9x13", ["rectangle 9 x 13 cm", "rectangle 9 x 13 in"]),
        ("Springform 26", ["round 26 cm", "round 26 in"]),
        ("2 x 20 cm round", ["round 20 cm"]),
        ("8 x 10 cm round", ["round 10 cm", "round 8 x 10 cm"]),
        ("2 x square 20 cm", ["square 20 cm"]),
        ("2 x 20 x 30 cm", ["rectangle 20 x 30 cm"]),
    ],
)
def test_a_tin_that_leaves_something_open_is_asked_about(
    call: Call, ask: Ask, text: str, candidates: list[str]
) -> None:
    (error,) = ask(call, text)[1]
    assert (error["code"], error["candidates"]) == ("unreadable_tin", candidates)
    assert not ask(call, candidates[0])[1]


def test_a_wish_may_count_tins(call: Call) -> None:
    address = "/v1/rescale?line=1000+g+butter&tin=square+20+cm&filled_depth=3+cm&want={}"
    counted = call("GET", address.format("2+x+20+cm+square")).json()["targets"][0]
    assert (counted["tins"], counted["factor"]) == (2, 2)
    assert (
        call("GET", address.format("8+x+10+cm+round"))
        .json()["targets"][0]["problem"]["type"]
        .endswith("unreadable_tin")
    )


def test_a_factor_may_stand_before_its_sign(call: Call) -> None:
    factors = [call("GET", f"/v1/rescale?line=1000+g+butter&want={want}").json() for want in ("x+2,5", "2,5x", "2.5+x")]
    assert [answer["targets"][0]["factor"] for answer in factors] == [2.5, 2.5, 2.5]


@pytest.mark.parametrize("text", ["30x20", "12x8"])
def test_a_slab_without_a_unit_offers_units(call: Call, text: str) -> None:
    error = call("GET", f"/v1/cuts?slab={text}&portions=4").json()["errors"][0]
    assert error["candidates"] == [f"{text.replace('x', ' x ')} {unit}" for unit in ("cm", "in")]
