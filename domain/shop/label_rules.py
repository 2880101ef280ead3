"""The rules of labels by market: nutrition lines, rounding, reference intakes, omissions and cautions, each cited."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType
from typing import Literal, get_args

from domain.baking.core_safety import Caution
from domain.reference import rows, words
from domain.shop.allergens import LIST_OF, MARKETS, LabelList, Market
from domain.shop.nutrition import EU_ENERGY_CITED, NUTRIENTS, US_ENERGY_CITED, Nutrient
from domain.sources import Cited, cited

LabelUnit = Literal["kJ", "kcal", "g", "mg", "mcg"]
LABEL_UNITS: tuple[LabelUnit, ...] = get_args(LabelUnit)
NOISE_DIGITS = 9  # decimals that rounding reads, so that the noise of doubles does not move a half


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelLine:
    """A line of a market's nutrition label. `intake` is the reference intake or daily value; None if there is none.

    `cited` is where the line itself is required; `factors_cited` where the factors it is worked out by are.
    """

    nutrient: Nutrient
    label_name: str
    unit: LabelUnit
    intake: float | None
    cited: Cited
    factors_cited: tuple[Cited, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Omission:
    """A figure that a market's label needs besides, and that is not computed here."""

    name: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule of a market, in our own words. `value` is the figure in it, if it has one."""

    id: str
    text: str
    value: float | None
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounded:
    """A figure as a label prints it, and the source of the rule."""

    text: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    fits: Callable[[Decimal], bool]
    step: Decimal | None
    text: str
    cited: Cited


def label_lines(market: Market) -> tuple[LabelLine, ...]:
    """The lines of a market's nutrition label, in order."""
    return _LINES[LIST_OF[market]]


def omissions(market: Market) -> tuple[Omission, ...]:
    """What a market's label needs besides, and is not computed here."""
    return _OMISSIONS[market]


def rules(market: Market) -> tuple[Rule, ...]:
    """The rules of a market: those of its list, and its own."""
    return tuple(RULES[market].values())


def round_for_label(amount: float, nutrient: Nutrient, market: Market) -> Rounded:
    """A figure as a market's label prints it.

    Args:
        amount: per 100 g or per portion, in the label's unit, at least 0.
        nutrient: whose amount it is.
        market: whose rule applies; the UK follows the EU's.
    Returns:
        The text with its unit, and the rule's source. An amount of exactly zero is printed as 0. Halves are rounded
        up: the rules say nearest and do not mention halves, so this is our own choice.
    Source:
        eu, uk: the Commission's guidance of December 2012, as a laboratory quotes it; us: FDA Food Labeling Guide,
        appendix H.

    >>> round_for_label(0.355, "salt_g", "eu").text, round_for_label(0.4, "fat_g", "us").text
    ('0.36 g', '0 g')
    >>> round_for_label(12.5, "fat_g", "uk").text, round_for_label(0.3, "fat_g", "uk").text
    ('13 g', '<0.5 g')
    """
    exact = Decimal(repr(round(amount, NOISE_DIGITS)))
    unit = _UNITS[nutrient]
    # The last row of every nutrient fits any amount, as checked below at import.
    step = next(step for step in _ROUNDING[LIST_OF[market], nutrient] if step.fits(exact))
    if not exact:
        return Rounded(text=f"0 {unit}", cited=step.cited)
    if step.step is None:
        return Rounded(text=step.text, cited=step.cited)
    places = (exact / step.step).quantize(Decimal(1), ROUND_HALF_UP) * step.step
    # The EU keeps the place that was rounded to; the USA prints 2 g, not 2.0 g.
    digits = f"{places.normalize():f}" if LIST_OF[market] == "us" else f"{places}"
    return Rounded(text=f"{digits} {unit}", cited=step.cited)


def intake_percent(amount: float, intake: float | None) -> float | None:
    """The share of the reference intake or daily value, in percent; None if there is none.

    Args:
        amount: in the label's unit.
        intake: in the same unit.
    Returns:
        The exact share, not rounded.
    """
    return None if intake is None else amount / intake * 100


def _load_lines() -> MappingProxyType[LabelList, tuple[LabelLine, ...]]:
    table: dict[LabelList, tuple[LabelLine, ...]] = {"eu": (), "us": ()}
    for row in rows("label_nutrients"):
        if row["nutrient"] not in NUTRIENTS or row["unit"] not in LABEL_UNITS:
            raise ValueError(f"label_nutrients.csv: bad row {row}")
        line = LabelLine(
            nutrient=row["nutrient"],
            label_name=row["label_name"],
            unit=row["unit"],
            intake=float(row["intake"]) if row["intake"] else None,
            cited=cited(row),
            factors_cited=_FACTORS_CITED.get((row["list"], row["nutrient"]), ()),
        )
        table[row["list"]] += (line,)  # type: ignore[index]  # any other list fails here, at start-up
    return MappingProxyType(table)


def _load_omissions() -> MappingProxyType[Market, tuple[Omission, ...]]:
    table = {
        market: tuple(
            Omission(name=name, cited=cited(row))
            for row in rows("label_omissions")
            if row["list"] in {LIST_OF[market], market}
            for name in words(row["names"])
        )
        for market in MARKETS
    }
    return MappingProxyType(table)


def _condition(kind: str, bound: str) -> Callable[[Decimal], bool]:
    if kind == "rest":
        return lambda _: True
    limit = Decimal(bound)
    return (lambda exact: exact <= limit) if kind == "at_most" else (lambda exact: exact < limit)


def _load_rounding() -> MappingProxyType[tuple[LabelList, Nutrient], tuple[_Step, ...]]:
    table: dict[tuple[str, str], tuple[_Step, ...]] = {}
    last: dict[tuple[str, str], str] = {}
    for row in rows("label_rounding"):
        key = row["list"], row["nutrient"]
        if row["condition"] not in {"at_most", "below", "rest"} or bool(row["step"]) == bool(row["text"]):
            raise ValueError(f"label_rounding.csv: bad row {row}")
        step = _Step(
            fits=_condition(row["condition"], row["bound"]),
            step=Decimal(row["step"]) if row["step"] else None,
            text=row["text"],
            cited=cited(row),
        )
        table[key] = (*table.get(key, ()), step)
        last[key] = row["condition"]
    wanted = {(name, line.nutrient) for name, lines in _LINES.items() for line in lines}
    if table.keys() != wanted or set(last.values()) != {"rest"}:
        raise ValueError("label_rounding.csv: a line of the labels has no rule, or a rule has no line")
    return MappingProxyType(table)  # type: ignore[arg-type]  # the keys are those of the lines


def _load_rules() -> MappingProxyType[Market, MappingProxyType[str, Rule]]:
    table: dict[Market, dict[str, Rule]] = {market: {} for market in MARKETS}
    for row in rows("label_rules"):
        value = float(row["value"]) if row["value"] else None
        for market in MARKETS:
            if row["list"] in {LIST_OF[market], market}:
                table[market][row["id"]] = Rule(id=row["id"], text=row["text"], value=value, cited=cited(row))
    return MappingProxyType({market: MappingProxyType(of_market) for market, of_market in table.items()})


RULES = _load_rules()
_FACTORS_CITED: dict[tuple[str, str], tuple[Cited, ...]] = {
    ("eu", "energy_kj"): (EU_ENERGY_CITED,),
    ("eu", "energy_kcal"): (EU_ENERGY_CITED,),
    ("us", "energy_us_kcal"): (US_ENERGY_CITED,),
    ("eu", "salt_g"): (RULES["eu"]["salt"].cited,),
    ("eu", "carbohydrate_g"): (RULES["eu"]["carbohydrate"].cited,),
    ("eu", "protein_g"): (RULES["eu"]["protein"].cited,),
}
_LINES = _load_lines()
_OMISSIONS = _load_omissions()
_UNITS = {line.nutrient: line.unit for lines in _LINES.values() for line in lines}
_ROUNDING = _load_rounding()
CAUTIONS = tuple(Caution(id=row["id"], text=row["text"], cited=cited(row)) for row in rows("shop_cautions"))
