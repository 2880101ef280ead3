"""A long steady load on one process, to find leaks; every answer is compared: `python -m tests.standing.soak`.

The capacity of the process is measured first; then it gets a fixed share of that load. Memory (resident and private),
open files and threads are read from the kernel.
"""

import argparse
import asyncio
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import psutil

from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import ExpectedExchange, requests
from tests.standing.running import service

CONNECTIONS = 16
MB = 1e6
_WARM_AT_MOST_S = 90.0


@dataclass(frozen=True, slots=True)
class Sample:
    """The state of the process at one moment."""

    at: float
    resident_mb: float
    private_mb: float
    files: int
    threads: int
    processor_s: float


@dataclass(frozen=True, slots=True)
class Soaked:
    """The outcome of a soak: the capacity, the load, and the samples taken under it."""

    capacity_per_s: float
    asked_per_s: float
    tally: Tally
    samples: list[Sample]

    def quarter(self, number: int) -> list[Sample]:
        """The samples of one quarter of the time, numbered 1 to 4."""
        first, last = self.samples[0].at, self.samples[-1].at
        bounds = [first + (last - first) * part / 4 for part in (number - 1, number)]
        return [sample for sample in self.samples if bounds[0] <= sample.at <= bounds[1]]

    def mean(self, name: str, number: int) -> float:
        """The mean of a figure over one quarter."""
        return statistics.fmean(getattr(sample, name) for sample in self.quarter(number))

    def growth_percent(self, name: str) -> float:
        """The growth of the mean from the second quarter to the last, in percent."""
        return 100 * (self.mean(name, 4) / self.mean(name, 2) - 1)


def soak(*, minutes: float, measured_s: float, share: float, variety: int, arguments: Sequence[str] = ()) -> Soaked:
    """Soak one process.

    Args:
        minutes: duration after the warm-up.
        measured_s: duration of the capacity measurement, in seconds.
        share: the share of the capacity that is sent.
        variety: number of different requests. All are sent once before the measurement, so that the caches are full.
        arguments: more for `python -m api`.
    Returns:
        The outcome.
    """
    mix = requests(variety)
    with service(*arguments) as (port, process):
        return asyncio.run(_soak(port, process, mix, seconds=60 * minutes, measured_s=measured_s, share=share))


async def _soak(
    port: int,
    process: "subprocess.Popen[bytes]",
    mix: list[ExpectedExchange],
    *,
    seconds: float,
    measured_s: float,
    share: float,
) -> Soaked:
    await load(port, mix, seconds=_WARM_AT_MOST_S, connections=CONNECTIONS, most=len(mix))
    begin = time.monotonic()
    driven = await load(port, mix, seconds=measured_s, connections=CONNECTIONS)
    capacity = len(driven.began) / (time.monotonic() - begin)
    rate = share * capacity
    finished = asyncio.Event()
    sampling = asyncio.create_task(_sample(psutil.Process(process.pid), seconds / 240, finished))
    tally = await load(port, mix, seconds=seconds, connections=CONNECTIONS, per_second=rate)
    finished.set()
    return Soaked(capacity, rate, tally, await sampling)


async def _sample(process: psutil.Process, every_s: float, finished: asyncio.Event) -> list[Sample]:
    samples = []
    while not finished.is_set():
        with process.oneshot():
            memory, times = process.memory_full_info(), process.cpu_times()
            samples.append(
                Sample(
                    at=time.monotonic(),
                    resident_mb=memory.rss / MB,
                    private_mb=memory.uss / MB,
                    files=process.num_fds(),
                    threads=process.num_threads(),
                    processor_s=times.user + times.system,
                )
            )
        await asyncio.sleep(every_s)
    return samples


def table(soaked: Soaked) -> str:
    """The outcome as a Markdown table and a line about the answers."""
    rows = [
        "| quarter | resident MB | private MB | open files | threads | processor % | right answers |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for number in (1, 2, 3, 4):
        part = soaked.quarter(number)
        lasted = part[-1].at - part[0].at
        files = sorted({sample.files for sample in part})
        rows.append(
            f"| {number} | {soaked.mean('resident_mb', number):.1f} | {soaked.mean('private_mb', number):.1f} |"
            f" {files[0]} to {files[-1]} | {max(sample.threads for sample in part)} |"
            f" {100 * (part[-1].processor_s - part[0].processor_s) / lasted:.0f} |"
            f" {soaked.tally.right_between(part[0].at, part[-1].at)} |"
        )
    steps = [later.at - sooner.at for sooner, later in pairwise(soaked.samples)]
    return "\n".join(
        [
            f"Capacity {soaked.capacity_per_s:.0f} a second, asked {soaked.asked_per_s:.0f}; {soaked.tally}.",
            f"{len(soaked.samples)} samples, one in {statistics.median(steps):.1f} s.",
            f"Last quarter against the second: resident {soaked.growth_percent('resident_mb'):+.2f} %,",
            f"private {soaked.growth_percent('private_mb'):+.2f} %.",
            "",
            *rows,
        ]
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a soak and print the table.

    Returns:
        The exit status: 0 if every answer was right.
    """
    parser = argparse.ArgumentParser(prog="python -m tests.standing.soak", description=__doc__)
    parser.add_argument("--minutes", type=float, default=20)
    parser.add_argument("--share", type=float, default=0.7, help="of the capacity (default %(default)s)")
    parser.add_argument("--variety", type=int, default=20_000, help="different requests (default %(default)s)")
    options = parser.parse_args(arguments)
    soaked = soak(minutes=options.minutes, measured_s=30, share=options.share, variety=options.variety)
    sys.stdout.write(table(soaked) + "\n")
    for failure in soaked.tally.failures[:20]:
        sys.stdout.write(f"{failure}\n")
    return 0 if set(soaked.tally.counts) == {Outcome.RIGHT} else 1


if __name__ == "__main__":
    sys.exit(main())
