"""Every parser that request text reaches, with the properties of everything it accepts.

A parser may accept a text or reject it with a `DomainError`; any other exception is a fault.
"""

import asyncio
import math
from collections.abc import Callable
from dataclasses import astuple, dataclass
from fractions import Fraction
from typing import Any

import orjson

from api.v1.convert.routes import list_conversions
from api.v1.convert.schemas import ConversionRowsQuery
from domain.baking.oven import parse_oven, read_oven
from domain.cutting.text import parse_aspect, parse_size
from domain.errors import DomainError, DomainErrors
from domain.measures.quantities import MAX_AMOUNT, MAX_DIGITS, Quantity, amount_ratio, parse_amount, parse_quantity
from domain.measures.units import KITCHEN_WORDS, MEASURES, UNITS, resolve_unit
from domain.reading.degrees import read_degrees
from domain.shop.money import CURRENCIES, MAX_PRICE, find_currency, parse_money
from domain.things.eggs import EGG_CLASSES, find_egg_class
from domain.things.ingredients import find_ingredient, search_ingredients
from domain.tins import shapes as tins
from domain.tins.text import parse_tin
from tests.fuzz import texts


@dataclass(frozen=True, slots=True, kw_only=True)
class Parser:
    """`parse` parses and checks; `longest` is the length limit of the contract; `seeds` are texts to start from."""

    parse: Callable[[str], object]
    longest: int
    seeds: tuple[str, ...]


def outcome(parser: Parser, text: str) -> str:
    """The result of a text: the error's code, or the type of the value."""
    try:
        return type(parser.parse(text)).__name__
    except DomainErrors as several:
        refusals = several.errors
    except DomainError as error:
        refusals = [error]
    assert all(refusal.detail and all(refusal.candidates or ("-",)) for refusal in refusals)
    return refusals[0].code


def amount(text: str) -> Fraction:
    """An amount. Written as a fraction it is the same amount, and the fast parser agrees with the exact one."""
    value = parse_amount(text)
    assert abs(value) <= 10**MAX_DIGITS
    assert Fraction(*amount_ratio(text)) == value
    assert math.isfinite(float(value))
    if len(str(abs(value)).replace("/", "")) <= MAX_DIGITS:
        assert parse_amount(str(value)) == value
    return value


def quantity(text: str) -> Quantity:
    """A quantity, with the measures of every country. Written plainly it is the same."""
    for measures in (*MEASURES[1:], None):
        try:
            parse_quantity(text, measures)
        except DomainError:
            continue
    parsed = parse_quantity(text, "us")
    assert abs(parsed.amount) <= MAX_AMOUNT
    assert math.isfinite(float(parsed.base))
    if len(str(abs(parsed.amount)).replace("/", "")) <= MAX_DIGITS:
        assert parse_quantity(f"{parsed.amount} {parsed.unit.id}") == parsed
    return parsed


def unit(text: str) -> object:
    """A unit. Its id is the same unit."""
    parsed = resolve_unit(text, "us")
    assert resolve_unit(parsed.id) is parsed
    return parsed


def tin(text: str) -> tins.Tin:
    """A tin with sizes within limits. Written in millimetres it is the same."""
    parsed = parse_tin(text)
    for size in astuple(parsed):
        assert size is None or isinstance(size, str) or 0 <= size <= tins.MAX_VOLUME_ML
    walls = tins.walls_of(parsed)
    assert walls is None or math.isfinite(walls.a0)
    plain = _plain(parsed)
    if plain and max(len(part) for part in plain.split()) <= MAX_DIGITS:
        assert parse_tin(plain) == parsed
    return parsed


def _plain(parsed: tins.Tin) -> str:
    depth = getattr(parsed, "depth_mm", None)
    last = "" if depth is None else f" x {depth}"
    match parsed:
        case tins.SquareTin(side_mm=side):
            return f"square {side}{last} mm"
        case tins.RectangleTin(length_mm=length, width_mm=width, nominal=""):
            return f"rectangle {length} x {width}{last} mm"
        case tins.RoundTin(diameter_mm=diameter):
            return f"round {diameter}{last} mm"
        case tins.RingTin(diameter_mm=diameter, hole_mm=hole):
            return f"ring {diameter} x {hole}{last} mm"
        case _:
            return ""


def ingredient(text: str) -> object:
    """An ingredient. Its id is the same ingredient, and a search for the text does not fail."""
    search_ingredients(text)
    parsed = find_ingredient(text)
    assert find_ingredient(parsed.id) is parsed
    return parsed


def oven(text: str) -> object:
    """An oven setting. It is finite on every scale, and its range is in order."""
    setting = parse_oven(text, fan=len(text) % 2 == 1)
    reading = read_oven(setting)
    for scale in (reading.celsius, reading.fan_celsius):
        assert scale.low <= (scale.low if scale.amount is None else scale.amount) <= scale.high
    return setting


def degrees(text: str) -> Quantity:
    """A temperature or another quantity, finite."""
    parsed = read_degrees(text)
    assert math.isfinite(float(parsed.base))
    return parsed


def size(text: str) -> tuple[float, float]:
    """A length and a width, within limits."""
    sides = parse_size(text)
    assert all(tins.MIN_SIDE_MM <= side <= tins.MAX_SIDE_MM for side in sides)
    return sides


def shape(text: str) -> float:
    """A ratio of two sides, the longer first."""
    aspect = parse_aspect(text)
    assert 1 <= aspect < math.inf
    return aspect


def row(text: str) -> dict[str, Any]:
    """A table row: an answer or a problem in its place, serialisable as JSON."""
    (item,) = asyncio.run(_rows([text]))
    assert "problem" in item or math.isfinite(item["answer"]["amount"])
    orjson.dumps(item)
    if "problem" in item:
        raise DomainError("in its place", code=item["problem"]["errors"][0]["code"])
    return item


async def _rows(items: list[str]) -> list[dict[str, Any]]:
    answers: list[dict[str, Any]] = (await list_conversions(ConversionRowsQuery.model_construct(item=items)))["items"]
    return answers


def money(text: str) -> Fraction:
    """An amount of money."""
    parsed = parse_money(text)
    assert 0 <= parsed <= MAX_PRICE
    return parsed


PARSERS = {
    "amount": Parser(parse=amount, longest=40, seeds=(*texts.AMOUNTS, *texts.NUMBERISH)),
    "quantity": Parser(parse=quantity, longest=80, seeds=texts.quantities()),
    "unit": Parser(
        parse=unit, longest=40, seeds=(*UNITS, *KITCHEN_WORDS, "Tablespoons", "fl. oz", "US cups", "g.", "millilitres")
    ),
    "tin": Parser(parse=tin, longest=80, seeds=texts.TINS),
    "ingredient": Parser(parse=ingredient, longest=80, seeds=texts.words()),
    "oven": Parser(parse=oven, longest=40, seeds=texts.OVENS),
    "degrees": Parser(parse=degrees, longest=80, seeds=texts.OVENS),
    "size": Parser(parse=size, longest=80, seeds=texts.SIZES),
    "shape": Parser(parse=shape, longest=20, seeds=texts.SHAPES),
    "row": Parser(parse=row, longest=300, seeds=texts.rows()),
    "money": Parser(parse=money, longest=20, seeds=texts.MONEY),
    "currency": Parser(parse=find_currency, longest=3, seeds=tuple(CURRENCIES)),
    "egg class": Parser(parse=find_egg_class, longest=40, seeds=(*EGG_CLASSES, "large", "medium")),
}
