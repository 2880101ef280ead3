"""From the domain's choices to the answer of `/v1/tins/choose`."""

from collections.abc import Sequence
from typing import Any

from api.v1.tins.answers import as_data
from api.v1.tins.choose.reading import ChooseQuestion
from api.v1.tins.choose.schemas import ChooseRequest
from api.wire.answers import warnings, without_none
from domain.formulas.choosing import FilledTin, MixChoice


def choose_answer(body: ChooseRequest, question: ChooseQuestion, choices: Sequence[MixChoice]) -> dict[str, Any]:
    """The mix that is wanted, and the ways to fill tins with it."""
    return {
        "g_per_ml": question.mix.g_per_ml,
        "rise": question.mix.kind,
        "depth_low_mm": question.depths.low_mm,
        "depth_high_mm": question.depths.high_mm,
        "choices": [_choice(body, choice) for choice in choices],
        "warnings": warnings(question.notices),
    }


def _choice(body: ChooseRequest, choice: MixChoice) -> dict[str, Any]:
    return without_none(
        tins=[_tin(body, filled) for filled in choice.tins],
        tin_count=choice.choice.tin_count,
        grams=choice.grams,
        factor=choice.factor,
        leftover_grams=choice.leftover_grams,
        extra_grams=choice.extra_grams,
        portions=choice.portions,
    )


def _tin(body: ChooseRequest, filled: FilledTin) -> dict[str, Any]:
    sent = body.tins[filled.tin.index]
    return without_none(
        tin=sent.tin,
        tin_shape=None if sent.tin_shape is None else as_data(sent.tin_shape),
        label=sent.label,
        count=filled.tin.count,
        filled_depth_mm=filled.tin.depth_mm,
        fill_percent=filled.tin.fill_percent,
        grams=filled.grams,
        portions=filled.portions,
    )
