"""What stops a start says in a line what would be right, by the name under which it was said."""

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import psutil
import pytest

from api.__main__ import main
from api.serving.environment import read_settings, unknown_variables
from api.serving.keys.access import check_start
from api.serving.keys.keyring import new_key
from api.serving.starting import check_addresses
from api.settings import PREFIX, Settings
from tests.clients.server import free_port
from tests.standing.running import wait_until_all_serve, workers_of
from tests.standing.wire import get, lines_of, serving, wait_until

EVERYWHERE = "0.0.0.0"  # noqa: S104 - never bound here


@pytest.fixture(autouse=True)
def nothing_set(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if name.upper().startswith(PREFIX)]:
        monkeypatch.delenv(name)


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a start says that is refused, and nothing else."""
    assert main(list(arguments)) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "Traceback" not in told.err
    return told.err


BAD_VALUES = {
    ("MAX_IN_WORK", "0"): "'0' is not a whole number from 1 to 10000.",
    ("MAX_IN_WORK", "many"): "'many' is not a whole number from 1 to 10000.",
    ("MAX_IN_WORK", ""): "'' is not a whole number",
    ("HEADER_SECONDS", "nan"): "'nan' is not a number from 0.5 to 120",
    ("METRICS", "perhaps"): "'perhaps' is not true or false.",
    ("LOG_LEVEL", "loud"): "'loud' is not debug, info, warning or error.",
    ("ACCESS", "yes"): "'yes' is not open.",
    ("METRICS_HOST", "h" * 254): f"'{'h' * 60}...' is not such a text.",
    ("METRICS_PORT", "70000"): "'70000' is not a whole number from 1 to 65535.",
    ("METRICS_PORT", "tcp://10.0.0.1:80"): "enableServiceLinks: false",  # of a Service named tinwright-metrics
    ("CORS_ORIGINS", "https://shop.example"): 'as JSON: ["https://shop.example"]',
    ("CORS_ORIGINS", '["https://shop.example/"]'): "each without a path",
    ("CORS_ORIGINS", '{"a": 1}'): "is not a JSON list",
}  # fmt: skip


@pytest.mark.parametrize(("field", "value"), BAD_VALUES)
def test_a_value_that_cannot_be_is_said_with_its_variable_and_what_would_be_right(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, field: str, value: str
) -> None:
    monkeypatch.setenv(PREFIX + field, value)
    for arguments in ([], ["key", "list"], ["try", "openapi-examples/rescale-parkin.json"]):
        (line,) = refused(capsys, *arguments).splitlines()
        assert line.startswith(f"{PREFIX}{field}: ")
        assert BAD_VALUES[field, value] in line


def test_all_bad_values_are_said_at_once(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("tinwright_max_headers", "1")  # names are read in any case
    monkeypatch.setenv("TINWRIGHT_CORS_ORIGINS", "[")
    monkeypatch.setenv("TINWRIGHT_METRICS", "2")
    lines = refused(capsys).splitlines()
    assert {line.partition(":")[0] for line in lines} == {
        "TINWRIGHT_MAX_HEADERS", "TINWRIGHT_CORS_ORIGINS", "TINWRIGHT_METRICS",
    }  # fmt: skip
    assert "'1' is not a whole number from 20 to 1000" in "".join(lines)


def test_good_values_are_read_as_they_were(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_CORS_ORIGINS", '["https://shop.example", "http://localhost:8080"]')
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "9100")
    assert read_settings().cors_origins == ["https://shop.example", "http://localhost:8080"]
    assert read_settings().metrics_port == 9100


def test_the_contract_is_printed_whatever_the_environment_says(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_MAX_IN_WORK", "0")
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", "/none")
    assert main(["openapi"]) == 0
    assert capsys.readouterr().out.startswith('{\n  "openapi"')


SLIPS = {
    "KEY_FILE": "KEYS_FILE", "KEYSFILE": "KEYS_FILE", "LOGLEVEL": "LOG_LEVEL", "CORS_ORIGIN": "CORS_ORIGINS",
    "MAX_IN_WROK": "MAX_IN_WORK", "TLS_INFRONT": "TLS_IN_FRONT", "SHOPFILE": "SHOP_FILE", "ACESS": "ACCESS",
    "DRAIN_SECOND": "DRAIN_SECONDS", "METRIC": "METRICS",
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_a_name_stops_the_start_with_the_right_one(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, slip: str
) -> None:
    monkeypatch.setenv(PREFIX + slip, "x")
    (line,) = refused(capsys).splitlines()
    assert line.startswith(f"{PREFIX}{slip} is no setting")
    assert f" {PREFIX}{SLIPS[slip]}." in line


def test_names_that_are_not_ours_are_told_and_stop_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PORT", "HOST", "MAX_BODY", "COLOUR"):
        monkeypatch.setenv(PREFIX + name, "1")
    colour, host, body, port = unknown_variables()
    assert colour == "TINWRIGHT_COLOUR is no setting and changes nothing."
    assert body.endswith("; the nearest is TINWRIGHT_MAX_BODY_BYTES.")
    assert host.endswith("say --host on the command line.")
    assert port.endswith("say --port on the command line.")


def test_every_setting_and_what_others_set_for_themselves_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    for field in Settings.model_fields:
        monkeypatch.setenv(PREFIX + field.upper(), "1")
    for name in ("NO_BROWSER", "NO_LIBREOFFICE", "NO_NGINX", "NO_NODE", "NO_WRK", "LONG_TESTS"):
        monkeypatch.setenv(PREFIX + name, "1")
    # Kubernetes' documentation of Services, "Environment variables" (from memory), for one named tinwright.
    links = {
        "SERVICE_HOST": "10.0.0.11", "SERVICE_PORT": "80", "SERVICE_PORT_HTTP": "80", "PORT": "tcp://10.0.0.11:80",
        "PORT_80_TCP": "tcp://10.0.0.11:80", "PORT_80_TCP_PROTO": "tcp", "PORT_80_TCP_PORT": "80",
        "PORT_80_TCP_ADDR": "10.0.0.11", "WEB_SERVICE_HOST": "10.0.0.12", "WEB_PORT": "tcp://10.0.0.12:80",
    }  # fmt: skip
    for name, value in links.items():
        monkeypatch.setenv(PREFIX + name, value)
    assert unknown_variables() == []


def test_a_name_that_is_not_ours_is_a_line_in_the_log(tmp_path: Path) -> None:
    with serving(log=tmp_path / "log", port=80) as served:
        assert served.ask(get("/healthz")).status == 200
        (line,) = [line for line in lines_of(tmp_path / "log") if line["level"] == "WARNING"]
    assert line["message"].startswith("TINWRIGHT_PORT is no setting")


def test_a_shop_file_that_cannot_be_read(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for path, why in ((tmp_path / "none.csv", "No such file or directory"), (tmp_path, "Is a directory")):
        monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(path))
        assert refused(capsys) == f"TINWRIGHT_SHOP_FILE: {path}: cannot be read: {why}\n"
    (odd := tmp_path / "odd.csv").write_bytes(b"name\nBlack treacle\ncaf\xe9\n")
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(odd))
    assert refused(capsys).startswith("odd.csv, line 3: is not text in UTF-8")


@pytest.mark.parametrize("workers", ["1", "2"])
def test_an_address_that_is_none(capsys: pytest.CaptureFixture[str], workers: str) -> None:
    # RFC 6761, 6.4: no name under .invalid is ever found.
    for host in ("not-a-host.invalid", "999.0.0.1", "a b", "h" * 300, "[::1]"):
        told = refused(capsys, "--host", host, "--workers", workers, "--access", "open")
        assert told.startswith(f"--host: {host!r} is no address")


@pytest.mark.parametrize("workers", ["1", "2"])
def test_an_address_of_another_machine(workers: str) -> None:
    # RFC 5737: 192.0.2.0/24 is for documentation, so nobody has it.
    asked = ["--host", "192.0.2.1", "--access", "open", "--port", str(free_port()), "--workers", workers]
    ran = subprocess.run([sys.executable, "-m", "api", *asked], capture_output=True, timeout=60, check=False)
    assert ran.returncode == 3
    assert b"Traceback" not in ran.stderr
    assert b"cannot assign requested address" in ran.stderr.lower()


def test_the_metrics_address_is_looked_at_as_well(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_HOST", "not-a-host.invalid")
    check_addresses(read_settings(), host="127.0.0.1", port=8000)  # it has no port yet
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "9100")
    assert refused(capsys).startswith("TINWRIGHT_METRICS_HOST: 'not-a-host.invalid' is no address")


@pytest.mark.parametrize(
    ("host", "metrics_host", "clash"),
    [
        ("127.0.0.1", "127.0.0.1", True), ("localhost", "127.0.0.1", True), (EVERYWHERE, "127.0.0.1", True),
        ("", "127.0.0.1", True), ("127.0.0.1", EVERYWHERE, True), ("127.0.0.1", "127.0.0.2", False),
    ],
)  # fmt: skip
def test_the_services_own_port_is_not_for_metrics(host: str, metrics_host: str, clash: bool) -> None:
    settings = Settings(metrics_port=8000, metrics_host=metrics_host)
    check_addresses(settings, host=host, port=8001)
    check_addresses(settings, host=host, port=0)
    check_addresses(settings.model_copy(update={"metrics": False}), host=host, port=8000)
    if clash:
        with pytest.raises(ValueError, match="TINWRIGHT_METRICS_PORT: 8000 is the service's own port"):
            check_addresses(settings, host=host, port=8000)
    else:
        check_addresses(settings, host=host, port=8000)


def test_the_services_own_port_is_said(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "8000")
    assert refused(capsys, "--port", "8000").startswith("TINWRIGHT_METRICS_PORT: 8000 is the service's own port")


def test_metrics_are_open_to_others_only_by_name(tmp_path: Path) -> None:
    (keys := tmp_path / "keys").write_text(f"{new_key('tablet')[1].line}\n", "utf-8")
    open_to_others = Settings(metrics_port=9100, metrics_host=EVERYWHERE, keys_file=keys)
    with pytest.raises(ValueError, match=r"TINWRIGHT_METRICS_HOST: 0\.0\.0\.0 .*TINWRIGHT_METRICS_ACCESS=open"):
        check_start(open_to_others, host="127.0.0.1", access=None)
    with pytest.raises(ValueError, match="TINWRIGHT_METRICS_HOST: every address"):
        check_start(open_to_others.model_copy(update={"metrics_host": ""}), host="127.0.0.1", access=None)
    for settled in ({"metrics_access": "open"}, {"metrics_host": "::1"}, {"metrics_port": None}, {"metrics": False}):
        check_start(open_to_others.model_copy(update=settled), host=EVERYWHERE, access=None)
    # Where all is open, the metrics are too.
    check_start(open_to_others.model_copy(update={"keys_file": None}), host=EVERYWHERE, access="open")


def test_metrics_for_all_are_refused_before_anything_is_served(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_HOST", EVERYWHERE)
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", str(port := free_port()))
    assert "TINWRIGHT_METRICS_ACCESS=open" in refused(capsys)
    with socket.socket() as free:
        free.bind(("127.0.0.1", port))


def test_a_worker_that_cannot_begin_says_why_in_a_line_and_begins_when_it_can(tmp_path: Path) -> None:
    log, keys = tmp_path / "log", tmp_path / "keys"
    good = f"{new_key('tablet')[1].line}\n"
    keys.write_text(good, "utf-8")
    with serving("--workers", "2", log=log, keys_file=keys) as served:
        wait_until_all_serve(served.port, served.process.pid, 2)
        keys.write_text("nonsense\n", "utf-8")
        victim = workers_of(served.process.pid)[0]
        victim.send_signal(signal.SIGKILL)
        psutil.wait_procs([victim], timeout=20)
        wait_until(lambda: sum("cannot begin" in line["message"] for line in lines_of(log)) > 1)
        assert served.ask(get("/healthz")).status == 200  # the other goes on
        keys.write_text(good, "utf-8")
        wait_until_all_serve(served.port, served.process.pid, 2)
        assert served.stop() == 0
    lines = lines_of(log)  # every one of them JSON: no bare traceback
    told = {line["message"] for line in lines if line["level"] == "ERROR"}
    (why,) = told
    assert why.startswith(f"cannot begin: {keys}:1: a line is NAME SCOPES SHA256")
    assert not any("exception" in line for line in lines)
