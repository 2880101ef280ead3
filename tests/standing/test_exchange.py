"""Head and body of an answer go out together, and a head alone only where there is no body."""

from types import SimpleNamespace
from typing import Any

from api.serving.exchange import OneWrite


class Wire:
    """A connection that notes what is done to it."""

    def __init__(self) -> None:
        self.done: list[Any] = []

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
    )
    OneWrite.under(cycle, lambda: wire.done.append("closed"))
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
