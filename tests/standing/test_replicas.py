"""Several replicas behind the shipped proxy: one is killed and restarted under load, and what is retried where."""

import asyncio
import re
import time
from collections import Counter
from collections.abc import Callable, Iterator

import httpx
import pytest

from tests.clients.server import free_port
from tests.standing.driver import Outcome, Tally, load
from tests.standing.mix import ExpectedExchange, requests
from tests.standing.proxying import Fleet, dying_upstreams, get, needs_nginx, problem_of, proxy

pytestmark = needs_nginx
REPLICAS = 3
CONNECTIONS = 12
POSTS = {"rescale parkin", "rescale torte", "rescale refused", "convert a column"}


@pytest.fixture(scope="module")
def fleet() -> Iterator[Fleet]:
    environment = {"TINWRIGHT_ACCESS": "open", "TINWRIGHT_DRAIN_SECONDS": "2"}
    with Fleet(REPLICAS, environment=environment, unlimited=("127.0.0.1",)) as running:
        yield running


@pytest.fixture(scope="module")
def mix() -> list[ExpectedExchange]:
    return requests(400)


async def under_load(
    fleet: Fleet, mix: list[ExpectedExchange], seconds: float, end_replica: Callable[[int], None]
) -> tuple[Tally, float, int]:
    """Load in which a replica is ended and started again.

    Returns:
        What became of the requests, when the replica was ended, and how long the proxy's log was when it was back.
    """
    finished = asyncio.Event()
    running = asyncio.create_task(load(fleet.proxy.port, mix, seconds=600, connections=CONNECTIONS, stop=finished))
    await asyncio.sleep(seconds / 4)
    ended = time.monotonic()
    await asyncio.to_thread(end_replica, 0)
    await asyncio.sleep(seconds / 4)
    await asyncio.to_thread(fleet.restart, 0)
    back = len(fleet.proxy.log())
    await asyncio.sleep(seconds / 2)
    finished.set()
    return await running, ended, back


def test_a_replica_killed_and_restarted_under_load_costs_only_what_it_was_working_on(
    fleet: Fleet, mix: list[ExpectedExchange]
) -> None:
    before = len(fleet.proxy.log())
    tally, killed, back = asyncio.run(under_load(fleet, mix, 6, fleet.kill))
    log = fleet.proxy.log()
    print(f"\n{tally}; failures: {[(failure.kind, failure.detail[:60]) for failure in tally.failures]}")
    # A POST that the replica had received is answered with 502 and not retried; an answer whose head was already on
    # its way is cut. Everything else must be right.
    assert len(tally.failures) <= CONNECTIONS
    for failure in tally.failures:
        assert killed <= failure.ended < killed + 2
        if failure.outcome == Outcome.WRONG:
            assert failure.detail.startswith("502 application/problem+json"), failure
            assert failure.kind in POSTS
        else:
            assert failure.outcome == Outcome.CUT, failure
    assert tally.counts[Outcome.RIGHT] > 100
    # Another replica was tried, or the test shows nothing.
    assert [entry for entry in log[before:] if ", " in entry["upstream"]]
    assert {entry["status"] for entry in log[before:]} <= {"200", "422", "502"}
    served = Counter(entry["upstream"].split(", ")[-1] for entry in log[back:])
    assert served[f"127.0.0.1:{fleet.ports[0]}"] > 0, served


def test_a_replica_stopped_and_restarted_under_load_costs_nothing(fleet: Fleet, mix: list[ExpectedExchange]) -> None:
    def stop_replica(which: int) -> None:
        fleet.replicas[which].terminate()
        assert fleet.replicas[which].wait(timeout=30) == 0

    tally, _, _ = asyncio.run(under_load(fleet, mix, 3, stop_replica))
    print(f"\n{tally}")
    assert not tally.failures, tally.failures
    assert tally.counts[Outcome.RIGHT] > 100


def test_a_post_that_ends_a_replica_does_not_reach_another() -> None:
    post = b"POST /v1/rescale HTTP/1.1\r\nHost: service\r\nContent-Length: 3\r\n\r\nEND"
    with dying_upstreams(REPLICAS) as (ports, received), proxy(ports) as running:
        for number in range(1, 11):
            answer = running.ask(post)
            assert answer[0] == 502
            assert problem_of(answer)["type"] == "/problems/no_answer"
            assert answer[1]["retry-after"] == "1"
            # A replica that failed is left alone for a second; then nginx may have none to ask.
            assert len(received) <= number
            time.sleep(0.5)
        assert len(received) >= 5


def test_a_get_that_ends_a_replica_reaches_one_more_at_most() -> None:
    with dying_upstreams(REPLICAS) as (ports, received), proxy(ports) as running:
        assert running.ask(get("/v1/units"))[0] == 502
        assert len(received) == 2


def test_a_post_is_retried_if_a_replica_cannot_be_reached(fleet: Fleet) -> None:
    with proxy([free_port(), fleet.ports[1]], unlimited=("127.0.0.1",)) as running:
        body = {"items": [{"quantity": "1 kg", "to": "g"}]}
        with httpx.Client(base_url=f"http://127.0.0.1:{running.port}") as client:
            assert [client.post("/v1/convert", json=body).status_code for _ in range(20)] == [200] * 20
        tried = [entry["upstream"] for entry in running.log()]
        assert [upstreams for upstreams in tried if re.search(r":\d+, ", upstreams)]


def test_without_any_replica_the_answer_is_a_problem() -> None:
    with dying_upstreams(1) as (ports, _), proxy(ports) as running:
        answer = running.ask(get("/v1/units"))
        assert problem_of(answer)["status"] == 502
