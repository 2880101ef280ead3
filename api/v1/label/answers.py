"""From the domain's label figures to the `label_figures` of a target."""

from typing import Any

from api.wire.answers import source_refs, without_none
from api.wire.problems import pointer_to
from domain.shop.allergens import PLAIN, Market
from domain.shop.composition import Use, use_citations
from domain.shop.ingredient_list import AllergenGroup, Entry, Run, list_text
from domain.shop.label import Declared, LabelFigures
from domain.shop.label_estimates import Bounds
from domain.shop.label_rules import Rounded, omissions, rules
from domain.sources import Cited

NOT_PRINTED = "figures_missing"  # the reason why a nutrient has no printed text
LANGUAGE = "en"  # of the names and texts on the label


def label_figures(figures: LabelFigures) -> dict[str, Any]:
    """The label of one target.

    Args:
        figures: of the label.
    Returns:
        The figures, without those that are not known.
    """
    sold, runs = figures.sold, list_text(figures.entries)
    return without_none(
        product_name=sold.name,
        language=LANGUAGE,
        mix_grams=figures.mix_g,
        finished_grams=figures.finished_g,
        bake_loss_percent=figures.bake_loss_percent,
        portion_grams=figures.portion_g,
        nutrition=[_declared(line) for line in figures.declared],
        ingredients_text=_text(runs),
        ingredients_runs=[{"text": run.text, "emphasised": run.emphasised} for run in runs],
        ingredients=[_listed(entry) for entry in figures.entries],
        contains=[_group(group) for group in figures.allergens],
        contains_text=_contains_text(figures.allergens),
        may_contain=list(figures.may_contain),
        contents=[
            {"nutrient": content.nutrient, "per_100g": content.amount, "coverage_percent": content.coverage_percent}
            for content in figures.contents_per_100g.values()
            if content.coverage_percent > 0
        ],
    )


def label_rules_answer(market: Market) -> dict[str, Any]:
    """The rules of a market, which all targets have in common."""
    return {
        "market": market,
        "rules": [{"id": rule.id, "text": rule.text, "cited": source_refs((rule.cited,))} for rule in rules(market)],
        "not_computed": [
            {"name": omission.name, "cited": source_refs((omission.cited,))} for omission in omissions(market)
        ],
    }


def label_cited(figures: LabelFigures) -> list[Cited]:
    """The sources of a label."""
    return [
        *(cited for entry in figures.entries for cited in _entry_cited(entry)),
        *(cited for line in figures.declared for cited in _line_cited(line)),
        *(line.printed_per_100g.cited for line in figures.declared if line.printed_per_100g is not None),
    ]


def rules_cited(market: Market) -> list[Cited]:
    """The sources of the rules of a market."""
    return [*(rule.cited for rule in rules(market)), *(omission.cited for omission in omissions(market))]


def _entry_cited(entry: Entry) -> tuple[Cited, ...]:
    """The sources of the mass, the composition and the allergens of an ingredient."""
    use = entry.use
    plain = () if use.ingredient is None else (PLAIN[use.ingredient.id].cited,)
    return tuple(dict.fromkeys((*use_citations(use), *plain, *(listed.cited for listed in entry.allergens))))


def _declared(declared: Declared) -> dict[str, Any]:
    return without_none(
        nutrient=declared.line.nutrient,
        name=declared.line.label_name,
        unit=declared.line.unit,
        per_100g=declared.per_100g,
        per_portion=declared.per_portion,
        printed_per_100g=_printed(declared.printed_per_100g),
        printed_per_portion=_printed(declared.printed_per_portion),
        not_printed=None if declared.complete else NOT_PRINTED,
        estimate_per_100g=_bounds(declared.estimate_per_100g),
        estimate_per_portion=_bounds(declared.estimate_per_portion),
        intake_percent_per_100g=declared.intake_percent_per_100g,
        intake_percent_per_portion=declared.intake_percent_per_portion,
        front_of_pack_band=None if declared.banded is None else declared.banded.band,
        complete=declared.complete,
        coverage_percent=declared.coverage_percent,
        missing=[{"ingredient": use.name, "pointer": pointer_to(("formula", *use.path))} for use in declared.missing],
        cited=source_refs(_line_cited(declared)),
    )


def _line_cited(declared: Declared) -> tuple[Cited, ...]:
    banded = () if declared.banded is None else (declared.banded.cited,)
    return (declared.line.cited, *declared.line.factors_cited, *banded)


def _printed(rounded: Rounded | None) -> dict[str, Any] | None:
    return None if rounded is None else {"text": rounded.text, "cited": source_refs((rounded.cited,))}


def _bounds(bounds: Bounds | None) -> dict[str, float] | None:
    return None if bounds is None else {"amount_low": bounds.low, "amount_high": bounds.high}


def _listed(entry: Entry) -> dict[str, Any]:
    use = entry.use
    return without_none(
        name=entry.name,
        ingredient_id=None if use.ingredient is None else use.ingredient.id,
        grams=entry.grams,
        grams_low=use.mass.low,
        grams_high=use.mass.high,
        percent_of_mix=entry.percent_of_mix,
        quantity_percent=entry.quantity_percent,
        grams_per_100g=entry.grams_per_100g,
        allergens=[listed.allergen for listed in entry.allergens],
        may_be_left_out=entry.may_be_left_out,
        text=_text(entry.runs),
        nutrition=_nutrition(use),
        cited=source_refs(_entry_cited(entry)),
    )


def _nutrition(use: Use) -> str:
    if use.composition is None:
        return "none"
    return "own" if use.composition.own else "reference"


def _group(group: AllergenGroup) -> dict[str, Any]:
    return {
        "group": group.group,
        "allergens": list(group.allergens),
        "words": list(group.words),
        "ingredients": list(group.ingredients),
    }


def _contains_text(groups: tuple[AllergenGroup, ...]) -> str:
    return f"Contains {', '.join(word for group in groups for word in group.words)}." if groups else ""


def _text(runs: tuple[Run, ...]) -> str:
    return "".join(run.text for run in runs)
