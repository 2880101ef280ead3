"""On loopback without keys the service answers to this machine's names only, against DNS rebinding."""

from pathlib import Path

import pytest

from api.app import create_app
from api.serving.hosts import LOOPBACK_HOSTS, hosts_on_loopback
from api.settings import Settings
from tests.standing.asking import ask
from tests.standing.wire import get, serving

APP = create_app(Settings(), hosts=hosts_on_loopback(Settings(public_url="https://Tinwright.example:8443/bakery")))


@pytest.mark.parametrize(
    "host", ["localhost", "LOCALHOST:8000", "127.0.0.1", "127.0.0.1:8000", "[::1]", "[::1]:8000", "tinwright.example"]
)
def test_names_of_this_machine_and_the_public_host_are_answered(host: str) -> None:
    assert ask(APP, "GET", "/v1/units", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["attacker.example", "attacker.example:8000", "localhost.attacker.example", "", ":80", "::1"]
)
def test_other_hosts_are_refused(host: str) -> None:
    for path in ("/v1/units", "/healthz", "/docs"):
        refused = ask(APP, "GET", path, headers={"Host": host})
        assert (refused.status_code, refused.json()["type"]) == (421, "/problems/unknown_host")


def test_http_1_0_may_name_no_host_and_http_1_1_may_not() -> None:
    with serving() as served:
        assert served.ask(b"GET /v1/units HTTP/1.0\r\n\r\n").status == 200
        assert served.ask(b"GET /v1/units HTTP/1.0\r\nHost: attacker.example\r\n\r\n").status == 421
        assert served.ask(b"GET /v1/units HTTP/1.1\r\nConnection: close\r\n\r\n").status == 421


def test_services_with_keys_or_open_on_purpose_answer_to_every_host() -> None:
    assert hosts_on_loopback(Settings()) == LOOPBACK_HOSTS
    assert hosts_on_loopback(Settings(access="open")) == frozenset()
    assert hosts_on_loopback(Settings(keys_file=Path("keys"))) == frozenset()


@pytest.mark.parametrize(("arguments", "status"), [([], 421), (["--access", "open"], 200)], ids=["closed", "open"])
def test_the_running_service_checks_the_host(arguments: list[str], status: int) -> None:
    with serving(*arguments) as served:
        rebound = get("/v1/units").replace(b"Host: localhost", b"Host: attacker.example")
        assert served.ask(rebound).status == status
        assert served.ask(get("/v1/units")).status == 200
