"""Slow, idle and flooding clients in great number against the shipped proxy, while others are served.

Each attack prints its figures (`pytest -s`). Attackers and other clients have addresses of their own on loopback, so
that limits per address hold as they would between machines.
"""

import asyncio
import re
from collections.abc import Awaitable, Callable, Iterator

import psutil
import pytest

from tests.standing.driver import Tally, load
from tests.standing.flooding import (
    ADDRESSES,
    HELD_BACK_BODY,
    LARGE,
    SLOW_BODY,
    SLOW_HEADER,
    SLOW_READER,
    Attackers,
    Flood,
    Health,
    check_health,
    connect_many,
)
from tests.standing.mix import ExpectedExchange, requests
from tests.standing.proxying import Fleet, get, needs_nginx, raise_open_files

pytestmark = needs_nginx
ATTACKERS = 1_200
SECONDS = 5.0
PER_SECOND = 20.0  # of the other clients, below the limit for one address


@pytest.fixture(scope="module")
def fleet() -> Iterator[Fleet]:
    raise_open_files(16_384)
    with Fleet(1, header_seconds=2, body_seconds=2, send_seconds=2) as running:
        yield running


@pytest.fixture(scope="module")
def mix() -> list[ExpectedExchange]:
    return requests(300)


async def during(
    port: int,
    mix: list[ExpectedExchange],
    attack: Callable[[asyncio.Event], Awaitable[object]],
    seconds: float = SECONDS,
) -> tuple[Tally, Health, list[object]]:
    """An attack, and beside it other clients and health checks."""
    stop = asyncio.Event()
    attacking = asyncio.ensure_future(attack(stop))
    checking = asyncio.create_task(check_health(port, stop))
    await asyncio.sleep(1)  # until the attackers are connected
    tally = await load(port, mix, seconds=seconds, connections=4, per_second=PER_SECOND)
    stop.set()
    return tally, await checking, [await attacking]


def served(tally: Tally, health: Health, least: int) -> None:
    """Every answer to the other clients is right, byte for byte, and there are enough of them."""
    assert not tally.failures, tally.failures[:5]
    assert tally.counts.total() >= least, tally
    assert not health.wrong, health.wrong[:5]
    assert health.right >= 5


@pytest.mark.parametrize(
    ("start", "drips", "reads"),
    [
        pytest.param(SLOW_HEADER, True, True, id="headers that drip"),
        pytest.param(b"G", False, True, id="one letter"),
        pytest.param(SLOW_BODY, False, True, id="bodies that stop"),
        pytest.param(SLOW_BODY, True, True, id="bodies that drip"),
        pytest.param(SLOW_READER, False, False, id="answers not read"),
    ],
)
def test_slow_clients_are_cut_and_others_served(
    fleet: Fleet, mix: list[ExpectedExchange], start: bytes, drips: bool, reads: bool
) -> None:
    port = fleet.proxy.port
    attackers = Attackers(port, start, count=ATTACKERS, drips=drips, reads=reads)
    tally, health, (flood,) = asyncio.run(during(port, mix, attackers.run))
    print(f"\n{flood}; others: {tally}; {health}")
    served(tally, health, least=int(PER_SECOND * SECONDS / 2))
    assert isinstance(flood, Flood)
    assert flood.open_at_most > 0.9 * ATTACKERS
    if not (drips and start is SLOW_BODY):  # a body may take its time as long as bytes arrive
        assert flood.cut > ATTACKERS / 2


def test_bodies_that_are_held_back_occupy_no_process(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    process = psutil.Process(fleet.replicas[0].pid)
    before = process.memory_info().rss
    attackers = Attackers(fleet.proxy.port, HELD_BACK_BODY, count=100)
    tally, health, (flood,) = asyncio.run(during(fleet.proxy.port, mix, attackers.run, seconds=4))
    print(f"\n{flood}; others: {tally}; {health}")
    served(tally, health, least=int(PER_SECOND * 4 / 2))
    assert isinstance(flood, Flood)
    assert flood.cut > 50
    assert process.memory_info().rss - before < 20e6  # of 100 MB


def test_unread_answers_do_not_fill_the_memory_of_the_service(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    process = psutil.Process(fleet.replicas[0].pid)
    before, highest = process.memory_info().rss, 0
    # A key, even a useless one, keeps the answer out of the cache: each is made by the service.
    attackers = Attackers(fleet.proxy.port, get(f"{LARGE}?access_token=x"), count=200, reads=False)

    async def attack(stop: asyncio.Event) -> Flood:
        nonlocal highest
        attacking = asyncio.create_task(attackers.run(stop))
        while not attacking.done():
            highest = max(highest, process.memory_info().rss)
            await asyncio.sleep(0.05)
        return await attacking

    tally, health, (flood,) = asyncio.run(during(fleet.proxy.port, mix, attack, seconds=4))
    print(f"\n{flood}; memory of the service {before / 1e6:.0f} MB, at most {highest / 1e6:.0f} MB; {health}")
    served(tally, health, least=int(PER_SECOND * 4 / 2))
    assert highest - before < 40e6  # all answers together have more than 200 MB


def test_one_address_holds_only_so_many_requests(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    port = fleet.proxy.port
    attackers = Attackers(port, SLOW_BODY, count=300, addresses=ADDRESSES[:1], drips=True)
    tally, health, (flood,) = asyncio.run(during(port, mix, attackers.run, seconds=3))
    print(f"\n{flood}; others: {tally}; {health}")
    served(tally, health, least=int(PER_SECOND * 3 / 2))
    assert isinstance(flood, Flood)
    assert set(flood.statuses) == {429}
    assert flood.statuses[429] >= 300 - 64


def test_a_burst_of_5_000_connections_shuts_nobody_out(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    port = fleet.proxy.port

    async def burst(_: asyncio.Event) -> int:
        return await connect_many(port, 5_000)

    tally, health, (opened,) = asyncio.run(during(port, mix, burst, seconds=5))
    print(f"\n{opened} of 5,000 connected; others: {tally}; {health}")
    served(tally, health, least=int(PER_SECOND * 5 / 2))
    assert opened == 5_000


def test_5_000_idle_connections_shut_nobody_out(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    port = fleet.proxy.port
    many = tuple(f"127.0.{third}.{last}" for third in (2, 3) for last in range(1, 51))

    async def idle(_: asyncio.Event) -> int:
        return await connect_many(port, 5_000, request=get("/healthz"), addresses=many)

    tally, health, (answered,) = asyncio.run(during(port, mix, idle, seconds=5))
    print(f"\n{answered} of 5,000 answered and then idle; others: {tally}; {health}")
    served(tally, health, least=int(PER_SECOND * 5 / 2))
    assert answered == 5_000


def test_requests_above_the_rate_of_one_address_are_refused(fleet: Fleet) -> None:
    source = "127.0.4.1"
    with fleet.proxy.connect(source) as connection:
        connection.sendall(get("/healthz") * 400)
        received = b""
        while received.count(b"HTTP/1.1 ") < 400:
            received += connection.recv(65_536)
    answers = re.findall(rb"HTTP/1\.1 ([0-9]{3})", received)
    print(f"\n{answers.count(b'200')} answered, {answers.count(b'429')} refused")
    assert set(answers) == {b"200", b"429"}
    assert answers.count(b"429") > 100
    assert b"retry-after: 1" in received.lower()
    assert fleet.proxy.ask(get("/healthz"), source="127.0.4.2")[0] == 200
