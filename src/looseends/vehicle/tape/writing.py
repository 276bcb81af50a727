"""The file of a vehicle that is known by tape, as a user keeps it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from looseends.vehicle.layout_types import ENDS
from looseends.vehicle.tape.scaling import TapedVehicle

_TOP = """\
# A vehicle known by tape measure. What was measured stands under [tape]; every other joint center was scaled from an
# invented vehicle of the same layout. [spread] says how far each may be off (1 sigma), and enters every answer.
# docs/tape-vehicle.md tells what each entry means. Measure more, write it down here, and make the spread smaller.
"""


def vehicle_text(taped: TapedVehicle) -> str:
    """The vehicle as the text of a TOML file."""
    answers = taped.answers
    name = answers.texts["name"]
    top = {"id": name, "name": name.replace("-", " "), "description": answers.template.words}
    top |= {end: taped.ends[end] for end in ENDS}
    lines = [_TOP, *(f"{key} = {_value(value)}" for key, value in top.items())]
    lines += [f"{key} = {_value(answers.texts[key])}" for key in ("assist", "kind") if key in answers.texts]
    lines += [f"without = {_value(taped.without)}"] if taped.without else []
    lines += ['source = "tape-measure"']
    given = {**answers.texts, **answers.numbers}
    lines += _table("tape", {key: value for key, value in given.items() if key != "name"})
    lines += _table("figures", taped.figures) + _table("masses_kg", taped.masses_kg)
    lines += _table("numbers", taped.numbers)
    lines += _table("points", taped.points) + _table("center_points", taped.center_points)
    lines += _table("leans", {shaft: {"forward_deg": f, "left_deg": left} for shaft, (f, left) in taped.leans.items()})
    return "\n".join([*lines, *_table("spread", taped.spread)]) + "\n"


def _table(name: str, entries: Mapping[str, object]) -> list[str]:
    return ["", f"[{name}]", *(f"{key} = {_value(value)}" for key, value in entries.items())] if entries else []


def _value(value: object) -> str:
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, float):
        return repr(round(value, 4)) if abs(value) < 1e6 else f"{value:.6e}"
    if isinstance(value, np.ndarray):
        return "[" + ", ".join(_value(float(number)) for number in value) + "]"
    if isinstance(value, tuple):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    raise TypeError(f"a vehicle file holds no {type(value).__name__}")
