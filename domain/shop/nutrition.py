"""Composition of ingredients in 100 g, and the energy in it by the factors of the EU and of the USA.

`carbohydrate_g` excludes fibre (Regulation (EU) 1169/2011, Annex I point 7). `total_carbohydrate_g` includes it, as do
the US label and the source's figure by difference. An unknown figure is left out and is never zero, unless its whole
is zero: without fat there are no saturates. The exceptions are polyols, organic acids, alcohol and fibre in the sums of
energy, because sources and packets do not always name them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, get_args

from domain.errors import MismatchError, OutOfRangeError
from domain.measures.definitions import MG_PER_G
from domain.reference import rows
from domain.sources import Cited, cite

Nutrient = Literal[
    "water_g",
    "energy_kj",
    "energy_kcal",
    "energy_us_kcal",
    "fat_g",
    "saturates_g",
    "trans_fat_g",
    "carbohydrate_g",
    "total_carbohydrate_g",
    "sugars_g",
    "polyols_g",
    "fibre_g",
    "protein_g",
    "organic_acids_g",
    "alcohol_g",
    "sodium_mg",
    "salt_g",
    "cholesterol_mg",
    "potassium_mg",
    "calcium_mg",
    "iron_mg",
    "vitamin_d_ug",
]
NUTRIENTS: tuple[Nutrient, ...] = get_args(Nutrient)
SALT_PER_SODIUM = 2.5  # Regulation (EU) 1169/2011, Annex I point 11 (label_rules.csv)
MAX_G = 105.0  # our own limit: by-difference records of the source add up to at most 103 g in 100 g
PRINTED_G = 0.1  # rounding of a packet's figures, by which a part may exceed its whole; our own limit
PARTS: tuple[tuple[Nutrient, Nutrient], ...] = (  # each part with its whole
    ("saturates_g", "fat_g"),
    ("trans_fat_g", "fat_g"),
    ("sugars_g", "carbohydrate_g"),
    ("polyols_g", "carbohydrate_g"),
    ("fibre_g", "total_carbohydrate_g"),
)
MACROS: tuple[Nutrient, ...] = (
    "water_g",
    "fat_g",
    "carbohydrate_g",
    "fibre_g",
    "protein_g",
    "organic_acids_g",
    "alcohol_g",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # compared by identity: one object per record
class Composition:
    """Nutrients in 100 g. `assumes` is what a user should know of the record; `own` is True for the shop's figures.

    `market` is whose product the record describes; empty if the product is the same everywhere. `borrowed` names the
    single figures of a similar thing, each with words that say which.
    """

    per_100g: MappingProxyType[Nutrient, float]
    cited: tuple[Cited, ...] = ()
    assumes: str = ""
    market: str = ""
    analogy: bool = False
    own: bool = False
    borrowed: tuple[tuple[Nutrient, str], ...] = ()


def make_composition(
    figures: Mapping[Nutrient, float],
    *,
    cited: tuple[Cited, ...] = (),
    assumes: str = "",
    market: str = "",
    analogy: bool = False,
    own: bool = False,
    borrowed: tuple[tuple[Nutrient, str], ...] = (),
) -> Composition:
    """A composition from known figures; salt, both carbohydrates and energy are worked out where possible.

    Args:
        figures: per 100 g, without energy, which follows from the factors.
        cited: the sources of the figures.
        assumes: what a user should know.
        market: whose product it is; empty if it is the same everywhere.
        analogy: whether the figures are borrowed from a similar ingredient.
        own: whether the shop gave the figures.
        borrowed: the single figures that are borrowed from a similar ingredient.
    Returns:
        The composition. A nutrient that cannot be worked out is left out.
    Raises:
        OutOfRangeError: the figures exceed 100 g, or a part exceeds its whole.
        MismatchError: both salt and sodium are given, and they differ.
    """
    per_100g: dict[Nutrient, float] = dict(figures)
    for part, whole in PARTS:
        if per_100g.get(whole) == 0:
            per_100g.setdefault(part, 0.0)
    _complete_carbohydrate(per_100g)
    _complete_salt(per_100g)
    _check(per_100g)
    for energy, (needed, factors) in _ENERGY.items():
        if all(nutrient in per_100g for nutrient in needed):
            per_100g[energy] = energy_of(per_100g, factors)
    ordered: dict[Nutrient, float] = {nutrient: per_100g[nutrient] for nutrient in NUTRIENTS if nutrient in per_100g}
    return Composition(
        per_100g=MappingProxyType(ordered),
        cited=cited,
        assumes=assumes,
        market=market,
        analogy=analogy,
        own=own,
        borrowed=borrowed,
    )


def energy_of(amounts: Mapping[Nutrient, float], factors: Mapping[Nutrient, float]) -> float:
    """The energy of amounts of nutrients.

    Args:
        amounts: grams of each nutrient. Polyols are part of the carbohydrate and have a factor of their own.
        factors: energy in one gram, kJ or kcal.
    Returns:
        The sum, in the factors' unit, at least 0.
    Source:
        Regulation (EU) 1169/2011, Annex XIV; 21 CFR 101.9(c)(1)(i)(B) (energy_factors.csv).
    """
    energy = sum(amounts.get(nutrient, 0.0) * factor for nutrient, factor in factors.items())
    if "polyols_g" in factors:
        energy -= amounts.get("polyols_g", 0.0) * factors["carbohydrate_g"]
    return energy


def merged(own: Composition | None, reference: Composition | None) -> Composition | None:
    """The shop's figures, with the reference figures of every nutrient that the shop does not give.

    Args:
        own: the shop's figures, if it gave any.
        reference: the record of the ingredient, if there is one.
    Returns:
        One composition; None if there is neither. Reference figures that do not fit those of the shop are left out.
    """
    if own is None or reference is None:
        return own or reference
    # A reference figure must not stand beside the shop's figure of the same nutrient in another form.
    replaced = {other for nutrient in own.per_100g for other in _SAME_THING.get(nutrient, ())}
    filled = {
        nutrient: value
        for nutrient, value in reference.per_100g.items()
        if nutrient not in replaced and nutrient not in _DERIVED
    }
    own_figures = {nutrient: value for nutrient, value in own.per_100g.items() if nutrient not in _DERIVED}
    both: dict[Nutrient, float] = filled | own_figures
    try:
        borrowed = tuple(entry for entry in reference.borrowed if entry[0] not in own.per_100g)
        return make_composition(both, cited=reference.cited, assumes=reference.assumes, own=True, borrowed=borrowed)
    except OutOfRangeError:
        return own


def _complete_carbohydrate(per_100g: dict[Nutrient, float]) -> None:
    fibre = per_100g.get("fibre_g")
    if fibre is None:
        return
    if "carbohydrate_g" in per_100g:
        per_100g["total_carbohydrate_g"] = per_100g["carbohydrate_g"] + fibre
    elif "total_carbohydrate_g" in per_100g:
        per_100g["carbohydrate_g"] = max(0.0, per_100g["total_carbohydrate_g"] - fibre)


def _complete_salt(per_100g: dict[Nutrient, float]) -> None:
    if "sodium_mg" in per_100g:
        salt_g = per_100g["sodium_mg"] / MG_PER_G * SALT_PER_SODIUM
        if (
            abs(per_100g.setdefault("salt_g", salt_g) - salt_g) > 0.01 + 0.02 * salt_g  # the rounding of a packet
        ):
            raise MismatchError(
                "Salt is sodium times 2.5; give one of the two.", path=("salt_g",), code="salt_mismatch"
            )
    elif "salt_g" in per_100g:
        per_100g["sodium_mg"] = per_100g["salt_g"] / SALT_PER_SODIUM * MG_PER_G


def _check(per_100g: dict[Nutrient, float]) -> None:
    for part, whole in PARTS:
        if part in per_100g and per_100g[part] > per_100g.get(whole, MAX_G) + PRINTED_G:
            most = per_100g.get(whole, MAX_G)
            raise OutOfRangeError(f"{part} is more than {whole}.", path=(part,), value=per_100g[part], limit=most)
    if (together := sum(per_100g.get(nutrient, 0.0) for nutrient in MACROS)) > MAX_G:
        message = f"These figures add up to {together:g} g in 100 g."
        raise OutOfRangeError(message, code="too_much_in_100g", value=together, limit=MAX_G, unit="g")


def _load_factors() -> dict[Nutrient, tuple[tuple[Nutrient, ...], dict[Nutrient, float]]]:
    table: dict[str, dict[Nutrient, float]] = {"energy_kj": {}, "energy_kcal": {}, "energy_us_kcal": {}}
    for row in rows("energy_factors"):
        nutrient: Nutrient = row["nutrient"]  # type: ignore[assignment]  # another name is never looked up
        if row["kj_per_g"]:
            table["energy_kj"][nutrient] = float(row["kj_per_g"])
        table["energy_kcal" if row["list"] == "eu" else "energy_us_kcal"][nutrient] = float(row["kcal_per_g"])
    eu: tuple[Nutrient, ...] = ("fat_g", "carbohydrate_g", "protein_g")
    us: tuple[Nutrient, ...] = ("fat_g", "total_carbohydrate_g", "protein_g")
    return {
        "energy_kj": (eu, table["energy_kj"]),
        "energy_kcal": (eu, table["energy_kcal"]),
        "energy_us_kcal": (us, table["energy_us_kcal"]),
    }


_DERIVED: frozenset[Nutrient] = frozenset({"energy_kj", "energy_kcal", "energy_us_kcal"})
_SAME_THING: dict[Nutrient, tuple[Nutrient, ...]] = {
    "carbohydrate_g": ("total_carbohydrate_g",),
    "total_carbohydrate_g": ("carbohydrate_g",),
    "sodium_mg": ("salt_g",),
    "salt_g": ("sodium_mg",),
}
_ENERGY = _load_factors()
EU_ENERGY_CITED = cite("eu-1169-2011", "Annex XIV")
US_ENERGY_CITED = cite("us-energy-2nd", "general factors")
