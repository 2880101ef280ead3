"""openapi-generator, a Java compiler and Go: the first and the last from PyPI, the JDK from the system."""

import os
import shutil
import subprocess
import sys
import sysconfig
from importlib.resources import files
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent
MIN_JAVA = 17
NO_JDK = (
    f"A JDK, {MIN_JAVA} or later, is needed: on Debian `apt-get install openjdk-17-jdk-headless`."
    " To skip these tests, set TINWRIGHT_NO_JAVA=1 and TINWRIGHT_NO_GO=1."
)
# No module is fetched and no other toolchain; a build that needed one would fail.
GO_ENVIRONMENT = {"GOPROXY": "off", "GOFLAGS": "-mod=mod", "GOTOOLCHAIN": "local", "GOWORK": "off", "CGO_ENABLED": "0"}
# Answers may gain fields, and a tin as data is read by its `shape`.
COMMON_OPTIONS = "disallowAdditionalPropertiesIfNotPresent=false,useOneOfDiscriminatorLookup=true"


def generator_jar() -> str:
    """The path of the generator's jar. It holds Jackson too, which the Java client that it writes needs."""
    try:
        return str(files("openapi_generator_cli") / "openapi-generator.jar")
    except ModuleNotFoundError:
        pytest.fail(f"openapi-generator-cli is missing from {sys.prefix}: install the lock file of the tests.")


def require_java(*, compiler: bool) -> None:
    """Fail if there is no Java, and say what to do."""
    for program in ("java", *(["javac"] if compiler else ())):
        if not shutil.which(program):
            pytest.fail(NO_JDK)


def generate(language: str, document: Path, folder: Path, options: str, *arguments: str) -> None:
    """Generate a client into *folder*."""
    command = [
        *("java", "-jar", generator_jar(), "generate", "--generator-name", language, "--input-spec", str(document)),
        *("--output", str(folder), "--additional-properties", f"{COMMON_OPTIONS},{options}"),
        *("--global-property", "apiTests=false,modelTests=false,apiDocs=false,modelDocs=false"),
        *arguments,
    ]
    ran = run(command, folder.parent)
    assert ran.returncode == 0, ran.stdout[-4_000:] + ran.stderr[-4_000:]


def go_program() -> str:
    """The path of Go's command."""
    program = Path(sysconfig.get_path("scripts")) / "go"
    if not program.is_file():
        pytest.fail(f"Go is missing from {sys.prefix}: install the lock file of the tests.")
    return str(program)


def run(
    command: list[str], folder: Path, environment: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a command in *folder*."""
    return subprocess.run(
        command,
        cwd=folder,
        env=os.environ | (environment or {}),
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
