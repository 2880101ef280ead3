"""The wheel installs and works outside the checkout: the command, the documentation page and the examples."""

import importlib.util
import json
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import fastapi
import httpx
import pytest

import api
from api.contract.examples import load_examples
from tests.clients.server import free_port
from tests.standing.running import wait_until_ready

ROOT = Path(__file__).parents[1]


def run(*command: str | Path, cwd: Path) -> str:
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "TINWRIGHT_"))}
    ran = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr[-3_000:]
    return ran.stdout


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from the tracked files, since setuptools leaves a folder `build` in the tree that it builds from."""
    source, built = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in ("api", "domain", "openapi-examples", "pyproject.toml"):
        run("cp", "-r", str(ROOT / name), str(source), cwd=ROOT)
    # Without setuptools here pip fetches it, as it does for everybody who installs from source.
    isolation = ["--no-build-isolation"] if importlib.util.find_spec("setuptools") else []
    run(sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", *isolation, "-w", str(built), str(source), cwd=source)
    (wheel,) = built.glob("*.whl")
    return wheel


@pytest.fixture(scope="session")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the commands of a clean environment with the wheel, and the dependencies of this one."""
    folder = tmp_path_factory.mktemp("installed")
    run(sys.executable, "-m", "venv", "--without-pip", str(folder), cwd=folder)
    python = folder / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", "--no-index", wheel, cwd=folder)
    packages = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    (packages / "dependencies.pth").write_text(str(Path(fastapi.__file__).parents[1]), "utf-8")
    assert Path(run(python, "-c", "import api; print(api.__file__)", cwd=folder).strip()).is_relative_to(folder)
    return python.parent


def test_the_wheel_holds_every_file_of_the_packages(wheel: Path) -> None:
    packed = set(zipfile.ZipFile(wheel).namelist())
    files = {
        str(path.relative_to(ROOT))
        for folder in ("api", "domain", "openapi-examples")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert files <= packed, sorted(files - packed)
    assert {name.split("/")[0] for name in packed} == {
        "api",
        "domain",
        "openapi-examples",
        f"tinwright-{api.__version__}.dist-info",
    }


def test_the_command_finds_the_bundled_examples(installed: Path, tmp_path: Path) -> None:
    assert "ground ginger" in run(installed / "tinwright", "try", "rescale-parkin", cwd=tmp_path)
    code = "from api.contract.examples import load_examples; print(*load_examples())"
    listed = run(installed / "python", "-c", code, cwd=tmp_path)
    assert listed.split() == list(load_examples())


def test_the_command_prints_the_same_contract(installed: Path, tmp_path: Path) -> None:
    printed = run(installed / "tinwright", "openapi", cwd=tmp_path)
    here = run(sys.executable, "-m", "api", "openapi", cwd=ROOT)
    assert json.loads(printed) == json.loads(here)


def test_the_command_serves_the_documentation(installed: Path, tmp_path: Path) -> None:
    port = free_port()
    environment = {**os.environ, "TINWRIGHT_DRAIN_SECONDS": "0"}
    service = subprocess.Popen(
        [installed / "tinwright", "--port", str(port)], cwd=tmp_path, env=environment, stderr=subprocess.DEVNULL
    )
    try:
        wait_until_ready(port, service)
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
            document = client.get("/openapi.json").raise_for_status().json()
            assert document["info"]["version"] == api.__version__
            assert document["paths"]["/v1/rescale"]["post"]["requestBody"]["content"]["application/json"]["examples"]
            for path in (
                "/docs",
                "/docs/swagger-ui-bundle.js",
                "/docs/swagger-ui.css",
                "/",
                "/cards/cuts",
                "/problems",
            ):
                assert client.get(path).raise_for_status().content
    finally:
        service.terminate()
        assert service.wait(timeout=30) == 0


def test_there_is_one_version_number(installed: Path, tmp_path: Path) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert "version" not in project["project"]
    assert run(installed / "tinwright", "--version", cwd=tmp_path).strip() == api.__version__
    code = "from importlib.metadata import version; print(version('tinwright'))"
    assert run(installed / "python", "-c", code, cwd=tmp_path).strip() == api.__version__
