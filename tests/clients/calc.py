"""Headless LibreOffice Calc with a new profile, a locale and a trusted folder."""

import json
import os
import shutil
import signal
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.clients.server import free_port

SCRIPT = Path(__file__).with_name("calc_script.py")
SYSTEM_PYTHON = "/usr/bin/python3"  # has Debian's python3-uno; a virtual environment does not
MISSING = (
    "LibreOffice Calc with its Python bridge is needed: apt-get install --no-install-recommends libreoffice-calc-nogui"
    " python3-uno. To leave these tests out, set TINWRIGHT_NO_LIBREOFFICE=1."
)
_PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="SecureURL" oor:op="fuse">
<value><it>{folder}</it></value></prop></item>
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{locale}</value></prop></item>
</oor:items>
"""


@dataclass(frozen=True, slots=True)
class Shown:
    """A cell: its text, its number if it has one, and its error code (0: none)."""

    text: str
    number: float | None
    error: int


Cells = dict[str, Shown]


def require_calc() -> None:
    """Fail with instructions if LibreOffice is missing; skip only if the environment asks for it."""
    if os.environ.get("TINWRIGHT_NO_LIBREOFFICE"):
        pytest.skip("TINWRIGHT_NO_LIBREOFFICE is set")
    if not shutil.which("soffice"):
        pytest.fail(MISSING)
    bridge = subprocess.run([SYSTEM_PYTHON, "-c", "import uno"], capture_output=True, check=False)
    if bridge.returncode:
        pytest.fail(MISSING)


def drive(folder: Path, locale: str, steps: list[list[Any]], *, document: Path | None = None) -> list[Cells]:
    """Start LibreOffice with *folder* trusted, run the steps in one document, and close it.

    Returns:
        For each step that reads, the cells by name.
    """
    profile = folder / f"profile-{locale}"
    (profile / "user").mkdir(parents=True)
    settings = _PROFILE.format(folder=folder.as_uri(), locale=locale)
    (profile / "user" / "registrymodifications.xcu").write_text(settings, "utf-8")
    port = free_port()
    command = [
        "soffice",
        "--headless",
        "--norestore",
        "--nologo",
        "--invisible",
        f"-env:UserInstallation={profile.as_uri()}",
        f"--accept=socket,host=127.0.0.1,port={port};urp;",
    ]
    # A new session, because the command is a wrapper and its child process must be ended too.
    office = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
    try:
        request = {"port": port, "document": str(document or ""), "steps": steps}
        script = [SYSTEM_PYTHON, str(SCRIPT)]
        done = subprocess.run(
            script, input=json.dumps(request), capture_output=True, text=True, timeout=120, check=False
        )
        assert done.returncode == 0, done.stderr
        office.wait(timeout=30)
    finally:
        if office.poll() is None:
            os.killpg(office.pid, signal.SIGKILL)
            office.wait(timeout=10)
    return [{name: Shown(**cell) for name, cell in cells.items()} for cells in json.loads(done.stdout)]
