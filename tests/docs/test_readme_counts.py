"""The numbers that the README gives of vehicles, layouts, parts, checks and limits are those of the data."""

from __future__ import annotations

import pytest

from looseends.catalogue import load_catalogue
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.loading import shipped_vehicles
from tests.docs.shown_commands import ROOT

WORDS = ("six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen")
README = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())


def word(count: int) -> str:
    return WORDS[count - 6]


def of_end(end: str) -> str:
    return word(sum(layout.end == end for layout in load_layouts().values()))


@pytest.mark.parametrize(
    "sentence",
    [
        f"{word(len(shipped_vehicles())).capitalize()} invented vehicles",
        f"{of_end('front')} front suspensions, {of_end('steering')} ways to steer and {of_end('rear')} rears",
        f"{len(load_catalogue().part_kinds)} kinds of part",
        f"{len(load_catalogue().checks)} checks "
        f"({sum(check.kind == 'movement' for check in load_catalogue().checks.values())} of them moved",
        f"in {word(len(load_catalogue().supports))} ways of holding the vehicle",
        f"{len(load_catalogue().limits)} limits of law",
    ],
)
def test_the_readme_counts_what_ships(sentence: str) -> None:
    assert sentence in README
