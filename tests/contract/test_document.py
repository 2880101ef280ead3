"""The committed OpenAPI document equals that of the code, and a client of the previous document still works."""

import re
import subprocess
from pathlib import Path
from typing import Any

import orjson
import pytest

from api.app import create_api
from api.contract import docs
from api.settings import Settings
from tests.contract.breaking import breaks

ROOT = Path(__file__).parents[2]
FILE = Path(str(docs.COMMITTED))
NAME = str(FILE.relative_to(ROOT))
WRITE = f"python -m api openapi > {NAME}"
MAX_SHOWN = 40


def git(*arguments: str) -> str | None:
    """The output of git, or None where there is no git, no history or no such file."""
    try:
        ran = subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)
    except (OSError, subprocess.CalledProcessError):
        return None
    return ran.stdout


def previous_document(now: str) -> str | None:
    """The committed document before this one: that of HEAD or, if HEAD has this one, the one that it replaced."""
    commits = (git("log", "-n", "2", "--format=%H", "--", NAME) or "").split()
    documents = [text for commit in commits if (text := git("show", f"{commit}:{NAME}")) is not None]
    return next((text for text in documents if text != now), None)


def may_break(before: str, after: str) -> bool:
    """Whether semantic versioning (2.0.0, 4, 8 and 9) lets the later version break clients of the earlier one.

    A development version is not released, so nobody can rely on it yet.
    """

    def series(version: str) -> list[str]:
        major, minor = re.findall(r"\d+", version)[:2]
        return [major] if major != "0" else [major, minor]

    return ".dev" in before or series(before) != series(after)


def test_the_committed_document_equals_that_of_the_code() -> None:
    code = orjson.dumps(create_api(Settings()).openapi(), option=orjson.OPT_INDENT_2) + b"\n"
    if FILE.is_file() and FILE.read_bytes() == code:
        return
    pytest.fail(
        f"{NAME} differs from the document of the code. Write it again, and read what changed:\n    {WRITE}"
        f"\n    git diff {NAME}"
    )


def test_nothing_breaks_clients_of_the_previous_contract() -> None:
    now: dict[str, Any] = create_api(Settings()).openapi()
    if git("rev-parse", "HEAD") is None:
        pytest.skip("no git history here, so there is no previous contract to compare with")
    before = previous_document(orjson.dumps(now, option=orjson.OPT_INDENT_2).decode() + "\n")
    if before is None:
        pytest.skip(f"git has no earlier version of {NAME}")
    last = orjson.loads(before)
    broken = breaks(last, now)
    if broken and not may_break(last["info"]["version"], now["info"]["version"]):
        more = f"\n    and {len(broken) - MAX_SHOWN} more" if len(broken) > MAX_SHOWN else ""
        pytest.fail(
            f"A client of the previous contract (version {last['info']['version']}) would break. Undo it, or raise the"
            " version in api/app.py and say so in CHANGELOG.md:\n    " + "\n    ".join(broken[:MAX_SHOWN]) + more
        )


@pytest.mark.parametrize(
    ("before", "after", "free"),
    [
        ("0.1.0", "0.1.9", False),
        ("0.1.0", "0.2.0", True),
        ("1.2.0", "1.3.0", False),
        ("1.9.0", "2.0.0", True),
        ("0.9.0", "1.0.0", True),
        ("0.2.0.dev0", "0.2.0", True),
        ("0.2.0", "0.2.1.dev0", False),
    ],
)
def test_only_a_new_series_of_versions_may_break(before: str, after: str, *, free: bool) -> None:
    assert may_break(before, after) is free
