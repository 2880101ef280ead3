"""The files of the cards: cached by their tags, open to all, and such that a browser installs the cards."""

import io
import json
import re
from pathlib import Path

import pytest
from PIL import Image

from api.pages import static
from api.pages.cards.addresses import MAX_LOCATION
from api.serving.keys.keyring import new_key
from api.settings import Settings
from tests.api.conftest import Call
from tests.clients.browser.icons import GROUND, SIZES
from tests.pages.conftest import caller

FOLDER = Path(__file__).parents[2] / "api" / "pages" / "static"
FILES = [f"{static.FOLDER}/{name}" for name in static.MEDIA_TYPES]
WEIGH = "/cards/weigh?recipe=200+g+plain+flour"


def test_every_file_of_the_folder_is_served() -> None:
    assert {path.name for path in FOLDER.iterdir()} == {*static.MEDIA_TYPES, "service_worker.js"}


@pytest.mark.parametrize("path", FILES)
def test_a_file_has_its_type_and_a_strong_entity_tag(call: Call, path: str) -> None:
    answer = call("GET", path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].split(";")[0] == static.MEDIA_TYPES[path.rsplit("/", 1)[1]]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert re.match(r"public, max-age=[1-9]", answer.headers["cache-control"])
    tag = answer.headers["etag"]
    again = call("GET", path, headers={"If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")
    assert call("HEAD", path).headers["etag"] == tag


def test_the_address_of_a_file_changes_with_the_file(call: Call) -> None:
    page = call("GET", WEIGH).text
    for name in ("cards.css", "cards.js", "cards.webmanifest"):
        tag = call("GET", f"{static.FOLDER}/{name}").headers["etag"].strip('"').removesuffix("-gzip")
        assert f"{static.FOLDER}/{name}?v={tag}" in page
        assert call("GET", f"{static.FOLDER}/{name}?v={tag}").status_code == 200


def test_the_service_worker_may_fetch_from_this_service_only_and_is_never_old(call: Call) -> None:
    answer = call("GET", static.WORKER)
    assert answer.headers["content-type"].startswith("text/javascript")
    policy = answer.headers["content-security-policy"]
    assert policy == "default-src 'none'; connect-src 'self'; frame-ancestors 'none'"
    assert answer.headers["cache-control"] == "no-cache"
    assert call("GET", static.WORKER, headers={"If-None-Match": answer.headers["etag"]}).status_code == 304


def test_the_address_of_the_service_worker_names_the_figures_of_the_cards(call: Call) -> None:
    page = call("GET", WEIGH)
    figures = page.headers["x-figures"]
    assert f"{static.WORKER}?figures={figures}&amp;v=" in page.text
    assert static.worker_address("other") != static.worker_address(figures)
    assert figures == call("GET", "/v1/units").json()["figures"]


def test_the_service_worker_keeps_files_that_are_served(call: Call) -> None:
    text = call("GET", static.WORKER).text
    (names,) = re.findall(r"const FILES = (\[[^\]]*\]);", text)
    listed = json.loads(names)
    assert {"cards.css", "cards.js", "cards.webmanifest"} <= set(listed) <= set(static.MEDIA_TYPES)


@pytest.mark.parametrize("path", [WEIGH, "/cards/start", "/cards/offline", "/cards/cuts"])
def test_only_scripts_of_this_service_run_on_cards(call: Call, path: str) -> None:
    page = call("GET", path)
    policy = dict(part.split(" ", 1) for part in page.headers["content-security-policy"].split("; "))
    assert {policy[name] for name in ("script-src", "worker-src", "manifest-src", "style-src")} == {"'self'"}
    assert policy["default-src"] == "'none'"
    scripts = re.findall(r"<script([^>]*)>(.*?)</script>", page.text, re.DOTALL)
    assert len(scripts) == 1
    assert (f'src="{static.FOLDER}/cards.js?v=' in scripts[0][0], scripts[0][1]) == (True, "")
    assert not re.search(r"<style|\sstyle=|\son\w+=", page.text)


def test_the_manifest_starts_at_the_start_page_below_any_prefix(call: Call) -> None:
    manifest = call("GET", f"{static.FOLDER}/cards.webmanifest").json()
    # Relative to the manifest: `/static/../cards/start`.
    assert (manifest["start_url"], manifest["scope"], manifest["display"]) == (
        "../cards/start",
        "../cards/",
        "standalone",
    )
    assert call("GET", "/cards/start").status_code == 200
    assert {icon["src"] for icon in manifest["icons"]} < set(static.MEDIA_TYPES)
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in manifest["icons"]}
    assert "maskable" in {icon.get("purpose") for icon in manifest["icons"]}


@pytest.mark.parametrize("name", SIZES)
def test_an_icon_shows_a_slab_of_six_equal_pieces(call: Call, name: str) -> None:
    image = Image.open(io.BytesIO(call("GET", f"{static.FOLDER}/{name}").content)).convert("RGB")
    assert image.size == (SIZES[name], SIZES[name])
    middle = image.width // 2
    ground = tuple(bytes.fromhex(GROUND[1:]))
    # Along the middle of the upper row: ground, piece, gap, piece, gap, piece, ground.
    row = [image.getpixel((x, round(image.height * (0.5 - 0.125)))) for x in range(image.width)]
    is_ground = [max(abs(a - b) for a, b in zip(colour, ground, strict=True)) < 60 for colour in row]  # type: ignore[arg-type]
    edges = [x for x in range(1, len(row)) if is_ground[x] != is_ground[x - 1]]
    assert len(edges) == 6
    pieces = [right - left for left, right in zip(edges[::2], edges[1::2], strict=True)]
    assert max(pieces) - min(pieces) <= 1
    assert edges[2] < middle < edges[3]


def test_the_address_of_a_form_leads_to_the_address_of_the_links(call: Call) -> None:
    form = "/cards/weigh?recipe=200+g+plain+flour%0D%0A100+g+caster+sugar&want=&tins=&name="
    answer = call("GET", form, follow_redirects=False)
    assert (answer.status_code, answer.headers["cache-control"]) == (303, "no-store")
    address = answer.headers["location"]
    assert address == "/cards/weigh?recipe=200+g+plain+flour%0A100+g+caster+sugar"
    assert call("GET", address).status_code == 200
    assert call("GET", "/cards/start?want=", follow_redirects=False).headers["location"] == "/cards/start"
    # Another spelling of the same fields is answered as it is.
    assert call("GET", WEIGH.replace("+", "%20"), follow_redirects=False).status_code == 200


def test_an_address_too_long_for_a_header_field_is_answered_as_it_is(call: Call) -> None:
    recipe = "200+g+plain+flour" + "%0A1+g+salt" * (MAX_LOCATION // 11)
    assert call("GET", f"/cards/weigh?recipe={recipe}&want=", follow_redirects=False).status_code in {200, 422}


def test_an_address_with_a_key_is_answered_as_it_is(tmp_path: Path) -> None:
    secret, key = new_key("tablet")
    keys = tmp_path / "keys"
    keys.write_text(f"{key.line}\n", "utf-8")
    ask = caller(Settings(keys_file=keys))
    answer = ask("GET", f"{WEIGH}&want=&access_token={secret}", follow_redirects=False)
    assert (answer.status_code, answer.headers["cache-control"]) == (200, "private, no-store")
    assert not re.search(rf'href="[^"]*{secret}', answer.text)
    without = ask("GET", WEIGH, headers={"Authorization": f"Bearer {secret}"})
    codes = [re.findall(r'<div class="qr"[^>]*>(.*?)</div>', page.text, re.DOTALL) for page in (answer, without)]
    assert codes[0] == codes[1]  # the printed code is that of the address without the key
    assert codes[0][0].startswith("<svg")
