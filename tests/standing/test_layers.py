"""The layers together: HEAD and GET agree whatever refuses a request, and every refusal is a problem document."""

from pathlib import Path

import pytest

from api.app import create_app
from api.serving.hosts import LOOPBACK_HOSTS
from api.serving.keys.keyring import new_key
from api.settings import Settings
from tests.standing.asking import ask

CONVERT = "/v1/convert?amount=1&unit=us_cup&to=ml"
LOCAL = {"Host": "localhost"}
CASES = {
    "answered": (CONVERT, LOCAL, 200),
    "refused, in a cell": ("/v1/convert?amount=x&format=cell", LOCAL, 200),
    "invalid": ("/v1/convert?amount=x", LOCAL, 422),
    "not found": ("/nowhere", LOCAL, 404),
    "wrong method": ("/v1/bake", LOCAL, 405),
    "another host": (CONVERT, {"Host": "attacker.example"}, 421),
    "another host, in a cell": (f"{CONVERT}&format=cell", {"Host": "attacker.example"}, 200),
    "a long URL": ("/" + "x" * 3_000, LOCAL, 414),
    "large headers": (CONVERT, {**LOCAL, "X": "x" * 20_000}, 431),
}


@pytest.mark.parametrize("case", CASES)
def test_head_and_get_agree(case: str) -> None:
    url, headers, status = CASES[case]
    app = create_app(Settings(max_url_bytes=2_000), hosts=LOOPBACK_HOSTS)
    got, head = (ask(app, method, url, headers=headers) for method in ("GET", "HEAD"))
    assert (got.status_code, head.status_code, head.content) == (status, status, b"")
    ignored = {"x-request-id"}
    assert {k: v for k, v in got.headers.items() if k not in ignored} == {
        k: v for k, v in head.headers.items() if k not in ignored
    }
    if status >= 400:
        assert got.headers["content-type"] == "application/problem+json"
        assert got.json()["status"] == status


@pytest.mark.parametrize(("more", "status"), [("", 401), ("&format=cell", 200)], ids=["JSON", "cell"])
def test_head_and_get_agree_on_an_unknown_key(tmp_path: Path, more: str, status: int) -> None:
    (keys := tmp_path / "keys").write_text(f"{new_key('tablet')[1].line}\n", "utf-8")
    app = create_app(Settings(keys_file=keys))
    for method in ("GET", "HEAD"):
        assert ask(app, method, f"{CONVERT}&access_token=wrong{more}").status_code == status
