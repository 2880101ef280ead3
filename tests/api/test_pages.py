"""Pages for people: every error is explained, pages are cached like answers and load nothing from other hosts."""

import ast
import re
from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path

import pytest

from api.pages.site import CLIENTS, PROBLEM_TYPES
from api.serving.nginx.refusals import CODES as PROXY_CODES
from api.wire.problems import RequestProblem
from domain import errors
from tests.api.conftest import Call

ROOT = Path(__file__).parents[2]
CARD = "/cards/cuts?tin=square%2023%20cm&portions=16&mix_grams=1478&bake_loss_percent=11"
ROUND_CARD = "/cards/cuts?tin=round%2023%20cm&wedges=12"
PAGES = ["/", "/problems", "/problems/unknown_ingredient", "/changes", "/cards/cuts", CARD, ROUND_CARD, "/icon.svg"]
KEPT = [*PAGES, "/docs", "/docs/swagger-ui.css"]
REFUSALS = {name: kind for name, kind in vars(errors).items() if isinstance(kind, type)}


def called(node: ast.Call) -> str:
    """The name of the called function without its module."""
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def texts(node: ast.expr | None) -> Iterator[str]:
    """The literal text of a node, or both texts of a conditional expression; nothing for other expressions."""
    if isinstance(node, ast.IfExp):
        yield from texts(node.body)
        yield from texts(node.orelse)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value


def spelled_out(node: ast.expr, tree: ast.AST) -> Iterator[str]:
    """The values of `f"unknown_{field}"` if `field` is an argument that is always passed as a literal."""
    parts = [part for part in getattr(node, "values", []) if isinstance(part, ast.FormattedValue)]
    if len(parts) != 1:
        return
    name = ast.unparse(parts[0].value)
    for function in (candidate for candidate in ast.walk(tree) if isinstance(candidate, ast.FunctionDef)):
        names = [argument.arg for argument in function.args.args]
        if name not in names or node not in ast.walk(function):
            continue
        for call in (
            candidate
            for candidate in ast.walk(tree)
            if isinstance(candidate, ast.Call) and called(candidate) == function.name
        ):
            for value in texts(call.args[names.index(name)]):
                yield ast.unparse(node)[2:-1].replace(f"{{{name}}}", value)


def codes_in(tree: ast.AST, where: str) -> Iterator[str]:
    """The codes of all errors that a module creates."""
    for node in ast.walk(tree):
        # A class of its own; those of domain/errors.py are base classes, which get narrower codes.
        if (
            where != "errors.py"
            and isinstance(node, ast.ClassDef)
            and any(ast.unparse(base) in REFUSALS for base in node.bases)
        ):
            yield from (
                code for statement in node.body if isinstance(statement, ast.Assign) for code in texts(statement.value)
            )
        if not isinstance(node, ast.Call):
            continue
        kind, keywords = REFUSALS.get(called(node)), {word.arg: word.value for word in node.keywords}
        if kind is not None and issubclass(kind, errors.DomainError):
            code = keywords.get("code")
            codes = [kind.code] if code is None else [*texts(code), *spelled_out(code, tree)]
            assert codes, f"{where}:{node.lineno}: this test cannot read the code"
            yield from codes
        elif called(node) in {RequestProblem.__name__, "problem"} and len(node.args) > 1:
            yield from texts(node.args[1])


def codes_of_problems(tree: ast.AST) -> Iterator[str]:
    """The codes of `api/wire/problems.py`: for several errors, and for the statuses of the framework."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Assign)
            and isinstance(node.value, ast.IfExp)
            and ast.unparse(node.targets[0]) == "code"
        ):
            yield from texts(node.value)
        if (
            isinstance(node, ast.Dict)
            and node.keys
            and all("HTTPStatus." in ast.unparse(key) for key in node.keys if key)
        ):
            for key in node.keys:
                yield HTTPStatus[ast.unparse(key).rsplit(".", 1)[1]].phrase.casefold().replace(" ", "_") if key else ""


def raised() -> set[str]:
    """Every code that a client can receive as the type of a problem."""
    codes: set[str] = set(PROXY_CODES)
    for path in [*(ROOT / "api").rglob("*.py"), *(ROOT / "domain").rglob("*.py")]:
        tree = ast.parse(path.read_text("utf-8"))
        codes |= set(codes_in(tree, path.name))
        if path.name == "problems.py":
            codes |= set(codes_of_problems(tree))
    return codes


def test_the_search_finds_codes_of_every_form() -> None:
    made = raised()
    assert {"unknown_ingredient", "out_of_range", "not_acceptable", "body_too_large"} <= made
    assert {"malformed_json", "invalid_request", "internal_error", "several_problems"} <= made
    assert {"not_found", "method_not_allowed"} <= made


def test_every_code_is_explained_and_every_explanation_has_a_code() -> None:
    missing, idle = raised() - PROBLEM_TYPES.keys(), PROBLEM_TYPES.keys() - raised()
    assert not missing, f"problem_types.csv lacks {sorted(missing)}"
    assert not idle, f"problem_types.csv explains what is never raised: {sorted(idle)}"


def test_explanations_are_whole_sentences_in_order() -> None:
    assert list(PROBLEM_TYPES) == sorted(PROBLEM_TYPES)
    for problem_type in PROBLEM_TYPES.values():
        for text in (problem_type.meaning, problem_type.remedy):
            assert re.fullmatch(r"[A-Z/].{10,}[.]", text), (problem_type.code, text)


@pytest.mark.parametrize("code", PROBLEM_TYPES)
def test_a_problem_has_a_page(call: Call, code: str) -> None:
    page = call("GET", f"/problems/{code}")
    assert page.status_code == 200
    assert f"<code>/problems/{code}</code>" in page.text


def test_an_unknown_problem_type_has_no_page(call: Call) -> None:
    page = call("GET", "/problems/no-such-thing")
    assert (page.status_code, page.headers["content-type"]) == (404, "text/html; charset=utf-8")


@pytest.mark.parametrize("url", KEPT)
def test_a_page_is_revalidated_by_its_strong_entity_tag(call: Call, url: str) -> None:
    first, again = call("GET", url), call("GET", url)
    tag = first.headers["etag"]
    assert (first.status_code, again.headers["etag"], tag[0]) == (200, tag, '"')
    kept = first.headers["cache-control"]
    assert re.fullmatch(r"public, max-age=\d+, stale-while-revalidate=86400, stale-if-error=604800", kept)
    revalidated = call("GET", url, headers={"If-None-Match": f'"other", {tag}'})
    assert (revalidated.status_code, revalidated.content, revalidated.headers["etag"]) == (304, b"", tag)
    head = call("HEAD", url)
    assert (head.status_code, head.content, head.headers["etag"]) == (200, b"", tag)
    assert call("OPTIONS", url).headers["allow"] == "GET, HEAD, OPTIONS"


def test_different_cards_have_different_entity_tags(call: Call) -> None:
    assert call("GET", CARD).headers["etag"] != call("GET", CARD.replace("16", "15")).headers["etag"]


@pytest.mark.parametrize("url", KEPT)
def test_a_page_loads_nothing_from_other_hosts(call: Call, url: str) -> None:
    answer = call("GET", url)
    if answer.headers["content-type"].startswith("text/html"):
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert not re.search(r"https?:|\*|unsafe-eval", policy)
        assert "script-src" not in policy or url == "/docs" or url.startswith("/cards/")
        assert "unsafe-inline" not in policy or url == "/docs"
        assert re.search(r'<html lang="en"[ >]', answer.text)
    own = re.sub(r"http://(www\.w3\.org/|127\.0\.0\.1)", "", answer.text)
    assert url.endswith(".css") or not re.search(r"(https?:)?//\w", own.split("<pre>")[0])


def test_the_home_page_shows_three_clients_the_baker_first_and_its_links_work(call: Call) -> None:
    page = call("GET", "/")
    assert [client.title.split()[1] for client in CLIENTS] == ["baker", "online", "office"]
    for client in CLIENTS:
        assert client.title in page.text
        for _, link in client.links:
            assert call("GET", link).status_code == 200
