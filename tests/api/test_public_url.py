"""With a public URL every link begins with it; without one, links are paths of this service."""

import re
from html.parser import HTMLParser

import pytest

from api.app import create_app
from api.settings import Settings
from tests.standing.asking import ask

ROOT = "https://tinwright.example/bake"
PUBLIC = create_app(Settings(public_url=f"{ROOT}/", cors_origins=["https://shop.example"], max_url_bytes=2_000))
PLAIN = create_app(Settings())
CARD = "/cards/cuts?tin=square%2023%20cm&pieces=13&mix_grams=1478&bake_loss_percent=11"
PAGES = [
    "/",
    "/problems",
    "/problems/unknown_ingredient",
    "/problems/nothing",
    "/changes",
    "/cards/cuts",
    CARD,
    f"{CARD}0",
]
ROWS = {"items": [{"quantity": "1 cup", "to": "ml"}, {"quantity": "1 g", "to": "kg"}]}


class Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag != "base"  # it would change what the links mean
        self.links += [value for name, value in attrs if name in {"href", "src", "action"} and value]


def links_of(page: str) -> list[str]:
    parser = Links()
    parser.feed(page)
    return [link for link in parser.links if not link.startswith("#")]


@pytest.mark.parametrize("path", PAGES)
def test_every_link_of_a_page_begins_with_the_public_url(path: str) -> None:
    public, plain = links_of(ask(PUBLIC, "GET", path).text), links_of(ask(PLAIN, "GET", path).text)
    assert public == [ROOT + link for link in plain]
    assert len(public) >= (4 if path.startswith("/cards/") else 5)
    assert all(link.startswith("/") for link in plain)


@pytest.mark.parametrize("path", PAGES)
def test_a_page_may_send_its_form_to_the_public_address_only(path: str) -> None:
    policies = [ask(app, "GET", path).headers["content-security-policy"] for app in (PUBLIC, PLAIN)]
    assert "form-action 'self' https://tinwright.example;" in policies[0]
    assert policies[1] == policies[0].replace(" https://tinwright.example", "")


def test_the_front_page_shows_requests_to_the_public_url() -> None:
    assert f'WEBSERVICE("{ROOT}/v1/convert?' in ask(PUBLIC, "GET", "/").text.replace("&#34;", '"')
    assert 'WEBSERVICE("http://127.0.0.1:8000/v1/convert?' in ask(PLAIN, "GET", "/").text.replace("&#34;", '"')


REFUSED = [
    ("GET", "/nothing"),
    ("DELETE", "/v1/units"),
    ("GET", "/v1/convert?amount=1&unit=cup&to=ml"),
    ("GET", "/v1/ingredients/nothing"),
    ("GET", f"/v1/units?x={3_000 * 'x'}"),
    ("POST", "/v1/rescale"),
    ("OPTIONS", "/v1/rescale"),
]


@pytest.mark.parametrize(("method", "path"), REFUSED, ids=lambda text: text[:40])
def test_the_type_of_a_problem_is_absolute(method: str, path: str) -> None:
    headers = (
        {"Origin": "https://stranger.example", "Access-Control-Request-Method": "GET"} if method == "OPTIONS" else {}
    )
    public, plain = (ask(app, method, path, headers=headers).json()["type"] for app in (PUBLIC, create_app(cors())))
    assert public == ROOT + plain
    assert re.fullmatch(r"/problems/[a-z0-9_-]+", plain)


def cors() -> Settings:
    return Settings(cors_origins=["https://shop.example"], max_url_bytes=2_000)


def test_the_type_of_a_problem_inside_an_answer_is_absolute() -> None:
    public, plain = (ask(app, "POST", "/v1/convert", json=ROWS) for app in (PUBLIC, PLAIN))
    assert public.status_code == plain.status_code == 200
    assert f'"type":"{ROOT}/problems/' in public.text
    assert public.text.replace(ROOT, "") == plain.text


def test_the_document_names_the_public_url() -> None:
    public, plain = (ask(app, "GET", "/openapi.json").json() for app in (PUBLIC, PLAIN))
    assert [server["url"] for server in public["servers"]] == [ROOT]
    assert [server["url"] for server in plain["servers"]] == ["/"]
    assert public["info"]["contact"]["url"] == f"{ROOT}/changes"
    assert plain["info"]["contact"]["name"] == public["info"]["contact"]["name"]
    assert public["paths"] == plain["paths"]
    policy = ask(PUBLIC, "GET", "/docs").headers["content-security-policy"]
    assert "connect-src 'self' https://tinwright.example;" in policy
    assert "license" not in plain["info"]
    assert "No licence has been chosen yet" in plain["info"]["description"]
