"""The tape questions, asked one by one on the terminal."""

from __future__ import annotations

import sys

import typer

from looseends.cli.tape_entries import remarks_on_vin
from looseends.errors import InputError
from looseends.language import Units
from looseends.language.typed_units import as_typed, in_units
from looseends.vehicle.tape import Answers, Question, Template, load_questions, load_templates, read_answers
from looseends.vehicle.tape.answers import asked_of, number, text
from looseends.vehicle.tape.templates import template_for

_WHERE = "looseends vehicle new"
_TOLD = ("spring_arm", "stop_arm", "linkage")
"""Questions that tell which template of a layout is meant."""


def asked(units: Units) -> Answers:
    """Answers as they were typed, each asked again until it is accepted."""
    given: dict[str, object] = {}
    questions = load_questions()
    for question in (q for q in questions.values() if q.needed):
        given[question.id] = _until_accepted(question, given, units)
        if question.id == _TOLD[-1]:
            _template(given)  # refused before anything is measured in vain
    typer.echo("\nThat is enough. What you measure besides makes answers sharper; Enter leaves a question out.\n")
    template = _template(given)
    for question in (q for q in questions.values() if not q.needed and asked_of(q, template)):
        if question.together in questions and _left_out(question, given):
            continue
        answer = _until_accepted(question, given, units)
        if answer != "":
            given[question.id] = answer
    for name in [n for n, q in questions.items() if n in given and q.together and q.together not in given]:
        typer.echo(f"{name} was left out again, because {questions[name].together} was not given.")
        del given[name]
    return read_answers(remarks_on_vin(given), _WHERE)


def _left_out(question: Question, given: dict[str, object]) -> bool:
    """Whether the first of two that go together was asked before and left out."""
    order = list(load_questions())
    first = order.index(str(question.together)) < order.index(question.id)
    return first and question.together not in given


def _template(given: dict[str, object]) -> Template:
    layout, spring, stop, linkage = (str(given[key]) for key in ("layout", *_TOLD))
    return template_for(layout, spring, stop, linkage, _WHERE)


def _until_accepted(question: Question, given: dict[str, object], units: Units) -> object:
    typer.echo(f"{question.words}. {question.how}")
    default = _default(question, given)
    if question.kind == "layout":
        for template in {template.id: template for template in load_templates()}.values():
            typer.echo(f"  {template.id}: {template.words}")
    while True:
        typed = typer.prompt(_prompt(question, units), default=default, show_default=bool(default)).strip()
        if typed == "" and not question.needed:
            return ""
        try:
            return _checked(question, typed, units)
        except InputError as error:
            sys.stderr.write(f"{error}\n")


def _checked(question: Question, typed: str, units: Units) -> object:
    if not question.unit:
        return text(question, typed, _WHERE)
    return number(question, as_typed(typed, question.kind, units), _WHERE)


def _prompt(question: Question, units: Units) -> str:
    unit = str(in_units(0, question.kind, units)).removeprefix("0").strip() or question.unit
    accepted = f" ({', '.join(question.accepted)})" if question.accepted else f" [{unit}]" if unit else ""
    return f"{question.id}{accepted}"


def _default(question: Question, given: dict[str, object]) -> str | None:
    """What the first template of the layout has, for how it is built; nothing for a length, which must be measured."""
    if question.id in _TOLD:
        return str(next(getattr(t, question.id) for t in load_templates() if t.id == given["layout"]))
    return None if question.needed else ""
