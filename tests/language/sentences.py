"""Every sentence of the program that is to be translated, found in its source and its templates."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from string import Formatter

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis.consequences.patterns import load_tire_signs
from looseends.diagnosis.consequences.places import load_places
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.report.template_words import template_sentences
from looseends.vehicle.believable import unit_names
from looseends.vehicle.loading import load_vehicles
from looseends.web.answering.template_words import template_sentences as web_sentences
from tests.house.project_files import PACKAGE

_MAKERS = {"say": 1, "refusal": 1, "say_count": 2}
"""How many templates each of the functions takes, at its head."""

_ROOM = PACKAGE / "language"
"""Where the functions are defined, and call each other with what they were given."""


@dataclass(frozen=True)
class Found:
    """A template, that for more than one where there is one, and where it stands."""

    template: str
    many: str
    where: str


def fields(template: str) -> tuple[str, ...]:
    """The names of a template's fields, in alphabetical order."""
    return tuple(sorted({name for _, name, _, _ in Formatter().parse(template) if name is not None}))


def neutral(template: str) -> bool:
    """Whether a template has no letters besides its fields, and so nothing to translate."""
    return not any(any(map(str.isalpha, text)) for text, _, _, _ in Formatter().parse(template))


@cache
def sentences() -> dict[str, Found]:
    """All that has something to translate, by its English text."""
    found = [
        *_in_source(),
        *_in_templates(),
        *_watches(),
        *_figures(),
        *_recalled_limits(),
        *_lines(),
        *_roads(),
        *_policy(),
        *_opening(),
        *_units(),
    ]
    by_text: dict[str, Found] = {}
    for entry in found:
        if not neutral(entry.template):
            by_text.setdefault(entry.template, entry)
    return by_text


def not_literal() -> list[str]:
    """Where a sentence is made from something else than a text that stands there."""
    return [
        f"{path.relative_to(PACKAGE)}:{call.lineno}"
        for path, call, count in _calls()
        if not all(isinstance(argument, ast.Constant) for argument in call.args[:count])
    ]


def _calls() -> Iterator[tuple[Path, ast.Call, int]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        if _ROOM in path.parents or path.name == "template_words.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _MAKERS:
                yield path, node, _MAKERS[node.func.id]


def _in_source() -> Iterator[Found]:
    for path, call, count in _calls():
        texts = [argument.value for argument in call.args[:count] if isinstance(argument, ast.Constant)]
        if len(texts) == count:
            yield Found(texts[0], "".join(texts[1:]), str(path.relative_to(PACKAGE)))
    for template in ("below {percent} %", "above {percent} %", "{first} or {second}"):
        yield Found(template, "", "language")


def _in_templates() -> Iterator[Found]:
    for file in (files("looseends.report") / "templates").iterdir():
        for template in template_sentences(file.name):
            yield Found(template, "", f"report/templates/{file.name}")
    for template, many, name in web_sentences():
        yield Found(template, many, f"web/templates/{name}")


def _figures() -> Iterator[Found]:
    for figure in load_catalogue().joint_figures.values():
        for words in (figure.radial.measured, figure.axial.measured, figure.source):
            yield Found(words, "", "catalogue/data/joints.csv")


def _recalled_limits() -> Iterator[Found]:
    """What a law prints stays in the law's language; what the trade says does not."""
    for limit in load_catalogue().limits.values():
        if limit.status in ("common practice", "to be confirmed"):
            yield Found(limit.printed, "", f"limits, {limit.id}")


def _lines() -> Iterator[Found]:
    for vehicle in load_vehicles().values():
        for line in vehicle.layout.lines:
            yield Found(line.name, "", "lines of the underside plan")


def _opening() -> Iterator[Found]:
    """What comes before anything is raised."""
    opening = load_opening()
    for words in (opening.name, opening.do, opening.stop, opening.caution):
        yield Found(words, "", "opening.toml")


def _units() -> Iterator[Found]:
    """Units in which somebody may have measured."""
    for name in unit_names():
        yield Found(name, "", "believable.toml")


def _roads() -> Iterator[Found]:
    """Where play is watched, what the road does, and what tires may show of it."""
    for place in load_places().values():
        for side in ("left", "right"):
            yield Found(place.name.replace("{side}", side), "", "watched_places.toml")
    for case in load_road_cases().values():
        yield Found(case.name, "", "road_cases.toml")
    for sign in load_tire_signs().values():
        yield Found(sign.words, "", "tire_signs.toml")
    yield Found("from memory", "", "wear patterns, their status")


def _policy() -> Iterator[Found]:
    """What the policy that ships says; a shop's own words stay as it wrote them."""
    policy = load_policy()
    for words in (policy.torn_boot.recheck, *(rule.words for rule in policy.pairs)):
        yield Found(words, "", "verdicts/data/policy.toml")


def _watches() -> Iterator[Found]:
    """Places that are watched and belong to no part are named by their ids."""
    for check in load_catalogue().checks.values():
        for place in watches_of(check, "left" if check.sided else None):
            if place.kind == "point" and not place.id.endswith("-left"):
                yield Found(place.id.replace("-", " "), "", f"checks/{check.id}")
