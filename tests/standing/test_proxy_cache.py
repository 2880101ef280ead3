"""The proxy's cache and logs: what is reused, for whom, and that no key is in any file."""

import json
import time
from collections.abc import Iterator
from urllib.parse import quote

import httpx
import pytest

from api.serving.keys.keyring import new_key
from tests.standing.proxying import Fleet, get, needs_nginx

pytestmark = needs_nginx
CUTS = "/v1/cuts?tin=square%20201%20mm&portions=9"
KEY, ENTRY = new_key("tablet")
WRONG, _ = new_key("stranger")


@pytest.fixture(scope="module")
def open_fleet() -> Iterator[Fleet]:
    with Fleet(2) as running:
        yield running


@pytest.fixture(scope="module")
def keyed_fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Fleet]:
    keys = tmp_path_factory.mktemp("keys") / "keys"
    keys.write_text(f"{ENTRY.line}\n", "utf-8")
    with Fleet(1, environment={"TINWRIGHT_KEYS_FILE": str(keys)}) as running:
        # Something is cached, so that the search for keys has files to look at.
        assert running.proxy.ask(get("/problems"))[1]["cache-status"] == "nginx; fwd=miss"
        yield running


def client_of(fleet: Fleet, source: str = "127.0.0.1") -> httpx.Client:
    transport = httpx.HTTPTransport(local_address=source)
    return httpx.Client(base_url=f"http://127.0.0.1:{fleet.proxy.port}", transport=transport)


def test_a_get_is_cached_and_the_cached_answer_is_right(open_fleet: Fleet) -> None:
    with client_of(open_fleet) as client:
        plain = {"Accept-Encoding": "identity"}
        url = f"{CUTS}&label=cached"  # no other test requests it
        first, again = client.get(url, headers=plain), client.get(url, headers=plain)
        direct = httpx.get(f"http://127.0.0.1:{open_fleet.ports[1]}{url}", headers=plain)
        drawn = client.get(url, headers={"Accept": "image/svg+xml"})
        unchanged = client.get(url, headers=plain | {"If-None-Match": first.headers["etag"]})
        posted = [client.post("/v1/cuts", json={"tin": "square 201 mm", "portions": 9}) for _ in range(2)]
    assert first.headers["cache-status"] == "nginx; fwd=miss"
    assert again.headers["cache-status"] == unchanged.headers["cache-status"] == "nginx; hit"
    assert first.content == again.content == direct.content
    assert first.headers["etag"] == again.headers["etag"] == direct.headers["etag"]
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    assert drawn.headers["content-type"].startswith("image/svg+xml")  # Vary names Accept
    assert drawn.headers["cache-status"] != "nginx; hit"
    assert all("cache-status" not in answer.headers for answer in posted)


def test_answers_are_compressed_for_clients_that_accept_it(open_fleet: Fleet) -> None:
    with client_of(open_fleet) as client:
        compressed = client.get("/v1/ingredients", headers={"Accept-Encoding": "gzip"})
        plain = client.get("/v1/ingredients", headers={"Accept-Encoding": "identity"})
    assert compressed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert compressed.content == plain.content
    assert "accept-encoding" in compressed.headers["vary"].casefold()


def test_each_answer_carries_the_id_of_its_own_request(open_fleet: Fleet) -> None:
    path = f"{CUTS}&label=ids"
    with client_of(open_fleet) as client:
        first = client.get(path, headers={"X-Request-ID": "first-caller"})
        second = client.get(path, headers={"X-Request-ID": "second-caller"})
        third, fourth = client.get(path), client.get(path)
        malformed = client.get(path, headers={"X-Request-ID": "<script>"})
    assert second.headers["cache-status"] == "nginx; hit"
    assert first.headers.get_list("x-request-id") == ["first-caller"]
    assert second.headers.get_list("x-request-id") == ["second-caller"]
    own = [answer.headers["x-request-id"] for answer in (third, fourth, malformed)]
    assert len(set(own)) == 3
    assert all(len(request_id) == 32 for request_id in own)
    logged: list[str] = []
    for _ in range(40):  # nginx writes its log after the answer
        logged = [entry["request_id"] for entry in open_fleet.proxy.log()[-3:]]
        if logged == own:
            break
        time.sleep(0.05)
    assert logged == own


@pytest.mark.parametrize(
    "path",
    [
        "/openapi.json?access_token={key}",
        "/openapi.json?x=1&access_token={key}",
        "/openapi.json?x=1;access_token={key}",
        "/problems?%61ccess_token={key}",
        "/docs?%61%63%63%65%73%73%5f%74%6f%6b%65%6e={key}",
        "/problems?ACCESS_TOKEN={key}",
        "/problems?key={key}",
        "/v1/units?access_token={key}",
        "/v1/units&access_token={key}",
        "/v1/ingredients/{key}",
        "/{key}",
    ],
)
def test_a_key_in_an_address_is_in_no_file_and_its_answer_is_not_cached(keyed_fleet: Fleet, path: str) -> None:
    with client_of(keyed_fleet, "127.0.5.1") as client:
        answer = client.get(path.format(key=KEY))
    assert answer.headers["cache-status"] == "nginx; fwd=bypass"
    assert_not_written(keyed_fleet, KEY)


def test_a_key_in_a_header_is_in_no_file_and_its_answer_is_not_cached(keyed_fleet: Fleet) -> None:
    with client_of(keyed_fleet, "127.0.5.2") as client:
        answers = [client.get("/v1/units", headers={"Authorization": f"Bearer {KEY}"}) for _ in range(2)]
        without = client.get("/v1/units")
    assert [answer.status_code for answer in answers] == [200, 200]
    assert all(answer.headers["cache-status"] == "nginx; fwd=bypass" for answer in answers)
    assert without.status_code == 401
    assert_not_written(keyed_fleet, KEY)


def test_no_key_is_written_when_a_request_fails(keyed_fleet: Fleet) -> None:
    with client_of(keyed_fleet, "127.0.5.3") as client:
        flood = [client.get(f"/problems?access_token={KEY}").status_code for _ in range(400)]
        assert 429 in flood
    keyed_fleet.proxy.ask(get(f"/v1/units?access_token={KEY}", "X: " + 200_000 * "x"), source="127.0.5.4")
    keyed_fleet.proxy.ask(get(f"/v1/units?access_token={KEY} x"), source="127.0.5.4")
    keyed_fleet.proxy.ask(get(f"/v1/units?access_token={KEY}", host="elsewhere.example"), source="127.0.5.4")
    with keyed_fleet.proxy.connect("127.0.5.4") as connection:
        connection.sendall(get(f"/docs/swagger-ui-bundle.js?access_token={KEY}"))
    keyed_fleet.kill(0)
    try:
        assert keyed_fleet.proxy.ask(get(f"/v1/units?access_token={KEY}"), source="127.0.5.4")[0] == 502
    finally:
        keyed_fleet.restart(0)
    time.sleep(1.1)  # until nginx asks the replica again
    assert_not_written(keyed_fleet, KEY)


def test_wrong_keys_are_answered_slowly_and_right_ones_are_not(keyed_fleet: Fleet) -> None:
    def answers_in(seconds: float, key: str, source: str) -> list[int]:
        statuses, end = [], time.monotonic() + seconds
        with client_of(keyed_fleet, source) as client:
            while time.monotonic() < end:
                statuses.append(client.get("/v1/units", headers={"Authorization": f"Bearer {key}"}).status_code)
        return statuses

    right, wrong = answers_in(2, KEY, "127.0.5.5"), answers_in(2, WRONG, "127.0.5.6")
    print(f"\nin 2 seconds on one connection: {len(right)} answers to a right key, {len(wrong)} to a wrong one")
    assert right.count(200) > 20 * len(wrong)
    assert set(wrong) == {401}
    # The person in front of a browser, which asks without a key first, does not wait.
    with client_of(keyed_fleet, "127.0.5.7") as client:
        assert [client.get("/v1/units").status_code for _ in range(10)] == [401] * 10
    entries = [entry for entry in keyed_fleet.proxy.log() if entry["address"] == "127.0.5.6"]
    assert {entry["status"] for entry in entries} == {"401"}


def test_a_request_is_logged_without_its_query(open_fleet: Fleet) -> None:
    with client_of(open_fleet, "127.0.5.8") as client:
        client.get("/v1/units?format=csv", headers={"X-Request-ID": "logged"})
        client.get("/" + quote('"}{\n'), headers={"X-Request-ID": "odd"})
    plain, odd = (entry for entry in open_fleet.proxy.log() if entry["address"] == "127.0.5.8")
    assert (plain["method"], plain["path"], plain["status"]) == ("GET", "/v1/units", "200")
    assert (plain["request_id"], odd["request_id"]) == ("logged", "odd")
    assert odd["path"] == "-"
    assert "csv" not in json.dumps(plain)


def assert_not_written(fleet: Fleet, key: str) -> None:
    """No file of nginx holds the key: logs, cache, temporary files."""
    written = dict(fleet.proxy.written())
    assert any(path.name == "tinwright-access.log" and content for path, content in written.items())
    assert any(path.is_relative_to(fleet.proxy.folder / "cache") for path in written)
    assert not [path for path, content in written.items() if key.encode() in content]
