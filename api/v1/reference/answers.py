"""From the reference tables to the answers of `/v1/ingredients`, `/v1/units` and `/v1/sources`."""

from typing import Any

from api.wire.answers import source_details, source_refs, without_none
from domain.measures.units import BASE_UNIT, KITCHEN_WORDS, UNITS, Unit
from domain.recalled import RECALLED
from domain.sources import SOURCES
from domain.things.ingredients import INGREDIENTS, Density, Ingredient, PieceWeight


def ingredients_answer() -> dict[str, Any]:
    """All ingredients."""
    return {"ingredients": [ingredient_answer(ingredient) for ingredient in INGREDIENTS.values()]}


def units_answer() -> dict[str, Any]:
    """All units and kitchen words."""
    words = [
        {"word": word, **entry.meanings, "cited": source_refs((entry.cited,))}
        for word, entry in KITCHEN_WORDS.items()
        if word == entry.word
    ]
    return {"units": [_unit(unit) for unit in UNITS.values()], "kitchen_words": words}


def sources_answer() -> dict[str, Any]:
    """All sources, and what rests on recalled figures."""
    recalled = [{"answers": topic.answers, "figure_count": topic.figures, "of": topic.of} for topic in RECALLED]
    return {"sources": [source_details(key) for key in SOURCES], "recalled": recalled}


def ingredient_answer(ingredient: Ingredient) -> dict[str, Any]:
    """One ingredient."""
    return without_none(
        id=ingredient.id,
        british=ingredient.british,
        american=ingredient.american,
        other_names=list(ingredient.other_names),
        form=ingredient.form,
        raises=ingredient.raises,
        default_packing=ingredient.default_packing or None,
        densities=[_density(density) for density in ingredient.densities.values()],
        pieces=[_piece(ingredient.pieces[size]) for size in sorted(ingredient.pieces)],
    )


def _piece(piece: PieceWeight) -> dict[str, Any]:
    return without_none(
        size=piece.size or None,
        part=piece.part,
        grams=float(piece.grams),
        grams_low=float(piece.low),
        grams_high=float(piece.high),
        cited=source_refs((piece.cited,)),
    )


def _density(density: Density) -> dict[str, Any]:
    return without_none(
        packing=density.packing,
        g_per_ml=float(density.g_per_ml),
        g_per_ml_low=float(density.low),
        g_per_ml_high=float(density.high),
        basis=density.basis,
        note=density.note or None,
        cited=source_refs(density.cited),
    )


def _unit(unit: Unit) -> dict[str, Any]:
    scaled = unit.dimension != "temperature"  # temperatures have an offset too
    return without_none(
        id=unit.id,
        name=unit.name,
        dimension=unit.dimension,
        base_unit=BASE_UNIT[unit.dimension] if scaled else None,
        factor=float(unit.factor) if scaled else None,
        exact=str(unit.factor) if scaled and not unit.vague else None,
        factor_low=float(unit.low) if unit.vague else None,
        factor_high=float(unit.high) if unit.vague else None,
        cited=source_refs((unit.cited,)),
    )
