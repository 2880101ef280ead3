"""Everything works below a path prefix: pages, forms, the documentation, problems, entity tags."""

from collections.abc import Iterator
from urllib.parse import urljoin

import httpx
import pytest

from api.serving.nginx.configuration import ProxyOptions, proxy_configuration
from api.settings import Settings
from tests.api.test_public_url import links_of
from tests.clients.server import free_port
from tests.standing.proxying import Fleet, get, needs_nginx, problem_of

PREFIX = "/bake/tinwright"
CARD = "/cards/cuts?tin=square%2023%20cm&portions=13&mix_grams=1478&bake_loss_percent=11"


@pytest.fixture(scope="module")
def fleet() -> Iterator[Fleet]:
    port = free_port()
    url = f"http://127.0.0.1:{port}{PREFIX}"
    options = {"port": port, "prefix": PREFIX, "settings": Settings(public_url=url)}
    with Fleet(1, environment={"TINWRIGHT_PUBLIC_URL": url}, **options) as running:
        yield running


@pytest.fixture
def root(fleet: Fleet) -> str:
    return f"http://127.0.0.1:{fleet.proxy.port}{PREFIX}"


@needs_nginx
def test_every_link_that_a_page_has_is_answered(root: str) -> None:
    pages, seen = [f"{root}/", f"{root}{CARD}", f"{root}/cards/cuts?tin=moon"], set[str]()
    for page in pages:
        for link in links_of(httpx.get(page).text):
            assert link.startswith(f"{root}/")
            seen.add(link)
    assert len(seen) >= 10
    statuses = {link: httpx.get(link).status_code for link in seen}
    # The other language of a page that says what is wrong.
    refused = {link for link, status in statuses.items() if status == 422 and link.startswith(f"{pages[2]}&lang=")}
    assert {statuses[link] for link in seen - refused} == {200}, statuses


@needs_nginx
def test_the_prefix_alone_leads_to_the_front_page(root: str) -> None:
    answer = httpx.get(root, follow_redirects=True)
    assert answer.status_code == 200
    assert "<h1>Tinwright</h1>" in answer.text


@needs_nginx
def test_the_documentation_and_its_assets_are_answered(root: str) -> None:
    page = httpx.get(f"{root}/docs")
    assets = {urljoin(f"{root}/docs", link) for link in links_of(page.text)}
    names = ("docs/swagger-ui-bundle.js", "docs/swagger-ui.css", "icon.svg", "openapi.json")
    assert assets == {f"{root}/{name}" for name in names}
    assert [httpx.get(asset).status_code for asset in assets] == [200] * 4
    document = httpx.get(f"{root}/openapi.json").json()
    (server,) = document["servers"]
    sent = httpx.get(f"{server['url']}/v1/cuts?tin=square%2020%20cm&portions=9")
    assert (sent.status_code, server["url"]) == (200, root)
    assert httpx.get(document["info"]["contact"]["url"]).status_code == 200


@needs_nginx
def test_the_type_of_a_problem_is_a_page_whoever_refuses(fleet: Fleet, root: str) -> None:
    refused = httpx.get(f"{root}/v1/convert?amount=1&unit=cup&to=ml")
    assert refused.status_code == 422
    own = problem_of(fleet.proxy.ask(get("/v1/units", host="127.0.0.1")))  # the proxy's own, outside of the prefix
    for kind in (refused.json()["type"], own["type"]):
        assert kind.startswith(f"{root}/problems/")
        assert httpx.get(kind).status_code == 200


@needs_nginx
@pytest.mark.parametrize(
    "path", ["/v1/cuts?tin=square%2020%20cm&portions=9", CARD, "/docs", "/openapi.json", "/changes"]
)
def test_an_entity_tag_is_known_again(root: str, path: str) -> None:
    first = httpx.get(root + path, headers={"Accept-Encoding": "identity"})
    assert first.status_code == 200
    again = httpx.get(root + path, headers={"Accept-Encoding": "identity", "If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_prefix_that_the_public_url_does_not_have_is_refused() -> None:
    for prefix, url in (
        ("/other", "https://a.example/bake"),
        ("", "https://a.example/bake"),
        ("/x", "https://a.example"),
    ):
        with pytest.raises(ValueError, match="TINWRIGHT_PUBLIC_URL"):
            proxy_configuration(ProxyOptions(prefix=prefix), Settings(public_url=url))
    assert proxy_configuration(ProxyOptions(prefix="/bake"), Settings(public_url="https://a.example/bake/"))
