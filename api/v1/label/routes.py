"""`POST /v1/label`: nutrition after the oven, the list of ingredients, allergens; for the EU, the UK or the USA."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.label.schemas import LabelAnswer, LabelRequest
from api.v1.shop.answers import cautions_answer, use_citations
from api.v1.shop.file import shop_book
from api.v1.shop.reading import line_notices, read_book, read_shop_formula, weigh_all
from api.v1.shop.work import check_work
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector
from domain.formulas.formula import WeighedFormula
from domain.shop.allergens import LIST_OF, LISTS, PLAIN, check_allergens
from domain.shop.composition import Use
from domain.shop.goods import Book
from domain.shop.ingredient_list import AllergenGroup, Entry, Run, list_text
from domain.shop.label import Declared, LabelFigures, Sold, label
from domain.shop.label_rules import CAUTIONS, RULES, Rounded
from domain.shop.nutrition import EU_ENERGY_CITED, US_ENERGY_CITED, Nutrient
from domain.sources import Cited

# 21 CFR 101.9(c), from memory: what a US label needs besides; no composition data for it here.
_NOT_COMPUTED = {
    "eu": [],
    "us": ["trans fat", "cholesterol", "added sugars", "vitamin D", "calcium", "iron", "potassium", "serving size"],
}

# What a line is worked out by, besides its own place in the label's rules.
_FACTORS: dict[Nutrient, tuple[Cited, ...]] = {
    "energy_kj": (EU_ENERGY_CITED,),
    "energy_kcal": (EU_ENERGY_CITED,),
    "energy_us_kcal": (US_ENERGY_CITED,),
    "salt_g": (RULES["eu"]["salt"].cited,),
    "carbohydrate_g": (RULES["eu"]["carbohydrate"].cited,),
}

router = APIRouter(prefix="/v1/label", tags=["label"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="label", summary="What the label must say", response_model=LabelAnswer)
@response_formats(figure=("nutrition.0.per_100g",), rows="nutrition")
async def post_label(body: LabelRequest, book: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """Nutrition per 100 g and per piece, ingredients in order, allergens; every gap in the data is named.

    Not legal advice: a competent person must check. Cross-contact is not computed. A calculation; nothing is
    stored, and repeating it is safe. POST only because the question is structured.
    """
    check_work(body.own_ingredients, (body.formula, ("formula",), 0))
    findings = ErrorCollector()
    book = read_book(body.own_ingredients, book, None, findings)
    formula = read_shop_formula(body.formula, body.measures, book, findings, ("formula",))
    with findings.at():
        check_allergens(tuple(body.may_contain), "may_contain")
    findings.raise_if_any()
    (weighed,) = weigh_all([(formula, ("formula",))])
    return _answer(label(weighed, _sold(body), book), weighed, book)


def _sold(body: LabelRequest) -> Sold:
    return Sold(
        name=body.product_name or body.formula.name,
        market=body.market,
        bake_loss_percent=body.bake_loss_percent,
        baked_grams=body.baked_grams,
        pieces=body.pieces,
        piece_grams=body.piece_grams,
        quantified=None if body.quantified is None else tuple(body.quantified),
        may_contain=tuple(body.may_contain),
    )


def _answer(found: LabelFigures, weighed: WeighedFormula, book: Book) -> dict[str, Any]:
    sold, runs, of_list = found.sold, list_text(found.entries), LIST_OF[found.sold.market]
    told = [notice.within("formula") for notice in line_notices(weighed, book)]
    told += [one.within("formula") if one.path[:1] == ("components",) else one for one in found.notices]
    return without_none(
        product_name=sold.name,
        market=sold.market,
        mix_grams=found.mix_g,
        finished_grams=found.finished_g,
        bake_loss_percent=found.bake_loss_percent,
        piece_grams=found.piece_g,
        nutrition=[_declared(line) for line in found.declared],
        ingredients_text=_text(runs),
        ingredients_runs=[{"text": run.text, "emphasised": run.emphasised} for run in runs],
        ingredients=[_listed(entry) for entry in found.entries],
        contains=[_group(group) for group in found.allergens],
        contains_text=_contains_text(found.allergens),
        may_contain=[allergen for allergen in found.may_contain if allergen in LISTS[of_list]],
        not_computed=_NOT_COMPUTED[of_list],
        contents=[
            {"nutrient": one.nutrient, "per_100g": one.amount, "coverage_percent": min(one.coverage_percent, 100.0)}
            for one in found.contents_per_100g.values()
            if one.coverage_percent > 0
        ],
        rules=[
            {"id": rule.id, "text": rule.text, "sources": source_refs((rule.cited,))}
            for rule in RULES[of_list].values()
        ],
        cautions=cautions_answer(),
        warnings=warnings(told),
        sources=sources(_cited(found)),
    )


def _declared(one: Declared) -> dict[str, Any]:
    return without_none(
        nutrient=one.line.nutrient,
        name=one.line.label_name,
        unit=one.line.unit,
        per_100g=one.per_100g,
        per_piece=one.per_piece,
        printed_per_100g=_printed(one.printed_per_100g),
        printed_per_piece=None if one.printed_per_piece is None else _printed(one.printed_per_piece),
        intake_percent_per_100g=one.intake_percent_per_100g,
        intake_percent_per_piece=one.intake_percent_per_piece,
        complete=one.complete,
        coverage_percent=one.coverage_percent,
        missing=list(one.missing),
        sources=source_refs((one.line.cited, *_FACTORS.get(one.line.nutrient, ()))),
    )


def _printed(rounded: Rounded) -> dict[str, Any]:
    return {"text": rounded.text, "sources": source_refs((rounded.cited,))}


def _listed(entry: Entry) -> dict[str, Any]:
    use = entry.use
    return without_none(
        name=entry.name,
        ingredient_id=None if use.ingredient is None else use.ingredient.id,
        grams=entry.grams,
        low=use.mass.low,
        high=use.mass.high,
        percent_of_mix=entry.percent_of_mix,
        quantity_percent=entry.quantity_percent,
        grams_per_100g=entry.grams_per_100g,
        allergens=[listed.allergen for listed in entry.allergens],
        may_be_left_out=entry.may_be_left_out,
        text=_text(entry.runs),
        nutrition=_nutrition(use),
        sources=source_refs(use_citations(use)),
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


def _cited(found: LabelFigures) -> list[Cited]:
    return [
        *(cited for use in found.uses for cited in use_citations(use)),
        *(PLAIN[use.ingredient.id].cited for use in found.uses if use.ingredient is not None),
        *(cited for one in found.declared for cited in (one.line.cited, *_FACTORS.get(one.line.nutrient, ()))),
        *(one.printed_per_100g.cited for one in found.declared),
        *(listed.cited for entry in found.entries for listed in entry.allergens),
        *(rule.cited for rule in RULES[LIST_OF[found.sold.market]].values()),
        *(caution.cited for caution in CAUTIONS),
    ]
