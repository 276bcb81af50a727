"""Sentences about readings and setups, the same wherever they are shown."""

from __future__ import annotations

from looseends.catalogue import load_catalogue
from looseends.diagnosis.evidence import Clue
from looseends.inspection.types import CheckDone, Reading
from looseends.vehicle.setup import Setup


def setup_words(setup: Setup) -> str:
    """A setup in words: "wheel39, held at the frame, left, steering held, brake off"."""
    support = load_catalogue().supports[setup.support].name
    words = [setup.check, support[0].lower() + support[1:]]
    if setup.side is not None:
        words.append(setup.side)
    if len(load_catalogue().checks[setup.check].steer_states) > 1:
        words.append(f"steering {setup.steer}")
    if setup.brake == "on":
        words.append("brake held")
    if setup.stand_inboard_mm > 0.0:
        words.append(f"stand {setup.stand_inboard_mm:g} mm inboard of the joint")
    return ", ".join(words)


def reading_words(reading: Reading) -> str:
    """A reading in words: "read 1.4 mm" or "by hand: clear"."""
    if reading.gauge_mm is not None:
        free = "" if reading.free_mm is None else f", {reading.free_mm:g} mm of it free"
        return f"read {reading.gauge_mm:g} mm{free}"
    return f"by {reading.by}: {reading.grade}"


def check_words(done: CheckDone) -> str:
    """ "check 3" as the grounds refer to it."""
    return f"check {done.number}"


def clue_words(clue: Clue) -> str:
    """A whole reading with its setup, observer and what a sound vehicle shows there."""
    sound = f"a sound one shows {clue.sound[0]:.1f} mm there, {clue.sound[1]:.1f} mm of it free"
    gap = "" if clue.check.stop_gap_mm is None else f", stop gap {clue.check.stop_gap_mm:g} mm"
    setup = setup_words(clue.check.setup)
    return f"{clue.reading.watch} {reading_words(clue.reading)} ({setup}{gap}; {clue.check.observer}); {sound}"
