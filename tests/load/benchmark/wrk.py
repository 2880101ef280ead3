"""Short load slices with `wrk` against one server."""

import json
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from tests.load.benchmark.requests import BenchmarkRequest

_SCRIPT = """
local requests, at = {}, 0
wrk.headers["Host"] = "localhost" -- it would set its own only after this
for line in io.lines("%s") do
  local method, path, body = line:match("^(%%S+)\\t(%%S+)\\t(.*)$")
  wrk.headers["Content-Type"] = body ~= "" and "application/json" or nil
  requests[#requests + 1] = wrk.format(method, path, nil, body ~= "" and body or nil)
end
request = function() at = at %% #requests + 1; return requests[at] end
done = function(summary, latency)
  local e = summary.errors
  local form = '{"requests": %%d, "microseconds": %%d, "p50": %%d, "p99": %%d, "status": %%d, "other": %%d}'
  io.write('\\n', string.format(form,
    summary.requests, summary.duration, latency:percentile(50), latency:percentile(99), e.status,
    e.connect + e.read + e.write + e.timeout), '\\n')
end
"""


class Slice(NamedTuple):
    """One slice: answers per second, two latency percentiles in ms, error statuses, other errors."""

    per_second: float
    p50_ms: float
    p99_ms: float
    refused: int
    broken: int


class Load:
    """The requests for `wrk`, written once."""

    def __init__(self, folder: Path, name: str, requests: Iterable[BenchmarkRequest]) -> None:
        """Write the requests and the script."""
        lines, self.script = folder / f"{name}.tsv", folder / f"{name}.lua"
        lines.write_bytes(b"".join(b"\t".join([a.method.encode(), a.path.encode(), a.body]) + b"\n" for a in requests))
        self.script.write_text(_SCRIPT % lines)

    def drive(self, port: int, *, seconds: int, connections: int, core: int | None) -> Slice:
        """Send requests for a number of seconds.

        Raises:
            RuntimeError: `wrk` failed.
        """
        pinned = [] if core is None else ["taskset", "-c", str(core)]
        command = [
            *pinned,
            "wrk",
            "-t1",
            f"-c{connections}",
            f"-d{seconds}s",
            "-s",
            str(self.script),
            f"http://127.0.0.1:{port}",
        ]
        done = subprocess.run(command, capture_output=True, text=True, timeout=seconds + 30, check=False)
        if done.returncode:
            raise RuntimeError(f"wrk: {done.stderr or done.stdout}")
        summary = json.loads(done.stdout.strip().splitlines()[-1])
        return Slice(
            per_second=summary["requests"] / summary["microseconds"] * 1e6,
            p50_ms=summary["p50"] / 1e3,
            p99_ms=summary["p99"] / 1e3,
            refused=summary["status"],
            broken=summary["other"],
        )
