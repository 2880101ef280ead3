"""SIGTERM under load: what is in work is finished, new work is refused, and no answer is wrong or cut.

How a stop goes with single requests is in `test_server.py`.
"""

import asyncio
import signal
import subprocess
import time

import pytest

from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import Asked, requests
from tests.standing.running import service, wait_until_all_serve

CONNECTIONS = 12
LOADED_S, AFTER_S, STOPPED_WITHIN_S = 1.0, 1.5, 10.0


@pytest.fixture(scope="module")
def mix() -> list[Asked]:
    return requests(300)


async def loaded_then_stopped(port: int, process: "subprocess.Popen[bytes]", mix: list[Asked]) -> tuple[Tally, float]:
    """Load, SIGTERM in the middle of it: what became of the load, and when the signal went out."""

    async def terminate() -> float:
        await asyncio.sleep(LOADED_S)
        sent = time.monotonic()
        process.send_signal(signal.SIGTERM)
        return sent

    running = load(port, mix, seconds=LOADED_S + AFTER_S, connections=CONNECTIONS)
    tally, sent = await asyncio.gather(running, terminate())
    return tally, sent


@pytest.mark.parametrize("workers", [1, 2])
def test_sigterm_finishes_what_is_in_work_and_refuses_the_rest(workers: int, mix: list[Asked]) -> None:
    with service("--workers", str(workers)) as (port, process):
        wait_until_all_serve(port, process.pid, workers)
        tally, sent = asyncio.run(loaded_then_stopped(port, process, mix))
        assert process.wait(timeout=STOPPED_WITHIN_S) == 0
    counts = tally.counts
    assert not counts[Outcome.WRONG], tally.failures
    assert not counts[Outcome.CUT], tally.failures
    # The signal came while there was work to lose, and all of that work was answered.
    assert tally.in_work_at(sent) >= CONNECTIONS // 2, tally
    assert [failure for failure in tally.failures if failure.began < sent] == []
    # Afterwards nothing is answered: each of what was sent too late was refused, or not taken from its connection.
    assert counts[Outcome.REFUSED] > CONNECTIONS
    assert counts[Outcome.LOST] <= CONNECTIONS
    assert tally.right_between(sent + 1.0, sent + AFTER_S) == 0
