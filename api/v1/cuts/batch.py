"""The answer of `/v1/cuts/batch`: the cuts of several targets, with or without a formula."""

from collections.abc import Sequence
from typing import Any

import orjson

from api.v1.cuts.answers import question_answer
from api.v1.cuts.reading import read_target_cuts
from api.v1.cuts.schemas import CutsBatchRequest
from api.v1.job.answers import job_answer, target_warnings
from api.v1.job.doneness import doneness_budget, doneness_part, wants_doneness
from api.v1.job.parts import SharedNotices, cuts_parts
from api.v1.job.schemas import Job, Target
from api.v1.job.views import bakes_of_job, compute_job
from api.v1.tins.reading import read_optional_tin_of
from api.wire.answers import without_none
from api.wire.problems import domain_problem
from domain.cutting.budget import CutBudget
from domain.errors import ErrorCollector, MismatchError, NeededError
from domain.shop.goods import Book


def batch_answer(body: CutsBatchRequest, shop: Book) -> dict[str, Any]:
    """The cuts of each target, or the problem in its place.

    Raises:
        DomainErrors: everything that is wrong with the formula.
    """
    if body.formula is None:
        if not body.targets:
            raise NeededError("Give targets, each with its cuts, or a formula with cuts.", path=("targets",))
        budget = CutBudget()
        return {"targets": [_without_formula(target, i, budget) for i, target in enumerate(body.targets)]}
    whole = Job(formula=body.formula, targets=body.targets, shop=body.shop, measures=body.measures)
    question, results = compute_job(whole, shop)
    mapped = wants_doneness(whole, question)
    bakes = bakes_of_job(whole, question, results) if mapped else [None] * len(results)
    shared, budget = SharedNotices(), doneness_budget(whole, question, bakes)
    cuts = cuts_parts(whole, question, results, shared, budget)
    maps = [
        doneness_part(whole, question, i, result, bake, budget, shared)
        for i, (result, bake) in enumerate(zip(results, bakes, strict=True))
    ]
    for i, (part, problem) in enumerate(zip(cuts, question.problems, strict=True)):
        if part is None and not problem.errors:
            message = "Give cuts, in the target or in the formula, and a tin."
            problem.errors.append(NeededError(message, path=("targets", i), code="cut_wish_needed"))
    targets: Sequence[dict[str, Any]] = [
        {}
        if result is None
        else {"cuts": part}
        | by_place
        | {"warnings": target_warnings([*result.notices, *shared.of_target.get(i, ())], whole)}
        for i, (part, by_place, result) in enumerate(zip(cuts, maps, results, strict=True))
    ]
    return job_answer(whole, question, targets, notices=shared.notices)


def _without_formula(target: Target, index: int, budget: CutBudget) -> dict[str, Any]:
    errors, answer, tin = ErrorCollector(), None, None
    path = ("targets", index)
    with errors.at(*path):
        tin = read_optional_tin_of(target.tin, target.tin_shape, "tin")
    for name in ("factor", "grams", "portions", "depth", "pieces", "bake"):
        if getattr(target, name) is not None:
            errors.errors.append(NeededError(f"`{name}` needs a formula.", path=(*path, name), code="needed"))
    if tin is None and not errors.errors:
        errors.errors.append(NeededError("Give the tin, or a formula.", path=path, code="tin_needed"))
    if target.cuts is None:
        errors.errors.append(MismatchError("Give cuts.", path=path, code="cut_wish_needed"))
    elif tin is not None:
        with errors.at():
            question = read_target_cuts(
                target.cuts, tin, None, None, label=target.label, target_path=path, path=(*path, "cuts")
            )
            answer = question_answer(question, budget)
            answer.pop("label", None)
    for error in errors.errors:
        if error.path[2:3] == ("tin",) and target.tin_shape is not None:
            error.path = (*path, "tin_shape", *error.path[3:])
    return without_none(
        label=target.label,
        target=orjson.Fragment(target.model_dump_json(exclude_unset=True)),
        cuts=None if errors.errors else answer,
        problem=domain_problem(errors.errors, in_query=False) if errors.errors else None,
    )
