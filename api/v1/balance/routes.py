"""`POST /v1/balance`: baker's percentages, the way back to grams, two formulas side by side."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.balance.schemas import BalanceAnswer, BalanceRequest
from api.v1.shop.answers import use_citations
from api.v1.shop.file import shop_book
from api.v1.shop.reading import line_notices, read_book, read_shop_formula, weigh_all
from api.v1.shop.work import check_work
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector, at_path
from domain.formulas.formula import WeighedFormula
from domain.notices import Notice
from domain.shop.balance import Against, Balance, BalanceLine, balance, compare, grams_of
from domain.shop.goods import Book
from domain.sources import Cited

router = APIRouter(prefix="/v1/balance", tags=["balance"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="balance", summary="Baker's percentages", response_model=BalanceAnswer)
@response_formats(figure=("total_percent",))
async def post_balance(body: BalanceRequest, book: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """A formula against its flour: every ingredient, water, sugar, fat, egg and leavening; or the way back to grams.

    A calculation; nothing is stored, and repeating it is safe. POST only because the question is structured.
    """
    if body.percentages is not None:
        return _to_grams(body)
    (first, *others), book = _read(body, book)
    found = balance(first, book, body.base, body.component)
    second = others[0] if others else None
    if second is None:
        return _answer(found, first, None, None, book)
    with at_path("compare_with"):
        return _answer(found, first, second, balance(second, book), book)


def _read(body: BalanceRequest, shop: Book) -> tuple[list[WeighedFormula], Book]:
    both = ((body.formula, ("formula",), 0), (body.compare_with, ("compare_with",), 0))
    check_work(body.own_ingredients, *both)
    findings = ErrorCollector()
    book = read_book(body.own_ingredients, shop, None, findings)
    formulas = [
        (read_shop_formula(given, body.measures, book, findings, (field,)), (field,))
        for field, given in (("formula", body.formula), ("compare_with", body.compare_with))
        if given is not None
    ]
    findings.raise_if_any()
    return weigh_all(formulas), book


def _to_grams(body: BalanceRequest) -> dict[str, Any]:
    given = body.percentages or []
    wanted = body.grams if body.pieces is None else body.pieces.count * body.pieces.grams_each
    percents = [one.percent for one in given]
    grams = grams_of(percents, wanted or 0.0)
    return {
        "lines": [
            {"ingredient": one.ingredient, "percent": one.percent, "grams": g}
            for one, g in zip(given, grams, strict=True)
        ],
        "total_percent": sum(percents),
        "grams": wanted,
        "warnings": [],
        "sources": [],
    }


def _answer(
    found: Balance, first: WeighedFormula, second: WeighedFormula | None, other: Balance | None, book: Book
) -> dict[str, Any]:
    told = [notice.within("formula") for notice in (*line_notices(first, book), *found.notices)]
    if second is not None and other is not None:
        told += [notice.within("compare_with") for notice in (*line_notices(second, book), *other.notices)]
    return without_none(
        lines=[_line(line) for line in found.lines],
        low=found.mass.low,
        high=found.mass.high,
        water_of_mix_percent=found.water_of_mix_percent,
        **_summary(found),
        compared=None if second is None or other is None else _compared(found, other, second.formula.name),
        warnings=warnings(_once(told)),
        sources=sources(_cited(found, other)),
    )


def _summary(found: Balance) -> dict[str, Any]:
    return {
        "total_percent": found.total_percent,
        "grams": found.mass.grams,
        "base": {
            "kind": found.base_kind,
            "ingredients": [line.use.name for line in found.lines if line.is_base],
            "grams": found.base_g,
        },
        "hydration": _against(found.hydration),
        "sugar": _against(found.sugar),
        "fat": _against(found.fat),
        "egg": _against(found.egg),
        "leavening": _against(found.leavening),
    }


def _line(line: BalanceLine) -> dict[str, Any]:
    use = line.use
    return without_none(
        ingredient=use.name,
        ingredient_id=None if use.ingredient is None else use.ingredient.id,
        percent=line.percent,
        grams=use.mass.grams,
        low=use.mass.low,
        high=use.mass.high,
        is_base=line.is_base,
        sources=source_refs(use_citations(use)),
    )


def _against(part: Against) -> dict[str, Any]:
    return {
        "percent": part.percent,
        "grams": part.grams,
        "coverage_percent": part.coverage_percent,
        "missing": list(part.missing),
    }


def _compared(first: Balance, second: Balance, name: str) -> dict[str, Any]:
    lines = [
        without_none(
            ingredient=line.name,
            first_percent=line.first_percent,
            second_percent=line.second_percent,
            difference=line.difference,
        )
        for line in compare(first, second)
    ]
    return {"name": name, **_summary(second), "lines": lines}


def _cited(*balances: Balance | None) -> list[Cited]:
    return [cited for one in balances if one is not None for line in one.lines for cited in use_citations(line.use)]


def _once(notices: list[Notice]) -> list[Notice]:
    return list(dict.fromkeys(notices))
