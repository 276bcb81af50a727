"""The wheel holds the whole package, data files included, and the command."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.house.project_files import PACKAGE, ROOT


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """A wheel as a user would install it, built without network."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    (path,) = Path(folder).glob("*.whl")
    return zipfile.ZipFile(path)


def test_every_package_file_is_in_the_wheel(wheel: zipfile.ZipFile) -> None:
    files = (path for path in PACKAGE.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    expected = {path.relative_to(PACKAGE.parent).as_posix() for path in files}
    assert expected - set(wheel.namelist()) == set()


def test_wheel_names_the_command_and_the_licence(wheel: zipfile.ZipFile) -> None:
    (entry_points,) = (name for name in wheel.namelist() if name.endswith(".dist-info/entry_points.txt"))
    assert "looseends = looseends.cli:main" in wheel.read(entry_points).decode()
    assert any(name.endswith("licenses/LICENSE") for name in wheel.namelist())
