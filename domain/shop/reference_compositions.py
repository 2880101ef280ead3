"""The reference compositions of our ingredients, by market, and the reasons why an ingredient has none."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from domain.reference import rows, words
from domain.shop.allergens import LIST_OF, MARKETS, Market
from domain.shop.nutrition import MACROS, NUTRIENTS, PARTS, Composition, Nutrient, make_composition
from domain.sources import Cited, cited
from domain.things.ingredients import INGREDIENTS, Ingredient, normal_name

CRUDE_PROTEIN_FACTOR = 6.25  # Regulation (EU) 1169/2011, Annex I point 10 (label_rules.csv)
MAX_WITH_CRUDE_PROTEIN_G = 102.0  # our own limit: rows by difference add up to a little more than 100 g
# Whose product stands in for a market's own, the nearest first; an empty market is the same product everywhere.
NEAREST: MappingProxyType[Market, tuple[str, ...]] = MappingProxyType(
    {"eu": ("eu", "", "uk", "au", "us"), "uk": ("uk", "", "eu", "au", "us"), "us": ("us", "", "uk", "eu", "au")}
)
PRODUCT_OF = MappingProxyType({"uk": "British", "eu": "continental European", "au": "Australian", "us": "American"})


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownComposition:
    """Why an ingredient of ours has no composition, in words that follow its name."""

    reason: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A row of the table: its composition with protein as printed, and with protein as nitrogen times 6.25.

    `market` is whose product it is; empty if it is the same everywhere. `names` are those that it is for; empty: all.
    """

    market: str
    names: tuple[str, ...]
    printed: Composition
    crude_protein: Composition


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cell:
    nutrient: Nutrient
    value: float
    words: str
    cited: Cited


def composition_of(ingredient: Ingredient | None, name: str, market: Market | None = None) -> Composition | None:
    """The reference record of an ingredient; where it has several, that of the line's name and the market's product.

    Args:
        ingredient: of ours; None for a thing that is none of them.
        name: as the line has it.
        market: whose label it is for. In the EU and the UK protein is nitrogen times 6.25, whatever factor the source
            used, and carbohydrate by difference makes room for it. None: figures as printed.
    Returns:
        The composition; None if there is none.
    Source:
        nutrition.csv; Regulation (EU) 1169/2011, Annex I point 10.

    >>> from domain.things.ingredients import find_ingredient
    >>> salted = composition_of(find_ingredient("butter"), "salted butter")
    >>> salted.per_100g["sodium_mg"] if salted else None
    643.0
    """
    if ingredient is None:
        return None
    by_name = _BY_MARKET[market].get(ingredient.id, {})
    return by_name.get(normal_name(name)) or by_name.get("")


def _load() -> MappingProxyType[str, tuple[Record, ...]]:
    table: dict[str, tuple[Record, ...]] = {}
    for row in rows("nutrition"):
        if row["ingredient"] not in INGREDIENTS or row["use"] not in {"figure", "analogy"}:
            raise ValueError(f"nutrition.csv: bad row {row}")
        cells = () if row["names"] else _BORROWED.get((row["ingredient"], row["market"]), ())
        printed = _figures(row, cells)
        citations = (cited(row), *(_ZEROS[kind][1] for kind in words(row["zeros"])), *(cell.cited for cell in cells))
        by_factor = [
            make_composition(
                figures,
                cited=citations,
                assumes=row["assumes"],
                market=row["market"],
                analogy=row["use"] == "analogy",
                borrowed=tuple((cell.nutrient, cell.words) for cell in cells),
            )
            for figures in (printed, _with_crude_protein(printed, row["nitrogen_factor"]))
        ]
        record = Record(
            market=row["market"], names=words(row["names"]), printed=by_factor[0], crude_protein=by_factor[1]
        )
        table[row["ingredient"]] = (*table.get(row["ingredient"], ()), record)
    return MappingProxyType(table)


def _figures(row: Mapping[str, str], cells: Iterable[_Cell]) -> dict[Nutrient, float]:
    figures = {nutrient: float(row[column]) for column, nutrient in _COLUMNS.items() if row[column]}
    for kind in words(row["zeros"]):
        for nutrient in _ZEROS[kind][0]:
            figures.setdefault(nutrient, 0.0)
    for cell in cells:
        if cell.nutrient in figures:
            raise ValueError(f"borrowed_cells.csv: the record has a figure of its own: {cell}")
        figures[cell.nutrient] = cell.value
    if "total_carbohydrate_g" in figures and "fibre_g" in figures:
        figures["carbohydrate_g"] = max(0.0, figures.pop("total_carbohydrate_g") - figures["fibre_g"])
    for part, whole in PARTS:
        # Sugars are measured and carbohydrate is a difference, so the printed part can exceed its whole a little.
        if part in figures and whole in figures:
            figures[part] = min(figures[part], figures[whole])
    return figures


def _with_crude_protein(figures: dict[Nutrient, float], factor: str) -> dict[Nutrient, float]:
    """The figures with protein as nitrogen times 6.25.

    A carbohydrate by difference is less by the grams that protein is more. Gelatine is the only ingredient whose crude
    protein would exceed what its water leaves; it is cut to that.
    """
    if not factor or "protein_g" not in figures:
        return figures
    crude_g = figures["protein_g"] * CRUDE_PROTEIN_FACTOR / float(factor)
    changed: dict[Nutrient, float] = figures | {"protein_g": crude_g}
    if "carbohydrate_g" in figures:
        rest_g = figures["carbohydrate_g"] - (crude_g - figures["protein_g"])
        changed["carbohydrate_g"] = max(rest_g, figures.get("sugars_g", 0.0))
    over_g = sum(changed.get(part, 0.0) for part in MACROS) - MAX_WITH_CRUDE_PROTEIN_G
    changed["protein_g"] = min(crude_g, crude_g - over_g)
    return changed


def _load_by_market() -> MappingProxyType[Market | None, Mapping[str, Mapping[str, Composition]]]:
    table: dict[Market | None, Mapping[str, Mapping[str, Composition]]] = {
        None: {key: _by_name(records, crude_protein=False) for key, records in RECORDS.items()}
    }
    for market in MARKETS:
        order = NEAREST[market].index
        table[market] = {
            key: _by_name(
                sorted(records, key=lambda record: order(record.market)), crude_protein=LIST_OF[market] == "eu"
            )
            for key, records in RECORDS.items()
        }
    return MappingProxyType(table)


def _by_name(records: Iterable[Record], *, crude_protein: bool) -> dict[str, Composition]:
    by_name: dict[str, Composition] = {}
    for record in records:
        for name in record.names or ("",):
            by_name.setdefault(normal_name(name), record.crude_protein if crude_protein else record.printed)
    return by_name


def _load_zeros() -> dict[str, tuple[tuple[Nutrient, ...], Cited]]:
    table: dict[str, tuple[tuple[Nutrient, ...], Cited]] = {}
    for row in rows("natural_zeros"):
        nutrients: tuple[Nutrient, ...] = tuple(key for key in NUTRIENTS if key in words(row["nutrients"]))
        if len(nutrients) != len(words(row["nutrients"])):
            raise ValueError(f"natural_zeros.csv: bad row {row}")
        table[row["kind"]] = (nutrients, cited(row))
    return table


def _load_borrowed() -> dict[tuple[str, str], tuple[_Cell, ...]]:
    table: dict[tuple[str, str], tuple[_Cell, ...]] = {}
    for row in rows("borrowed_cells"):
        cell = _Cell(
            nutrient=next(nutrient for nutrient in NUTRIENTS if nutrient == row["nutrient"]),
            value=float(row["value"]),
            words=row["words"],
            cited=cited(row),
        )
        key = row["ingredient"], row["market"]
        table[key] = (*table.get(key, ()), cell)
    return table


def _load_unknown() -> MappingProxyType[str, UnknownComposition]:
    table = {
        row["ingredient"]: UnknownComposition(reason=row["reason"], cited=cited(row))
        for row in rows("unknown_compositions")
    }
    if wrong := [key for key in table if key not in INGREDIENTS or key in RECORDS]:
        raise ValueError(f"unknown_compositions.csv: not an ingredient, or it has a composition: {wrong}")
    return MappingProxyType(table)


_COLUMNS: dict[str, Nutrient] = {
    "water_g": "water_g",
    "protein_g": "protein_g",
    "fat_g": "fat_g",
    "saturates_g": "saturates_g",
    "trans_fat_g": "trans_fat_g",
    "cholesterol_mg": "cholesterol_mg",
    "carbohydrate_g": "carbohydrate_g",
    "carbohydrate_with_fibre_g": "total_carbohydrate_g",
    "fibre_g": "fibre_g",
    "sugars_g": "sugars_g",
    "sodium_mg": "sodium_mg",
    "potassium_mg": "potassium_mg",
    "calcium_mg": "calcium_mg",
    "iron_mg": "iron_mg",
    "vitamin_d_ug": "vitamin_d_ug",
    "alcohol_g": "alcohol_g",
}
_ZEROS = _load_zeros()
_BORROWED = _load_borrowed()
RECORDS = _load()
_BY_MARKET = _load_by_market()
UNKNOWN = _load_unknown()
