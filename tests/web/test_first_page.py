"""What the first page of the bay makes a tablet fetch: little, packed, and once."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urljoin, urlsplit

from litestar import Litestar

from looseends.web.demo import fill_demo
from tests.web.cast import Client, signed_in

MOST_BYTES = 150_000
_ADDRESSES = re.compile(
    r"""(?:<(?:link|script|img|use)\b[^>]*?\b(?:src|href)=["']([^"'#]+))"""
    r"""|(?:\burl\(["']?([^"')#]+))"""
    r"""|(?:\b(?:from|import)\s*["']([./][^"']+)["'])"""
)


@dataclass(frozen=True)
class Fetched:
    """One answer as it comes over the wire."""

    size: int
    packed: str
    kept: str
    kind: str


def fetched(client: Client, address: str) -> dict[str, Fetched]:
    """A page with everything that it names, and that these name in turn, each once; other pages are not followed."""
    found: dict[str, Fetched] = {}
    waiting = [address]
    while waiting:
        path = waiting.pop()
        if path in found:
            continue
        answer = client.get(path, headers={"accept-encoding": "gzip"})
        assert answer.status_code == 200, path
        headers = answer.headers
        found[path] = Fetched(
            answer.num_bytes_downloaded,
            headers.get("content-encoding", ""),
            headers.get("cache-control", ""),
            headers["content-type"].partition(";")[0],
        )
        if found[path].kind in ("text/html", "text/css") or "javascript" in found[path].kind:
            named = ["".join(groups) for groups in _ADDRESSES.findall(answer.text)]
            ours = [urljoin(path, name) for name in named if not name.startswith(("data:", "http"))]
            waiting += [name for name in ours if urlsplit(name).path.startswith(("/static", "/fonts", "/manifest"))]
    return found


def test_the_first_page_with_all_that_it_loads_is_at_most_150_kilobytes(app: Litestar) -> None:
    with app.state.store.writing() as session:
        fill_demo(session)
    with signed_in(app, "technician") as client:
        found = fetched(client, "/")
    sizes = {path: one.size for path, one in found.items()}
    assert sum(sizes.values()) <= MOST_BYTES, sizes
    assert {one.kind for one in found.values()} >= {"text/html", "text/css", "font/woff2"}
    assert not [path for path in found if "three" in path]


def test_texts_come_packed_and_files_of_ours_are_fetched_once(app: Litestar) -> None:
    with signed_in(app, "technician") as client:
        found = fetched(client, "/")
    texts = {path: one for path, one in found.items() if one.kind.startswith("text/") or "javascript" in one.kind}
    assert {path for path, one in texts.items() if one.packed != "gzip" and one.size > 600} == set()
    files = {path: one.kept for path, one in found.items() if path.startswith(("/static", "/fonts"))}
    assert {path for path, kept in files.items() if "max-age=" not in kept} == set()
    assert all("immutable" in kept for path, kept in files.items() if path.startswith("/static"))


def test_an_address_without_todays_mark_is_asked_for_again_or_not_there(app: Litestar) -> None:
    with signed_in(app, "technician") as client:
        assert "immutable" not in client.get("/static/app.js").headers.get("cache-control", "")
        old = client.get(f"/static/{'0' * 12}/app.js")
        assert (old.status_code, "immutable" in old.headers.get("cache-control", "")) == (404, False)
