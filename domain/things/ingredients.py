"""What is known of each ingredient: names, grams per millilitre by packing, grams of one piece."""

from dataclasses import dataclass
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
DRY_FORMS: frozenset[Form] = frozenset({"powder", "grains"})  # what one levels in a spoon
WHIPPED = "whipped"
UNSTATED = "unstated"  # the packing of a figure whose source does not say
ANALOGY_WIDENS = 2  # a borrowed figure is trusted half as far as one of its own; our own rule
NEAREST = 5  # how many near names a refusal offers; our own choice
MAX_NAME = 80  # our own limit: characters of a name that are compared; no name of ours has as many
NEAR_ENOUGH = 55  # of 100, rapidfuzz's ratio of edits; our own choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """Grams in a millilitre of an ingredient in one packing, exact, with the range around it.

    The range spans every record and half of the last digit it prints, and is never narrower than two
    published tables disagree about foods of this form (spread.csv). `basis`: `ranged` (several records),
    `single` (one), `analogy` (borrowed from a neighbour, and so twice as wide).
    """

    packing: str
    g_per_ml: Fraction
    low: Fraction
    high: Fraction
    basis: Basis
    cited: tuple[Cited, ...]
    note: str

    def __post_init__(self) -> None:
        """Refuse what no food is."""
        if not Fraction(1, 20) <= self.low <= self.g_per_ml <= self.high < 3:
            raise ValueError(f"not a density: {self}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWeight:
    """Grams of one, and which part of it is meant."""

    part: str
    grams: Fraction
    low: Fraction
    high: Fraction
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # one object an entry: identity will do
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
    piece: PieceWeight | None


class UnknownIngredientError(UnknownError):
    """A name that none of our ingredients has.

    The nearest names are looked for when they are first read: most refusals of a long list are only counted, and a
    line of the caller's own is none.
    """

    code = "unknown-ingredient"

    def __init__(self, name: str) -> None:
        """Keep the name."""
        ValueError.__init__(self, "No ingredient of that name")
        self.name, self.path = name, ()

    def brief(self) -> "UnknownIngredientError":
        """Without the nearest names."""
        self.__dict__ |= {"candidates": (), "detail": "No ingredient of that name."}
        return self

    @cached_property
    def candidates(self) -> tuple[str, ...]:  # type: ignore[override]  # set by the base, worked out here
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
    if known := INGREDIENTS.get(name):
        return known
    for spelling in _spellings(normal_name(name)):
        if known := _NAMES.get(spelling):
            return known
    if meant := _AMBIGUOUS.get(normal_name(name)):
        raise AmbiguousError(
            f"Several ingredients go by that word; say which: {', '.join(meant)}.",
            code="ambiguous-ingredient",
            candidates=meant,
        )
    raise UnknownIngredientError(name)


def search_ingredients(text: str) -> tuple[Ingredient, ...]:
    """Ingredients with *text* in one of their names, then those with the nearest names."""
    plain = normal_name(text)
    holding = dict.fromkeys(ingredient.id for name, ingredient in _NAMES.items() if plain in name)
    return tuple(INGREDIENTS[key] for key in holding | dict.fromkeys(nearest_names(text)))


def nearest_names(name: str) -> tuple[str, ...]:
    """Ids of the ingredients whose names look most like *name*, nearest first, at most five."""
    return _nearest_names(normal_name(name[:MAX_NAME]))


@lru_cache(maxsize=1024)  # its keys are bounded, so that long names cannot fill the memory
def _nearest_names(name: str) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process  # noqa: PLC0415 - only errors need it, so it is not loaded at start

    found = process.extract(name, _NAMES.keys(), scorer=fuzz.ratio, limit=4 * NEAREST, score_cutoff=NEAR_ENOUGH)
    return tuple(dict.fromkeys(_NAMES[key].id for key, _, _ in found))[:NEAREST]


def density_of(ingredient: Ingredient, packing: str | None = None) -> tuple[Density, bool]:
    """How heavy a millilitre is, in the packing meant.

    Args:
        ingredient: whose.
        packing: how the measure was filled; None takes the ingredient's default, with a range that spans
            all its packings if it has several. Where the only source does not state its packing, its
            figure serves for any.
    Returns:
        The density, and whether the packing had to be assumed.
    Raises:
        UnknownError: no figure for this packing, or none at all.
    """
    known = ingredient.densities
    if not known:
        raise UnknownError(f"No density was read for {ingredient.id}: weigh it, or give g_per_ml.", code="no-density")
    if packing is None:
        default = known[ingredient.default_packing]
        # Nobody measures a cream whipped without saying so.
        meant = tuple(density for density in known.values() if density is default or density.packing != WHIPPED)
        return (default, False) if len(meant) == 1 else (_spanning(default, meant), True)
    if packing in known:
        return known[packing], False
    if packing in PACKINGS and tuple(known) == (UNSTATED,):
        return known[UNSTATED], True
    raise UnknownError(
        f"No figure for {ingredient.id} in that packing; known: {', '.join(known)}.",
        path=("packing",),
        code="unknown-packing",
        candidates=tuple(known),
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
    """A name as it is compared: lower case, hyphens as spaces, one space at a time."""
    return " ".join(name.casefold().replace("’", "'").replace("_", " ").replace("-", " ").split())


def _spellings(name: str) -> tuple[str, ...]:
    endings = (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f"))
    return (name, *(name.removesuffix(end) + singular for end, singular in endings if name.endswith(end)))


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
    """Where a printed figure may lie: half of its last digit either way."""
    whole, _, part = row["grams"].partition(".")
    halves, bottom, ml = 2 * int(whole + part), 2 * 10 ** len(part), _ml(row)
    top, bottom = ml.denominator, bottom * ml.numerator
    return Fraction((halves - 1) * top, bottom), Fraction((halves + 1) * top, bottom)


def _ml(row: dict[str, str]) -> Fraction:
    return _measure(row["amount"], row["unit"])


@cache
def _measure(amount: str, unit: str) -> Fraction:
    return Fraction(amount) * UNITS[unit].factor


@cache  # the same few hundred figures in two thousand cells
def _exact(cell: str) -> Fraction:
    return Fraction(cell)


def _piece(row: dict[str, str]) -> PieceWeight:
    low, grams, high = (Fraction(row[column]) for column in ("low", "grams", "high"))
    if not 0 < low <= grams <= high:
        raise ValueError(f"piece_weights.csv: bad row {row}")
    # One fruit differs from the next at least as much as two tables do about pieces.
    low, high = min(low, grams * (1 - SPREAD["pieces"])), max(high, grams * (1 + SPREAD["pieces"]))
    return PieceWeight(part=row["part"], grams=grams, low=low, high=high, cited=cited(row))


def _load() -> MappingProxyType[str, Ingredient]:
    records: dict[str, dict[str, list[dict[str, str]]]] = {}
    for row in rows("densities"):
        records.setdefault(row["ingredient"], {}).setdefault(row["packing"], []).append(row)
    pieces = {row["ingredient"]: _piece(row) for row in rows("piece_weights")}
    table: dict[str, Ingredient] = {}
    for row in rows("ingredients"):
        key = row["id"]
        densities = {packing: _density(row["form"], found) for packing, found in records.pop(key, {}).items()}
        if key in table or (densities and row["default_packing"] not in densities):
            raise ValueError(f"ingredients.csv: twice, or without its default packing: {row}")
        table[key] = Ingredient(
            id=key,
            british=row["british"],
            american=row["american"],
            other_names=words(row["other_names"]),
            form=row["form"],  # type: ignore[arg-type]  # SPREAD has refused any other
            raises=row["raises"] == "yes",
            default_packing=row["default_packing"],
            densities=MappingProxyType(densities),
            piece=pieces.pop(key, None),
        )
    if records or pieces:
        raise ValueError(f"figures for no ingredient: {list(records)} {list(pieces)}")
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
            raise ValueError(f"ambiguous_names.csv: {word!r} is a name already, or means what is not there")
    return MappingProxyType(table)


SPREAD = MappingProxyType({row["form"]: Fraction(row["spread_percent"]) / 100 for row in rows("spread")})
INGREDIENTS = _load()
PACKINGS = frozenset(packing for ingredient in INGREDIENTS.values() for packing in ingredient.densities)
_NAMES = _load_names()
_AMBIGUOUS = _load_ambiguous()
