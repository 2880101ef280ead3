"""The short form of the benchmark runs. Its figures mean little: read those of a quiet machine."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.benchmark


def test_the_short_form_runs_and_writes_its_table() -> None:
    if os.environ.get("TINWRIGHT_NO_WRK"):
        pytest.skip("TINWRIGHT_NO_WRK is set")
    assert shutil.which("wrk"), "install wrk, or set TINWRIGHT_NO_WRK"
    command = [sys.executable, "-m", "tests.load.benchmark", "--short"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    artefact = Path(tempfile.gettempdir()) / "tinwright-benchmark.md"
    artefact.write_text(done.stdout, "utf-8")
    print(f"\n{done.stdout}\nalso in {artefact}")
    assert done.stdout.count("\n| ") == 12  # a header, nine variants and two loops
    assert "start to first answer" in done.stdout
    assert "resident memory" in done.stdout
