"""The language room: sentences that remember how they were made, quantities, and who they are said to."""

from looseends.language.quantity import (
    Angle,
    Distance,
    Force,
    Length,
    Mass,
    Minutes,
    Moment,
    Number,
    Percent,
    Pressure,
    SideSlip,
)
from looseends.language.speech import ENGLISH, LANGUAGES, UNITS, AsWritten, Language, Sayable, Speech, Units, Value
from looseends.language.text import Capital, InSentence, Text, either, joined, known_as, refusal, say, say_count

__all__ = [
    "ENGLISH",
    "LANGUAGES",
    "UNITS",
    "Angle",
    "AsWritten",
    "Capital",
    "Distance",
    "Force",
    "InSentence",
    "Language",
    "Length",
    "Mass",
    "Minutes",
    "Moment",
    "Number",
    "Percent",
    "Pressure",
    "Sayable",
    "SideSlip",
    "Speech",
    "Text",
    "Units",
    "Value",
    "either",
    "joined",
    "known_as",
    "refusal",
    "say",
    "say_count",
]
