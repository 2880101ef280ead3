"""Draws the icons of the home screen from the site's own icon; `python -m tests.clients.browser.icons` writes them."""

import re
import shutil
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

FOLDER = Path(__file__).parents[3] / "api" / "pages"
SVG = (FOLDER / "templates" / "icon.svg").read_text("utf-8")
# 180 is Apple's size of a home screen icon, 192 and 512 are those that Chromium asks a manifest for (from memory).
SIZES = {"icon-180.png": 180, "icon-192.png": 192, "icon-512.png": 512, "icon-maskable-512.png": 512}
# W3C Web Application Manifest: what a mask may cut off lies outside a circle of 40 % of the size.
SAFE_SHARE = 0.8
GROUND = re.search(r'fill="(#\w+)"', SVG)[1]  # type: ignore[index]


def drawn(chromium: Browser, name: str) -> bytes:
    """One icon as a PNG image.

    A maskable icon has its ground to the edge and the drawing inside the circle that no mask cuts, and so has the icon
    for Apple, which rounds corners itself.
    """
    size = SIZES[name]
    is_full = name in {"icon-maskable-512.png", "icon-180.png"}
    inner = round(size * SAFE_SHARE) if name == "icon-maskable-512.png" else size
    svg = SVG.replace("<svg ", f'<svg width="{inner}" height="{inner}" style="display: block; margin: auto" ', 1)
    ground = GROUND if is_full else "transparent"
    body = f'<body style="margin: 0; height: {size}px; display: grid; background: {ground}">{svg}</body>'
    page = chromium.new_page(viewport={"width": size, "height": size})
    page.set_content(body)
    image = page.screenshot(omit_background=True)
    page.close()
    return image


def main() -> None:
    """Write every icon."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name in SIZES:
            (FOLDER / "static" / name).write_bytes(drawn(chromium, name))
        chromium.close()


if __name__ == "__main__":
    main()
