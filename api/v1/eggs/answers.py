"""From the domain's eggs to the answers of `/v1/eggs`."""

from typing import Any

from api.v1.eggs.reading import Eggs
from api.wire.answers import source_refs, warnings, without_none
from domain.things.eggs import (
    EGG_CLASSES,
    EggClass,
    EggCount,
    EggPortion,
    class_notices,
    count_eggs,
    egg_mass,
    egg_sources,
    total_mass,
)


def eggs_answer(eggs: Eggs, *, in_query: bool) -> dict[str, Any]:
    """All parts in every form."""
    egg_class, total = eggs.egg_class, total_mass(eggs.portions)
    notices = [notice.within("egg_class") for notice in class_notices(egg_class)]
    for index, available in enumerate(eggs.available):
        notices += [notice.within("available_egg_classes", index) for notice in class_notices(available)]
    return {
        "egg_class": egg_class.id,
        "grams": total.grams,
        "grams_low": total.low,
        "grams_high": total.high,
        "parts": [_part(portion, eggs.available) for portion in eggs.portions],
        "cited": source_refs(egg_sources(egg_class)),
        "warnings": warnings(notices, in_query=in_query),
    }


def _part(portion: EggPortion, available: tuple[EggClass, ...]) -> dict[str, Any]:
    mass, dried = portion.mass, portion.dried
    return {
        "part": portion.part,
        "asked_count": portion.count,
        "grams": mass.grams,
        "grams_low": mass.low,
        "grams_high": mass.high,
        "liquid_ml": portion.liquid_ml,
        "dried": {"grams": dried.grams, "water_grams": dried.water_grams, "cited": source_refs((dried.cited,))},
        "counts": [egg_count_answer(count_eggs(mass.grams, portion.part, each)) for each in available],
    }


def egg_count_answer(count: EggCount) -> dict[str, Any]:
    """A count of eggs; the answers of other topics have it too."""
    return {
        "egg_class": count.egg_class,
        "exact_count": count.exact,
        "count": count.nearest,
        "grams": count.grams,
        "surplus_grams": count.surplus_grams,
        "error_percent": count.error_percent,
        "whole_eggs": count.whole_eggs,
        "beaten_grams": count.beaten_grams,
    }


def classes_answer() -> dict[str, Any]:
    """All egg classes."""
    return {"egg_classes": [_class_answer(egg_class) for egg_class in EGG_CLASSES.values()]}


def _class_answer(egg_class: EggClass) -> dict[str, Any]:
    return without_none(
        egg_class=egg_class.id,
        region=egg_class.region,
        label=egg_class.label,
        min_grams=egg_class.min_g,
        max_grams=egg_class.max_g,
        typical_grams=egg_class.typical_g,
        assumed_end=egg_class.open_end or None,
        whole_grams=egg_mass("whole", egg_class).grams,
        yolk_grams=egg_mass("yolk", egg_class).grams,
        white_grams=egg_mass("white", egg_class).grams,
        cited=source_refs(egg_sources(egg_class)),
    )
