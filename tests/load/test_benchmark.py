"""The benchmark in its short form: it runs, every answer is right, and it tells; how fast is for a quiet machine."""

import os
import shutil
import subprocess
import sys

import pytest

pytestmark = pytest.mark.benchmark


def test_the_short_form_runs_and_tells() -> None:
    if os.environ.get("TINWRIGHT_NO_WRK"):
        pytest.skip("TINWRIGHT_NO_WRK is set")
    assert shutil.which("wrk"), "install wrk, or set TINWRIGHT_NO_WRK"
    command = [sys.executable, "-m", "tests.load.benchmark", "--short"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
    print(f"\n{done.stdout}")
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("\n| ") == 12  # a header, nine variants and two loops
    assert "start to first answer" in done.stdout
    assert "resident memory" in done.stdout
