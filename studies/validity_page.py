"""Writes docs/validity.md from the validity study's result: `python -m studies.validity_page`."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from looseends.catalogue import load_catalogue
from studies.stamp import RESULTS, ROOT
from studies.validity_cells import table

PAGE = ROOT / "docs" / "validity.md"
SUPPORTS = ("wheels", "plates", "frame", "arm", "axle", "upblock", "ride", "one-wheel")
KEYS = ("row", "layout", "check", "support", "expected")
"""What tells one cell from another."""

HEAD = """# What each check can show

Which play can a check show, and under which support? The trade has a table for that. We wrote it down first, as
`tests/trade/validity_cells.toml`, and computed it afterwards: this page lays both side by side. It is made from the
result of `make study STUDY=validity` by `python -m studies.validity_page`; do not edit it by hand.

The letter is the trade's: **V** shows it, **P** shows it in part or with the play of others, **X** cannot show it. It
is common practice and has no source, but for the rules on how to raise the front. The figure is computed: how often a
gauge shows the part at its reject clearance, of 100 vehicles of that kind that differ as vehicles do in geometry,
softness and sound clearance. Where several vehicles have the layout, the lowest and the highest are given. V asks for
at least 90, X for at most 10, P for more than 10. No figure: mechanics does not decide the cell, or no vehicle has its
layout yet.

- **†** The program takes no such reading, for the check is not done in this support. The model alone would show the
  play; why it still proves nothing stands below.
- **\\*** The model answers otherwise than the trade. Why stands below.
- **~** A vehicle misses the letter's bound by at most five in a hundred. Which one, and why, stands below.
- **‡** Computed under the condition that is named below.

Only free movement counts, not what springs back. A ball that a spring presses into a socket worn across its stud, as
under hanging wheels, rolls a few tenths of a millimetre up the socket's wall under a shake at 3 and 9 o'clock and comes
back: the load is the spring there, none of it is free, and it counts for nothing in this table.

What a vehicle's maker says about checking comes before this table.
"""


_MARKS = {"by_rule": "†", "exception": "\\*", "borderline": "~", "condition": "‡"}
"""What marks a cell that carries a remark under this key."""


def page(result: Mapping[str, Any]) -> str:
    """The page of a study's result."""
    parts = [
        HEAD,
        "## The table",
        "",
        *_matrix(result),
        "",
        *_counts(result),
        "",
        "## Where the model answers otherwise",
        "",
    ]
    parts += [*_noted("exception"), "", "## What lies on the border", "", *(_noted("borderline") or ["Nothing."]), ""]
    parts += ["## Where the check itself is the reason", "", *_noted("by_rule"), ""]
    parts += ["## What is asked for besides", "", *_noted("condition"), ""]
    parts += ["## What a cell leaves aside", "", *_noted("aside"), ""]
    parts += ["## What waits for a vehicle", "", *_waiting(result), "", "## What parts one worn part from another", ""]
    parts += ["Movement that a gauge shows of the worn part before and after the one change that the drill makes.", ""]
    return "\n".join([*parts, *_drills(result), ""])


def _matrix(result: Mapping[str, Any]) -> Iterator[str]:
    cells = table()["cell"]
    names = load_catalogue().supports
    yield "| what is looked for | " + " | ".join(names[support].name.lower() for support in SUPPORTS) + " |"
    yield "|---" * (len(SUPPORTS) + 1) + "|"
    for row in dict.fromkeys(cell["row"] for cell in cells):
        here = [cell for cell in cells if cell["row"] == row]
        entries = [[_entry(cell, result) for cell in here if cell["support"] == support] for support in SUPPORTS]
        yield f"| {row} | " + " | ".join("<br>".join(entry) for entry in entries) + " |"


def _entry(cell: Mapping[str, Any], result: Mapping[str, Any]) -> str:
    found = [c["chance"] for c in result["cells"] if cell["computed"] and _key(c) == _key(cell)]
    mark = next((mark for key, mark in _MARKS.items() if key in cell), "")
    if not found:
        return f"{cell['expected']}{mark}"
    low, high = round(100 * min(found)), round(100 * max(found))
    return f"**{cell['expected']}** {low if low == high else f'{low} to {high}'}{mark}"


def _counts(result: Mapping[str, Any]) -> list[str]:
    """How often model and trade agree, by the chance and by the share of play, the bounds of the table's own file."""
    cells = result["cells"]
    computed, taken = (sum(cell[key] for cell in cells) for key in ("as computed", "agrees"))
    excused, border = (sum(key in cell for cell in table()["cell"]) for key in ("exception", "borderline"))
    by_share = sum(_agrees_by_share(cell) for cell in cells)
    return [
        f"Of {len(cells)} answers, a cell on a vehicle each, {computed} are by chance alone what the letter says, and "
        f"{taken} with those that the program refuses. By the share of its play that the part shows at its own watch, "
        f"at least 0.8 for V, at most 0.2 for X and more for P, {by_share} are, refusals left out.",
        "",
        f"Of {len({_key(cell) for cell in cells})} cells that were computed, {excused + border} have a vehicle that "
        f"answers otherwise: {excused} plainly (\\*), {border} on the border (~). At most five were wished for. "
        "The others are met by every vehicle that has the layout.",
    ]


def _key(cell: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(cell[key] for key in KEYS)


def _agrees_by_share(cell: Mapping[str, Any]) -> bool:
    share = cell["share of play"]
    return bool({"V": share >= 0.8, "X": share <= 0.2, "P": share > 0.2}[cell["expected"]])


def _noted(key: str) -> list[str]:
    """Remarks under a key, each with all the cells that it is for."""
    names = load_catalogue().supports
    told: dict[str, list[str]] = {}
    for cell in table()["cell"]:
        if key in cell:
            told.setdefault(cell[key], []).append(f"{cell['row']} ({names[cell['support']].name.lower()})")
    for drill in table()["drill"]:
        if key in drill:
            told.setdefault(drill[key], []).append(f"the drill `{drill['drill']}`, {_words(drill['worn'])} worn")
    return [f"- {'; '.join(places)}: {why}." for why, places in told.items()]


def _words(kind: str) -> str:
    return load_catalogue().part_kinds[kind].name


def _waiting(result: Mapping[str, Any]) -> list[str]:
    waiting: dict[str, list[str]] = {}
    for words in result["waiting for a layout"]:
        row, layout, support, _ = words.split(" | ")
        waiting.setdefault(f"{row} ({layout})", []).append(load_catalogue().supports[support].name.lower())
    lines = [f"- {row}: {'; '.join(supports)}." for row, supports in waiting.items()]
    drills = [words.split(" | ") for words in result["drills waiting for a layout"]]
    return lines + [f"- The drill `{drill}`, {_words(worn)} worn." for drill, worn in drills]


def _drills(result: Mapping[str, Any]) -> Sequence[str]:
    lines = ["| drill | worn | vehicle | before, mm | after, mm | the trade says |", "|---|---|---|---|---|---|"]
    for each in result["drills"]:
        told = each["movement"] + ("" if each["agrees"] else " \\*")
        figures = " | ".join(f"{abs(each[when]):.2f}" for when in ("before_mm", "after_mm"))
        lines.append(f"| {each['drill']} | {_words(each['worn'])} | {each['vehicle']} | {figures} | it {told} |")
    return lines


def recorded() -> Mapping[str, Any]:
    """The study's result as it was last written."""
    found: Mapping[str, Any] = json.loads((RESULTS / "validity.json").read_text(encoding="utf-8"))["result"]
    return found


if __name__ == "__main__":
    PAGE.write_text(page(recorded()), encoding="utf-8")
    print(f"wrote {PAGE.relative_to(ROOT)}")
