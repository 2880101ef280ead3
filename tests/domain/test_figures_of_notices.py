"""A warning or an error that names a figure carries it as data too; this reads the code of every one."""

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from domain.errors import OutOfRangeError, broken_limit

DOMAIN = Path(__file__).parents[2] / "domain"
NUMERIC = re.compile(r"[+,\d.]*[dfg%,]$")  # a format of numbers, such as `:.0f` or `:,`
Made = tuple[str, int, bool, bool]


def notices_in(path: Path) -> Iterator[Made]:
    """Every warning made in a file: where, and whether its message formats a number and whether it has a value."""
    for function in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(function, ast.FunctionDef):
            continue
        calls = [node for node in ast.walk(function) if isinstance(node, ast.Call)]
        for call in calls:
            if getattr(call.func, "id", "") == "Notice":
                value = len(call.args) > 3 or any(keyword.arg == "value" for keyword in call.keywords)
                yield path.name, call.lineno, names_a_figure(message_of(call, function)), value


def message_of(call: ast.Call, function: ast.FunctionDef) -> list[ast.expr]:
    """The message of a warning: as written, or what was last given to its variable before."""
    named = [keyword.value for keyword in call.keywords if keyword.arg == "message"] or call.args[1:2]
    if not named or not isinstance(named[0], ast.Name):
        return named
    arguments = [
        node.value
        for node in ast.walk(function)
        if isinstance(node, ast.Assign)
        and node.lineno < call.lineno
        and any(isinstance(target, ast.Name) and target.id == named[0].id for target in node.targets)
    ]
    return [max(arguments, key=lambda value: value.lineno)] if arguments else []


def names_a_figure(messages: list[ast.expr]) -> bool:
    return any(
        isinstance(node, ast.FormattedValue)
        and node.format_spec is not None
        and NUMERIC.search(ast.unparse(node.format_spec).strip("f'\""))
        for message in messages
        for node in ast.walk(message)
    )


MADE = [made for path in sorted(DOMAIN.rglob("*.py")) for made in notices_in(path)]


def test_a_warning_that_names_a_figure_carries_it() -> None:
    assert sum(figure for *_, figure, _ in MADE) > 20
    assert [(file, line) for file, line, figure, value in MADE if figure and not value] == []


def test_an_error_about_a_limit_carries_the_figure_and_the_limit() -> None:
    parameters = inspect.signature(OutOfRangeError).parameters
    assert all(parameters[name].default is inspect.Parameter.empty for name in ("value", "limit"))
    with pytest.raises(TypeError):
        OutOfRangeError("Too large.")  # type: ignore[call-arg]


@pytest.mark.parametrize(("value", "limit"), [(0, 1), (9, 5), (5.1, 5)])
def test_the_broken_limit_is_the_nearer_one(value: float, limit: float) -> None:
    assert broken_limit(value, 1, 5) == limit
