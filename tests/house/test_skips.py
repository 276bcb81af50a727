"""A skipped test is named at the end of the run, and fails it where that is asked for."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CASES = {
    "test_one.py": "import pytest\n\ndef test_needs_browser():\n    pytest.skip('no Chromium here')\n",
    "test_two.py": "import pytest\n\npytest.skip('no database server', allow_module_level=True)\n",
    "test_fine.py": "def test_fine():\n    assert 1 + 1 == 2\n",
}


def run_tests(folder: Path, names: list[str], **environment: str) -> subprocess.CompletedProcess[str]:
    """A run of its own in `folder`, with the project's conftest and nothing else of it."""
    shutil.copy(ROOT / "tests" / "conftest.py", folder)
    for name in names:
        (folder / name).write_text(CASES[name])
    inherited = {key: value for key, value in os.environ.items() if not key.startswith(("LOOSEENDS_", "PYTEST_"))}
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--rootdir", str(folder), str(folder)],
        cwd=folder,
        env={**inherited, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'src'}", **environment},
        capture_output=True,
        text=True,
        timeout=60,
    )


def test_skips_are_listed_by_name_and_do_not_fail(tmp_path: Path) -> None:
    done = run_tests(tmp_path, list(CASES))
    left_out = done.stdout.partition("left out")[2]
    assert done.returncode == 0, done.stdout
    assert "test_one.py::test_needs_browser: no Chromium here" in left_out
    assert "test_two.py: no database server" in left_out
    assert "test_fine" not in left_out


def test_skips_fail_the_run_when_asked(tmp_path: Path) -> None:
    done = run_tests(tmp_path, list(CASES), LOOSEENDS_FAIL_ON_SKIP="1")
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout


def test_a_run_without_skips_passes_and_says_so(tmp_path: Path) -> None:
    done = run_tests(tmp_path, ["test_fine.py"], LOOSEENDS_FAIL_ON_SKIP="1")
    assert done.returncode == 0, done.stdout
    assert "nothing was skipped" in done.stdout
