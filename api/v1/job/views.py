"""The main job, and the focused views of it: all compute the same figures from the same request."""

from collections.abc import Sequence
from typing import Any

from api.drawings.heating import CHART_ALONE, ChartStyle
from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.v1.bake.answers import bake_details, bake_drawing, model_answer, model_sources
from api.v1.job import schemas as job
from api.v1.job.answers import job_answer, rescale_job, target_answer, target_warnings
from api.v1.job.doneness import doneness_budget, doneness_part
from api.v1.job.parts import Part, SharedNotices, bake_parts, cuts_parts, estimate_bakes
from api.v1.job.placing import place_as_sent
from api.v1.job.portioning import batter_lifts, portion_job
from api.v1.job.reading import JobQuestion, read_job
from api.v1.shop.reading import line_reader
from api.v1.shop.selling import SHOP_PARTS, Selling, SoldJob, read_selling, shared_answer
from api.wire.answers import without_none
from domain.baking.mix_figures import assumed_ranges, mix_ranges
from domain.baking.targets import TargetBake, pieces_in_batter
from domain.cutting.budget import CutBudget
from domain.errors import DomainErrors, ErrorCollector, NeededError
from domain.formulas.cautions import raw_cautions
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice
from domain.pieces.displacement import BatterLift
from domain.shop.goods import EMPTY_BOOK, Book

BAKE, CUTS = "bake", "cuts"
Results = list[Rescaled | None]


def compute_job(body: job.Job, shop: Book) -> tuple[JobQuestion, Results]:
    """Read a job and rescale its formula to each target.

    Args:
        body: the request.
        shop: the book of the shop file.
    Returns:
        The job, and one result for each target; None for a target with problems.
    Raises:
        DomainErrors: everything that is wrong with the formula, the shop and the bench.
    """
    errors = ErrorCollector()
    return compute_sold_job(body, read_selling(body, shop, frozenset(), errors), errors)


def compute_sold_job(body: job.Job, selling: Selling, errors: ErrorCollector) -> tuple[JobQuestion, Results]:
    """The same for a shop that is already read.

    Args:
        body: the request.
        selling: its shop.
        errors: the errors of the shop.
    """
    question = read_job(body, errors, line_reader(selling.book, selling.check_good))
    return portion_job(body, question, rescale_job(body, question))


def rescale_view(
    body: job.Job, shop: Book, include: frozenset[str], notices: Sequence[Notice] = (), *, in_query: bool = False
) -> dict[str, Any]:
    """The answer of `/v1/rescale`.

    Args:
        body: the request.
        shop: the book of the shop file.
        include: the parts to compute.
        notices: warnings of reading the request.
        in_query: whether the request came as a query.
    """
    errors = ErrorCollector()
    selling = read_selling(body, shop, include, errors)
    question, results = compute_sold_job(body, selling, errors)
    shared, none = SharedNotices(notices=list(notices), cautions=raw_cautions(question.weighed)), [None] * len(results)
    lifts, bakes = batter_lifts(question, results), list[Part | None](none)
    estimates = list[TargetBake | None](none)
    if BAKE in include:
        estimates = bakes_of_job(body, question, results)
        bakes = bake_parts(body, question, estimates, shared, in_query=in_query)
    budget = doneness_budget(body, question, estimates)
    with_cuts = CUTS in include or not include.isdisjoint(SHOP_PARTS)
    cuts = cuts_parts(body, question, results, shared, budget, in_query=in_query) if with_cuts else none
    bakes = _with_doneness(body, question, results, estimates, bakes, budget, shared)
    sold = SoldJob(body=body, question=question, selling=selling, shared=shared)
    parts = sold.parts(results, cuts)
    targets = [
        {}
        if result is None
        else target_answer(result, include, lifts[i], body.measures)
        | without_none(bake=bake, cuts=layout if CUTS in include else None)
        | parts[i]
        | {"warnings": target_warnings(_notices(i, result, lifts[i], shared), body, in_query=in_query)}
        for i, (result, bake, layout) in enumerate(zip(results, bakes, cuts, strict=True))
    ]
    answer = job_answer(
        body,
        question,
        targets,
        notices=shared.notices,
        cautions=shared.cautions,
        cited=sold.cited,
        in_query=in_query,
    )
    return answer | shared_answer(selling)


def _notices(index: int, result: Rescaled, lift: BatterLift | None, shared: SharedNotices) -> list[Notice]:
    """The warnings about one target that belong to no part of its answer."""
    of_lift = () if lift is None else lift.notices
    return [
        *result.notices,
        *(notice.within("targets", index) for notice in of_lift),
        *shared.of_target.get(index, ()),
    ]


def bake_view(body: job.Job, shop: Book, *, style: SheetStyle = ALONE, language: Language = ENGLISH) -> dict[str, Any]:
    """The answer of `/v1/bake`: the bake of each target in full.

    Args:
        body: the request.
        shop: the book of the shop file.
        style: of a plan of doneness.
        language: of its words.
    """
    question, results = compute_job(body, shop)
    if question.bake is None:
        raise NeededError("Give the bake that works: formula.bake with an oven.", path=("formula", "bake"))
    shared, estimates = SharedNotices(), bakes_of_job(body, question, results)
    parts = bake_parts(body, question, estimates, shared)
    minutes = question.bake.minutes or 0.0
    targets: list[dict[str, Any]] = []
    budget = doneness_budget(body, question, estimates)
    for sent, result, bake, part in zip(question.sent, results, estimates, parts, strict=True):
        if result is None or bake is None or part is None:
            targets.append({})
            continue
        wanted = [each for each in (body.formula.bake, sent.bake) if each is not None]
        details = bake_details(
            bake,
            minutes,
            curve=any(each.curve for each in wanted),
            drawing=any(each.drawing for each in wanted),
        )
        index = len(targets)
        by_place = doneness_part(body, question, index, result, bake, budget, shared, style, language)
        targets.append(
            without_none(
                factor=result.factor,
                tins=result.target.tins if result.target.tin is not None else None,
                filled_depth_mm=result.filled_depth_mm,
                bake=part | details | by_place,
                warnings=target_warnings([*result.notices, *shared.of_target.get(index, ())], body),
            )
        )
    with_pieces = pieces_in_batter(question.weighed.components) is not None
    own = mix_ranges(question.weighed, rise=question.bake.rise, conductivity=question.bake.conductivity)
    swept = assumed_ranges(own, with_pieces=with_pieces)
    cited = model_sources([bake for bake in estimates if bake is not None], swept)
    answer = job_answer(body, question, targets, notices=shared.notices, cautions=shared.cautions, cited=cited)
    return answer | model_answer(swept, with_pieces=with_pieces)


def drawn_bake(
    body: job.Job, book: Book = EMPTY_BOOK, *, style: ChartStyle = CHART_ALONE, language: Language = ENGLISH
) -> str:
    """The curve of the first target as an SVG drawing.

    Args:
        body: the request.
        book: of the shop file.
        style: sizes of text.
        language: of the words.
    """
    question, results = compute_job(body, book)
    if question.bake is None:
        raise NeededError("Give the bake that works: formula.bake with an oven.", path=("formula", "bake"))
    first = bakes_of_job(body, question, results)[0]
    question.problems[0].raise_if_any()
    if first is None:
        raise AssertionError("a target without problems has a bake")
    return bake_drawing(first, question.bake.minutes or 0.0, style, language)


def _with_doneness(  # noqa: PLR0917 - the parts of one job
    body: job.Job,
    question: JobQuestion,
    results: Results,
    estimates: list[TargetBake | None],
    bakes: list[Part | None],
    budget: CutBudget,
    shared: SharedNotices,
) -> list[Part | None]:
    return [
        None if part is None else part | doneness_part(body, question, i, result, bake, budget, shared)
        for i, (part, result, bake) in enumerate(zip(bakes, results, estimates, strict=True))
    ]


def bakes_of_job(body: job.Job, question: JobQuestion, results: Results) -> list[TargetBake | None]:
    """The bake of each target.

    Args:
        body: the request.
        question: the same, read.
        results: the formula for each target.
    Raises:
        DomainErrors: too many windows, with its place in the request.
    """
    try:
        return estimate_bakes(question, results)
    except DomainErrors as several:
        place_as_sent(several.errors, body)
        raise
