"""From the domain's label figures to the answer of `/v1/label`."""

from typing import Any

from api.v1.shop.answers import cautions_answer
from api.wire.answers import source_refs, sources, warnings, without_none
from domain.formulas.formula import WeighedFormula
from domain.shop.allergens import PLAIN
from domain.shop.composition import Use, use_citations
from domain.shop.ingredient_list import AllergenGroup, Entry, Run, list_text
from domain.shop.label import Declared, LabelFigures
from domain.shop.label_rules import CAUTIONS, Rounded, omissions, rules
from domain.sources import Cited


def label_answer(figures: LabelFigures, weighed: WeighedFormula) -> dict[str, Any]:
    """The answer of `/v1/label`.

    Args:
        figures: of the label.
        weighed: the formula in grams.
    Returns:
        The answer.
    """
    sold, runs = figures.sold, list_text(figures.entries)
    notices = [notice.within("formula") for notice in (*weighed.notices, *figures.formula_notices)]
    notices += [notice.within("shop") for notice in figures.sold_notices]
    return without_none(
        product_name=sold.name,
        market=sold.market,
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
        not_computed=[omission.name for omission in omissions(sold.market)],
        contents=[
            {"nutrient": content.nutrient, "per_100g": content.amount, "coverage_percent": content.coverage_percent}
            for content in figures.contents_per_100g.values()
            if content.coverage_percent > 0
        ],
        rules=[{"id": rule.id, "text": rule.text, "cited": source_refs((rule.cited,))} for rule in rules(sold.market)],
        cautions=cautions_answer(),
        warnings=warnings(notices),
        sources=sources(_cited(figures)),
    )


def _declared(declared: Declared) -> dict[str, Any]:
    return without_none(
        nutrient=declared.line.nutrient,
        name=declared.line.label_name,
        unit=declared.line.unit,
        per_100g=declared.per_100g,
        per_portion=declared.per_portion,
        printed_per_100g=_printed(declared.printed_per_100g),
        printed_per_portion=None if declared.printed_per_portion is None else _printed(declared.printed_per_portion),
        intake_percent_per_100g=declared.intake_percent_per_100g,
        intake_percent_per_portion=declared.intake_percent_per_portion,
        complete=declared.complete,
        coverage_percent=declared.coverage_percent,
        missing=list(declared.missing),
        cited=source_refs((declared.line.cited, *declared.line.factors_cited)),
    )


def _printed(rounded: Rounded) -> dict[str, Any]:
    return {"text": rounded.text, "cited": source_refs((rounded.cited,))}


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
        cited=source_refs(use_citations(use)),
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


def _cited(figures: LabelFigures) -> list[Cited]:
    return [
        *(cited for use in figures.uses for cited in use_citations(use)),
        *(PLAIN[use.ingredient.id].cited for use in figures.uses if use.ingredient is not None),
        *(cited for line in figures.declared for cited in (line.line.cited, *line.line.factors_cited)),
        *(line.printed_per_100g.cited for line in figures.declared),
        *(listed.cited for entry in figures.entries for listed in entry.allergens),
        *(rule.cited for rule in rules(figures.sold.market)),
        *(omission.cited for omission in omissions(figures.sold.market)),
        *(caution.cited for caution in CAUTIONS),
    ]
