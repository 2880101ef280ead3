"""The operating guide and the systemd unit beside it agree with the code."""

import configparser
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from api.serving.environment import read_settings
from api.serving.nginx.configuration import ProxyOptions, proxy_configuration
from api.serving.settings_table import GUIDE, with_table
from api.settings import PREFIX, Settings
from api.v1.job.schemas import MAX_COMPONENTS, MAX_LINES, MAX_TARGETS
from api.v1.shop.reading import MAX_DETAILS, MAX_LINES_OF_JOB, MAX_SCALED_LINES
from api.wire.reading import MAX_WORDED
from domain.baking.targets import MAX_WINDOWS_WITH_PIECES
from domain.formulas.rescaling import MAX_RESULTS

UNIT = GUIDE.parent / "tinwright@.service"
TEXT = GUIDE.read_text("utf-8")


class _Unit(configparser.RawConfigParser):
    """Reads a unit file; its keys may be repeated and are case-sensitive."""

    def optionxform(self, optionstr: str) -> str:
        return optionstr


def unit() -> _Unit:
    parsed = _Unit(strict=False, interpolation=None)
    parsed.read_string(UNIT.read_text("utf-8"))
    return parsed


def variables_of_unit() -> dict[str, str]:
    return dict(re.findall(r"^Environment=(TINWRIGHT_\w+)=(.*)$", UNIT.read_text("utf-8"), re.MULTILINE))


def test_the_table_of_settings_is_that_of_the_model() -> None:
    assert with_table(TEXT) == TEXT, "run python -m api.serving.settings_table"


def test_every_variable_in_the_guide_is_a_setting() -> None:
    named = set(re.findall(rf"\b{PREFIX}[A-Z_]*[A-Z]", TEXT))
    assert named - {"TINWRIGHT_KEY_FILE"} <= {f"{PREFIX}{name.upper()}" for name in Settings.model_fields}


def test_the_guide_names_the_defaults_of_the_proxy() -> None:
    options = ProxyOptions()
    for row in (
        f"| time for the request header | {options.header_seconds} s |",
        f"| longest pause within a request body | {options.body_seconds} s |",
        f"| longest pause of a client that does not read its answer | {options.send_seconds} s |",
        f"| idle connection | {options.idle_seconds} s |",
        f"| requests per second from one address | {options.rate}, and {options.burst} at once |",
        f"| requests in progress from one address | {options.connections_per_address} |",
        f"| connections | {options.connections:,} per nginx process |",
    ):
        assert row in TEXT


def test_the_guide_names_the_limits_of_a_request() -> None:
    for limit in (
        f"{MAX_COMPONENTS} components with {MAX_LINES} lines each",
        f"{MAX_WORDED} different quantities",
        f"{MAX_TARGETS} targets; {MAX_RESULTS:,} lines times targets",
        f"{MAX_WINDOWS_WITH_PIECES} baking windows with dough pieces in the batter",
        f"{MAX_LINES_OF_JOB} formula lines; {MAX_DETAILS} packs",
        f"{MAX_SCALED_LINES:,} lines times sizes",
    ):
        assert limit in TEXT


def test_the_proxy_closes_idle_connections_before_the_service_does() -> None:
    (seconds,) = re.findall(
        r"upstream replicas \{.*?keepalive_timeout (\d+)s;", proxy_configuration(ProxyOptions(), Settings()), re.DOTALL
    )
    assert f"({seconds} s in the shipped configuration)" in TEXT
    for keep_alive in (Settings().keep_alive_seconds, int(variables_of_unit()["TINWRIGHT_KEEP_ALIVE_SECONDS"])):
        assert keep_alive > int(seconds)


def test_links_within_the_guide_lead_to_headings() -> None:
    headings = {line[3:].lower().replace(" ", "-") for line in TEXT.splitlines() if line.startswith("## ")}
    assert set(re.findall(r"\]\(#([a-z-]+)\)", TEXT)) <= headings


def test_the_unit_sets_only_settings_with_valid_values(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    variables = variables_of_unit()
    (keys := tmp_path / "keys").touch()
    for name, value in variables.items():
        assert name.removeprefix(PREFIX).lower() in Settings.model_fields
        monkeypatch.setenv(name, str(keys) if name == "TINWRIGHT_KEYS_FILE" else value)
    settings = read_settings()
    service = unit()["Service"]
    assert int(service["TimeoutStopSec"]) >= settings.drain_seconds + settings.stop_seconds + 5
    assert service["ExecReload"] == "/bin/kill -HUP $MAINPID"
    assert "--port %i" in service["ExecStart"]


def test_the_unit_is_hardened() -> None:
    service = unit()["Service"]
    for directive in (
        "DynamicUser",
        "LockPersonality",
        "MemoryDenyWriteExecute",
        "NoNewPrivileges",
        "PrivateDevices",
        "PrivateTmp",
        "PrivateUsers",
        "ProtectClock",
        "ProtectControlGroups",
        "ProtectHome",
        "ProtectHostname",
        "ProtectKernelLogs",
        "ProtectKernelModules",
        "ProtectKernelTunables",
        "RestrictNamespaces",
        "RestrictRealtime",
        "RestrictSUIDSGID",
    ):
        assert service[directive] == "yes", directive
    assert service["ProtectSystem"] == "strict"
    assert service["CapabilityBoundingSet"] == ""


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="this machine has no systemd")
def test_systemd_finds_no_fault_in_the_unit(tmp_path: Path) -> None:
    text = UNIT.read_text("utf-8").replace("/opt/tinwright/bin/tinwright", sys.executable)
    (copy := tmp_path / UNIT.name).write_text(text, "utf-8")
    verified = subprocess.run(["systemd-analyze", "verify", str(copy)], capture_output=True, text=True, check=False)
    assert (verified.returncode, verified.stderr) == (0, "")
    # And it does find one, if there is one.
    copy.write_text(text.replace("ProtectHome=yes", "ProtectHomes=yes"), "utf-8")
    verified = subprocess.run(["systemd-analyze", "verify", str(copy)], capture_output=True, text=True, check=False)
    assert "ProtectHomes" in verified.stderr
