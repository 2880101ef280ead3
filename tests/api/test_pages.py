"""Pages for people: every error is explained, pages are cached like answers and load nothing from other hosts."""

import ast
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs

import pytest

from api.pages.cards.cut_form import FORM
from api.pages.cards.cuts import EXAMPLE
from api.pages.site import CLIENTS, PROBLEM_TYPES
from api.serving.nginx.refusals import CODES as PROXY_CODES
from api.v1.cuts.schemas import CutsQuery
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
        assert "script-src" not in policy or url == "/docs"
        assert "unsafe-inline" not in policy or url == "/docs"
        assert re.search(r'<html lang="en">', answer.text)
    own = re.sub(r"http://(www\.w3\.org/|127\.0\.0\.1)", "", answer.text)
    assert url.endswith(".css") or not re.search(r"(https?:)?//\w", own.split("<pre>")[0])


def test_the_home_page_shows_three_clients_the_baker_first_and_its_links_work(call: Call) -> None:
    page = call("GET", "/")
    assert [client.title.split()[1] for client in CLIENTS] == ["baker", "online", "office"]
    for client in CLIENTS:
        assert client.title in page.text
        for _, link in client.links:
            assert call("GET", link).status_code == 200


def test_a_card_shows_the_figures_of_the_answer(call: Call) -> None:
    answer, page = call("GET", CARD.replace("/cards/", "/v1/")).json(), call("GET", CARD).text
    rows = re.findall(r'<tr><th scope="row">(\w+)</th><td>([^<]*)</td>', page)
    assert rows[:3] == [
        (place.capitalize(), str(answer[f"{place}_portions"])) for place in ("corner", "edge", "centre")
    ]
    for axis in ("length", "width"):
        for mark in answer["marks"][axis]:
            assert f"<td>{mark['mm']:g}</td><td>{mark['inches']}</td>" in page
    assert f"{answer['portion']['grams']:.1f}\u00a0g" in page
    drawing = call("GET", f"{CARD.replace('/cards/', '/v1/')}&format=svg").text
    assert drawing in page
    for word in ("Raw flour", "probe", "cook last", "competent person"):
        assert word in page


def test_other_ways_are_links_that_answer_what_they_promise(call: Call) -> None:
    questions = ["slab=30%20x%2020%20cm&portions=13", "slab=31%20x%2020%20cm&portion_size=5%20x%204%20cm"]
    questions += [
        "tin=round%2023%20cm&portion_grams=60&slab_grams=940",
        "tin=round%2023%20cm&rings=1&rings=6&slab_grams=900",
    ]
    followed = 0
    for question in questions:
        answer, page = call("GET", f"/v1/cuts?{question}").json(), call("GET", f"/cards/cuts?{question}").text
        links = re.findall(r'<a href="(/cards/cuts\?[^"]+)">(\d+) pieces\. ([^<]+)</a>', page)
        for link, pieces, message in links:
            there = call("GET", link.replace("/cards/", "/v1/").replace("&amp;", "&")).json()
            promised = next(
                alternative
                for alternative in answer["alternatives"]
                if alternative["message"] in message.replace("&#39;", "'")
            )
            assert there["portions"] == int(pieces) == promised["portions"]
            assert there["portion"]["length_mm"] == pytest.approx(promised["length_mm"])
            assert there["portion"]["width_mm"] == pytest.approx(promised["width_mm"])
            followed += 1
    assert followed >= 5


def test_the_form_has_a_field_for_every_parameter() -> None:
    fields = [field.name for group in FORM for field in group.fields]
    assert sorted(fields) == sorted(set(CutsQuery.model_fields) - {"drawing"})  # the page always draws


def test_empty_fields_of_a_form_are_ignored(call: Call) -> None:
    fields = [field.name for group in FORM for field in group.fields]
    empty = "&".join(f"{name}=" for name in fields if name not in {"tin", "wedges"})
    page = call("GET", f"{ROUND_CARD}&{empty}")
    assert (page.status_code, page.text) == (200, call("GET", ROUND_CARD).text)
    assert call("GET", f"/cards/cuts?{empty}").text == call("GET", "/cards/cuts").text


WRONG = {
    "tin=moon&portions=16": ("Tin:", "square 20 cm"),
    "tin=square%2020%20cm": ("Fill in one field",),
    "portions=16": ("Tin:", "one of the two"),
    "tin=square%2020%20cm&portions=many": ("So many pieces:", "whole number"),
    "tin=square%2020%20cm&portions=0": ("So many pieces:", "At least 1."),
    "tin=square%2020%20cm&portions=9999": ("So many pieces:", "At most 1,000."),
    "tin=square%2020%20cm&portions=4&portions=5": ("So many pieces:", "once only"),
    "tin=round%2023%20cm&rings=a": ("from the middle outwards",),
    "tin=square%2020%20cm&wedges=8": ("Accepted:", "So many pieces"),
    "tin=square%2023%20cm&portions=16&mix_grams=1478": ("bake_loss_percent",),
    "tin=square%2020%20cm&portions=4&trim=11%20cm": ("Trim all round:",),
    "tin=square%2020%20cm&portions=4&trim=wide": ("Trim all round:",),
    "tin=square%2020%20cm&portions=4&candles=3": ("candles:", "no such field"),
    "tin=square%2020%20cm&portion_grams=nan&slab_grams=900": ("Pieces of this weight, g:",),
}


@pytest.mark.parametrize("query", WRONG)
def test_an_invalid_card_is_a_page_that_says_what_to_do(call: Call, query: str) -> None:
    page = call("GET", f"/cards/cuts?{query}")
    assert (page.status_code, page.headers["content-type"]) == (422, "text/html; charset=utf-8")
    assert page.headers["cache-control"] == "no-store"
    assert "default-src 'none'" in page.headers["content-security-policy"]
    for words in WRONG[query]:
        assert words in page.text, page.text[:2_000]
    for link in re.findall(r'href="(/problems/[\w-]+)"', page.text):
        assert call("GET", link).status_code == 200
    if "tin=square" in query:
        assert f'value="{parse_qs(query)["tin"][0]}"' in page.text, "the form loses what was typed"


def test_everything_that_is_wrong_is_on_the_page_at_once(call: Call) -> None:
    query = "tin=moon&portions=many&trim=wide&knife_width=2%20cups&mix_grams=-1&candles=3"
    page = call("GET", f"/cards/cuts?{query}")
    assert page.status_code == 422
    faults = re.findall(r"<strong>([^<]+):</strong>", page.text)
    # In the form's order, by the labels that the person sees; the unknown field comes last.
    assert faults == ["Tin", "So many pieces", "Raw mix, g", "Trim all round", "Lost at each cut", "candles"]
    assert "Please correct these fields" in page.text


def test_a_field_that_is_read_well_is_not_at_fault_because_another_is_not(call: Call) -> None:
    for query in (
        "tin=square%2020%20cm&portions=many",
        "tin=square%2020%20cm&portions=16&mix_grams=x&bake_loss_percent=11",
    ):
        page = call("GET", f"/cards/cuts?{query}")
        assert len(re.findall(r"<strong>([^<]+):</strong>", page.text)) == 1


class Elements(HTMLParser):
    """The tags and attributes of a page as a browser reads them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}


@pytest.mark.parametrize("field", ["label", "tin", "trim", "nothing%3Cscript%3E"])
def test_text_of_the_caller_is_escaped(call: Call, field: str) -> None:
    hostile = "%3Cscript%3Ealert(1)%3C/script%3E%22%20onload=%22x%00%F0%9F%8D%B0"
    page = call("GET", f"/cards/cuts?slab=30%20x%2020%20cm&portions=6&{field}={hostile}")
    assert page.status_code in {200, 422}
    elements = Elements()
    elements.feed(page.text)
    assert "script" not in elements.tags
    assert not [name for name in elements.attributes if name.startswith("on")]


def test_the_example_is_a_bake_of_the_demo_shop(call: Call) -> None:
    page = call("GET", EXAMPLE)
    assert page.status_code == 200
    assert "<h1>Ginger parkin slab</h1>" in page.text


def test_each_ring_of_a_card_has_its_own_marks(call: Call) -> None:
    query = "tin=round%2023%20cm&rings=1,6,12"
    page = call("GET", f"/cards/cuts?{query}").text
    answer = call("GET", "/v1/cuts?tin=round%2023%20cm&rings=1&rings=6&rings=12").json()
    captions = re.findall(r"<caption>Round ring (\d+)", page)
    marks = re.findall(r"<caption>Round ring \d+.*?</table>", page, re.DOTALL)
    assert set(captions) == {"2", "3"}  # the middle piece is not divided
    assert sum(table.count('<th scope="row">') for table in marks) == len(answer["marks"]["rim"]) == 6 + 12
