"""The committed OpenAPI document equals the code's, and a client of the last one still works."""

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
MOST_SHOWN = 40


def git(*arguments: str) -> str | None:
    """The output of git, or None where there is no git, no history or no such file."""
    try:
        ran = subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)
    except (OSError, subprocess.CalledProcessError):
        return None
    return ran.stdout


def last_other(now: str) -> str | None:
    """The committed document before this one: that of HEAD or, if HEAD has this one, the one that it replaced."""
    commits = (git("log", "-n", "2", "--format=%H", "--", NAME) or "").split()
    found = [text for commit in commits if (text := git("show", f"{commit}:{NAME}")) is not None]
    return next((text for text in found if text != now), None)


def may_break(before: str, after: str) -> bool:
    """Whether semantic versioning (2.0.0, 4, 8 and 9) lets the later version break clients of the earlier one.

    A development version is not released, so nobody can rely on it yet.
    """

    def series(version: str) -> list[str]:
        major, minor = re.findall(r"\d+", version)[:2]
        return [major] if major != "0" else [major, minor]

    return ".dev" in before or series(before) != series(after)


def test_the_committed_contract_is_the_codes() -> None:
    code = orjson.dumps(create_api(Settings()).openapi(), option=orjson.OPT_INDENT_2) + b"\n"
    if FILE.is_file() and FILE.read_bytes() == code:
        return
    pytest.fail(f"{NAME} is not what the code says. Write it, and read what changed:\n    {WRITE}\n    git diff {NAME}")


def test_nothing_breaks_clients_of_the_last_contract() -> None:
    now: dict[str, Any] = create_api(Settings()).openapi()
    if git("rev-parse", "HEAD") is None:
        pytest.skip("no git history here, so there is no last contract to compare with")
    before = last_other(orjson.dumps(now, option=orjson.OPT_INDENT_2).decode() + "\n")
    if before is None:
        pytest.skip(f"git holds no other version of {NAME} than the code's own")
    last = orjson.loads(before)
    found = breaks(last, now)
    if found and not may_break(last["info"]["version"], now["info"]["version"]):
        more = f"\n    and {len(found) - MOST_SHOWN} more" if len(found) > MOST_SHOWN else ""
        pytest.fail(
            f"A client of the last contract (version {last['info']['version']}) would break. Undo it, or raise the"
            " version in api/app.py and say so in CHANGELOG.md:\n    " + "\n    ".join(found[:MOST_SHOWN]) + more
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
