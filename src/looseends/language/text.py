"""A sentence that remembers how it was made, so that it can be said in another language and in other units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from looseends.language.speech import ENGLISH, AsWritten, Sayable, Speech, Value


class Text(str, Sayable):
    """A sentence or a name: as a text it is English and metric, and `said` says it otherwise.

    `template` has a named field for each of `values`. `many` is the template for more than one where `counted` is set.
    `names` are the translations of a name that its own data give, by language.
    """

    template: str
    values: Mapping[str, Value]
    many: str
    counted: int | None
    names: Mapping[str, str]

    def __new__(
        cls,
        text: str,
        template: str = "",
        values: Mapping[str, Value] | None = None,
        many: str = "",
        counted: int | None = None,
        names: Mapping[str, str] | None = None,
    ) -> Text:
        made = super().__new__(cls, text)
        made.template, made.values, made.many, made.counted = template or text, values or {}, many, counted
        made.names = names or {}
        return made

    def said(self, speech: Speech) -> str:
        """The sentence in that language and those units."""
        if speech == ENGLISH:
            return str(self)  # as it was made; texts stand in texts, and each would be made anew at every level
        if speech.language in self.names:
            return self.names[speech.language]
        if self.counted is None:
            template = speech.template(self.template)
        else:
            template = speech.counted(self.template, self.many, self.counted)
        return _filled(template, self.values, speech)


def say(template: str, **values: Value) -> Text:
    """A whole sentence from its template, with a field in braces for each value."""
    return Text(_filled(template, values, ENGLISH), template, values)


def say_count(one: str, many: str, count: int, **values: Value) -> Text:
    """A sentence about so many things; `one` and `many` may have the field {count}."""
    values = {"count": count, **values}
    return Text(_filled(ENGLISH.counted(one, many, count), values, ENGLISH), one, values, many, count)


def refusal(template: str, **found: object) -> Text:
    """The sentence of an error: what is not sayable itself stands in it as it was given, and is not translated."""
    return say(template, **{name: _given(value) for name, value in found.items()})


def known_as(name: str, **names: str) -> Text:
    """A name that its own data give in other languages: known_as("tie rod", es="barra de acoplamiento")."""
    return Text(name, name, None, "", None, names)


def joined(parts: Sequence[Value], separator: str = " ") -> Text:
    """Several sentences or list entries, one after the other; one alone is itself."""
    if len(parts) == 1 and isinstance(only := parts[0], Text):
        return only
    values = {f"part{k}": part for k, part in enumerate(parts)}
    return say(separator.join(f"{{{name}}}" for name in values), **values)


def either(choices: Sequence[Value]) -> Text:
    """One of several: "arm or frame"."""
    first, *others = choices
    found = say("{first}", first=first)
    for other in others:
        found = say("{first} or {second}", first=found, second=other)
    return found


@dataclass(frozen=True)
class InSentence(Sayable):
    """Words that begin with a capital or end with a full stop on their own, said within a sentence."""

    words: Value

    def said(self, speech: Speech) -> str:
        """The words with a small first letter and no full stop."""
        words = speech.words(self.words).removesuffix(".")
        return words[:1].lower() + words[1:]


@dataclass(frozen=True)
class Capital(Sayable):
    """Words that stand at the head of a sentence."""

    words: Value

    def said(self, speech: Speech) -> str:
        """The words with a capital first letter."""
        words = speech.words(self.words)
        return words[:1].upper() + words[1:]


def _given(value: object) -> Value:
    if isinstance(value, Sayable):
        return value
    return AsWritten(value)


def _filled(template: str, values: Mapping[str, Value], speech: Speech) -> str:
    return template.format(**{name: speech.words(value) for name, value in values.items()})
