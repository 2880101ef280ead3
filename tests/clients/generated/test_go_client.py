"""A Go client, generated from the contract: it compiles with the standard library alone, and reads the answers."""

import json
import os
import shutil
from pathlib import Path

import pytest

from tests.clients.generated.expected import check
from tests.clients.generated.generator import FOLDER, GO_ENVIRONMENT, generate, go_program, require_java, run

pytestmark = pytest.mark.generated
MODULE = "halfmoon-wharf.example/shop"
OPTIONS = "packageName=tinwright,withGoMod=false,enumClassPrefix=true"


@pytest.fixture(scope="module")
def program(document: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The path of the compiled program."""
    if os.environ.get("TINWRIGHT_NO_GO"):
        pytest.skip("TINWRIGHT_NO_GO is set")
    require_java(compiler=False)
    folder = tmp_path_factory.mktemp("go")
    generate("go", document, folder / "tinwright", OPTIONS)
    shutil.copy(FOLDER / "shop.go", folder / "main.go")
    (folder / "go.mod").write_text(f"module {MODULE}\n\ngo 1.23\n", "utf-8")
    ran = run([go_program(), "build", "-o", "shop", "."], folder, GO_ENVIRONMENT)
    assert ran.returncode == 0, ran.stderr[-4_000:]
    return folder / "shop"


def test_the_shop_runs_the_main_job(program: Path, service: str) -> None:
    ran = run([str(program), service], program.parent)
    assert ran.returncode == 0, ran.stderr
    check(json.loads(ran.stdout))
