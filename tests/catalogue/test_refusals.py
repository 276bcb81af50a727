"""Broken catalogue data is refused with one sentence: file, entry, field, what was found, what is accepted."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from looseends.catalogue import read_catalogue
from looseends.catalogue.joint_figures import read_joint_figures
from looseends.catalogue.sources import read_sources
from looseends.errors import InputError
from tests.catalogue.data_folder import DATA, broken_copy, data_files

CASES = tomllib.loads((Path(__file__).parent / "broken_inputs.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=[f"{case['file']}: {case['new'][:40]}" for case in CASES])
def test_broken_entry_is_refused_with_its_sentence(case: dict[str, str], tmp_path: Path) -> None:
    folder = broken_copy(tmp_path, case["file"], case["old"], case["new"])
    with pytest.raises(InputError) as refusal:
        read_catalogue(folder)
    assert str(refusal.value) == case["sentence"]


def test_every_broken_entry_has_a_sentence_of_its_own() -> None:
    sentences = [case["sentence"] for case in CASES]
    assert len(set(sentences)) == len(sentences)


@pytest.mark.parametrize("case", CASES, ids=[case["sentence"][:60] for case in CASES])
def test_sentence_names_the_file_and_is_one_sentence(case: dict[str, str]) -> None:
    sentence = case["sentence"]
    # what two files of a folder make wrong together is told of the folder
    assert sentence.startswith((case["file"], case["file"].partition("/")[0]))
    assert sentence.endswith((".", "?"))
    assert "\n" not in sentence


def test_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"^sources\.toml: must be a readable file of UTF-8 text, found: "):
        read_catalogue(tmp_path)


def test_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "sources.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match=r"^sources\.toml: must be a readable file of UTF-8 text, found: "):
        read_catalogue(tmp_path)


def test_csv_with_an_open_quote_is_refused() -> None:
    text = (DATA / "joint_figures.csv").read_text(encoding="utf-8") + '"open'
    sources = read_sources((DATA / "sources.toml").read_text(encoding="utf-8"))
    with pytest.raises(InputError, match=r"^joint_figures\.csv, line \d+: must be valid CSV, found a fault: "):
        read_joint_figures(text, sources)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_damage_is_read_or_refused_in_words(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = data.draw(st.sampled_from(data_files()))
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    place = data.draw(st.integers(0, len(lines) - 1))
    damaged = {
        "line lost": lines[:place] + lines[place + 1 :],
        "line twice": lines[:place] + lines[place : place + 1] + lines[place:],
        "end lost": lines[:place],
        "wrong value": [*lines[:place], lines[place].split("=")[0] + "= [[1]]\n", *lines[place + 1 :]],
    }[data.draw(st.sampled_from(["line lost", "line twice", "end lost", "wrong value"]))]
    folder = broken_copy(tmp_path_factory.mktemp("damaged"), str(path.relative_to(DATA)), "", "")
    (folder / path.relative_to(DATA)).write_text("".join(damaged), encoding="utf-8")
    try:
        read_catalogue(folder)
    except InputError as error:
        # damage to one file may first show in another that refers to it
        assert str(error).startswith(("checks", "limits", "part_kinds", *(known.name for known in data_files())))
