"""Several workers share out what comes; if one is killed, only its requests in work are lost, and another comes."""

import asyncio
import gc
import signal
import socket
import struct
import subprocess
import sys
import time
from contextlib import ExitStack
from dataclasses import dataclass

import pytest
import uvicorn
from starlette.types import Receive, Scope, Send

from api.serving.protocol import Protocol
from api.serving.server import Drained
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


async def nothing(_scope: Scope, _receive: Receive, _send: Send) -> None:
    """An application that is asked nothing."""


async def shared_out(waiting: int) -> tuple[list[int], int]:
    """What each of two workers takes of connections that wait for them, and how many more might have waited."""
    with ExitStack() as opened:
        listener = opened.enter_context(socket.create_server(("127.0.0.1", 0), backlog=waiting))
        other = opened.enter_context(listener.dup())  # as another process has it
        for _ in range(waiting):
            opened.enter_context(socket.create_connection(listener.getsockname()))
        servers = []
        for one in (listener, other):
            config = uvicorn.Config(nothing, http=Protocol, lifespan="off", log_config=None)
            config.load()
            server = Drained(config)
            server.lifespan = config.lifespan_class(config)
            await server.startup([one])
            servers.append(server)
        for _ in range(2 * waiting):
            await asyncio.sleep(0)
        taken = [len(server.server_state.connections) for server in servers]
        # Linux, tcp(7): of a listening socket tcpi_sacked is how many may wait.
        (most,) = struct.unpack_from("I", listener.getsockopt(socket.IPPROTO_TCP, socket.TCP_INFO, 104), 28)
        for server in servers:
            for serving in server.servers:
                serving.close()
            for connection in list(server.server_state.connections):
                connection.transport.abort()
        await asyncio.sleep(0)
        return taken, most


@pytest.mark.skipif(sys.platform != "linux", reason="looks at the socket as Linux does")
def test_workers_share_out_what_waits_for_them() -> None:
    before = gc.get_threshold()
    try:
        taken, most = asyncio.run(shared_out(20))
    finally:  # a server sets the collector for itself
        gc.unfreeze()
        gc.set_threshold(*before)
    assert sum(taken) == 20
    assert min(taken) >= 5
    assert most == uvicorn.Config(nothing).backlog
