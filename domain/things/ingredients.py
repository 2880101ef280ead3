"""Ingredients: names, grams per millilitre by packing, and grams of one piece by size."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from types import MappingProxyType
from typing import Literal

from domain.errors import AmbiguousError, UnknownError
from domain.measures.units import UNITS
from domain.reference import rows, words
from domain.sources import Cited, cited

Form = Literal["powder", "grains", "pieces", "paste", "syrup", "fat", "liquid"]
Basis = Literal["ranged", "single", "analogy"]
DRY_FORMS: frozenset[Form] = frozenset({"powder", "grains"})  # can be levelled in a spoon
WHIPPED = "whipped"
EGGS = frozenset({"egg", "egg-white", "egg-yolk"})  # counted by class, so that their sizes are not in `pieces`
USUAL_SIZE = "medium"  # the size of a piece of which none is said
UNSTATED = "unstated"  # the packing of a figure whose source does not say
ANALOGY_WIDENS = 2  # a borrowed figure has twice the range of an own one; our own rule
NEAREST = 5  # number of near names in an error; our own choice
MAX_NAME = 80  # our own limit: characters of a name that are compared; no name of ours has as many


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """The exact grams in one millilitre of an ingredient in one packing, with a range.

    The range covers every record to half of its last printed digit, and is at least as wide as the difference
    between two published tables for foods of this form (spread.csv). `basis`: `ranged` (several records),
    `single` (one), `analogy` (the figure of a similar ingredient, with a range twice as wide).
    """

    packing: str
    g_per_ml: Fraction
    low: Fraction
    high: Fraction
    basis: Basis
    cited: tuple[Cited, ...]
    note: str

    def __post_init__(self) -> None:
        """Reject a density that no food has."""
        if not Fraction(1, 20) <= self.low <= self.g_per_ml <= self.high < 3:
            raise ValueError(f"not a density: {self}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWeight:
    """Grams of one piece, its size (empty where none is said), and which part of it is weighed."""

    size: str
    part: str
    grams: Fraction
    low: Fraction
    high: Fraction
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # each entry of the table is one object
class Ingredient:
    """One ingredient under an id of our own, with the British and American everyday names."""

    id: str
    british: str
    american: str
    other_names: tuple[str, ...]
    form: Form
    raises: bool
    default_packing: str
    densities: MappingProxyType[str, Density]
    pieces: MappingProxyType[str, PieceWeight]  # by size; the empty key is a piece of which no size is said

    @property
    def piece(self) -> PieceWeight | None:
        """A piece of which no size is said, if it has a weight; its range covers the sizes."""
        return self.pieces.get("")


class UnknownIngredientError(UnknownError):
    """A name that no ingredient has.

    The nearest names are searched only when they are read, because most errors of a long list are only counted.
    """

    code = "unknown_ingredient"

    def __init__(self, name: str) -> None:
        """Keep the name."""
        ValueError.__init__(self, "No ingredient of that name")
        self.name, self.path = name, ()
        self.value, self.limit, self.unit = None, None, ""

    def brief(self) -> "UnknownIngredientError":
        """The same error without the nearest names."""
        self.__dict__ |= {"candidates": (), "detail": "No ingredient of that name."}
        return self

    @cached_property
    def candidates(self) -> tuple[str, ...]:  # type: ignore[override]  # the base class sets it; here it is computed
        """Ids of the nearest ingredients."""
        return nearest_names(self.name)

    @cached_property
    def detail(self) -> str:  # type: ignore[override]  # the same
        """What is wrong, with the nearest names."""
        nearest = f"; the nearest are {', '.join(self.candidates)}" if self.candidates else ""
        return f"No ingredient of that name{nearest}."


def find_ingredient(name: str) -> Ingredient:
    """The ingredient that a name means.

    Args:
        name: an id or an everyday name, British or American, singular or plural, in any case.
    Returns:
        The ingredient.
    Raises:
        AmbiguousError: a bare word (flour, sugar) for several.
        UnknownError: none has this name; candidates are the nearest names.

    >>> find_ingredient("All-Purpose Flour").id
    'plain-flour'
    """
    if ingredient := INGREDIENTS.get(name):
        return ingredient
    plain = normal_name(name)
    if ingredient := _named(plain):
        return ingredient
    if meant := _ambiguous(plain):
        raise AmbiguousError(
            f"Several ingredients have this name; give one of {', '.join(meant)}.",
            code="ambiguous_ingredient",
            candidates=meant,
        )
    if (sized := _without_size(plain)) is not None:
        return sized[0]
    raise UnknownIngredientError(name)


def size_in(name: str) -> str | None:
    """The size that a name says before the ingredient.

    Args:
        name: the name of one piece, such as "large banana" or "gold leaf gelatine".
    Returns:
        The size, as in the ingredient's `pieces` or as of an egg; None where the name says none.

    >>> size_in("large bananas"), size_in("banana")
    ('large', None)
    """
    plain = normal_name(name)
    if name in INGREDIENTS or _named(plain) is not None:
        return None
    sized = _without_size(plain)
    return None if sized is None else sized[1]


def _named(plain: str) -> Ingredient | None:
    """The ingredient with a name in normal form, singular or plural."""
    if ingredient := _NAMES.get(plain):
        return ingredient
    return next((ingredient for name in _singulars(plain) if (ingredient := _NAMES.get(name))), None)


def _ambiguous(plain: str) -> tuple[str, ...]:
    """The ingredients that an ambiguous word means, singular or plural."""
    return _AMBIGUOUS.get(plain) or next((_AMBIGUOUS[name] for name in _singulars(plain) if name in _AMBIGUOUS), ())


def _without_size(plain: str) -> tuple[Ingredient, str] | None:
    """The ingredient and the size of a name such as "large banana"; eggs have classes, which differ by country."""
    for size in SIZES:
        rest = plain.removeprefix(f"{size} ")
        if rest != plain and (ingredient := _named(rest)) and (size in ingredient.pieces or ingredient.id in EGGS):
            return ingredient, size
    return None


def search_ingredients(text: str) -> tuple[Ingredient, ...]:
    """Ingredients with *text* in one of their names, then those with the nearest names."""
    plain = normal_name(text)
    holding = dict.fromkeys(ingredient.id for name, ingredient in _NAMES.items() if plain in name)
    return tuple(INGREDIENTS[key] for key in holding | dict.fromkeys(nearest_names(text)))


def nearest_names(name: str) -> tuple[str, ...]:
    """Ids of the ingredients that *name* may mean, in other languages or mistyped, likeliest first; at most five."""
    return _nearest_names(normal_name(name[:MAX_NAME]))


@lru_cache(maxsize=1024)  # its keys are bounded, so that long names cannot fill the memory
def _nearest_names(name: str) -> tuple[str, ...]:
    from domain.reading.names import near_names  # noqa: PLC0415 - the names of other languages rest on this module

    return near_names(name)[:NEAREST]


def check_packing(packing: str | None, ingredient: Ingredient | None) -> None:
    """Check a packing whose density is not needed, because another part of the request is wrong.

    Args:
        packing: how the measure was filled, if that is known.
        ingredient: the ingredient, if it is known.
    Raises:
        UnknownError: no ingredient, or not this one, has this packing.
    """
    packings = PACKINGS if ingredient is None or not ingredient.densities else frozenset(ingredient.densities)
    if packing is not None and packing not in packings and not (packing in PACKINGS and packings == {UNSTATED}):
        candidates = tuple(sorted(packings))
        raise UnknownError("There is no such packing.", code="unknown_packing", candidates=candidates)


def density_of(ingredient: Ingredient, packing: str | None = None) -> tuple[Density, bool]:
    """The density of an ingredient in a packing.

    Args:
        ingredient: the ingredient.
        packing: how the measure was filled. None stands for the ingredient's default, with a range that
            covers all its packings. If the only source does not state its packing, its figure is used for any.
    Returns:
        The density, and whether the packing was assumed.
    Raises:
        UnknownError: there is no figure for this packing, or none at all.
    """
    densities = ingredient.densities
    if not densities:
        reason = NO_DENSITY[ingredient.id]
        raise UnknownError(
            f"There is no density for {ingredient.id}: {reason}. Weigh it, or give g_per_ml.", code="no_density"
        )
    if packing is None:
        default = densities[ingredient.default_packing]
        # A whipped measure is always called whipped.
        meant = tuple(density for density in densities.values() if density is default or density.packing != WHIPPED)
        return (default, False) if len(meant) == 1 else (_spanning(default, meant), True)
    if packing in densities:
        return densities[packing], False
    if packing in PACKINGS and tuple(densities) == (UNSTATED,):
        return densities[UNSTATED], True
    raise UnknownError(
        f"There is no density for {ingredient.id} in this packing; its packings are {', '.join(densities)}.",
        path=("packing",),
        code="unknown_packing",
        candidates=tuple(densities),
    )


def _spanning(default: Density, all_of_them: tuple[Density, ...]) -> Density:
    return Density(
        packing=default.packing,
        g_per_ml=default.g_per_ml,
        basis=default.basis,
        note=default.note,
        low=min(d.low for d in all_of_them),
        high=max(d.high for d in all_of_them),
        cited=tuple(dict.fromkeys((*default.cited, *(c for d in all_of_them for c in d.cited)))),
    )


def normal_name(name: str) -> str:
    """A name in the form in which names are compared: lower case, hyphens as spaces, single spaces."""
    return " ".join(name.casefold().replace("’", "'").replace("_", " ").replace("-", " ").split())


def _singulars(name: str) -> Iterator[str]:
    for plural, singular in (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f")):
        if name.endswith(plural):
            yield name.removesuffix(plural) + singular


def _density(form: str, records: list[dict[str, str]]) -> Density:
    (central,) = (row for row in records if row["use"] != "range")
    figure, analogy = _exact(central["grams"]) / _ml(central), central["use"] == "analogy"
    spread = SPREAD[form] * (ANALOGY_WIDENS if analogy else 1)
    figures = [edge for row in records for edge in _edges(row)]
    return Density(
        packing=central["packing"],
        g_per_ml=figure,
        low=min(*figures, figure * (1 - spread)),
        high=max(*figures, figure * (1 + spread)),
        basis="analogy" if analogy else "ranged" if len(records) > 1 else "single",
        cited=tuple(dict.fromkeys(cited(row) for row in (central, *(r for r in records if r is not central)))),
        note=central["note"],
    )


def _edges(row: dict[str, str]) -> tuple[Fraction, Fraction]:
    """The range of a printed figure: half of its last digit either way."""
    whole, _, part = row["grams"].partition(".")
    halves, bottom, ml = 2 * int(whole + part), 2 * 10 ** len(part), _ml(row)
    top, bottom = ml.denominator, bottom * ml.numerator
    return Fraction((halves - 1) * top, bottom), Fraction((halves + 1) * top, bottom)


def _ml(row: dict[str, str]) -> Fraction:
    return _measure(row["amount"], row["unit"])


@cache
def _measure(amount: str, unit: str) -> Fraction:
    return Fraction(amount) * UNITS[unit].factor


@cache  # two thousand cells hold a few hundred different figures
def _exact(cell: str) -> Fraction:
    return Fraction(cell)


def _piece(row: dict[str, str]) -> PieceWeight:
    low, grams, high = (Fraction(row[column]) for column in ("low", "grams", "high"))
    if not 0 < low <= grams <= high:
        raise ValueError(f"piece_weights.csv: bad row {row}")
    # Fruits differ from each other at least as much as two tables do.
    low, high = min(low, grams * (1 - SPREAD["pieces"])), max(high, grams * (1 + SPREAD["pieces"]))
    return PieceWeight(size=row["size"], part=row["part"], grams=grams, low=low, high=high, cited=cited(row))


def _pieces(weights: list[PieceWeight]) -> MappingProxyType[str, PieceWeight]:
    by_size = {weight.size: weight for weight in weights}
    if len(by_size) != len(weights):
        raise ValueError(f"piece_weights.csv: a size twice: {weights}")
    unsized = by_size.get("") or by_size.get(USUAL_SIZE)
    if unsized is not None:
        low, high = min(weight.low for weight in weights), max(weight.high for weight in weights)
        by_size[""] = replace(unsized, size="", low=low, high=high)
    return MappingProxyType(by_size)


def _load() -> MappingProxyType[str, Ingredient]:
    records: dict[str, dict[str, list[dict[str, str]]]] = {}
    for row in rows("densities"):
        records.setdefault(row["ingredient"], {}).setdefault(row["packing"], []).append(row)
    pieces: dict[str, list[PieceWeight]] = {}
    for row in rows("piece_weights"):
        pieces.setdefault(row["ingredient"], []).append(_piece(row))
    table: dict[str, Ingredient] = {}
    for row in rows("ingredients"):
        key = row["id"]
        densities = {packing: _density(row["form"], measures) for packing, measures in records.pop(key, {}).items()}
        if key in table or (densities and row["default_packing"] not in densities):
            raise ValueError(f"ingredients.csv: duplicate, or without its default packing: {row}")
        table[key] = Ingredient(
            id=key,
            british=row["british"],
            american=row["american"],
            other_names=words(row["other_names"]),
            form=row["form"],  # type: ignore[arg-type]  # SPREAD has rejected any other
            raises=row["raises"] == "yes",
            default_packing=row["default_packing"],
            densities=MappingProxyType(densities),
            pieces=_pieces(pieces.pop(key, [])),
        )
    if records or pieces:
        raise ValueError(f"figures for unknown ingredients: {list(records)} {list(pieces)}")
    return MappingProxyType(table)


def _load_names() -> MappingProxyType[str, Ingredient]:
    names: dict[str, Ingredient] = {}
    for ingredient in INGREDIENTS.values():
        for name in (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names):
            if names.setdefault(normal_name(name), ingredient) is not ingredient:
                raise ValueError(f"ingredients.csv: {name!r} names two ingredients")
    return MappingProxyType(names)


def _load_ambiguous() -> MappingProxyType[str, tuple[str, ...]]:
    table = {row["word"]: words(row["ingredients"]) for row in rows("ambiguous_names")}
    for word, meant in table.items():
        if word in _NAMES or not all(key in INGREDIENTS for key in meant):
            raise ValueError(f"ambiguous_names.csv: {word!r} is already a name, or refers to an unknown ingredient")
    return MappingProxyType(table)


SPREAD = MappingProxyType({row["form"]: Fraction(row["spread_percent"]) / 100 for row in rows("spread")})
INGREDIENTS = _load()
NO_DENSITY = MappingProxyType({row["ingredient"]: row["reason"] for row in rows("unknown_densities")})
if NO_DENSITY.keys() != {ingredient.id for ingredient in INGREDIENTS.values() if not ingredient.densities}:
    raise ValueError("unknown_densities.csv: every ingredient without a density needs a reason, and no other one")
SIZES = tuple(sorted({size for i in INGREDIENTS.values() for size in i.pieces if size}, key=len, reverse=True))
PACKINGS = frozenset(packing for ingredient in INGREDIENTS.values() for packing in ingredient.densities)
_NAMES = _load_names()
_AMBIGUOUS = _load_ambiguous()
