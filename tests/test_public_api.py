"""The service uses only the public API of its dependencies: read from the AST of every file in `api/`."""

import ast
import importlib
import inspect
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from pydantic import BaseModel

ROOT = Path(__file__).parents[1]
API_FILES = sorted((ROOT / "api").rglob("*.py"))
DEPENDENCIES = {
    "fastapi",
    "httptools",
    "httpx",
    "jinja2",
    "msgspec",
    "orjson",
    "pint",
    "prometheus_client",
    "pydantic",
    "pydantic_core",
    "pydantic_settings",
    "pythonjsonlogger",
    "starlette",
    "uvicorn",
}
# Modules that are documented nowhere, though their names have no underscore.
INTERNAL_MODULES = ("uvicorn.protocols", "uvicorn.server", "uvicorn.supervisors", "uvicorn.lifespan")


def is_private(name: str) -> bool:
    return name.startswith("_") and not (name.startswith("__") and name.endswith("__"))


def private_uses(tree: ast.Module) -> Iterator[str]:
    """Every use of something private of another package: imports, attributes, and names given to `getattr`."""
    own = set(own_names(tree))
    for node in ast.walk(tree):
        match node:
            case ast.ImportFrom(module=str(module), names=names):
                yield from private_imports([f"{module}.{alias.name}" for alias in names])
            case ast.Import(names=names):
                yield from private_imports([alias.name for alias in names])
            case ast.Attribute(value=ast.Name(id="self" | "cls"), attr=attribute) if is_private(attribute):
                if attribute not in own:
                    yield f"line {node.lineno}: self.{attribute}"
            case ast.Attribute(attr=attribute) if is_private(attribute) and attribute not in own:
                yield f"line {node.lineno}: .{attribute}"
            case ast.Call(
                func=ast.Name(id="getattr" | "setattr" | "hasattr"), args=[_, ast.Constant(value=str(name)), *_]
            ):
                if is_private(name):
                    yield f"line {node.lineno}: getattr {name}"


def private_imports(modules: list[str]) -> Iterator[str]:
    for module in modules:
        parts = module.split(".")
        if parts[0] in DEPENDENCIES and (
            any(is_private(part) for part in parts) or f"{module}.".startswith(tuple(f"{m}." for m in INTERNAL_MODULES))
        ):
            yield f"import of {module}"


def own_names(tree: ast.Module) -> Iterator[str]:
    """Private names that the classes of a file define: methods, class attributes, and attributes set on `self`.

    Where a class inherits from a dependency, only its methods count, and `overridden` looks at those.
    """
    outside = set(imported_from_dependencies(tree))
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        bases = {part.id for base in node.bases for part in ast.walk(base) if isinstance(part, ast.Name)}
        for inner in ast.walk(node):
            match inner:
                case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                    yield name
                case ast.Attribute(value=ast.Name(id="self"), attr=name, ctx=ast.Store()) if not bases & outside:
                    yield name
                case ast.AnnAssign(target=ast.Name(id=name)) if not bases & outside:
                    yield name


def imported_from_dependencies(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in DEPENDENCIES:
            yield from (alias.asname or alias.name for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (name for alias in node.names if (name := alias.name.split(".")[0]) in DEPENDENCIES)


def overridden(checked: type) -> set[str]:
    """Private names of a class that replace one of a dependency's class."""
    bases = [base for base in checked.__mro__[1:] if base.__module__.split(".")[0] in DEPENDENCIES]
    methods = {name for name, value in vars(checked).items() if inspect.isfunction(value) and is_private(name)}
    return {name for name in methods if any(name in vars(base) for base in bases)}


@pytest.mark.parametrize("path", API_FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_only_the_public_api_of_dependencies_is_used(path: Path) -> None:
    assert list(private_uses(ast.parse(path.read_text("utf-8")))) == []


@pytest.mark.parametrize("path", API_FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_class_overrides_something_private_of_a_dependency(path: Path) -> None:
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    module = importlib.import_module(name)
    own = [value for value in vars(module).values() if inspect.isclass(value) and value.__module__ == name]
    # Pydantic keeps what it knows about a model in private attributes of that model.
    assert [value for value in own if not issubclass(value, BaseModel) and overridden(value)] == []


def test_the_search_finds_an_override() -> None:
    class Ours(uvicorn.Server):
        async def _serve(self, sockets: object = None) -> None: ...

    assert overridden(Ours) == {"_serve"}


@pytest.mark.parametrize(
    "source",
    [
        "from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol",
        "import uvicorn.protocols.http",
        "from uvicorn import server",
        "from uvicorn.supervisors import Multiprocess",
        "from starlette._utils import get_route_path",
        "from pydantic import _internal",
        "import prometheus_client\nprometheus_client.REGISTRY._collector_to_names",
        "def f(request): return request._body",
        "def f(app): return getattr(app, '_state')",
        "import uvicorn\nclass Ours(uvicorn.Server):\n    def f(self): return self._captured_signals",
    ],
)
def test_the_search_finds_private_uses(source: str) -> None:
    assert list(private_uses(ast.parse(source)))


@pytest.mark.parametrize(
    "source",
    [
        "import uvicorn\nuvicorn.Server(uvicorn.Config('app')).run()",
        "class A:\n    def __init__(self): self._a = self._b()\n    def _b(self): return self._a",
        "def f(value): return value.__class__.__name__",
        "from api.serving.hosts import _host_of",
    ],
)
def test_the_search_accepts_public_and_own_names(source: str) -> None:
    assert list(private_uses(ast.parse(source))) == []
