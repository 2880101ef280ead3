"""A TypeScript client, typed from the contract, as it comes out of the generator; and what a linter says."""

import json
import shutil
from pathlib import Path

import pytest

from tests.clients.generated.expected import check
from tests.clients.generated.node import FOLDER, run

pytestmark = pytest.mark.generated


@pytest.fixture(scope="module")
def program(document: Path, node: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a program with the generated types beside it."""
    folder = tmp_path_factory.mktemp("typescript")
    for name in ("shop.ts", "tsconfig.json", "package.json"):
        shutil.copy(FOLDER / name, folder)
    (folder / "node_modules").symlink_to(node / "node_modules")
    # By default a request's field that has a default would have to be given.
    arguments = (str(document), "--output", "tinwright.d.ts", "--default-non-nullable", "false")
    made = run("openapi-typescript", *arguments, cwd=folder, home=node)
    assert made.returncode == 0, made.stdout + made.stderr
    return folder


def test_types_are_sound_by_themselves(program: Path, node: Path) -> None:
    ran = run("tsc", "--strict", "--noEmit", "--target", "es2022", "tinwright.d.ts", cwd=program, home=node)
    assert ran.returncode == 0, ran.stdout


def test_shop_compiles_and_runs_the_main_job(program: Path, node: Path, service: str) -> None:
    compiled = run("tsc", cwd=program, home=node)
    assert compiled.returncode == 0, compiled.stdout
    ran = run("node", "built/shop.js", service, cwd=program, home=node)
    assert ran.returncode == 0, ran.stderr
    check(json.loads(ran.stdout))


def test_a_wrong_program_does_not_compile(program: Path, node: Path) -> None:
    # So that a clean compilation above means something: numbers are numbers, and a forgotten shape is seen.
    text = (program / "shop.ts").read_text("utf-8")
    wrong = text.replace("count: 16", 'count: "16"').replace('    case "ring":\n', "")
    assert wrong != text
    (program / "wrong.ts").write_text(wrong, "utf-8")
    config = {"extends": "./tsconfig.json", "files": ["wrong.ts"]}
    (program / "tsconfig.wrong.json").write_text(json.dumps(config), "utf-8")
    ran = run("tsc", "--noEmit", "--project", "tsconfig.wrong.json", cwd=program, home=node)
    assert "Type 'string' is not assignable to type 'number'" in ran.stdout
    assert "is not assignable to parameter of type 'never'" in ran.stdout


def test_linter_finds_nothing(document: Path, node: Path) -> None:
    arguments = (str(document), "--config", str(FOLDER / "redocly.yaml"), "--format", "json")
    ran = run("redocly", "lint", *arguments, "--max-problems", "1000", cwd=document.parent, home=node)
    report = json.loads(ran.stdout)
    problems = [
        (problem["ruleId"], problem["location"][0].get("pointer"), problem["message"]) for problem in report["problems"]
    ]
    assert problems == []
