"""Composition of ingredients per 100 g, and the energy in it by the factors of the EU and of the USA.

`carbohydrate_g` leaves out fibre (Regulation (EU) 1169/2011, Annex I point 7); `total_carbohydrate_g` holds it, as
the US label and the source's figure by difference do. What is not known is left out, and never zero, except
polyols, organic acids, alcohol and fibre in the sums of energy, which the source or the packet does not always name.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, get_args

from domain.errors import MismatchError, OutOfRangeError
from domain.reference import rows, words
from domain.sources import Cited, cite, cited
from domain.things.ingredients import INGREDIENTS, Ingredient, normal_name

Nutrient = Literal[
    "water_g",
    "energy_kj",
    "energy_kcal",
    "energy_us_kcal",
    "fat_g",
    "saturates_g",
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
]
NUTRIENTS: tuple[Nutrient, ...] = get_args(Nutrient)
SALT_PER_SODIUM = 2.5  # Regulation (EU) 1169/2011, Annex I point 11 (label_rules.csv)
MG_PER_G = 1000
MOST_G = 105.0  # our own limit: by-difference records of the source add up to at most 103 g in 100 g
PRINTED_G = 0.1  # a packet's figures are rounded this far, so a part may seem above its whole; our own limit
_PARTS: tuple[tuple[Nutrient, Nutrient], ...] = (("saturates_g", "fat_g"), ("polyols_g", "carbohydrate_g"))
_MACROS: tuple[Nutrient, ...] = (
    "water_g",
    "fat_g",
    "carbohydrate_g",
    "fibre_g",
    "protein_g",
    "organic_acids_g",
    "alcohol_g",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # one object a record: identity will do
class Composition:
    """Per 100 g. `assumes` is what a user should know of the record; `own` says that the shop gave figures."""

    per_100g: MappingProxyType[Nutrient, float]
    cited: tuple[Cited, ...] = ()
    assumes: str = ""
    analogy: bool = False
    own: bool = False


def make_composition(
    given: Mapping[Nutrient, float],
    *,
    cited: tuple[Cited, ...] = (),
    assumes: str = "",
    analogy: bool = False,
    own: bool = False,
) -> Composition:
    """A composition from what is known, with salt, both carbohydrates and energy worked out where they can be.

    Args:
        given: figures per 100 g; energy is never given, it follows from the factors.
        cited: where they stand.
        assumes: what a user should know.
        analogy: borrowed from a neighbour.
        own: the caller's own figures.
    Returns:
        The composition; a nutrient that cannot be worked out is left out.
    Raises:
        OutOfRangeError: more than there can be in 100 g, or a part above its whole.
        MismatchError: both salt and sodium, and they differ.
    """
    known: dict[Nutrient, float] = dict(given)
    _complete_carbohydrate(known)
    _complete_salt(known)
    _check(known)
    for energy, (needed, factors) in _ENERGY.items():
        if all(nutrient in known for nutrient in needed):
            known[energy] = energy_of(known, factors)
    ordered: dict[Nutrient, float] = {nutrient: known[nutrient] for nutrient in NUTRIENTS if nutrient in known}
    return Composition(per_100g=MappingProxyType(ordered), cited=cited, assumes=assumes, analogy=analogy, own=own)


def energy_of(known: Mapping[Nutrient, float], factors: Mapping[Nutrient, float]) -> float:
    """Energy in so much of each nutrient.

    Args:
        known: grams of each; polyols are part of the carbohydrate and counted at their own factor.
        factors: energy in one gram, kJ or kcal.
    Returns:
        The sum, in the factors' unit, at least 0.
    Source:
        Regulation (EU) 1169/2011, Annex XIV; 21 CFR 101.9(c)(1)(i)(B) from memory (energy_factors.csv).
    """
    energy = sum(known.get(nutrient, 0.0) * factor for nutrient, factor in factors.items())
    if "polyols_g" in factors:
        energy -= known.get("polyols_g", 0.0) * factors["carbohydrate_g"]
    return energy


def composition_of(ingredient: Ingredient | None, name: str) -> Composition | None:
    """The reference record of an ingredient, by the name a line has for it where several are known.

    >>> from domain.things.ingredients import find_ingredient
    >>> salted = composition_of(find_ingredient("butter"), "salted butter")
    >>> salted.per_100g["sodium_mg"] if salted else None
    643.0
    """
    if ingredient is None:
        return None
    by_name = REFERENCE.get(ingredient.id, {})
    return by_name.get(normal_name(name)) or by_name.get("")


def merged(own: Composition | None, reference: Composition | None) -> Composition | None:
    """The shop's own figures, and the reference's where the shop says nothing; own figures win one by one.

    Args:
        own: what the shop gave, if anything.
        reference: the record of the ingredient, if there is one.
    Returns:
        One composition; None if neither is there.
    """
    if own is None or reference is None:
        return own or reference
    # A reference's carbohydrate, sodium or energy must not speak beside the shop's own figure of the same thing.
    replaced = {other for nutrient in own.per_100g for other in _SAME_THING.get(nutrient, ())}
    filled = {
        nutrient: value
        for nutrient, value in reference.per_100g.items()
        if nutrient not in replaced and nutrient not in _DERIVED
    }
    given = {nutrient: value for nutrient, value in own.per_100g.items() if nutrient not in _DERIVED}
    both: dict[Nutrient, float] = filled | given
    return make_composition(both, cited=reference.cited, assumes=reference.assumes, analogy=reference.analogy, own=True)


def _complete_carbohydrate(known: dict[Nutrient, float]) -> None:
    fibre = known.get("fibre_g")
    if fibre is None:
        return
    if "carbohydrate_g" in known:
        known["total_carbohydrate_g"] = known["carbohydrate_g"] + fibre
    elif "total_carbohydrate_g" in known:
        known["carbohydrate_g"] = max(0.0, known["total_carbohydrate_g"] - fibre)


def _complete_salt(known: dict[Nutrient, float]) -> None:
    if "sodium_mg" in known:
        salt_g = known["sodium_mg"] / MG_PER_G * SALT_PER_SODIUM
        if (
            abs(known.setdefault("salt_g", salt_g) - salt_g) > 0.01 + 0.02 * salt_g
        ):  # what rounding on a packet explains
            raise MismatchError(
                "Salt is sodium times 2.5; give one of the two.", path=("salt_g",), code="salt-mismatch"
            )
    elif "salt_g" in known:
        known["sodium_mg"] = known["salt_g"] / SALT_PER_SODIUM * MG_PER_G


def _check(known: dict[Nutrient, float]) -> None:
    for part, whole in _PARTS:
        if part in known and known[part] > known.get(whole, MOST_G) + PRINTED_G:
            raise OutOfRangeError(f"{part} is more than {whole}.", path=(part,))
    if sum(known.get(nutrient, 0.0) for nutrient in _MACROS) > MOST_G:
        raise OutOfRangeError("These figures add up to more than 100 g in 100 g.", code="too-much-in-100g")


def _load_factors() -> dict[Nutrient, tuple[tuple[Nutrient, ...], dict[Nutrient, float]]]:
    table: dict[str, dict[Nutrient, float]] = {"energy_kj": {}, "energy_kcal": {}, "energy_us_kcal": {}}
    for row in rows("energy_factors"):
        nutrient: Nutrient = row["nutrient"]  # type: ignore[assignment]  # get() finds nothing under another name
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


def _load_reference() -> MappingProxyType[str, Mapping[str, Composition]]:
    table: dict[str, dict[str, Composition]] = {}
    for row in rows("nutrition"):
        if row["ingredient"] not in INGREDIENTS or row["basis"] not in {"figure", "analogy"}:
            raise ValueError(f"nutrition.csv: bad row {row}")
        record = make_composition(
            {nutrient: float(row[column]) for column, nutrient in _COLUMNS.items() if row[column]},
            cited=(cited(row),),
            assumes=row["assumes"],
            analogy=row["basis"] == "analogy",
        )
        for name in words(row["names"]) or ("",):
            table.setdefault(row["ingredient"], {})[normal_name(name)] = record
    return MappingProxyType(table)


_COLUMNS: dict[str, Nutrient] = {
    "water_g": "water_g",
    "protein_g": "protein_g",
    "fat_g": "fat_g",
    "saturates_g": "saturates_g",
    "carbohydrate_with_fibre_g": "total_carbohydrate_g",
    "fibre_g": "fibre_g",
    "sugars_g": "sugars_g",
    "sodium_mg": "sodium_mg",
    "alcohol_g": "alcohol_g",
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
US_ENERGY_CITED = cite("us-21cfr101-9", "(c)(1)(i)(B)", "memory")
REFERENCE = _load_reference()
