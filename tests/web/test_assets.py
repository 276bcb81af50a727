"""What browsers are sent: built from the sources that lie beside it, licensed, and nothing of it from elsewhere."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from looseends.web.answering.rendering import STATIC
from tests.house.project_files import PACKAGE, ROOT

ASSETS = ROOT / "assets"
VENDOR = STATIC / "vendor"
ELSEWHERE = re.compile(r"""(?:src|href|url|import|fetch)\s*[=(]?\s*["'(]\s*(?:https?:)?//""")
TEMPLATES = sorted((PACKAGE / "web" / "templates").rglob("*.j2"))
OURS = sorted(path for path in STATIC.rglob("*") if path.suffix in (".js", ".css") and VENDOR not in path.parents)


def checksums(folder: Path, names: list[str]) -> dict[str, str]:
    """SHA-256 of files."""
    return {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in names}


def test_what_was_built_is_of_the_sources_that_are_here() -> None:
    record = json.loads((ASSETS / "built.json").read_text(encoding="utf-8"))
    assert checksums(ASSETS, list(record["sources"])) == record["sources"], "cd assets && npm ci && npm run build"
    assert {f"src/{path.name}" for path in (ASSETS / "src").iterdir()} <= set(record["sources"])
    assert checksums(VENDOR, list(record["built"])) == record["built"]
    assert {path.name for path in VENDOR.iterdir()} == set(record["built"])


def test_every_library_has_its_licence_beside_it() -> None:
    named = re.findall(r"^- (\S+) ", (VENDOR / "LICENSES.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert {"htmx.org", "idb"} <= set(named)
    for name in named:
        assert len((VENDOR / f"{name.replace('/', '-').replace('@', '-')}.LICENSE.txt").read_text()) > 300


if shutil.which("node") and (ASSETS / "node_modules").is_dir():  # only who builds has them; users need none of it

    def test_a_rebuild_is_the_same_to_the_byte(tmp_path: Path) -> None:
        subprocess.run(["node", "build.mjs", str(tmp_path)], cwd=ASSETS, check=True, timeout=120)
        names = sorted(path.name for path in tmp_path.iterdir())
        assert checksums(tmp_path, names) == checksums(VENDOR, sorted(path.name for path in VENDOR.iterdir()))


@pytest.mark.parametrize("path", [*TEMPLATES, *OURS], ids=lambda path: path.name)
def test_nothing_is_fetched_from_elsewhere(path: Path) -> None:
    assert ELSEWHERE.findall(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_script_stands_in_a_page_and_every_form_has_its_token(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"\son[a-z]+=|javascript:|hx-on|<script(?![^>]*\b(?:src=|type=\"application/json\"))", text) == []
    for form in re.findall(r'<form[^>]*method="post".*?</form>', text, re.DOTALL):
        assert "_csrf_token" in form
