"""How well the figures are known, and how many ingredients have each kind of figure."""

from collections import Counter
from importlib.resources import files

from domain.recalled import confidence_of
from domain.reference import rows
from domain.shop.allergens import PLAIN
from domain.shop.reference_compositions import RECORDS, UNKNOWN
from domain.sources import CONFIDENCES
from domain.things.ingredients import INGREDIENTS, NO_DENSITY


def tables() -> tuple[str, ...]:
    """The tables of domain/reference whose rows have a source."""
    names = sorted(path.name.removesuffix(".csv") for path in files("domain.reference").iterdir())
    csv_names = [name for name in names if (files("domain.reference") / f"{name}.csv").is_file() and name != "sources"]
    return tuple(name for name in csv_names if "source" in rows(name)[0])


def counts() -> dict[str, Counter[str]]:
    """The rows of each table by confidence."""
    return {table: Counter(confidence_of(row) for row in rows(table) if row["source"]) for table in tables()}


def coverage() -> dict[str, int]:
    """The ingredients with each kind of figure."""
    ingredients = INGREDIENTS.values()
    return {
        "ingredients": len(INGREDIENTS),
        "density": sum(bool(ingredient.densities) for ingredient in ingredients),
        "without density, for a reason": len(NO_DENSITY),
        "composition": sum(ingredient.id in RECORDS for ingredient in ingredients),
        "stated as unknown": len(UNKNOWN),
        "allergens": sum(ingredient.id in PLAIN for ingredient in ingredients),
        "piece weight": sum(bool(ingredient.pieces) for ingredient in ingredients),
        "other names": sum(bool(ingredient.other_names) for ingredient in ingredients),
    }


def lines() -> list[str]:
    """The counts and the coverage as text."""
    by_table = counts()
    width = max(map(len, by_table))
    head = f"{'table':{width}} {'rows':>6} " + " ".join(f"{word:>9}" for word in CONFIDENCES)
    text = [head]
    for table, by_confidence in by_table.items():
        numbers = " ".join(f"{by_confidence[word]:9}" for word in CONFIDENCES)
        text.append(f"{table:{width}} {by_confidence.total():6} {numbers}")
    whole = sum(by_table.values(), Counter())
    text += [f"{'sum':{width}} {whole.total():6} " + " ".join(f"{whole[word]:9}" for word in CONFIDENCES), ""]
    return [*text, *(f"{name:30} {number:5}" for name, number in coverage().items())]
