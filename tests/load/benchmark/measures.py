"""What the benchmark measures."""

import statistics
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any, NamedTuple

import pint

from tests.load.benchmark import requests as made
from tests.load.benchmark.servers import floor, free_port, ours, resident_mib, running
from tests.load.benchmark.wrk import Load, Slice

RAW, PLAIN, PLAIN_MADE, RESCALE, ROWS, COLUMNS, CONVERT, CUTS, DRAWING = (
    "raw application, fixed bytes",
    "plain framework route, computes nothing",
    "the same, its answer a model made before",
    "rescale, 25 lines",
    "convert, 1,000 rows",
    "convert, 1,000 rows by columns",
    "GET convert",
    "GET cuts",
    "GET cuts as SVG",
)
PINT, PINT_CAREFUL = "pint, 1,000 rows in a loop", "pint, the same with its units made before"
SERVER_CORE, CLIENT_CORE = 0, 1
OURS = (RESCALE, ROWS, COLUMNS, CONVERT, CUTS, DRAWING)
BEFORE = "before: "


class Plan(NamedTuple):
    """How long to measure, and with which interpreter."""

    python: str
    rounds: int
    seconds: int
    starts: int
    cores: int
    before: Path | None = None  # a checkout of an earlier version, measured in the same run


def throughput(plan: Plan) -> dict[str, list[Slice]]:
    """Every variant in turn, with 16 connections (tables: two); slices in the order of the rounds."""
    slices_by_name: dict[str, list[Slice]] = {}
    pinned = plan.cores > 1
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        loads = _loads(folder)
        ports = {name: free_port() for name in (RAW, PLAIN, PLAIN_MADE, RESCALE)}
        commands = {
            RAW: floor(ports[RAW], "raw", factory=False),
            PLAIN: floor(ports[PLAIN], "plain", factory=True),
            PLAIN_MADE: floor(ports[PLAIN_MADE], "plain_made", factory=True),
            RESCALE: ours(ports[RESCALE]),
        }
        for name, command in commands.items():
            stack.enter_context(running(plan.python, command, ports[name], SERVER_CORE if pinned else None))
        if plan.before is not None:
            port = free_port()
            stack.enter_context(
                running(plan.python, ours(port), port, SERVER_CORE if pinned else None, root=plan.before)
            )
            ports |= {BEFORE + name: port for name in OURS}
            loads |= {BEFORE + name: loads[name] for name in OURS}
        for turn in range(-1, plan.rounds):  # the first round warms up
            for name in sorted(loads, reverse=bool(turn % 2)):
                port, core = ports.get(name, ports[RESCALE]), CLIENT_CORE if pinned else None
                # Table requests are long: with two connections, one is computed while the client reads the other.
                connections = 2 if name.removeprefix(BEFORE) in {ROWS, COLUMNS} else 16
                part = loads[name].drive(port, seconds=plan.seconds, connections=connections, core=core)
                if part.refused or part.broken:
                    raise RuntimeError(f"{name}: {part.refused} refused, {part.broken} broken")
                if turn >= 0:
                    slices_by_name.setdefault(name, []).append(part)
            for name, loop in ((PINT, naive), (PINT_CAREFUL, careful)):
                if turn >= 0:
                    slices_by_name.setdefault(name, []).append(_timed(loop))
    return slices_by_name


def _loads(folder: Path) -> dict[str, Load]:
    tables = made.columns(20)
    requests: dict[str, Iterator[made.BenchmarkRequest]] = {
        RAW: made.rescale_requests(500),
        PLAIN: made.rescale_requests(500),
        PLAIN_MADE: made.rescale_requests(500),
        RESCALE: made.rescale_requests(5_000),
        ROWS: made.row_requests(tables),
        COLUMNS: made.column_requests(tables),
        CONVERT: made.convert_requests(5_000),
        CUTS: made.cut_requests(2_000, "json"),
        DRAWING: made.cut_requests(2_000, "svg"),
    }
    return {name: Load(folder, f"load{i}", of_it) for i, (name, of_it) in enumerate(requests.items())}


_REGISTRY: Any = pint.UnitRegistry()
_UNITS = {name: _REGISTRY.Unit(word) for name, word in made.COLUMN_UNITS.items()}
_GRAM, _MILLILITRE = _REGISTRY.Unit("gram"), _REGISTRY.Unit("milliliter")


def naive(rows: list[made.Row]) -> list[float]:
    """The plain pint code: the volume in millilitres times the density."""
    quantity, words = _REGISTRY.Quantity, made.COLUMN_UNITS
    return [
        (quantity(amount, words[unit]).to("milliliter") * quantity(density, "gram / milliliter")).to("gram").magnitude
        for amount, unit, _, density in rows
    ]


def careful(rows: list[made.Row]) -> list[float]:
    """The pint code with units prepared in advance."""
    quantity, per = _REGISTRY.Quantity, _GRAM / _MILLILITRE
    return [
        (quantity(amount, _UNITS[unit]) * quantity(density, per)).to(_GRAM).magnitude
        for amount, unit, _, density in rows
    ]


def _timed(loop: Callable[[list[made.Row]], list[float]]) -> Slice:
    """Columns per second of a loop in this process."""
    (table,) = made.columns(1)
    begin = time.perf_counter()
    loop(table)
    took = time.perf_counter() - begin
    return Slice(per_second=1 / took, p50_ms=took * 1e3, p99_ms=took * 1e3, refused=0, broken=0)


def starts(plan: Plan) -> dict[str, float]:
    """Median seconds of importing fastapi and pint, and from start to the first answer."""
    importing, answering = list[float](), list[float]()
    for _ in range(plan.starts):
        begin = time.perf_counter()
        subprocess.run([plan.python, "-c", "import fastapi, pint"], check=True)
        importing.append(time.perf_counter() - begin)
        port = free_port()
        begin = time.perf_counter()
        with running(plan.python, ours(port), port):
            answering.append(time.perf_counter() - begin)
    return {
        "import": statistics.median(importing),
        "first answer": statistics.median(answering),
        "ratio": statistics.median(a / i for a, i in zip(answering, importing, strict=True)),
    }


def resident(plan: Plan) -> float:
    """Resident memory of the service after a load of different rescale requests, in MiB."""
    port = free_port()
    with tempfile.TemporaryDirectory() as folder, running(plan.python, ours(port), port) as pid:
        load = Load(Path(folder), "load", made.rescale_requests(5_000))
        load.drive(port, seconds=plan.rounds * plan.seconds, connections=16, core=None)
        wait_for_quiet()
        return resident_mib(pid)


def wait_for_quiet() -> None:
    """Wait until the last answers are sent."""
    time.sleep(0.2)
