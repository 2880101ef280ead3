"""A Python client, generated from the contract, as it comes out of the generator."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.clients.generated.expected import check

pytestmark = pytest.mark.generated
SHOP = Path(__file__).with_name("shop.py")


@pytest.fixture(scope="module")
def package(document: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that holds the generated package; a warning of the generator is an error."""
    folder = tmp_path_factory.mktemp("python")
    # The generator formats what it wrote with the ruff that it finds on the path.
    path = os.pathsep.join((str(Path(sys.executable).parent), os.environ["PATH"]))
    made = subprocess.run(
        [
            *(sys.executable, "-m", "openapi_python_client", "generate", "--fail-on-warning", "--meta", "none"),
            *("--path", str(document), "--output-path", str(folder / "tinwright_client")),
        ],
        cwd=folder,
        env=os.environ | {"PATH": path},
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    assert made.returncode == 0, made.stdout + made.stderr
    return folder


def test_every_operation_and_schema_is_there(package: Path, document: Path) -> None:
    contract = json.loads(document.read_text("utf-8"))
    operations = {operation["operationId"] for path in contract["paths"].values() for operation in path.values()}
    made = {path.stem for path in (package / "tinwright_client" / "api").glob("*/*.py")} - {"__init__"}
    assert made == operations
    names = (package / "tinwright_client" / "models" / "__init__.py").read_text("utf-8")
    objects = {name for name, schema in contract["components"]["schemas"].items() if "properties" in schema}
    assert {name for name in objects if f'"{name}"' not in names} == set()


def test_package_and_program_have_sound_types(package: Path) -> None:
    mypy = (sys.executable, "-m", "mypy", "--strict", "--config-file", "", "--cache-dir", ".mypy_cache")
    ran = subprocess.run(
        [*mypy, str(SHOP), str(package / "tinwright_client")],
        cwd=package,
        env=os.environ | {"MYPYPATH": str(package)},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    errors = [line for line in ran.stdout.splitlines() if ": error: " in line]
    # That module is the generator's own, the same for every contract, and not strict.
    assert [line for line in errors if not line.startswith("tinwright_client/client.py:")] == [], ran.stderr
    assert ran.returncode in {0, 1}, ran.stdout + ran.stderr


def test_shop_runs_the_main_job(package: Path, service: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-W", "error", str(SHOP), service],
        cwd=package,
        env=os.environ | {"PYTHONPATH": str(package)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    check(json.loads(ran.stdout))
