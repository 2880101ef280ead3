"""The cost, the label and the balance of the targets of a job, for `/v1/rescale` and the endpoints of their own."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from api.v1.balance.answers import balance_cited, balance_figures
from api.v1.cost.answers import cost_cited, cost_figures
from api.v1.cost.reading import CostQuestion, pack_check, read_cost
from api.v1.job import schemas as job
from api.v1.job.parts import Part, SharedNotices
from api.v1.job.reading import JobQuestion, bake_loss_percent
from api.v1.label.answers import label_cited, label_figures, label_rules_answer, rules_cited
from api.v1.label.reading import LabelQuestion, read_label
from api.v1.shop.reading import GoodCheck, check_work, read_shop
from api.v1.shop.schemas import Shop
from domain.errors import DomainErrors, ErrorCollector, Path, at_arguments, at_path
from domain.formulas.formula import WeighedFormula
from domain.formulas.rescaling import Rescaled
from domain.shop.allergens import Market
from domain.shop.balance import Balance, balance, component_places
from domain.shop.costing import cost
from domain.shop.goods import Book
from domain.shop.label import Sold, label
from domain.shop.label_rules import CAUTIONS
from domain.shop.portions import SoldPortions, baked_together_g, portions_sold, tins_sold
from domain.shop.pricing import asked_price, target_price
from domain.sources import Cited

COST, LABEL, BALANCE, LABEL_FIGURES = "cost", "label", "balance", "label_figures"
SHOP_PARTS = (COST, LABEL, BALANCE)
_NO_SHOP = Shop.model_construct()  # without its validator, which is built when it is first needed


@dataclass(frozen=True, slots=True, kw_only=True)
class Selling:
    """The shop of a request: its goods, and how it costs and labels; None for what was not asked for."""

    book: Book
    cost: CostQuestion | None = None
    label: LabelQuestion | None = None
    with_balance: bool = False
    market: Market | None = None
    base: tuple[str, ...] = ()
    component: str | None = None

    @property
    def check_good(self) -> GoodCheck | None:
        """The check of the goods that the lines of the formula name."""
        return None if self.cost is None else pack_check(self.cost)


def read_selling(
    body: job.Job,
    file: Book,
    include: frozenset[str],
    errors: ErrorCollector,
    *,
    base: Sequence[str] = (),
    component: str | None = None,
) -> Selling:
    """The shop of a request.

    Args:
        body: the request.
        file: the book of the shop file.
        include: the parts of the answer.
        errors: collects the errors.
        base: the ingredients that are 100 in the balance; by default the flours.
        component: of the balance; by default the whole formula.
    Raises:
        OutOfRangeError: the request would take too long.
    """
    shop = body.shop or _NO_SHOP
    sold = not include.isdisjoint(SHOP_PARTS)
    check_work(shop, *([(body.formula, ("formula",), max(1, len(body.targets)))] if sold else []))
    book, currency = read_shop(shop, file, errors, needs_currency=COST in include)
    with errors.at():
        component_places([part.name for part in body.formula.components], component)
    return Selling(
        book=book,
        cost=read_cost(shop, currency, errors) if COST in include else None,
        label=read_label(shop, body.formula.name, errors) if LABEL in include else None,
        with_balance=BALANCE in include,
        market=shop.market,
        base=tuple(base),
        component=component,
    )


@dataclass(slots=True, kw_only=True)
class SoldJob:
    """The cost, the label and the balance of the targets of a job.

    Warnings and cautions that belong to the formula go into `shared`; `cited` has the sources of the parts. An error
    of a target is added to its problems.
    """

    body: job.Job
    question: JobQuestion
    selling: Selling
    shared: SharedNotices
    cited: list[Cited] = field(default_factory=list)

    def parts(self, results: Sequence[Rescaled | None], cuts: Sequence[Part | None]) -> list[dict[str, Part]]:
        """The parts of each target.

        Args:
            results: the formula for each target.
            cuts: the cuts of each target, which say how many portions it has.
        Raises:
            DomainErrors: the formula has no balance.
        """
        if self.selling.with_balance:
            balance_of(self.question.weighed, self.selling)
        if self.selling.label is not None:
            self.shared.cautions = (*self.shared.cautions, *CAUTIONS)
            self.cited += rules_cited(self.selling.label.market)
        return [
            {} if result is None else self._parts_of(i, result, layout)
            for i, (result, layout) in enumerate(zip(results, cuts, strict=True))
        ]

    def _parts_of(self, index: int, result: Rescaled, layout: Part | None) -> dict[str, Part]:
        problem, part = self.question.problems[index], dict[str, Part]()
        if problem.errors:
            return part
        loss_percent = bake_loss_percent(self.question.sent[index], self.body.formula, self.body.shop)
        portions = _portions(result, loss_percent, layout)
        if self.selling.cost is not None:
            with problem.at():
                part[COST] = self._cost(self.selling.cost, result, portions)
        if self.selling.label is not None:
            slab_g = None if layout is None else self._weighed_slab_g(index)
            baked_g = None if slab_g is None else baked_together_g(result, slab_g)
            loss_path = _loss_path(self.body, index, weighed=baked_g is not None)
            with problem.at(), at_arguments(bake_loss_percent=loss_path, baked_grams=loss_path):
                loss = loss_percent if baked_g is None else None
                sold = _sold(self.selling.label, loss, baked_g, portions)
                part[LABEL_FIGURES] = self._label(sold, index, result)
        if self.selling.with_balance:
            with problem.at():
                part[BALANCE] = self._balance(result)
        return {} if problem.errors else part

    def _weighed_slab_g(self, index: int) -> float | None:
        """The mass of the cooled slab of a target, if its cuts say it; it is used instead of a bake loss."""
        cuts = self.question.sent[index].cuts or self.body.formula.cuts
        return None if cuts is None else cuts.slab_grams

    def _cost(self, terms: CostQuestion, result: Rescaled, portions: SoldPortions | None) -> Part:
        costing = replace(terms.costing, tins=tins_sold(result), portions=None if portions is None else portions.count)
        try:
            costs = cost(self.question.weighed, costing, self.selling.book, result.factor)
        except DomainErrors as several:
            for error in several.errors:
                error.path = terms.place(error.path)
            raise
        errors, target, price = ErrorCollector(), None, None
        if costs.complete:
            with errors.at("shop", "target_price"):
                target = None if terms.target is None else target_price(costs, terms.target, terms.tax_percent)
            with errors.at("shop", "asked_price"):
                price = None if terms.price_asked is None else asked_price(costs, terms.price_asked, terms.tax_percent)
        errors.raise_if_any()
        self.shared.notices += [notice.within("formula") for notice in costs.notices]
        self.cited += cost_cited(costs)
        return cost_figures(costs, target, price)

    def _label(self, sold: Sold, index: int, result: Rescaled) -> Part:
        figures = label(self.question.weighed, sold, self.selling.book, result.factor)
        self.shared.notices += [notice.within("formula") for notice in figures.formula_notices]
        of_target = self.shared.of_target.setdefault(index, [])
        of_target += [notice.at("targets", index) for notice in figures.sold_notices]
        self.cited += label_cited(figures)
        return label_figures(figures)

    def _balance(self, result: Rescaled) -> Part:
        balanced = balance_of(self.question.weighed, self.selling, result.factor)
        self.shared.notices += [notice.within("formula") for notice in balanced.notices]
        self.cited += balance_cited(balanced)
        return balance_figures(balanced)


def shared_answer(selling: Selling) -> dict[str, Any]:
    """What the answers about all targets have in common."""
    return {} if selling.label is None else {"label_rules": label_rules_answer(selling.label.market)}


def balance_of(weighed: WeighedFormula, selling: Selling, factor: float = 1.0) -> Balance:
    """The balance of the formula at a factor; its errors have their place in the request."""
    # Without a base of the request's own, only the formula can be at fault.
    with at_path(*(() if selling.base else ("formula",))):
        return balance(weighed, selling.book, selling.base, selling.component, factor, market=selling.market)


def _portions(result: Rescaled, loss_percent: float | None, layout: Part | None) -> SoldPortions | None:
    if layout is None:
        return portions_sold(result, loss_percent)
    return portions_sold(result, loss_percent, layout["portions"], layout["portion"].get("grams"))


def _sold(
    question: LabelQuestion, loss_percent: float | None, baked_g: float | None, portions: SoldPortions | None
) -> Sold:
    grams_each = None if portions is None else portions.grams_each
    return Sold(
        name=question.product_name,
        market=question.market,
        bake_loss_percent=loss_percent,
        baked_grams=baked_g,
        portions=None if portions is None or grams_each is not None else portions.count,
        portion_grams=grams_each,
        quantified=question.quantified,
        may_contain=question.may_contain,
        estimate=question.estimate,
    )


def _loss_path(body: job.Job, index: int, *, weighed: bool) -> Path:
    """Where the bake loss of a target, or the mass of its slab, is said in the request, or would be."""
    name = "slab_grams" if weighed else "bake_loss_percent"
    target = body.targets[index] if body.targets else None
    if target is not None and target.cuts is not None and getattr(target.cuts, name) is not None:
        return ("targets", index, "cuts", name)
    if body.formula.cuts is not None and getattr(body.formula.cuts, name) is not None:
        return ("formula", "cuts", name)
    return ("shop", "bake_loss_percent")
