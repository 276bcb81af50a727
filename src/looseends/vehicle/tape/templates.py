"""Which vehicles that ship stand model for a layout, read from data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, toml_entry
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.layout_types import ENDS, End


@dataclass(frozen=True)
class Template:
    """A way of building: the vehicle that gives each end, where spring and stop act, where the linkage runs.

    `heights` are the points whose height above the floor is asked for, by end.
    """

    id: str
    words: str
    vehicles: Mapping[End, str]
    spring_arm: str
    stop_arm: str
    linkage: str
    heights: Mapping[str, str]

    def layout(self, end: End) -> str:
        """Id of the layout of one end."""
        return str(vehicle_data(self.vehicles[end])[end])


@dataclass(frozen=True)
class Scaling:
    """Powers of the load that numbers go with, by end and name, and shares of spread, unmeasured and measured."""

    with_load: Mapping[str, Mapping[str, float]]
    spread_share: Mapping[str, float]
    measured_share: Mapping[str, float]


@cache
def load_templates() -> tuple[Template, ...]:
    """All templates that ship with the package; one id may stand for a linkage ahead of the axle and one behind it."""
    whole = _whole()
    return tuple(_template(entry) for entry in whole.entries("template", "template"))


@cache
def load_scaling() -> Scaling:
    """How a template's numbers follow the load, and how far they may be off."""
    values: Mapping[str, Any] = _whole().values
    return Scaling(values["with_load"], values["spread_share"], values["measured_share"])


def template_for(layout: str, spring_arm: str, stop_arm: str, linkage: str, where: str) -> Template:
    """The template of a way of building; `where` names the place in errors.

    Raises
    ------
    InputError
        If no template is built so; what is accepted is said.
    """
    built = [template for template in load_templates() if template.id == layout]
    for field, given in (("spring_arm", spring_arm), ("stop_arm", stop_arm), ("linkage", linkage)):
        accepted = list(dict.fromkeys(getattr(template, field) for template in built))
        built = [template for template in built if getattr(template, field) == given]
        if not built:
            raise InputError(
                refusal(
                    '{where}: {field} of "{layout}" must be {accepted}, found "{found}"; pick the layout that is '
                    "built so, for where the load takes another path every answer would be wrong.",
                    where=where,
                    field=field,
                    layout=layout,
                    accepted=" or ".join(accepted),
                    found=given,
                )
            )
    return built[0]


@cache
def vehicle_data(vehicle_id: str) -> Mapping[str, Any]:
    """The file of a vehicle that ships, as it was written."""
    file = resources.files("looseends.vehicle") / "data" / "vehicles" / f"{vehicle_id}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


def _whole() -> Entry:
    file = resources.files("looseends.vehicle") / "data" / "tape" / "templates.toml"
    return toml_entry(file.read_text(encoding="utf-8"), file.name)


def _template(entry: Entry) -> Template:
    template = Template(
        id=entry.identifier(),
        words=entry.text("words"),
        vehicles={end: entry.text(end) for end in ENDS},
        spring_arm=entry.text("spring_arm"),
        stop_arm=entry.text("stop_arm"),
        linkage=entry.choice("linkage", ("ahead", "behind")),
        heights={"front": entry.text("height_point"), "rear": entry.text("rear_height_point")},
    )
    entry.known("source", load_catalogue().sources)
    entry.finish()
    return template
