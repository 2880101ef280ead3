"""`GET /v1/rescale`: the main job as query parameters, turned into the same request as the POST takes."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from pydantic import Field, ValidationError
from starlette.requests import Request

from api.v1.job.baking_schemas import Minutes, OvenText
from api.v1.job.placing import QueryJob, as_sent
from api.v1.job.schemas import MAX_CLASSES, MAX_COMPONENTS, MAX_LINES, MAX_TARGETS, Name
from api.v1.job.wishes import BakeLoss, Degrees, PieceCount, PortionCount
from api.v1.rescale.schemas import PartNames
from api.v1.tins.schemas import TinCount, TinText
from api.wire.answers import without_none
from api.wire.schemas import EggClassName, LengthText, MeasuresName, QuantityText, Query, adapter
from api.wire.validation import fault_of
from domain.errors import DomainError, DomainErrors, ErrorCollector, NeededError, OutOfRangeError, UnreadableError
from domain.formulas.line_text import parse_line, parse_want
from domain.notices import Notice
from domain.reading.values import Remark

MAX_ALL_LINES = 200  # our own limit: a longer address is refused by most servers
MAX_PACKING = 40  # as in the body
_STAND_IN = {"ingredient": "water", "quantity": "1 g"}  # for a line with an error, so that the others are read too

LineText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        description="A line as a recipe has it, read as by `/v1/formulas/read-line`.",
        examples=["150 g butter", "1 3/4 us_cup plain flour, spooned", "3 eggs"],
    ),
]
Want = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        description="A tin, a factor such as `x 2.5`, or a mass of mix such as `1500 g`.",
        examples=["round 23 x 7 cm", "x 2.5", "1500 g"],
    ),
]


class RescaleQuery(Query):
    """A formula line by line, and what is wanted. The order of `component`, `line` and `pieces` matters.

    A `component` starts a part of the formula, and the lines and pieces after it belong to it.
    """

    line: list[LineText] = Field(min_length=1, max_length=MAX_ALL_LINES, description="A line; repeat it for each.")
    component: list[Name] = Field(
        default=[],
        max_length=MAX_COMPONENTS,
        description="Starts a component; the lines after it belong to it.",
        examples=[["batter", "nuggets"]],
    )
    pieces: list[PieceCount] = Field(
        default=[],
        max_length=MAX_COMPONENTS,
        description="How many dough pieces the component before it makes.",
        examples=[[16]],
    )
    name: Name | None = Field(default=None, description="Name of the formula.")
    tin: TinText | None = Field(default=None, description="The tin that the formula was made in.")
    tins: TinCount = 1
    filled_depth: LengthText | None = Field(default=None, description="Height of the raw mix in the tin.")
    egg_class: EggClassName | None = Field(default=None, description="Needed where eggs are counted.")
    want: list[Want] = Field(
        default=[], max_length=MAX_TARGETS, description="What is wanted; repeat it. Without it: as written."
    )
    depth: LengthText | None = Field(default=None, description="Height of the raw mix in every tin that is wanted.")
    oven: OvenText | None = Field(default=None, description="Oven setting of the bake that works.")
    fan: bool | None = Field(default=None, description="Whether `oven` is the setting of a fan oven.")
    minutes: Minutes | None = Field(default=None, description="How long the bake takes that works.")
    start_temperature: Degrees | None = Field(default=None, description="Of the batter; 20 °C if left out.")
    core_temperature: Degrees | None = Field(
        default=None, description="Of the middle when done; if left out 96 °C, custard 75 °C."
    )
    portions: PortionCount | None = Field(default=None, description="Portions that every tin is cut into.")
    bake_loss_percent: BakeLoss | None = None
    measures: MeasuresName | None = None
    available_egg_classes: list[EggClassName] = Field(
        default=[],
        max_length=MAX_CLASSES,
        description="Egg classes at hand; repeat it for each.",
        examples=[["eu_m", "eu_l"]],
    )
    scale_step: QuantityText = Field(default="1 g", description="The step of the scale.", examples=["1 g"])
    small_scale_step: QuantityText = Field(
        default="0.1 g", description="The step of the scale for small amounts.", examples=["0.1 g"]
    )
    small_scale_max: QuantityText = Field(
        default="200 g", description="The most that the small scale carries.", examples=["200 g"]
    )
    include: PartNames = Field(default=[])


def query_order(request: Request) -> tuple[str, ...]:
    """The names of the parameters that make the formula, in the order of the query string."""
    return tuple(name for name, _ in request.query_params.multi_items() if name in {"component", "line", "pieces"})


def read_query(query: RescaleQuery, order: tuple[str, ...], errors: ErrorCollector) -> tuple[QueryJob, list[Notice]]:
    """The request that a query stands for.

    Args:
        query: the parameters.
        order: the names of `component`, `line` and `pieces` as they follow each other.
        errors: collects every parameter that cannot be read.
    Returns:
        The request, and what was taken where a line leaves it open; use it only to find further errors if there are
        any.
    Raises:
        DomainErrors: a figure inside a text is beyond the limits of the body.
    """
    notices: list[Notice] = []
    components = list(_components(query, order, errors, notices))
    targets = _targets(query, errors)
    for error in errors.errors:
        if error.path[:1] == ("line",):
            error.detail = f"Line {int(error.path[1]) + 1}: {error.detail}"
        error.path = as_sent(error.path, None)
    names = ("oven", "fan", "minutes", "start_temperature", "core_temperature")
    bake = without_none(**{name: getattr(query, name) for name in names})
    cuts = without_none(portions=query.portions, bake_loss_percent=query.bake_loss_percent)
    formula = without_none(
        name=query.name or "Formula",
        tin=query.tin,
        tins=query.tins if query.tins != 1 else None,
        filled_depth=query.filled_depth,
        egg_class=query.egg_class,
        components=components,
        bake=bake or None,
        cuts=cuts or None,
    )
    job = _job(
        formula=formula,
        targets=targets,
        measures=query.measures,
        available_egg_classes=query.available_egg_classes,
        scale_step=query.scale_step,
        small_scale_step=query.small_scale_step,
        small_scale_max=query.small_scale_max,
    )
    return job, notices


def _components(
    query: RescaleQuery, order: tuple[str, ...], errors: ErrorCollector, notices: list[Notice]
) -> Iterator[dict[str, Any]]:
    lines, names, pieces = enumerate(query.line), iter(query.component), iter(query.pieces)
    component: dict[str, Any] = {"name": query.name or "Formula", "lines": []}
    for parameter in order:
        if parameter == "component":
            if component["lines"]:
                yield component
            component = {"name": next(names, ""), "lines": []}
        elif parameter == "pieces":
            component["pieces"] = {"count": next(pieces, 1)}
        elif (numbered := next(lines, None)) is not None:
            place, text = numbered
            line = _STAND_IN
            with errors.at("line", place):
                line, remarks = _line(text, query)
                notices += [Notice(remark.code, remark.message, ("formula", "line")) for remark in remarks]
            component["lines"].append(line)
            if len(component["lines"]) > MAX_LINES:
                message = f"A component has at most {MAX_LINES} lines."
                count = len(component["lines"])
                errors.errors.append(OutOfRangeError(message, path=("line", place), value=count, limit=MAX_LINES))
                component["lines"].pop()
    if not component["lines"]:
        errors.errors.append(NeededError("Give a line after the last component.", path=("component",)))
        component["lines"] = [_STAND_IN]
    yield component


def _targets(query: RescaleQuery, errors: ErrorCollector) -> list[dict[str, Any]]:
    targets = []
    for i, want in enumerate(query.want):
        with errors.at("targets", i, "want"):
            wish = parse_want(want, query.measures)
            target = without_none(
                label=want,
                tin=wish.tin,
                factor=wish.factor,
                grams=wish.grams,
                depth=query.depth if wish.tin is not None else None,
                tins=wish.tins if wish.tins != 1 else None,
            )
            targets.append(target)
    return targets


def _line(text: str, query: RescaleQuery) -> tuple[dict[str, Any], tuple[Remark, ...]]:
    line = parse_line(text, query.measures, query.egg_class or "")
    if line.packing is not None and len(line.packing) > MAX_PACKING:
        message = f"A packing has at most {MAX_PACKING} characters."
        raise OutOfRangeError(message, value=len(line.packing), limit=MAX_PACKING)
    return without_none(ingredient=line.ingredient, quantity=line.quantity, packing=line.packing), line.remarks


def _job(**fields: object) -> QueryJob:
    try:
        job: QueryJob = _load(without_none(**fields))
    except ValidationError as error:  # a figure inside a text, such as the factor of a wish, is beyond its limits
        raise DomainErrors([_error_of(each) for each in error.errors(include_url=False)]) from None
    return job


def _error_of(error: Mapping[str, Any]) -> DomainError:
    fault = fault_of(error)
    path = as_sent(tuple(error["loc"]), None)
    if fault.value is None or fault.limit is None:
        return UnreadableError(fault.message, path=path)
    return OutOfRangeError(fault.message, path=path, value=fault.value, limit=fault.limit)


_load = adapter(QueryJob).validate_python
