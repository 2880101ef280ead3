"""What the main job costs on the wire: the demo parkin for three tins, compressed as a client asks for it."""

import asyncio

import httpx
import pytest

from api.app import create_app
from tests.api.samples import EXAMPLES

SHOP_FIELDS = "targets(label,filled_depth_mm,components(name,lines(ingredient,weigh_grams)),eggs)"


def bytes_on_the_wire(query: str) -> int:
    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=create_app())
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            headers = {"Accept-Encoding": "gzip"}
            request = client.build_request(
                "POST", f"/v1/rescale{query}", json=EXAMPLES["rescale-parkin"]["request"], headers=headers
            )
            return await client.send(request)

    answer = asyncio.run(ask())
    assert (answer.status_code, answer.headers["content-encoding"]) == (200, "gzip")
    assert len(answer.json()["targets"]) == 3
    return int(answer.headers["content-length"])


@pytest.mark.parametrize(("query", "most"), [("", 8_192), (f"?fields={SHOP_FIELDS}", 3_000)], ids=["whole", "fields"])
def test_the_answer_is_small_on_the_wire(query: str, most: int) -> None:
    size = bytes_on_the_wire(query)
    print(f"\n{size} bytes")
    assert size <= most
