"""A vehicle's visit: what was checked, read and seen, from a file that a person writes."""

from importlib.resources import files
from importlib.resources.abc import Traversable

from looseends.inspection.read import read_visit
from looseends.inspection.types import (
    GRADES,
    CheckDone,
    ConditionSeen,
    Grade,
    NotChecked,
    Reading,
    Visit,
)
from looseends.vehicle.setup import Setup, Side

__all__ = [
    "EXAMPLE_VISIT",
    "GRADES",
    "CheckDone",
    "ConditionSeen",
    "Grade",
    "NotChecked",
    "Reading",
    "Setup",
    "Side",
    "Visit",
    "read_visit",
]

EXAMPLE_VISIT: Traversable = files("looseends.inspection") / "examples" / "yard-pickup-slipway-knock.toml"
