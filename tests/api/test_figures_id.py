"""The hash of the reference data and the shop file, in a header of every answer."""

import asyncio
from importlib.resources import files
from pathlib import Path

import httpx
import pytest

from api.app import create_app
from api.settings import Settings
from api.wire import figures_id
from tests.api.conftest import Call
from tests.api.samples import GETS, POSTS


@pytest.mark.parametrize("path", GETS)
def test_every_answer_and_every_error_has_the_header(call: Call, path: str) -> None:
    answers = [call("GET", GETS[path]), call("GET", f"{path}?surprise=1"), call("GET", GETS[path] + "&format=csv")]
    tag = answers[0].headers["etag"]
    answers.append(call("GET", GETS[path], headers={"if-none-match": tag}))
    assert len({answer.headers["x-figures"] for answer in answers}) == 1
    assert len(answers[0].headers["x-figures"]) == figures_id.DIGITS


def test_an_answer_that_has_the_field_says_the_same_as_the_header(call: Call) -> None:
    for example in POSTS.values():
        answer = call("POST", example["path"], json=example["request"])
        assert answer.json().get("figures", answer.headers["x-figures"]) == answer.headers["x-figures"]


def header_with(shop_file: Path | None) -> str:
    app = create_app(Settings(shop_file=shop_file))

    async def ask() -> str:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
            return str((await client.get("/v1/units")).headers["x-figures"])

    return asyncio.run(ask())


def test_the_shop_file_is_part_of_it(tmp_path: Path) -> None:
    shop = tmp_path / "shop.json"
    shop.write_text("[]")
    first = header_with(shop)
    shop.write_text("[ ]")
    assert len({first, header_with(shop), header_with(None)}) == 3
    assert header_with(None) == header_with(None)


def test_every_file_of_the_reference_data_is_part_of_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for part in files("domain.reference").iterdir():
        if part.name.endswith((".csv", ".txt")):
            (tmp_path / part.name).write_bytes(part.read_bytes())
    monkeypatch.setattr(figures_id, "files", lambda _: tmp_path)
    before = figures_id.figures_of(None)
    names = sorted(path.name for path in tmp_path.iterdir())
    assert len(names) > 20
    for name in names:
        with (tmp_path / name).open("ab") as file:
            file.write(b"\n")
        assert figures_id.figures_of(None) != before, name
        before = figures_id.figures_of(None)
