"""A Java client, generated from the contract: it compiles, runs on the JDK's own HTTP client, and reads the answers."""

import json
import os
from pathlib import Path

import pytest

from tests.clients.generated.expected import check
from tests.clients.generated.generator import FOLDER, generate, generator_jar, require_java, run

pytestmark = pytest.mark.generated
OPTIONS = (
    "openApiNullable=false,useJakartaEe=false,hideGenerationTimestamp=true,useSingleRequestParameter=true,"
    "invokerPackage=tinwright.client,apiPackage=tinwright.api,modelPackage=tinwright.model"
)


@pytest.fixture(scope="module")
def classes(document: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the compiled client and program."""
    if os.environ.get("TINWRIGHT_NO_JAVA"):
        pytest.skip("TINWRIGHT_NO_JAVA is set")
    require_java(compiler=True)
    folder = tmp_path_factory.mktemp("java")
    # The template has the JDK's annotation, since the generator's own is in a jar of its own.
    template = ("--library", "native", "--template-dir", str(FOLDER / "java_template"))
    generate("java", document, folder / "client", OPTIONS, *template)
    sources = [str(path) for path in (folder / "client" / "src" / "main").rglob("*.java")]
    (folder / "sources.txt").write_text("\n".join([*sources, str(FOLDER / "Shop.java")]), "utf-8")
    compiler = [
        "javac",
        "-nowarn",
        "-proc:none",
        "-encoding",
        "UTF-8",
        "-cp",
        generator_jar(),
        "-d",
        str(folder / "classes"),
    ]
    ran = run([*compiler, "@sources.txt"], folder)
    assert ran.returncode == 0, ran.stderr[-4_000:]
    return folder / "classes"


def test_the_shop_runs_the_main_job(classes: Path, service: str) -> None:
    ran = run(["java", "-cp", os.pathsep.join((str(classes), generator_jar())), "Shop", service], classes)
    assert ran.returncode == 0, ran.stderr
    check(json.loads(ran.stdout))
