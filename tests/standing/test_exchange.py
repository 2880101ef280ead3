"""Head and body of an answer go out together, and a head alone only where there is no body."""

import asyncio
from types import SimpleNamespace
from typing import Any

import pytest
from uvicorn.protocols.http.flow_control import FlowControl

from api.serving.exchange import OneWrite

IS_CUT = "is_cut"


class Wire:
    """A connection and its transport, that notes what is done to it."""

    def __init__(self) -> None:
        self.done: list[Any] = []
        self.cut = False

    def close(self) -> None:
        self.done.append("closed")

    def write(self, data: bytes) -> None:
        self.done.append(data)

    def writelines(self, parts: tuple[bytes, ...]) -> None:
        self.done.append(b"".join(parts))

    def is_closing(self) -> bool:
        return "closed" in self.done


def exchange() -> tuple[Any, Wire]:
    wire = Wire()
    cycle: Any = SimpleNamespace(
        transport=wire,
        on_response=lambda: wire.done.append("next"),
        response_started=False,
        response_complete=False,
        disconnected=False,
        flow=FlowControl(wire),  # type: ignore[arg-type]
        scope={"state": {}},
    )
    OneWrite.under(cycle, wire)
    return cycle, wire


def test_head_and_body_are_one_write() -> None:
    cycle, wire = exchange()
    cycle.response_started = True
    cycle.transport.write(b"head ")
    assert wire.done == []
    cycle.transport.write(b"body")
    cycle.transport.write(b" more")
    cycle.response_complete = True
    cycle.on_response()
    assert wire.done == [b"head body", b" more", "next"]


def test_what_comes_before_the_head_is_not_held() -> None:
    cycle, wire = exchange()
    cycle.transport.write(b"100 Continue")
    assert wire.done == [b"100 Continue"]


def test_a_head_without_a_body_goes_out_at_the_end() -> None:
    for last in (False, True):
        cycle, wire = exchange()
        cycle.response_started = cycle.response_complete = True
        cycle.transport.write(b"head")
        if last:
            cycle.transport.close()
        cycle.on_response()
        assert wire.done == ([b"head", "closed", "next"] if last else [b"head", "next"])


def test_a_head_whose_body_never_came_is_not_sent() -> None:
    cycle, wire = exchange()
    cycle.response_started = True
    cycle.transport.write(b"head")
    cycle.transport.close()
    assert wire.done == ["closed"]


def answered(cycle: Any) -> Any:
    cycle.response_started = True
    cycle.transport.write(b"head")
    cycle.transport.write(b"body")
    cycle.response_complete = True
    return cycle.scope["state"][IS_CUT]


def test_an_answer_that_the_system_took_over_is_not_cut() -> None:
    cycle, _ = exchange()
    assert asyncio.run(answered(cycle)()) is False


def test_an_answer_to_a_connection_that_is_gone_is_cut() -> None:
    cycle, wire = exchange()
    wire.close()
    assert asyncio.run(answered(cycle)()) is True
    cycle, _ = exchange()
    cycle.disconnected = True
    assert asyncio.run(cycle.scope["state"][IS_CUT]()) is True


@pytest.mark.parametrize("lost", [False, True])
def test_an_answer_that_is_being_taken_in_is_waited_for(lost: bool) -> None:
    cycle, wire = exchange()

    async def taking_in() -> bool:
        cycle.flow.pause_writing()
        asking = asyncio.create_task(answered(cycle)())
        await asyncio.sleep(0.01)
        assert not asking.done()
        wire.cut = lost
        cycle.flow.resume_writing()
        return bool(await asking)

    assert asyncio.run(taking_in()) is lost


def test_a_server_that_stops_waits_for_nobody() -> None:
    cycle, _ = exchange()

    async def stopping() -> bool:
        cycle.flow.pause_writing()
        asking = asyncio.create_task(answered(cycle)())
        await asyncio.sleep(0.01)
        asking.cancel()
        return bool(await asking)

    assert asyncio.run(stopping()) is True
