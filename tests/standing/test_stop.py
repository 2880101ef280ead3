"""SIGTERM under load: with a delay for draining no request is lost, and no answer is wrong or cut."""

import asyncio
import signal
import subprocess
import time

import pytest

from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import ExpectedExchange, requests
from tests.standing.wire import serving

CONNECTIONS = 12
LOADED_S, DRAIN_S, AFTER_S, STOPPED_WITHIN_S = 1.0, 1.0, 3.5, 10.0


@pytest.fixture(scope="module")
def mix() -> list[ExpectedExchange]:
    return requests(300)


async def load_then_stop(
    port: int, process: "subprocess.Popen[bytes]", mix: list[ExpectedExchange]
) -> tuple[Tally, float]:
    """Send SIGTERM in the middle of a load: the outcomes, and when the signal was sent."""

    async def terminate() -> float:
        await asyncio.sleep(LOADED_S)
        sent = time.monotonic()
        process.send_signal(signal.SIGTERM)
        return sent

    running = load(port, mix, seconds=LOADED_S + DRAIN_S + AFTER_S, connections=CONNECTIONS)
    tally, sent = await asyncio.gather(running, terminate())
    return tally, sent


def test_sigterm_under_load_loses_no_request_sent_before_the_end_of_the_delay(mix: list[ExpectedExchange]) -> None:
    with serving(drain_seconds=DRAIN_S) as served:
        tally, sent = asyncio.run(load_then_stop(served.port, served.process, mix))
        assert served.process.wait(timeout=STOPPED_WITHIN_S) == 0
    counts = tally.counts
    assert not counts[Outcome.WRONG], tally.failures
    assert not counts[Outcome.CUT], tally.failures
    # There were requests in progress at the signal, and every request during the delay was answered.
    assert tally.in_work_at(sent) >= CONNECTIONS // 2, tally
    assert [failure for failure in tally.failures if failure.began < sent + 0.8 * DRAIN_S] == []
    assert tally.right_between(sent, sent + DRAIN_S) > CONNECTIONS
    # Afterwards every connection is refused; a request may be lost with the connection that it was sent on.
    assert counts[Outcome.REFUSED] > CONNECTIONS
    assert counts[Outcome.LOST] <= 2 * CONNECTIONS
    assert tally.right_between(sent + DRAIN_S + 3.0, sent + DRAIN_S + AFTER_S) == 0  # a busy machine stops late
