"""Rules of the code: direction of imports, length of files, documentation, sources of figures, names."""

import ast
import csv
import importlib
import inspect
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from domain.sources import CONFIDENCES

ROOT = Path(__file__).parents[1]
DOMAIN_FILES = sorted((ROOT / "domain").rglob("*.py"))
PYTHON_FILES = sorted(path for folder in ("api", "domain", "tests") for path in (ROOT / folder).rglob("*.py"))
TABLES = sorted((ROOT / "domain" / "reference").glob("*.csv"))
DOMAIN_MODULES = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for path in DOMAIN_FILES
]
OUTSIDE_DOMAIN = {"api", "pydantic", "fastapi", "starlette", "uvicorn", "httpx", "orjson", "numpy", "scipy", "shapely"}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "pyproject.toml",
    "Dockerfile",
    "api",
    "domain",
    "tests",
    "openapi-examples",
}


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


def imports_of(path: Path) -> set[str]:
    """Top-level names of all modules that a file imports, at any place in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.add((node.module or "").split(".")[0])
    return names


@pytest.mark.parametrize("path", DOMAIN_FILES, ids=name_of)
def test_domain_imports_no_web_framework_and_no_numpy(path: Path) -> None:
    assert not imports_of(path) & OUTSIDE_DOMAIN


def test_only_the_unit_engine_imports_pint() -> None:
    shipped = [path for path in PYTHON_FILES if path.relative_to(ROOT).parts[0] != "tests"]
    assert [name_of(path) for path in shipped if "pint" in imports_of(path)] == ["domain/measures/unit_engine.py"]


@pytest.mark.parametrize("path", DOMAIN_FILES, ids=name_of)
def test_domain_uses_no_clock_no_randomness_and_no_input_or_output(path: Path) -> None:
    forbidden = {
        "time",
        "datetime",
        "random",
        "secrets",
        "os",
        "sys",
        "socket",
        "subprocess",
        "logging",
        "asyncio",
        "urllib",
    }
    assert not imports_of(path) & forbidden


def test_domain_can_be_imported_without_a_web_framework_and_without_numpy() -> None:
    # Pint imports numpy if it is installed, so imports of numpy and scipy are blocked here.
    code = (
        "import importlib, sys\n"
        "sys.modules.update(dict.fromkeys(('numpy', 'scipy', 'shapely')))\n"
        f"for name in {DOMAIN_MODULES!r}: importlib.import_module(name)\n"
        f"print(sorted(n for n in {sorted(OUTSIDE_DOMAIN)!r} if sys.modules.get(n) is not None))"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (ran.stdout.strip(), ran.returncode) == ("[]", 0), ran.stderr


@pytest.mark.parametrize("path", PYTHON_FILES, ids=name_of)
def test_no_file_is_longer_than_400_lines(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= 400


def rows_of(table: Path) -> list[dict[str, str]]:
    lines = table.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


SOURCE_IDS = {row["id"] for row in rows_of(ROOT / "domain" / "reference" / "sources.csv")}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_row_cites_a_known_source_and_a_record(table: Path) -> None:
    rows = rows_of(table)
    assert rows
    for row in rows:
        assert None not in row, f"too many cells: {row}"
        if "source" in row:
            assert set(row["source"].split(";")) <= SOURCE_IDS, row
            assert row.get("record", "").strip(), row
            assert row.get("confidence", "read") in CONFIDENCES, row


def test_only_the_sources_and_tables_of_names_have_no_source_column() -> None:
    without_source = {table.name for table in TABLES if "source" not in rows_of(table)[0]}
    assert without_source <= {"sources.csv", "ingredients.csv", "ambiguous_names.csv", "recalled_topics.csv"}


def modules() -> Iterator[ModuleType]:
    for name in DOMAIN_MODULES:
        yield importlib.import_module(name)


PUBLIC = [
    (f"{module.__name__}.{name}", value)
    for module in modules()
    for name, value in vars(module).items()
    if not name.startswith("_")
    and getattr(value, "__module__", "") == module.__name__
    and (inspect.isclass(value) or inspect.isfunction(inspect.unwrap(value)))
]
FUNCTIONS = [(name, inspect.unwrap(value)) for name, value in PUBLIC if not inspect.isclass(value)]
_SECTION = re.compile(r"^(Args|Returns|Yields|Raises|Source):\n((?:    .*\n?|\n)*)", re.MULTILINE)
_ENTRY = re.compile(r"^    (\w+(?:, \w+)*): ", re.MULTILINE)


def sections_of(value: object) -> dict[str, str]:
    return dict(_SECTION.findall((inspect.getdoc(value) or "") + "\n"))


@pytest.mark.parametrize("value", [row[1] for row in PUBLIC], ids=[row[0] for row in PUBLIC])
def test_every_public_name_in_domain_has_a_docstring(value: type) -> None:
    assert value.__doc__
    assert not value.__doc__.startswith(f"{value.__name__}(")  # the docstring that a dataclass generates
    if inspect.isclass(value):
        for name, member in vars(value).items():
            if not name.startswith("_") and (inspect.isfunction(member) or isinstance(member, property)):
                assert member.__doc__, name


@pytest.mark.parametrize("function", [row[1] for row in FUNCTIONS], ids=[row[0] for row in FUNCTIONS])
def test_documented_arguments_and_errors_match_the_function(function: object) -> None:
    assert callable(function)
    sections, signature = sections_of(function), inspect.signature(function)
    tree = ast.parse(inspect.getsource(function))
    raises = any(isinstance(node, ast.Raise) and node.exc for node in ast.walk(tree))
    figures = re.search(r"\b(float|int|Fraction)\b", str(signature.return_annotation))
    if "Args" in sections:
        named = [name for entry in _ENTRY.findall(sections["Args"]) for name in entry.split(", ")]
        assert named == list(signature.parameters)
    if signature.parameters and (raises or (figures and len(signature.parameters) > 1)):
        assert "Args" in sections
        assert "Returns" in sections or signature.return_annotation is None
    if raises:
        assert "Raises" in sections


def tracked() -> list[Path]:
    """Files that git tracks or would add. Without git, as in an image, the test is skipped."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a git work tree")
    return [ROOT / line for line in listed.splitlines() if (ROOT / line).is_file()]


# Allowed: this machine, host names without a dot (which are not on the internet), names reserved for examples, and XML
# namespaces.
ALLOWED = re.compile(
    r"https?://(?:127\.0\.0\.1|0\.0\.0\.0|\[::1\]|[\w-]+(?![\w.-])|[\w.-]+\.(?:test|example)\b|www\.w3\.org/|openoffice\.org/2001/)"
)
ADDRESS = re.compile(r"https?://[\w\[]")
VENDORED = ROOT / "api" / "contract" / "swagger"  # files of another project, byte for byte
WORKPLACE = re.compile("/(?:work|root)/")


def test_there_are_no_internet_addresses_and_no_local_paths() -> None:
    lines = []
    for path in tracked():
        if path.is_relative_to(VENDORED):
            continue
        for number, line in enumerate(path.read_text("utf-8", errors="replace").splitlines(), start=1):
            if ADDRESS.search(ALLOWED.sub("", line)) or WORKPLACE.search(line):
                lines.append(f"{name_of(path)}:{number}: {line[:120]}")
    assert not lines, "\n".join(lines[:40])


def test_the_top_level_contains_only_the_listed_files() -> None:
    names = {path.relative_to(ROOT).parts[0] for path in tracked()}
    others = {name for name in names - TOP_LEVEL if not name.startswith(".") and not name.endswith(".lock")}
    assert not others


@pytest.mark.parametrize("path", sorted((ROOT / "api" / "wire").rglob("*.py")), ids=name_of)
def test_wire_imports_no_topic(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert not (node.module or "").startswith("api.v1")


QUANTITY_NAME = re.compile(
    r"(?:^|_)(?:g|kg|ml|mm|cm|mm2|cm2|c|grams|minutes|percent|fraction|factor|amount|price|cost|density|grams_each)$"
)
ARITHMETIC = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.Pow)
API_FILES = sorted(
    path for name in ("routes", "reading", "answers") for path in (ROOT / "api" / "v1").rglob(f"{name}.py")
)


def calculations(source: str) -> list[int]:
    """Lines with arithmetic on a quantity, a sum of quantities, or a constant with a unit in its name."""
    lines = []
    for node in ast.walk(ast.parse(source)):
        match node:
            case (
                ast.BinOp(left=left, op=operator, right=right) | ast.AugAssign(target=left, op=operator, value=right)
            ) if isinstance(operator, ARITHMETIC) and (is_quantity(left) or is_quantity(right)):
                lines.append(node.lineno)
            case ast.BinOp(op=ast.Div()):
                lines.append(node.lineno)
            case ast.Call(func=ast.Name(id="sum" | "round"), args=[first, *_]) if is_quantity(first):
                lines.append(node.lineno)
            case ast.Assign(targets=[ast.Name(id=name)], value=value) if QUANTITY_NAME.search(
                name.casefold()
            ) and is_number(value):
                lines.append(node.lineno)
    return sorted(set(lines))


def is_quantity(node: ast.AST) -> bool:
    """Whether an operand, or the terms of a sum, have the name of a quantity."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name) | ast.Subscript(slice=ast.Constant(value=str(name))):
            return bool(QUANTITY_NAME.search(name))
        case ast.Call(func=ast.Name(id="float" | "Fraction"), args=[first, *_]):
            return is_quantity(first)
        case ast.GeneratorExp(elt=element) | ast.ListComp(elt=element):
            return is_quantity(element)
        case ast.BinOp(left=left, right=right):
            return is_quantity(left) or is_quantity(right)
        case _:
            return False


def is_number(node: ast.AST) -> bool:
    match node:
        case ast.Constant(value=int() | float()) | ast.UnaryOp(operand=ast.Constant()):
            return True
        case ast.Call(func=ast.Name(id="float" | "Fraction" | "Decimal"), args=[ast.Constant()]):
            return True
        case _:
            return False


@pytest.mark.parametrize(
    "source",
    [
        'WATER_G_PER_ML = 0.998\nWATER_G = Fraction("0.998")',
        "area = tin.area_mm2 / 100",
        'total = sum(part["grams"] for part in parts)',
        "labour = hours * rate.price",
        "total_g += line.mass_g",
        "shown = round(line.grams, 1)",
        "low = float(x.grams) * n",
    ],
)
def test_the_check_for_calculations_finds_them(source: str) -> None:
    assert calculations(source)


@pytest.mark.parametrize("source", ["page = offset + 1", "names = first + second", "MAX_ROWS = 1_000", "a.grams"])
def test_the_check_for_calculations_ignores_other_code(source: str) -> None:
    assert not calculations(source)


@pytest.mark.parametrize("path", API_FILES, ids=name_of)
def test_the_api_calculates_nothing(path: Path) -> None:
    assert calculations(path.read_text("utf-8")) == []


CODE_SUFFIXES = {".py", ".ts", ".jinja", ".html", ".css", ".toml", ".yaml", ".service"}
UNFORMATTED = re.compile(r"#\s*fmt:\s*(?:skip|off)")
# Code and tests must be understandable without the tracker of issues.
REFERENCE = re.compile(r"\bissue #?\d|\btarget T\d|\bacceptance\b", re.IGNORECASE)


def lines_with(pattern: re.Pattern[str], text: str) -> list[int]:
    return [number for number, line in enumerate(text.splitlines(), start=1) if pattern.search(line)]


@pytest.mark.parametrize("pattern", [UNFORMATTED, REFERENCE], ids=["formatting switched off", "reference to an issue"])
def test_no_code_switches_formatting_off_or_refers_to_an_issue(pattern: re.Pattern[str]) -> None:
    code = [path for path in tracked() if path.suffix in CODE_SUFFIXES]
    lines_by_file = {name_of(path): lines for path in code if (lines := lines_with(pattern, path.read_text("utf-8")))}
    assert not lines_by_file


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (UNFORMATTED, f"x = 1  # fmt: {'skip'}"),
        (REFERENCE, f"# see issue {4}"),
        (REFERENCE, f"Target T{15}"),
        (REFERENCE, f"the {'accept'}ance of the job"),
    ],
)
def test_the_check_of_lines_finds_them(pattern: re.Pattern[str], line: str) -> None:
    assert lines_with(pattern, line) == [1]


# Names that did not say what they stand for, and were replaced by the terms of the field.
REMOVED_NAMES = {"Seen", "Straight", "Edge", "Offer", "Desk", "Ticket", "Patience", "Under", "told"}
REMOVED_FUNCTIONS = {"known", "frozen"}


def removed_names(tree: ast.Module) -> set[str]:
    """Removed names of classes, functions, variables, arguments and attributes that a file uses again."""
    names: set[str] = set()
    functions: set[str] = set()
    for node in ast.walk(tree):
        match node:
            case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.Call(func=ast.Name(id=name)):
                functions.add(name)
        match node:
            case (
                ast.Name(id=str(name))
                | ast.arg(arg=str(name))
                | ast.keyword(arg=str(name))
                | ast.Attribute(attr=str(name))
                | ast.ClassDef(name=str(name))
                | ast.FunctionDef(name=str(name))
                | ast.AsyncFunctionDef(name=str(name))
                | ast.alias(asname=str(name))
                | ast.alias(name=str(name), asname=None)
            ):
                names.add(name)
    return names & REMOVED_NAMES | functions & REMOVED_FUNCTIONS


@pytest.mark.parametrize("path", PYTHON_FILES, ids=name_of)
def test_no_removed_name_comes_back(path: Path) -> None:
    assert not removed_names(ast.parse(path.read_text("utf-8")))


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("class Edge: ...", "Edge"),
        ("from x import Offer", "Offer"),
        ("from x import y as Desk", "Desk"),
        ("def f(told): ...", "told"),
        ("f(told=1)", "told"),
        ("x.told = 1", "told"),
        ("def known(): ...", "known"),
        ("frozen(x)", "frozen"),
    ],
)
def test_the_check_of_names_finds_a_removed_name(source: str, name: str) -> None:
    assert removed_names(ast.parse(source)) == {name}


@pytest.mark.parametrize("source", ["@dataclass(frozen=True)\nclass A: ...", "known = {}", "'Seen and told'"])
def test_the_check_of_names_ignores_other_uses(source: str) -> None:
    assert not removed_names(ast.parse(source))
