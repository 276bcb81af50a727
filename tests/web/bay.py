"""The demo bay served on a free port of this computer, and a browser that looks at it."""

from __future__ import annotations

import json
import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from typing import Any

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from looseends.web import Settings, create_app
from looseends.web.judged.judging import Judging
from looseends.web.serving import first_link
from tests.web.cast import JudgingStub

AXE = Path(str(resources.files("axe_playwright_python") / "axe.min.js"))
SIZES = {
    "tablet": (768, 1024),
    "tablet on its side": (1024, 768),
    "desktop": (1440, 900),
    "tablet at twice the size": (512, 384),
}
LEAST_TARGET_PX = 56
LEAST_IN_TEXT_PX = 48
_FLAGS = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
]
_OUR_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_OTHER_LIGHT = """async () => {
  const { dataset } = document.documentElement, before = dataset.theme;
  dataset.theme = before === 'bay' ? 'yard' : 'bay';
  const found = await axe.run({ runOnly: { type: 'rule', values: ['color-contrast'] } });
  dataset.theme = before;
  return found;
}"""
_SMALL = """([least, inText]) =>
  [...document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter(found => !found.closest('.skip, .only-heard'))
  .map(found => [found.outerHTML.slice(0, 90), found.getBoundingClientRect(),
    found.closest('p:not(.actions), footer, dd') ? inText : least])
  .filter(([, box, most]) => box.width > 0 && (box.height < most - 0.5 || box.width < most - 0.5))
  .map(([words, box]) => `${words} ${box.width} x ${box.height}`)"""


@contextmanager
def served_bay(folder: Path, judging: JudgingStub | Judging | None = None) -> Iterator[str]:
    """A link that signs in at the demo bay, for as long as the block lasts; judged by a stub that answers at once."""
    settings = Settings(folder / "web", str(folder / "records.sqlite"), "http://127.0.0.1", demo=True)
    app = create_app(settings)
    app.state.judging = judging or JudgingStub()
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="error", lifespan="on"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    port = server.servers[0].sockets[0].getsockname()[1]
    try:
        yield first_link(app).replace("http://127.0.0.1", f"http://127.0.0.1:{port}")
    finally:
        server.should_exit = True
        thread.join()


@contextmanager
def browser() -> Iterator[Browser]:
    """Chromium without a screen."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=_FLAGS)
        yield chromium
        chromium.close()


def tablet(chromium: Browser, **more: Any) -> BrowserContext:
    """A tablet held upright; our own checks may look into pages past the pages' policy."""
    width, height = SIZES["tablet"]
    return chromium.new_context(viewport={"width": width, "height": height}, bypass_csp=True, **more)


def faults(page: Page) -> list[str]:
    """What axe finds wrong with a page as it stands, and with its contrast in the other light, place by place."""
    page.add_script_tag(path=AXE)
    found = page.evaluate("tags => axe.run({ runOnly: tags })", _OUR_RULES)["violations"]
    found += page.evaluate(_OTHER_LIGHT)["violations"]
    return [
        f"{rule['id']}: {json.dumps(node['target'])} {node['html'][:120]}" for rule in found for node in rule["nodes"]
    ]


def reach(page: Page) -> list[str]:
    """What is too small for a gloved thumb, and whether the page is wider than the screen, at every size."""
    found = []
    for name, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        found += [f"{name}: {small}" for small in page.evaluate(_SMALL, [LEAST_TARGET_PX, LEAST_IN_TEXT_PX])]
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        found += [f"{name}: {over} px wider than the screen"] if over > 0 else []
    page.set_viewport_size(dict(zip(("width", "height"), SIZES["tablet"], strict=True)))
    return found
