"""The lock files and the image contain what the project needs."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
NEEDED = {
    "requirements.lock": PROJECT["dependencies"],
    "requirements-test.lock": [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]],
}


@pytest.mark.parametrize("lock", NEEDED)
def test_every_dependency_is_locked_with_its_hash(lock: str) -> None:
    text = (ROOT / lock).read_text("utf-8")
    locked = set(re.findall(r"^([a-z0-9-]+)==", text, re.MULTILINE))
    wanted = {re.split(r"[\[<>=!; ]", need)[0].casefold().replace("_", "-") for need in NEEDED[lock]}
    assert wanted <= locked
    assert text.count("==") <= text.count("--hash=sha256:")
    assert "://" not in text


def test_the_image_copies_what_the_service_needs_and_nothing_else() -> None:
    ignored = (ROOT / ".dockerignore").read_text("utf-8").split()
    copied = re.findall(r"^COPY (?!--from)(\S+)", (ROOT / "Dockerfile").read_text("utf-8"), re.MULTILINE)
    assert {f"!{name}" for name in copied} <= set(ignored)
    assert {"api", "domain", "openapi-examples", "requirements.lock"} == set(copied)
