"""What each check can show under each support, and what separates one worn part from another, against the trade.

Every computed cell of tests/trade/validity_cells.toml on every vehicle that has its layout, and every drill. About a
minute for each vehicle on one core.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from studies.validity_cells import Answer, answers, computed_cells, place, waits
from studies.validity_chances import MEMBERS
from studies.validity_drills import Looked, computed_drills, looked_at

NAME = "validity"


def run(rows: list[str] | None) -> dict[str, Any]:
    """The result; `rows` are words that a cell's place must contain, None for all cells and the drills."""
    cells = [c for c in computed_cells() if rows is None or any(row in place(c) for row in rows)]
    return {
        "title": "What a check can show under a support",
        "about": (
            "The trade's table, written down before any of it was computed, against the chance that a gauge shows the "
            f"part at its reject clearance, over {MEMBERS} vehicles of each kind. V from 0.9, X up to 0.1, P above "
            "0.1; an X may also be one because the program refuses the check in that support."
        ),
        "cells": [_cell(answer) for cell in cells for answer in answers(cell)],
        "waiting for a layout": [place(cell) for cell in cells if waits(cell)],
        "drills": [_drill(looked) for drill in computed_drills() for looked in looked_at(drill)]
        if rows is None
        else [],
        "drills waiting for a layout": [
            f"{drill['drill']} | {drill['worn']}"
            for drill in computed_drills()
            if not any(True for _ in looked_at(drill))
        ],
    }


def _cell(answer: Answer) -> Mapping[str, Any]:
    cell = answer.cell
    return {
        "row": cell["row"],
        "layout": cell["layout"],
        "check": cell["check"],
        "support": cell["support"],
        "expected": cell["expected"],
        "chance": round(answer.seen.chance, 3),
        "share of play": round(answer.seen.share, 2),
        "vehicle": answer.vehicle,
        "part": answer.part,
        "refused": answer.refused,
        "as computed": answer.as_computed,
        "agrees": answer.agrees,
    }


def _drill(looked: Looked) -> Mapping[str, Any]:
    drill = looked.drill
    return {
        "drill": drill["drill"],
        "worn": drill["worn"],
        "movement": drill["movement"],
        "vehicle": looked.vehicle,
        "before_mm": round(looked.before, 3),
        "after_mm": round(looked.after, 3),
        "agrees": looked.agrees,
    }
