"""From a rescale request to the domain's formula, targets and bench; every refusal at once."""

from collections.abc import Callable
from functools import lru_cache

from api.v1.rescale.schemas import ComponentIn, FormulaIn, LineIn, RescaleRequest, TargetIn
from api.wire.reading import quantity_of, read_egg_class, read_grams, read_length_mm, read_thing, read_tin
from api.wire.schemas import QuantityObject
from domain.errors import DomainError, ErrorCollector, OutOfRangeError, Path
from domain.formulas.formula import Component, Division, Formula, Line
from domain.formulas.rescaling import Bench, Target
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.measures.weighing import Scales
from domain.things.conversion import EGG_PARTS, Thing
from domain.things.eggs import EggClass
from domain.tins.shapes import Tin

MOST_RESULTS = 4_000  # our own limit: what keeps an answer within a megabyte or two and some hundredths of a second
LineReader = Callable[[LineIn, EggClass | None, Measures | None], Line]


def read_request(
    body: RescaleRequest, findings: ErrorCollector, line_reader: LineReader
) -> tuple[Formula, tuple[Target, ...], Bench]:
    """The three parts of a request.

    Args:
        body: the request.
        findings: takes the refusals, and may hold some already.
        line_reader: reads one line of the formula.
    Returns:
        The formula, the targets and the bench.
    Raises:
        DomainErrors: everything in it that cannot be read.
    """
    formula = read_formula(body.formula, body.measures, findings, line_reader=line_reader)
    targets = tuple(_target(target, i, findings) for i, target in enumerate(body.targets))
    bench = _bench(body, formula.egg_class, findings)
    findings.raise_if_any()
    _check_work(formula, len(targets), len(bench.available_eggs))
    return formula, targets, bench


def _check_work(formula: Formula, targets: int, classes: int) -> None:
    lines = [line.thing.ingredient for component in formula.components for line in component.lines]
    eggs = sum(ingredient is not None and ingredient.id in EGG_PARTS for ingredient in lines)
    if (len(lines) + eggs * classes) * targets > MOST_RESULTS:
        raise OutOfRangeError(
            f"Lines (those of egg once more for each egg class) times targets may be at most {MOST_RESULTS:,} in one "
            "request: ask for fewer targets at a time.",
            path=("targets",),
        )


def read_formula_line(given: LineIn, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """A line of a formula, by the names of our own tables."""
    thing = read_thing(given.ingredient, given.packing, given.g_per_ml, egg_class, own=given.own)
    quantity = given.quantity
    written = quantity if isinstance(quantity, str) else (quantity["amount"], quantity["unit"])
    return line_of(given.ingredient, thing, written, measures)


def read_formula(
    given: FormulaIn,
    measures: Measures | None,
    findings: ErrorCollector,
    at: Path = ("formula",),
    line_reader: LineReader = read_formula_line,
) -> Formula:
    """A formula that stands at a path of the request; what cannot be read is noted there.

    Args:
        given: the request's model.
        measures: whose kitchen words are meant.
        findings: takes the refusals.
        at: where in the request it stands.
        line_reader: reads one line; others know a shop's own names.
    Returns:
        The formula, without the lines that could not be read: look at the findings before using it.
    """
    tin, filled_depth_mm, egg_class = None, None, None
    with findings.at(*at):
        egg_class = read_egg_class(given.egg_class, "egg_class")
    with findings.at(*at, "tin"):
        tin = None if given.tin is None else read_tin(given.tin)
    with findings.at(*at):
        filled_depth_mm = _depth_mm(given.filled_depth, "filled_depth")
    return Formula(
        name=given.name,
        tin=tin,
        tins=given.tins,
        filled_depth_mm=filled_depth_mm,
        egg_class=egg_class,
        components=tuple(
            _component(component, lambda line: line_reader(line, egg_class, measures), (*at, "components", i), findings)
            for i, component in enumerate(given.components)
        ),
    )


def _component(given: ComponentIn, read: Callable[[LineIn], Line], at: Path, findings: ErrorCollector) -> Component:
    lines = []
    for j, line in enumerate(given.lines):
        try:
            lines.append(read(line))
        except DomainError as error:
            findings.errors.append(error.within(*at, "lines", j))
    pieces = given.pieces and Division(count=given.pieces.count, grams_each=given.pieces.grams_each)
    return Component(name=given.name, lines=tuple(lines), pieces=pieces or None)


@lru_cache(maxsize=1024)  # a shop asks for the same formulas all day
def line_of(
    name: str,
    thing: Thing,
    written: str | tuple[str | float, str],
    measures: Measures | None,
    *,
    shop_good: bool = False,
) -> Line:
    """One line, checked; the same written line is read once."""
    try:
        quantity = parse_quantity(written, measures) if isinstance(written, str) else quantity_of(*written, measures)
        return Line(name=name, thing=thing, quantity=quantity, shop_good=shop_good)
    except DomainError as error:
        raise error.within("quantity") from None


def _target(given: TargetIn, index: int, findings: ErrorCollector) -> Target:
    tin: Tin | None = None
    depth_mm = None
    with findings.at("targets", index, "tin"):
        tin = None if given.tin is None else read_tin(given.tin)
    with findings.at("targets", index):
        depth_mm = None if given.depth == "keep" else _depth_mm(given.depth, "depth")
    return Target(
        label=given.label or "", tin=tin, tins=given.tins, depth_mm=depth_mm, factor=given.factor, grams=given.grams
    )


def _bench(body: RescaleRequest, own_class: EggClass | None, findings: ErrorCollector) -> Bench:
    classes = [own_class] if own_class and not body.available_eggs else []
    for i, name in enumerate(body.available_eggs):
        with findings.at("available_eggs", i):
            if (egg_class := read_egg_class(name)) is not None:
                classes.append(egg_class)
    scales = Scales()
    with findings.at():
        scales = Scales(
            step_g=read_grams(body.scale_step, "scale_step"), small_step_g=read_grams(body.small_step, "small_step")
        )
    return Bench(measures=body.measures, available_eggs=tuple(dict.fromkeys(classes)), scales=scales)


def _depth_mm(given: str | QuantityObject | None, field: str) -> float | None:
    return None if given is None else read_length_mm(given, field)
