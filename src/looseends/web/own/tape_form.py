"""The tape questions as a form: the same questions, checks and refusals as on the terminal, each beside its field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from looseends.errors import InputError
from looseends.language import Speech, Text, say
from looseends.language.typed_units import as_typed
from looseends.vehicle.tape import Answers, Question, Template, load_questions, load_templates, read_answers
from looseends.vehicle.tape.answers import asked_of, number, text
from looseends.vehicle.tape.templates import template_for
from looseends.web.taken.forms import line

WHERE = say("own vehicle")
BUILT = ("spring_arm", "stop_arm", "linkage")
"""Questions that tell which template of a layout is meant; the layout's first one is proposed."""

_ELSEWHERE = ("vin",)
"""The number is the visit's: it leads to a customer, and is erased with them."""

CHOICE_WORDS: Mapping[str, Text] = {
    "lower": say("the lower arm"),
    "upper": say("the upper arm"),
    "strut": say("the strut"),
    "axle": say("the axle"),
    "ahead": say("ahead of the hub centers"),
    "behind": say("behind the hub centers"),
    "power": say("with help"),
    "manual": say("without help"),
    "car": say("car"),
    "light truck": say("light truck"),
    "truck": say("truck"),
    "bus": say("bus"),
}


@dataclass(frozen=True)
class TapeForm:
    """What was sent: `values` as typed, a sentence for each field that is not accepted, and the answers if all are."""

    values: Mapping[str, str]
    mistakes: Mapping[str, Text | str]
    answers: Answers | None

    @property
    def layout(self) -> str:
        """The layout that was chosen, empty if none was."""
        return self.values.get("layout", "") if self.values.get("layout") in layouts() else ""


def layouts() -> Mapping[str, Template]:
    """The ways of building, each with the first of its templates."""
    found: dict[str, Template] = {}
    for template in load_templates():
        found.setdefault(template.id, template)
    return found


def needed() -> tuple[Question, ...]:
    """The entries that lead from nothing to a vehicle, besides how it is built."""
    return tuple(q for q in load_questions().values() if q.needed and q.id not in ("layout", *BUILT))


def built_questions() -> tuple[Question, ...]:
    """What tells which template of a layout is meant."""
    return tuple(load_questions()[name] for name in BUILT)


def further(layout: str) -> tuple[Question, ...]:
    """What may be measured besides on a vehicle of this layout."""
    if layout not in layouts():
        return ()
    questions = (q for q in load_questions().values() if not q.needed and q.id not in _ELSEWHERE)
    return tuple(q for q in questions if asked_of(q, layouts()[layout]))


def read_tape(sent: Mapping[str, Any], speech: Speech) -> TapeForm:
    """The form as it was sent, numbers without a unit in the units of who sends it."""
    questions = load_questions()
    values = {name: line(sent, name, 60) for name in questions if name not in _ELSEWHERE}
    values["name"] = "-".join(values["name"].lower().split())
    given: dict[str, object] = {}
    mistakes: dict[str, Text | str] = {}
    for name, typed in values.items():
        question = questions[name]
        if not typed:
            if question.needed:
                mistakes[name] = say("This is needed.")
            continue
        try:
            given[name] = _answer(question, typed, speech)
        except InputError as error:
            mistakes[name] = error.args[0]
    if not mistakes:
        _told(given, mistakes)
    return TapeForm(values, mistakes, None if mistakes else read_answers(given, WHERE))


def _answer(question: Question, typed: str, speech: Speech) -> object:
    if not question.unit:
        return text(question, typed, WHERE)
    return number(question, as_typed(typed, question.kind, speech.units), WHERE)


def _told(given: Mapping[str, object], mistakes: dict[str, Text | str]) -> None:
    """What only answers together tell: whether a template is built so, and what is missing to what was given."""
    layout, spring, stop, linkage = (str(given[name]) for name in ("layout", *BUILT))
    try:
        template_for(layout, spring, stop, linkage, WHERE)
        read_answers(given, WHERE)
    except InputError as error:
        sentence = str(error)
        field = next((name for name in given if f": {name} " in sentence), "layout")
        mistakes[field] = error.args[0]
