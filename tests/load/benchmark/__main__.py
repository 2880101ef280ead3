"""`python -m tests.load.benchmark`: a table of ratios. `--short` for CI; `--python` for another interpreter."""

import argparse
import os
import statistics
import sys
from pathlib import Path

from tests.load.benchmark import measures as m
from tests.load.benchmark.wrk import Slice


def main() -> None:
    """Measure and print."""
    options = _parser().parse_args()
    plan = m.Plan(
        python=options.python,
        rounds=2 if options.short else options.rounds,
        seconds=1 if options.short else options.seconds,
        starts=2 if options.short else 9,
        cores=os.cpu_count() or 1,
        before=options.before,
    )
    slices_by_name = m.throughput(plan)
    sys.stdout.write("\n".join(table(slices_by_name)) + "\n\n")
    start = m.starts(plan)
    sys.stdout.write(
        f"start to first answer {start['first answer'] * 1e3:.0f} ms, import fastapi and pint"
        f" {start['import'] * 1e3:.0f} ms: {start['ratio']:.2f}\n"
        f"resident memory after the load {m.resident(plan):.0f} MiB\n"
    )


def table(slices_by_name: dict[str, list[Slice]]) -> list[str]:
    """The figures as Markdown lines."""
    lines = ["| variant | a second | p50 ms | p99 ms | p99/p50 | to raw | to plain | rows to pint's |"]
    lines.append("| --- |" + " ---: |" * 7)
    for name, slices in slices_by_name.items():
        tail = statistics.median(part.p99_ms / part.p50_ms for part in slices if part.p50_ms)
        rows = [m.ROWS, m.COLUMNS, m.PINT, m.PINT_CAREFUL, m.BEFORE + m.ROWS, m.BEFORE + m.COLUMNS]
        cells = [
            f"{_median(slices, 'per_second'):,.1f}",
            f"{_median(slices, 'p50_ms'):.2f}",
            f"{_median(slices, 'p99_ms'):.2f}",
            f"{tail:.1f}",
            _ratio(slices, slices_by_name[m.RAW]),
            _ratio(slices, slices_by_name[m.PLAIN]),
            _ratio(slices, slices_by_name[m.PINT]) if name in rows else "",
        ]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return lines


def _median(slices: list[Slice], field: str) -> float:
    return float(statistics.median(getattr(part, field) for part in slices))


def _ratio(slices: list[Slice], floor: list[Slice]) -> str:
    """The median of the ratios of each round: a slow moment affects both sides."""
    return f"{statistics.median(a.per_second / b.per_second for a, b in zip(slices, floor, strict=True)):.2f}"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.load.benchmark", description=__doc__)
    parser.add_argument("--short", action="store_true", help="two short rounds: shows that it runs, not how fast")
    parser.add_argument("--rounds", type=int, default=8)
    parser.add_argument("--seconds", type=int, default=1, help="of each slice")
    parser.add_argument("--before", type=Path, help="a checkout of an earlier version, measured in the same run")
    parser.add_argument("--python", default=sys.executable, help="the interpreter the servers run with")
    return parser


if __name__ == "__main__":
    main()
