"""One of several workers is killed: only its requests in work are lost, and another takes its place."""

import asyncio
import signal
import subprocess
import time
from dataclasses import dataclass

from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import Asked, requests
from tests.standing.running import clients_of, service, wait_until_all_serve, workers_of

CONNECTIONS = 16


@dataclass(frozen=True, slots=True)
class Killing:
    """A worker killed under load: whose connections it held, when it went, who answers now."""

    tally: Tally
    at: float
    killed: int
    held: frozenset[int]
    now: frozenset[int]


async def kill_one(port: int, parent: "subprocess.Popen[bytes]", mix: list[Asked]) -> Killing:
    stop = asyncio.Event()
    running = asyncio.create_task(load(port, mix, seconds=600, connections=CONNECTIONS, stop=stop))
    await asyncio.sleep(1.5)
    victim = max(workers_of(parent.pid), key=lambda worker: len(clients_of(worker, port)))
    held, at = frozenset(clients_of(victim, port)), time.monotonic()
    victim.send_signal(signal.SIGKILL)
    try:
        # The load's own connections are with the other worker by now: the newcomer shows itself by taking new ones.
        await asyncio.to_thread(wait_until_all_serve, port, parent.pid, 2)
    finally:
        stop.set()
        tally = await running
    return Killing(tally, at, victim.pid, held, frozenset(worker.pid for worker in workers_of(parent.pid)))


def test_a_killed_worker_loses_only_its_requests_in_work_and_is_replaced() -> None:
    with service("--workers", "2") as (port, parent):
        wait_until_all_serve(port, parent.pid, 2)
        killing = asyncio.run(kill_one(port, parent, requests(300)))
    tally, counts = killing.tally, killing.tally.counts
    assert not counts[Outcome.WRONG], tally.failures
    assert not counts[Outcome.REFUSED], tally.failures  # the other worker went on listening
    lost = [failure.port for failure in tally.failures]
    assert killing.held, "the killed worker had no connection: the test shows nothing"
    assert set(lost) <= killing.held
    assert len(lost) == len(set(lost))  # one request a connection: what was in work, and nothing sent later
    assert all(failure.ended >= killing.at > failure.ended - 1 for failure in tally.failures)
    assert tally.right_between(killing.at, killing.at + 60) > CONNECTIONS
    assert killing.killed not in killing.now
    assert len(killing.now) == 2
