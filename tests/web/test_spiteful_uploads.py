"""Spiteful uploads are refused in bounded memory: a process of their own may take 400 MB more and no more."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import Any

import pytest

from tests.house.project_files import ROOT
from tests.web.spiteful import CLIPS, PHOTOS, TAKEN

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What became of each upload, by its name."""
    folder = tmp_path_factory.mktemp("spiteful")
    environment = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}", "MALLOC_ARENA_MAX": "1"}
    environment |= {"LOOSEENDS_CACHE": str(folder / "tables"), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "tests.web.spiteful", str(folder)]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("name", PHOTOS)
def test_what_is_no_photo_or_too_large_a_one_is_refused_and_not_kept(outcomes: dict[str, Any], name: str) -> None:
    assert outcomes[name] == [400, 404, False]


@pytest.mark.parametrize("name", TAKEN)
def test_a_photo_is_kept_as_a_picture_alone_whatever_hides_in_it(outcomes: dict[str, Any], name: str) -> None:
    assert outcomes[name] == [200, 200, False]


@pytest.mark.parametrize("name", CLIPS)
def test_what_is_no_clip_or_too_large_a_one_is_refused_and_not_kept(outcomes: dict[str, Any], name: str) -> None:
    assert outcomes[name] == [400, 404]


def test_a_clip_is_kept_after_all_of_them(outcomes: dict[str, Any]) -> None:
    assert outcomes["a film"] == [200, 200]


def test_a_record_nested_900000_deep_is_refused(outcomes: dict[str, Any]) -> None:
    assert outcomes["a record nested 900,000 deep"] == 400


def test_a_record_without_end_is_refused_after_its_first_megabytes(outcomes: dict[str, Any]) -> None:
    status, megabytes = outcomes["a record without a length and without end"]
    assert (status, megabytes <= 3) == (413, True)


@pytest.mark.parametrize("name", ["an archive that unpacks to 1 GB", "an archive with a manifest of 60 MB"])
def test_a_zip_bomb_is_refused_before_it_is_unpacked(outcomes: dict[str, Any], name: str) -> None:
    assert outcomes[name].endswith("bytes, too many.")


def test_the_shop_still_answers_after_all_of_it(outcomes: dict[str, Any]) -> None:
    assert outcomes["still there"] == 200
