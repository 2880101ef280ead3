"""The endpoints that show one part of a job: its cost, its label or its balance."""

from collections.abc import Sequence
from typing import Any

from api.v1.job import schemas as job
from api.v1.job.answers import job_answer, mass_answer, target_warnings
from api.v1.job.parts import SharedNotices, cuts_parts
from api.v1.job.reading import JobQuestion
from api.v1.job.views import compute_sold_job
from api.v1.shop.selling import Selling, SoldJob, read_selling, shared_answer
from api.wire.answers import without_none
from domain.cutting.budget import CutBudget
from domain.errors import ErrorCollector
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice
from domain.shop.goods import Book
from domain.shop.portions import tins_sold
from domain.sources import Cited


def sold_view(body: job.Job, file: Book, part: str) -> dict[str, Any]:
    """One part of a job, with the same figures as in `/v1/rescale`.

    Args:
        body: the request.
        file: the book of the shop file.
        part: the part to compute.
    Raises:
        DomainErrors: everything that is wrong with the formula and the shop.
    """
    errors = ErrorCollector()
    selling = read_selling(body, file, frozenset((part,)), errors)
    question, results = compute_sold_job(body, selling, errors)
    return sold_answer(body, question, results, selling)


def sold_answer(
    body: job.Job,
    question: JobQuestion,
    results: Sequence[Rescaled | None],
    selling: Selling,
    *,
    notices: Sequence[Notice] = (),
    cited: Sequence[Cited] = (),
) -> dict[str, Any]:
    """The answer with the parts that *selling* asks for.

    Args:
        body: the request.
        question: the same, read.
        results: the formula for each target.
        selling: the shop of the request.
        notices: further warnings, with paths in the request.
        cited: further sources.
    """
    shared = SharedNotices()
    cuts = cuts_parts(body, question, results, shared, CutBudget())
    sold = SoldJob(body=body, question=question, selling=selling, shared=shared)
    parts = sold.parts(results, cuts)
    targets = [
        {}
        if result is None
        else without_none(factor=result.factor, tins=tins_sold(result), **mass_answer(result.mass))
        | parts[i]
        | {"warnings": target_warnings((*result.notices, *shared.of_target.get(i, ())), body)}
        for i, result in enumerate(results)
    ]
    answer = job_answer(
        body,
        question,
        targets,
        notices=(*shared.notices, *notices),
        cautions=shared.cautions,
        cited=(*sold.cited, *cited),
    )
    return answer | shared_answer(selling)
