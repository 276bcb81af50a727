"""Who is spoken to: the language, the units, and how sentences, numbers and dates are then said."""

from __future__ import annotations

import datetime
import unicodedata
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from looseends.language.translations import translations

Language = Literal["en", "es"]
Units = Literal["metric", "us"]
LANGUAGES: tuple[Language, ...] = get_args(Language)
UNITS: tuple[Units, ...] = get_args(Units)
LOCALES: Mapping[Language, str] = {"en": "en_US", "es": "es_US"}
"""Numbers and dates as in the United States, where Spanish too has a decimal point."""

_FROM_THE_RIGHT = ("R", "AL")
_ISOLATE, _END_OF_ISOLATE = "\u2068", "\u2069"
NO_BREAK_SPACE = "\u00a0"


class Sayable(ABC):
    """What knows how to be said to somebody: a sentence or a quantity."""

    @abstractmethod
    def said(self, speech: Speech) -> str:
        """The words in that language and those units."""


class AsWritten(str):
    """A person's own words, as a note or a complaint, which nobody translates."""


Value: TypeAlias = "str | int | Sayable | tuple[Value, ...]"
"""What may stand in a sentence; a tuple is a list of things."""


@dataclass(frozen=True)
class Speech:
    """A language and a system of units, chosen by the person who reads."""

    language: Language = "en"
    units: Units = "metric"

    def words(self, value: Value) -> str:
        """Anything that can be said, as plain text.

        A plain text is looked up whole among the translations, and stays as it is where there is none.
        """
        if isinstance(value, Sayable):
            return value.said(self)
        if isinstance(value, tuple):
            return ", ".join(self.words(entry) for entry in value)
        if isinstance(value, AsWritten):
            return _kept_apart(value)
        if not isinstance(value, str):
            return str(value)
        return self.template(value)

    def template(self, template: str) -> str:
        """The template in this language, its own placeholders kept; the English one where none is known."""
        return template if self.language == "en" or not template else translations(self.language).gettext(template)

    def counted(self, one: str, many: str, count: int) -> str:
        """The template that goes with a count, by the plural rule of this language."""
        if self.language == "en":
            return one if count == 1 else many
        return translations(self.language).ngettext(one, many, count)

    def number(self, value: float, decimals: int | None = None, *, grouped: bool = False) -> str:
        """A number with so many decimals, or with those that it has up to six digits; `grouped` sets thousands apart.

        Thousands are set apart by a space that does not break, with US units by a comma.
        """
        plain = f"{value:g}" if decimals is None else f"{value:.{decimals}f}"
        whole, point, rest = plain.partition(".")
        if grouped and whole.lstrip("-").isdigit():
            whole = f"{int(whole):,}".replace(",", "," if self.units == "us" else NO_BREAK_SPACE)
        return f"{whole}{self._decimal_sign() if point else ''}{rest}"

    def date(self, date: datetime.date) -> str:
        """A date that cannot be misread: the month in letters."""
        if self.language == "en":
            return f"{date.day} {date:%B %Y}"
        from babel.dates import format_date  # English needs none of it, and starts sooner without

        return str(format_date(date, "long", locale=LOCALES[self.language]))

    def _decimal_sign(self) -> str:
        if self.language == "en":
            return "."
        from babel.numbers import get_decimal_symbol  # as in `date`

        return str(get_decimal_symbol(LOCALES[self.language]))


def _kept_apart(words: str) -> str:
    """The words; those from right to left between the isolates of UAX #9, so that the sentence keeps its order."""
    if any(unicodedata.bidirectional(character) in _FROM_THE_RIGHT for character in words):
        return f"{_ISOLATE}{words}{_END_OF_ISOLATE}"
    return str(words)


ENGLISH = Speech()
"""How everything is said where nobody chose: English, metric."""
