"""A stopped study is gone on with: each vehicle is worked out once by the same code, and comes back as it was."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from studies import kept
from studies.kept import kept_or
from studies.visits_score import Score


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path))
    kept._folder.cache_clear()
    yield tmp_path / "studies"
    kept._folder.cache_clear()


def score(minutes: float) -> Score:
    flags = (True, False, True, False, True)
    return Score(2, *flags, 1, 1, 0, 0, 0, -0.1, -2.5, -0.2, -2.75, True, ((0.1 + 0.2, True), (0.07, False)), minutes)


class Counting:
    """Works scores out and counts what it was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, int, tuple[str, ...]]] = []

    def __call__(self, layout: str, seed: int, names: Sequence[str]) -> dict[str, Score]:
        self.asked.append((layout, seed, tuple(names)))
        return {name: score(10.0 * seed + len(name)) for name in names}


def test_what_was_worked_out_comes_back_as_it_was() -> None:
    work = Counting()
    first = kept_or("visits", "yard-pickup", 1, ["a", "bb"], work)
    assert kept_or("visits", "yard-pickup", 1, ["a", "bb"], work) == first
    assert work.asked == [("yard-pickup", 1, ("a", "bb"))]


def test_only_rows_that_are_missing_are_worked_out() -> None:
    work = Counting()
    kept_or("visits", "yard-pickup", 1, ["a"], work)
    both = kept_or("visits", "yard-pickup", 1, ["bb", "a"], work)
    assert list(both) == ["bb", "a"]
    assert work.asked[1:] == [("yard-pickup", 1, ("bb",))]
    kept_or("visits", "crew-van", 1, ["a"], work)
    kept_or("visits", "yard-pickup", 2, ["a"], work)
    assert [each[:2] for each in work.asked[2:]] == [("crew-van", 1), ("yard-pickup", 2)]


def test_scores_by_other_code_are_not_taken(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    work = Counting()
    kept_or("visits", "yard-pickup", 1, ["a"], work)
    kept_or("grave_play", "yard-pickup", 1, ["a"], work)
    kept._folder.cache_clear()
    monkeypatch.setattr(kept, "code_stamp", lambda study: "other")
    kept_or("visits", "yard-pickup", 1, ["a"], work)
    assert len(work.asked) == 3
    assert sorted(path.name.rsplit("-", 1)[0] for path in folder.iterdir()) == ["grave_play", "visits"]


def test_a_stopped_vehicle_leaves_nothing(folder: Path) -> None:
    def stopped(layout: str, seed: int, names: Sequence[str]) -> dict[str, Score]:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        kept_or("visits", "yard-pickup", 1, ["a"], stopped)
    assert not list(folder.rglob("*.json"))
