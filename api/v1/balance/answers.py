"""From the domain's balances to the answer of `/v1/balance`."""

from collections.abc import Sequence
from typing import Any

from api.v1.balance.reading import Balanced
from api.v1.balance.schemas import BalancePercentageIn
from api.wire.answers import source_refs, sources, warnings, without_none
from domain.shop.balance import Against, Balance, BalanceLine, compare, total_percent
from domain.shop.composition import use_citations


def grams_answer(rows: Sequence[BalancePercentageIn], grams: Sequence[float], mix_g: float) -> dict[str, Any]:
    """The answer of `/v1/balance/grams`.

    Args:
        rows: of the request.
        grams: of each row.
        mix_g: the whole mix.
    Returns:
        The answer.
    """
    return {
        "lines": [
            {"ingredient": row.ingredient, "percent": row.percent, "grams": row_g}
            for row, row_g in zip(rows, grams, strict=True)
        ],
        "total_percent": total_percent([row.percent for row in rows]),
        "grams": mix_g,
    }


def balance_answer(balanced: Sequence[Balanced]) -> dict[str, Any]:
    """The answer for a formula, and for a second one beside it.

    Args:
        balanced: one or two formulas with their balances.
    Returns:
        The answer.
    """
    first, second = balanced[0].balance, balanced[1] if len(balanced) > 1 else None
    notices = [
        notice.within(field)
        for field, formula in zip(("formula", "compare_with"), balanced, strict=False)
        for notice in (*formula.weighed.notices, *formula.balance.notices)
    ]
    return without_none(
        lines=[_line(line) for line in first.lines],
        **_figures(first),
        compared=None if second is None else _compared(first, second.balance, second.weighed.formula.name),
        warnings=warnings(dict.fromkeys(notices)),
        sources=sources(
            cited for formula in balanced for line in formula.balance.lines for cited in use_citations(line.use)
        ),
    )


def _figures(balance_: Balance) -> dict[str, Any]:
    return {
        "total_percent": balance_.total_percent,
        "grams": balance_.mass.grams,
        "grams_low": balance_.mass.low,
        "grams_high": balance_.mass.high,
        "base": {
            "kind": balance_.base_kind,
            "ingredients": [line.use.name for line in balance_.lines if line.is_base],
            "grams": balance_.base_g,
        },
        "hydration": _against(balance_.hydration),
        "sugar": _against(balance_.sugar),
        "fat": _against(balance_.fat),
        "egg": _against(balance_.egg),
        "leavening": _against(balance_.leavening),
        "water_of_mix_percent": balance_.water_of_mix_percent,
    }


def _line(line: BalanceLine) -> dict[str, Any]:
    use = line.use
    return without_none(
        ingredient=use.name,
        ingredient_id=None if use.ingredient is None else use.ingredient.id,
        percent=line.percent,
        grams=use.mass.grams,
        grams_low=use.mass.low,
        grams_high=use.mass.high,
        is_base=line.is_base,
        cited=source_refs(use_citations(use)),
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
    return {"name": name, **_figures(second), "lines": lines}
