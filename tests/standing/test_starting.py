"""An invalid setting, file or address stops the start with a line that says what is allowed."""

import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from api.__main__ import main
from api.serving.addresses import check_addresses
from api.serving.environment import read_settings, unknown_variables
from api.serving.keys.access import check_start
from api.serving.keys.keyring import new_key
from api.settings import PREFIX, Settings
from tests.clients.server import free_port
from tests.standing.wire import get, lines_of, serving

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"
EVERYWHERE = "0.0.0.0"  # noqa: S104 - never bound here


@pytest.fixture(autouse=True)
def clean_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if name.upper().startswith(PREFIX)]:
        monkeypatch.delenv(name)


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Start, expect a refusal, and return stderr."""
    assert main(list(arguments)) == 2
    written = capsys.readouterr()
    assert written.out == ""
    assert "Traceback" not in written.err
    return written.err


BAD_VALUES = {
    ("MAX_IN_WORK", "0"): "greater than or equal to 1; the value is '0'",
    ("MAX_IN_WORK", "many"): "valid integer",
    ("MAX_IN_WORK", ""): "valid integer",
    ("BODY_SECONDS", "nan"): "less than or equal to 600",
    ("METRICS", "perhaps"): "valid boolean",
    ("LOG_LEVEL", "loud"): "'debug', 'info', 'warning' or 'error'; the value is 'loud'",
    ("ACCESS", "yes"): "'open'",
    ("METRICS_HOST", "h" * 254): f"at most 253 characters; the value is '{'h' * 59}.",
    ("METRICS_PORT", "70000"): "less than or equal to 65535",
    ("METRICS_PORT", "tcp://10.0.0.1:80"): "valid integer",  # set by Kubernetes for a Service named tinwright-metrics
    ("KEYS_FILE", ""): "give the path of a file, or do not set the variable; the value is ''.",
    ("SHOP_FILE", ""): "give the path of a file",
    ("PUBLIC_URL", "tinwright.example"): "URL under which clients reach the service",
    ("CORS_ORIGINS", "https://shop.example"): 'JSON list such as ["https://shop.example"]',
    ("CORS_ORIGINS", '["https://shop.example/"]'): "each without a path",
    ("CORS_ORIGINS", '{"a": 1}'): "valid list",
}


@pytest.mark.parametrize(("field", "value"), BAD_VALUES)
def test_an_invalid_value_is_reported_with_its_variable_and_what_is_allowed(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, field: str, value: str
) -> None:
    monkeypatch.setenv(PREFIX + field, value)
    for arguments in ([], ["key", "list"], ["try", "rescale-parkin"]):
        (line,) = refused(capsys, *arguments).splitlines()
        assert line.startswith(f"{PREFIX}{field}: ")
        assert BAD_VALUES[field, value] in line
        assert line.endswith(str(Settings.model_fields[field.lower()].description))


def test_all_invalid_values_are_reported_at_once(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("tinwright_max_headers", "1")  # names are not case-sensitive
    monkeypatch.setenv("TINWRIGHT_CORS_ORIGINS", "[")
    monkeypatch.setenv("TINWRIGHT_METRICS", "2")
    lines = refused(capsys).splitlines()
    assert {line.partition(":")[0] for line in lines} == {
        "TINWRIGHT_MAX_HEADERS",
        "TINWRIGHT_CORS_ORIGINS",
        "TINWRIGHT_METRICS",
    }


def test_every_setting_has_a_description_with_its_unit() -> None:
    for name, field in Settings.model_fields.items():
        assert field.description, name
        assert field.description.endswith("."), name
        for suffix, unit in (("_bytes", "in bytes"), ("_seconds", "in seconds")):
            if name.endswith(suffix):
                assert unit in field.description, name


def test_valid_values_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_CORS_ORIGINS", '["https://shop.example", "http://localhost:8080"]')
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "9100")
    assert read_settings().cors_origins == ["https://shop.example", "http://localhost:8080"]
    assert read_settings().metrics_port == 9100


def test_the_contract_is_printed_whatever_the_environment_contains(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_MAX_IN_WORK", "0")
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", "/none")
    assert main(["openapi"]) == 0
    assert capsys.readouterr().out.startswith('{\n  "openapi"')


SLIPS = {
    "KEY_FILE": "KEYS_FILE",
    "KEYSFILE": "KEYS_FILE",
    "LOGLEVEL": "LOG_LEVEL",
    "CORS_ORIGIN": "CORS_ORIGINS",
    "MAX_IN_WROK": "MAX_IN_WORK",
    "TLS_INFRONT": "TLS_IN_FRONT",
    "SHOPFILE": "SHOP_FILE",
    "ACESS": "ACCESS",
    "DRAIN_SECOND": "DRAIN_SECONDS",
    "METRIC": "METRICS",
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_typing_slip_in_a_name_stops_the_start_and_suggests_the_setting(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, slip: str
) -> None:
    monkeypatch.setenv(PREFIX + slip, "x")
    (line,) = refused(capsys).splitlines()
    assert line == f"{PREFIX}{slip} is not a setting. Did you mean {PREFIX}{SLIPS[slip]}?"


def test_unknown_names_are_warnings_and_do_not_stop_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PORT", "HOST", "COLOUR"):
        monkeypatch.setenv(PREFIX + name, "1")
    assert unknown_variables() == [
        f"TINWRIGHT_{name} is not a setting and has no effect." for name in ("COLOUR", "HOST", "PORT")
    ]


def test_no_setting_is_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    for field in Settings.model_fields:
        monkeypatch.setenv(PREFIX + field.upper(), "1")
    assert unknown_variables() == []


def test_no_variable_of_the_tests_stops_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    names = set(re.findall(rf"{PREFIX}[A-Z_]+", GUIDE.read_text("utf-8")))
    names -= {PREFIX + field.upper() for field in Settings.model_fields}
    assert "TINWRIGHT_NO_BROWSER" in names
    for name in names:
        monkeypatch.setenv(name, "1")
    assert len(unknown_variables()) == len(names)


def test_an_unknown_name_is_a_warning_in_the_log(tmp_path: Path) -> None:
    with serving(log=tmp_path / "log", port=80) as served:
        assert served.ask(get("/healthz")).status == 200
        (line,) = [line for line in lines_of(tmp_path / "log") if line["level"] == "WARNING"]
    assert line["message"].startswith("TINWRIGHT_PORT is not a setting")


def test_an_unreadable_shop_file_is_reported(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    reasons = {
        tmp_path / "none.csv": "cannot be read: No such file or directory",
        tmp_path: "is not a regular file",
    }
    for path, reason in reasons.items():
        monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(path))
        assert refused(capsys) == f"TINWRIGHT_SHOP_FILE: {path}: {reason}\n"
    (odd := tmp_path / "odd.csv").write_bytes(b"name\nBlack treacle\ncaf\xe9\n")
    monkeypatch.setenv("TINWRIGHT_SHOP_FILE", str(odd))
    assert refused(capsys).startswith("odd.csv, line 3: is not text in UTF-8")


def test_an_unknown_address_is_reported(capsys: pytest.CaptureFixture[str]) -> None:
    # RFC 6761, 6.4: no name under .invalid is ever found.
    for host in ("not-a-host.invalid", "999.0.0.1", "a b", "h" * 300, "[::1]"):
        message = refused(capsys, "--host", host, "--access", "open")
        assert message.startswith(f"--host: {host!r} is not an address")


def test_an_address_of_another_machine_is_reported() -> None:
    # RFC 5737: 192.0.2.0/24 is for documentation, so nobody has it.
    arguments = ["--host", "192.0.2.1", "--access", "open", "--port", str(free_port())]
    ran = subprocess.run([sys.executable, "-m", "api", *arguments], capture_output=True, timeout=60, check=False)
    assert ran.returncode == 3
    assert b"Traceback" not in ran.stderr
    assert b"could not bind" in ran.stderr.lower()


def test_an_unknown_metrics_address_is_reported(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_HOST", "not-a-host.invalid")
    check_addresses(read_settings(), host="127.0.0.1", port=8000)  # it has no port yet
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "9100")
    assert refused(capsys).startswith("TINWRIGHT_METRICS_HOST: 'not-a-host.invalid' is not an address")


@pytest.mark.parametrize(
    ("host", "metrics_host", "clash"),
    [
        ("127.0.0.1", "127.0.0.1", True),
        ("localhost", "127.0.0.1", True),
        (EVERYWHERE, "127.0.0.1", True),
        ("", "127.0.0.1", True),
        ("127.0.0.1", EVERYWHERE, True),
        ("127.0.0.1", "127.0.0.2", False),
    ],
)
def test_the_metrics_need_a_port_of_their_own(host: str, metrics_host: str, clash: bool) -> None:
    settings = Settings(metrics_port=8000, metrics_host=metrics_host)
    check_addresses(settings, host=host, port=8001)
    check_addresses(settings, host=host, port=0)
    check_addresses(settings.model_copy(update={"metrics": False}), host=host, port=8000)
    if clash:
        with pytest.raises(ValueError, match="TINWRIGHT_METRICS_PORT: 8000 is the service's own port"):
            check_addresses(settings, host=host, port=8000)
    else:
        check_addresses(settings, host=host, port=8000)


def test_a_shared_port_is_reported(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", "8000")
    assert refused(capsys, "--port", "8000").startswith("TINWRIGHT_METRICS_PORT: 8000 is the service's own port")


def test_metrics_are_open_to_others_only_if_the_operator_says_so(tmp_path: Path) -> None:
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


def test_open_metrics_are_refused_before_anything_is_served(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TINWRIGHT_METRICS_HOST", EVERYWHERE)
    monkeypatch.setenv("TINWRIGHT_METRICS_PORT", str(port := free_port()))
    assert "TINWRIGHT_METRICS_ACCESS=open" in refused(capsys)
    with socket.socket() as free:
        free.bind(("127.0.0.1", port))
