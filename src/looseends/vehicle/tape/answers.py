"""Answers to the tape questions, checked one by one, lengths in mm, masses in kg and angles in degrees."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from looseends.catalogue.entry import ID_PATTERN
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal, say
from looseends.vehicle.layout_types import ENDS
from looseends.vehicle.tape.questions import Question, load_questions
from looseends.vehicle.tape.templates import Template, load_templates, template_for
from looseends.vehicle.tape.tires import read_tire

FACTORS: Mapping[str, Mapping[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "in": 25.4},
    "mass": {"kg": 1.0, "lb": 0.45359237},
    "angle": {"deg": 1.0},
}
"""Units that a number may be given in, with what one of them is in mm, kg or degrees."""

_NUMBER = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*([a-z]*)\s*")


@dataclass(frozen=True)
class Answers:
    """Checked answers by question: numbers in mm, kg or degrees, everything else as text."""

    numbers: Mapping[str, float]
    texts: Mapping[str, str]
    where: str

    @cached_property
    def template(self) -> Template:
        """The template that is built as the answers say."""
        said = self.texts
        return template_for(said["layout"], said["spring_arm"], said["stop_arm"], said["linkage"], self.where)


def read_answers(given: Mapping[str, object], where: str) -> Answers:
    """Answers by question id; `where` names the place in errors.

    A number is in mm, kg or degrees, or a text with its unit, as "54.5 in".

    Raises
    ------
    InputError
        If a needed answer is missing, a question is unknown, or an answer is not accepted.
    """
    questions = load_questions()
    for name in given:
        if name not in questions:
            raise InputError(unknown_name_sentence("question", name, questions, where=where))
    for name, question in questions.items():
        if question.needed and name not in given:
            raise InputError(
                refusal(
                    "{where}: {name} is missing; it is needed: {how}",
                    where=where,
                    name=name,
                    how=say("{how}", how=question.how),
                )
            )
        if name in given and question.together is not None and question.together not in given:
            raise InputError(
                refusal(
                    "{where}: {name} needs {together} besides, found it alone.",
                    where=where,
                    name=name,
                    together=question.together,
                )
            )
    numbers = {name: number(questions[name], value, where) for name, value in given.items() if questions[name].unit}
    texts = {name: text(questions[name], value, where) for name, value in given.items() if not questions[name].unit}
    answers = Answers(numbers, texts, where)
    for name in given:
        if not asked_of(questions[name], answers.template):
            built = f'"{answers.template.id}" with the linkage {answers.template.linkage}'
            raise InputError(
                refusal(
                    "{where}: {name} must be left out of {built}, which has no such part, found {found}.",
                    where=where,
                    name=name,
                    built=built,
                    found=repr(given[name]),
                )
            )
    return answers


def asked_of(question: Question, template: Template) -> bool:
    """Whether a question is for vehicles that are built so."""
    return not question.layouts or any(template.layout(end) in question.layouts for end in ENDS)


def number(question: Question, value: object, where: str) -> float:
    """A number in mm, kg or degrees, out of a number or a text with a unit.

    Raises
    ------
    InputError
        If it is no number, has an unknown unit or lies outside the question's range.
    """
    factors = FACTORS[question.kind]
    found = _NUMBER.fullmatch(value.lower()) if isinstance(value, str) else None
    if found and (found[2] or question.unit) in factors:
        value = float(found[1].replace(",", ".")) * factors[found[2] or question.unit]
    good = not isinstance(value, bool) and isinstance(value, int | float) and math.isfinite(value)
    if not good or not question.least <= float(value) <= question.most:  # type: ignore[arg-type]
        raise InputError(
            refusal(
                "{where}: {field} must be from {least} to {most} {unit} ({accepted}), found {found}.",
                where=where,
                field=question.id,
                least=f"{question.least:g}",
                most=f"{question.most:g}",
                unit=question.unit,
                accepted=" or ".join(factors),
                found=_shown(value),
            )
        )
    return float(value)  # type: ignore[arg-type]


def text(question: Question, value: object, where: str) -> str:
    """A checked text.

    Raises
    ------
    InputError
        If it is none of what the question accepts.
    """
    if not isinstance(value, str) or not value.strip():
        raise InputError(
            refusal(
                "{where}: {field} must be a text, found {found}.", where=where, field=question.id, found=repr(value)
            )
        )
    word = value.strip()
    if question.kind == "name" and not ID_PATTERN.fullmatch(word):
        raise InputError(
            refusal(
                '{where}: {field} must be a name in lower case with hyphens, found "{found}".',
                where=where,
                field=question.id,
                found=word,
            )
        )
    if question.kind in ("choice", "layout"):
        ways = [template.id for template in load_templates()]
        accepted = question.accepted if question.kind == "choice" else tuple(dict.fromkeys(ways))
        if word not in accepted:
            raise InputError(unknown_name_sentence(question.id, word, accepted, where=where))
    if question.kind == "tire":
        read_tire(word, where)
    return word


def _shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else f'"{value}"' if isinstance(value, str) else repr(value)
