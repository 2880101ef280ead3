"""From the domain's balances to the `balance` of a target."""

from collections.abc import Sequence
from typing import Any

from api.v1.balance.schemas import BalancePercentageIn
from api.wire.answers import source_refs, without_none
from domain.shop.balance import Against, Balance, BalanceLine, compare, total_percent
from domain.shop.composition import use_citations
from domain.sources import Cited


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


def balance_figures(balanced: Balance) -> dict[str, Any]:
    """The balance of one target."""
    return {"lines": [_line(line) for line in balanced.lines], **_figures(balanced)}


def balance_cited(balanced: Balance) -> list[Cited]:
    """The sources of a balance."""
    return [cited for line in balanced.lines for cited in use_citations(line.use)]


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


def compared_answer(first: Balance, second: Balance, name: str) -> dict[str, Any]:
    """The second formula, and both formulas line by line."""
    lines = [
        without_none(
            ingredient=line.name,
            first_percent=line.first_percent,
            second_percent=line.second_percent,
            difference=line.difference,
        )
        for line in compare(first, second)
    ]
    cited = source_refs(tuple(dict.fromkeys(balance_cited(second))))
    return {"name": name, **_figures(second), "lines": lines, "cited": cited}
