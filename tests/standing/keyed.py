"""A service in process that asks for keys, and ways to send it one."""

import asyncio
from base64 import b64encode
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import httpx
from starlette.types import Message

from api.app import create_app
from api.serving.keys.keyring import new_key
from api.settings import Settings

(TABLET, TABLET_KEY), (OFFICE, OFFICE_KEY) = new_key("tablet"), new_key("office")
STRANGER = new_key("stranger")[0]
CONVERT = "/v1/convert?amount=1&unit=us_cup&to=ml"
CARD = "/cards/cuts?tin=rectangle%2030%20x%2020%20cm&portions=13&label=Parkin"
SHOP = "https://shop.example"


class Ask:
    """A service in process: `ask("GET", url)` as a client, `ask.raw` with any method and path."""

    def __init__(self, settings: Settings) -> None:
        self.app = create_app(settings)

    def __call__(self, method: str, url: str, **more: Any) -> httpx.Response:
        async def request() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
                return await client.request(method, url, **more)

        return asyncio.run(request())

    def raw(self, method: str, path: str) -> tuple[int, bytes]:
        sent: list[Message] = []

        async def receive() -> Message:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: Message) -> None:
            sent.append(message)

        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "headers": [],
            "path": unquote(path),
            "raw_path": path.encode(),
            "query_string": b"",
            "root_path": "",
            "scheme": "http",
        }

        async def request() -> None:
            await self.app(scope, receive, send)

        asyncio.run(request())
        return sent[0]["status"], b"".join(message.get("body", b"") for message in sent[1:])


def service_with_keys(folder: Path) -> Ask:
    """A service with two keys."""
    path = folder / "keys"
    path.write_text("".join(f"{key.line}\n" for key in (TABLET_KEY, OFFICE_KEY)), "utf-8")
    return Ask(Settings(keys_file=path, cors_origins=[SHOP], max_url_bytes=60_000))


def bearer(key: str, scheme: str = "Bearer") -> dict[str, str]:
    return {"Authorization": f"{scheme} {key}"}


def basic(user: str, key: str) -> dict[str, str]:
    return {"Authorization": f"Basic {b64encode(f'{user}:{key}'.encode()).decode()}"}


def refused(answer: httpx.Response, status: int, code: str) -> None:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert "no-store" in answer.headers["cache-control"]
    problem = answer.json()
    assert (problem["type"], problem["status"]) == (f"/problems/{code}", status)
    challenges = answer.headers.get_list("www-authenticate")
    assert challenges[0].startswith('Bearer realm="Tinwright"')
    assert (status == 401) == any(challenge.startswith("Basic realm=") for challenge in challenges)
