"""One entry of a data file, read field by field; every refusal names file, entry, field, value and what is accepted."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from looseends.catalogue.names import nearest, unknown_name_sentence
from looseends.catalogue.types import Band
from looseends.errors import InputError
from looseends.language import AsWritten, Text, Value, refusal, say

Choice = TypeVar("Choice", bound=str)
ID_PATTERN = re.compile(r"[a-z0-9]+(-([a-z0-9]+|\{side\}|\{other\}))*(\.axial)?")


class HasId(Protocol):
    """A record with an id."""

    @property
    def id(self) -> str:
        """The record's name in the data."""


Record = TypeVar("Record", bound=HasId)


@dataclass
class Entry:
    """Values of one entry of a data file and the place they stand in, for error sentences.

    Each reading method returns the checked value or raises InputError. `finish` refuses what was not read.
    """

    file: str
    label: str
    values: dict[str, object]
    read: set[str] = field(default_factory=set)

    @property
    def where(self) -> str:
        """File and entry in words."""
        return f"{self.file}, {self.label}" if self.label else self.file

    def refuse(self, key: str, accepted: Value) -> InputError:
        """The error for a field: what is accepted and what was found."""
        said = refusal(
            "{where}: {key} must be {accepted}, found {found}.",
            where=self.where,
            key=key,
            accepted=accepted,
            found=self._found(key),
        )
        return InputError(said)

    def has(self, key: str) -> bool:
        """True when the entry gives this field."""
        return key in self.values

    def text(self, key: str) -> str:
        """A text that is not empty."""
        value = self._take(key)
        if not isinstance(value, str) or not value.strip():
            raise self.refuse(key, say("a text that is not empty"))
        return " ".join(value.split())

    def optional_text(self, key: str) -> str | None:
        """A text, or None when the field is left out."""
        return self.text(key) if self.has(key) else None

    def identifier(self, key: str = "id") -> str:
        """A name in lower case with hyphens."""
        value = self._take(key)
        if not isinstance(value, str) or not ID_PATTERN.fullmatch(value):
            raise self.refuse(key, say("a name in lower case with hyphens, such as idler-arm"))
        return value

    def number(self, key: str, *, minimum: float = -math.inf, maximum: float = math.inf) -> float:
        """A finite number within the closed interval [minimum, maximum]."""
        value = self._take(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise self.refuse(key, _interval(minimum, maximum))
        if not minimum <= value <= maximum:
            raise self.refuse(key, _interval(minimum, maximum))
        return float(value)

    def positive(self, key: str) -> float:
        """A finite number > 0."""
        value = self.number(key)
        if value <= 0:
            raise self.refuse(key, say("a number > 0"))
        return value

    def band(self, lo_key: str, hi_key: str, *, minimum: float = 0.0) -> Band:
        """A closed interval given by two fields, lo <= hi."""
        band = Band(self.number(lo_key, minimum=minimum), self.number(hi_key, minimum=minimum))
        if band.lo > band.hi:
            raise self.refuse(hi_key, refusal("at least {key} = {least}", key=lo_key, least=f"{band.lo:g}"))
        return band

    def flag(self, key: str) -> bool:
        """true or false."""
        value = self._take(key)
        if not isinstance(value, bool):
            raise self.refuse(key, say("true or false"))
        return value

    def choice(self, key: str, accepted: Sequence[Choice]) -> Choice:
        """One of a few accepted words."""
        value = self._take(key)
        for word in accepted:
            if value == word:
                return word
        raise self.refuse(key, refusal("one of {accepted}", accepted=", ".join(accepted)))

    def choices(self, key: str, accepted: Sequence[Choice]) -> tuple[Choice, ...]:
        """A list, without repeats, of accepted words."""
        given = self.texts(key)
        for word in given:
            if word not in accepted:
                raise InputError(unknown_name_sentence(key, word, accepted, where=self.where))
        return tuple(word for name in given for word in accepted if word == name)

    def known(self, key: str, accepted: Collection[str]) -> str:
        """A text that is one of many known names."""
        name = self.text(key)
        if name not in accepted:
            raise InputError(unknown_name_sentence(key, name, accepted, where=self.where))
        return name

    def texts(self, key: str, *, empty_allowed: bool = True) -> tuple[str, ...]:
        """A list of texts, none empty, none twice."""
        value = self._take(key)
        if not isinstance(value, list) or any(not isinstance(text, str) or not text.strip() for text in value):
            raise self.refuse(key, say("a list of texts that are not empty"))
        if not value and not empty_allowed:
            raise self.refuse(key, say("a list with at least one text"))
        if len(set(value)) != len(value):
            raise self.refuse(key, say("a list without repeats"))
        return tuple(" ".join(text.split()) for text in value)

    def numbers(self, key: str) -> tuple[float, ...]:
        """A list of numbers."""
        value = self._take(key)
        numeric = isinstance(value, list) and all(isinstance(n, int | float) and not isinstance(n, bool) for n in value)
        if not isinstance(value, list) or not value or not numeric:
            raise self.refuse(key, say("a list of numbers"))
        return tuple(float(number) for number in value)

    def vector(self, key: str) -> tuple[float, float, float]:
        """Three finite numbers, not all zero."""
        value = self._take(key)
        three_numbers = say("three numbers that are not all zero")
        if not isinstance(value, list) or len(value) != 3:
            raise self.refuse(key, three_numbers)
        if any(isinstance(part, bool) or not isinstance(part, int | float) for part in value):
            raise self.refuse(key, three_numbers)
        x, y, z = (float(part) for part in value)
        if not 0 < math.hypot(x, y, z) < math.inf:
            raise self.refuse(key, three_numbers)
        return x, y, z

    def entries(self, key: str, what: str) -> list[Entry]:
        """The tables of an array of tables, as entries; at least one."""
        value = self._take(key)
        if not isinstance(value, list) or not value or not all(isinstance(table, dict) for table in value):
            raise self.refuse(key, refusal("at least one table [[{key}]]", key=key))
        return [
            Entry(self.file, ", ".join(part for part in (self.label, _label(what, table, place)) if part), table)
            for place, table in enumerate(value, start=1)
        ]

    def finish(self) -> None:
        """Refuse fields that nothing has read."""
        for key in self.values:
            if key not in self.read:
                raise InputError(unknown_name_sentence("field", key, self.read, where=self.where))

    def _found(self, key: str) -> Value:
        if key in self.values:
            return AsWritten(_shown(self.values[key]))
        # a field that nothing has read yet and is spelled almost so is probably a slip of the pen
        slips = nearest(key, set(self.values) - self.read, count=1)
        return refusal('nothing under that name but a field "{name}"', name=slips[0]) if slips else say("nothing")

    def _take(self, key: str) -> object:
        self.read.add(key)
        return self.values.get(key)


def toml_entry(text: str, file: str) -> Entry:
    """The whole of a TOML file as one entry.

    Raises
    ------
    InputError
        If the text is not TOML.
    """
    try:
        return Entry(file, "", tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            refusal("{file}: must be valid TOML, found a fault: {problem}.", file=file, problem=error)
        ) from error


def toml_entries(text: str, file: str, key: str, what: str) -> list[Entry]:
    """The tables [[key]] of a TOML file that holds nothing else.

    Raises
    ------
    InputError
        If the text is not TOML, holds no such table or holds anything else.
    """
    whole = toml_entry(text, file)
    entries = whole.entries(key, what)
    whole.finish()
    return entries


def by_id(records: Iterable[Record], file: str, what: str) -> dict[str, Record]:
    """Records by their id, in order.

    Raises
    ------
    InputError
        If an id stands twice.
    """
    found: dict[str, Record] = {}
    for record in records:
        if record.id in found:
            raise InputError(
                refusal('{file}: {what} id must stand once, found "{id}" twice.', file=file, what=what, id=record.id)
            )
        found[record.id] = record
    return found


def _label(what: str, table: dict[str, object], place: int) -> str:
    return f'{what} "{table["id"]}"' if isinstance(table.get("id"), str) else f"{what} number {place}"


def _shown(value: object) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{value:g}"
    return f"[{', '.join(map(_shown, value))}]" if isinstance(value, list) else str(value)


def _interval(minimum: float, maximum: float) -> Text:
    if maximum < math.inf:
        return refusal("a number from {least} to {most}", least=f"{minimum:g}", most=f"{maximum:g}")
    return refusal("a number >= {least}", least=f"{minimum:g}") if minimum > -math.inf else say("a number")
