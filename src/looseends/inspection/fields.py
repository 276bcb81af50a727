"""One table of a file that a person wrote, read field by field; every refusal names place, field and value."""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Mapping, Set

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.inspection.plain_values import meant_number, shown
from looseends.language import Text, refusal, say

MAX_TEXT_CHARACTERS = 2_000
_LAYOUT_CHARACTERS = "\n\r\t"


class Table:
    """The entries of one table and where it stands ("visit.toml, check 3").

    Raises InputError at once if a key is unknown, and in each reading method if the value does not fit.
    """

    def __init__(self, values: Mapping[str, object], where: str, keys: Collection[str]) -> None:
        for key in values:
            if key not in keys:
                raise InputError(unknown_name_sentence("key", shown(key)[1:-1], keys, where=where))
        self._values = values
        self.where = where

    def __contains__(self, key: str) -> bool:
        return key in self._values

    def value(self, key: str) -> object:
        """The value as TOML gave it; None where the key is absent."""
        return self._values.get(key)

    def refused(self, key: str, accepted: Text) -> InputError:
        """The refusal of this field: what is accepted, and what was found."""
        if key not in self._values:
            sentence = refusal(
                "{where}: {key} must be {accepted}, it is missing.", where=self.where, key=key, accepted=accepted
            )
        else:
            sentence = refusal(
                "{where}: {key} must be {accepted}, found {found}.",
                where=self.where,
                key=key,
                accepted=accepted,
                found=shown(self._values[key]),
            )
        return InputError(sentence)

    def text(self, key: str, default: str | None = None) -> str:
        """A text of at most 2000 characters; required where there is no default."""
        value = self._values.get(key, default)
        if not isinstance(value, str):
            raise self.refused(key, say("a text in quotes"))
        if default is None and not value.strip():
            raise self.refused(key, say("a text that is not empty"))
        if len(value) > MAX_TEXT_CHARACTERS:
            raise self.refused(key, say("a text of at most {most} characters", most=MAX_TEXT_CHARACTERS))
        if not all(c.isprintable() or c in _LAYOUT_CHARACTERS for c in value):
            raise self.refused(key, say("plain text without control characters"))
        return value.strip()

    def texts(self, key: str, example: str) -> tuple[str, ...]:
        """A list of texts; none where the key is absent. `example`: one that a refusal shows how to write."""
        values = self._values.get(key, [])
        if not isinstance(values, list) or not all(isinstance(value, str) for value in values):
            raise self.refused(key, refusal('a list of texts in quotes, as in ["{example}"]', example=example))
        return tuple(values)

    def choice(self, key: str, accepted: Collection[str], default: str | None = None) -> str:
        """One of a few names; an unknown one is answered with the nearest."""
        value = self._values.get(key, default)
        if not isinstance(value, str):
            names = sorted(accepted) if isinstance(accepted, Set) else accepted
            raise self.refused(key, refusal("one of {accepted}", accepted=", ".join(names)))
        if value not in accepted:
            raise InputError(unknown_name_sentence(key, shown(value)[1:-1], accepted, where=self.where))
        return value

    def flag(self, key: str, *, default: bool = False) -> bool:
        """true or false."""
        value = self._values.get(key, default)
        if not isinstance(value, bool):
            raise self.refused(key, say("true or false without quotes"))
        return value

    def number(self, key: str, *, least: float, most: float, default: float | None = None) -> float:
        """A number from `least` to `most` in the unit that ends the key; required where there is no default."""
        if key not in self._values and default is not None:
            return default
        unit = key.rpartition("_")[2]
        value = self._values.get(key)
        if isinstance(value, str):
            meant = meant_number(value, unit)
            accepted = refusal("a plain number in {unit}", unit=unit)
            if meant is None:
                raise self.refused(key, accepted)
            raise InputError(
                refusal(
                    "{where}: {key} must be {accepted}, found {found}; write {key} = {meant}.",
                    where=self.where,
                    key=key,
                    accepted=accepted,
                    found=shown(value),
                    meant=meant,
                )
            )
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise self.refused(key, refusal("a plain number in {unit}", unit=unit))
        if not (least <= value <= most) or not math.isfinite(value):
            bounds = refusal("from {least} to {most} {unit}", least=f"{least:g}", most=f"{most:.10g}", unit=unit)
            raise self.refused(key, bounds)
        return float(value)

    def count(self, key: str, *, most: int, of: Text) -> int:
        """A whole number from 0 to `most`; `of` says what is counted."""
        value = self._values.get(key)
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
            raise self.refused(key, say("a whole number from 0 to {most}, {of}", most=most, of=of))
        return value

    def date(self, key: str, *, first: datetime.date, last: datetime.date) -> datetime.date:
        """A day without time, within the two."""
        value = self._values.get(key)
        if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
            raise self.refused(key, say("a date without quotes and without a time, as in 2026-10-14"))
        if not first <= value <= last:
            raise self.refused(key, refusal("a date from {first} to {last}", first=first, last=last))
        return value

    def table(self, key: str, keys: Collection[str]) -> Table:
        """The table of a key; an empty one where it is absent."""
        value = self._values.get(key, {})
        if not isinstance(value, dict):
            raise self.refused(key, refusal("one table, as docs/visit-file.md shows for {key}", key=key))
        return Table(value, f"{self.where}, {key}", keys)

    def tables(self, key: str, name: str, keys: Collection[str]) -> tuple[Table, ...]:
        """The tables of a list, each with its number from 1 in its place; none where the key is absent."""
        values = self._values.get(key, [])
        if not isinstance(values, list) or not all(isinstance(value, dict) for value in values):
            raise self.refused(key, refusal("a list of tables, as docs/visit-file.md shows for {key}", key=key))
        return tuple(
            Table(value, f"{self.where}, {name} {number}", keys) for number, value in enumerate(values, start=1)
        )
