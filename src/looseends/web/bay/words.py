"""The sentences that the pages' scripts say, in the reader's language, with their fields left open."""

from __future__ import annotations

from collections.abc import Mapping

from looseends.diagnosis.observed.words import BY, GRADES
from looseends.inspection.checks_done import MOST_STOP_GAP_MM
from looseends.inspection.readings import MOST_AT_TREAD_MM, MOST_ELSEWHERE_MM
from looseends.inspection.types import By, Grade
from looseends.language import AsWritten, Length, Speech, Text, Value, say
from looseends.store.clip import MOST_CLIP_BYTES, MOST_CLIP_PIXELS, MOST_CLIP_S

_N: Value = AsWritten("{n}")
_WORDS: Mapping[str, Text] = {
    "hand": say("By hand"),
    "eye": say("By eye"),
    "ear": say("By ear"),
    "feel": say("By the force"),
    "gauge": say("By gauge"),
    "hidden": say("Hidden"),
    "seen": say("Seen"),
    "what is seen": say("What is seen on it"),
    "seen on it": say("seen: {what}", what=AsWritten("{what}")),
    "last": say("Recorded last: {what}", what=AsWritten("{what}")),
    "gap": say("gap at the rebound stop {gap}", gap=AsWritten("{gap}")),
    "gap title": say("Gap at the rebound stop"),
    "stop touching": say("the rebound stop touches"),
    "stop open": say("The rebound stop was seen open; the gap was not measured."),
    "grease": say("grease"),
    "rust": say("rust"),
    "dry joint": say("dry joint"),
    "cover": say("a cover"),
    "passed": say("gripped, nothing moved"),
    "nothing moved": say("Gripped these, nothing moved"),
    "nothing found": say("Looked at all these, nothing found"),
    "look for": say("What counts:"),
    "look found": say("Found …"),
    "look nothing": say("Nothing found"),
    "look unseen": say("Could not see"),
    "could not be seen": say("could not be seen"),
    "not there": say("looked for and not there: {what}", what=AsWritten("{what}")),
    "found nothing": say("{parts}: looked at, nothing found", parts=AsWritten("{parts}")),
    "found nothing again": say("{parts}: looked at again, nothing found", parts=AsWritten("{parts}")),
    "seen by": say("seen by {who}: {what}", who=AsWritten("{who}"), what=AsWritten("{what}")),
    "not there by": say("looked for by {who} and not there: {what}", who=AsWritten("{who}"), what=AsWritten("{what}")),
    "looked again": say("{who} (looked again)", who=AsWritten("{who}")),
    "look again": say(
        "Look once more, as if for the first time; the first look stays on its own card. Better still, let somebody "
        "else look, signed in under their own name."
    ),
    "look again too": say(
        "Look as if nobody had looked before; the first look, by somebody else, stays on its own card."
    ),
    "parts": say("{n} parts", n=_N),
    "what is found": say("What is found on it?"),
    "what is seen asked": say("What is seen on it, whatever moves?"),
    "hidden by": say("hidden by {what}", what=AsWritten("{what}")),
    "read": say("read {movement}", movement=AsWritten("{movement}")),
    "free of it": say("read {movement}, {free} of it free", movement=AsWritten("{movement}"), free=AsWritten("{free}")),
    "recorded": say("Recorded: {what}", what=AsWritten("{what}")),
    "take back": say("Take it back"),
    "withdrawn": say("Taken back: {what}", what=AsWritten("{what}")),
    "skipped": say("left out: {why}", why=AsWritten("{why}")),
    "photo": say("photo"),
    "asking": say("Suspects are being worked out from what was recorded."),
    "offline": say("No connection: the route goes on in order, and suspects follow when it is back."),
    "in order": say("Next in the route’s order."),
    "in catalogue order": say("Next in the catalogue’s order; the shortest route comes with the tables."),
    "all done": say("The route’s checks are done. What was not proven stays honestly unproven."),
    "not worked out": say("Suspects cannot be worked out: {why}", why=AsWritten("{why}")),
    "as of": say("As of {time}", time=AsWritten("{time}")),
    "suspected": say("Suspected most"),
    "nobody": say("No part is suspected more than others."),
    "also": say("Close beside it"),
    "watched by": say("Checks that watch it"),
    "go prove": say("Go to the check that would prove it"),
    "nothing known": say("Nothing is known of it yet."),
    "sent": say("Everything is sent."),
    "waits one": say("1 record waits to be sent."),
    "waits": say("{n} records wait to be sent.", n=_N),
    "sending": say("Sending."),
    "no connection": say("No connection; they are kept on this device and sent when it is back."),
    "sign in": say("Sign in again to send them; they are kept on this device."),
    "other person": say("They were recorded by {name}, who must sign in to send them.", name=AsWritten("{name}")),
    "refused": say("Not taken: {why}", why=AsWritten("{why}")),
    "try again": say("Send again"),
    "sign in here": say("Sign in"),
    "device full": say("This device could not keep the record: {why}", why=AsWritten("{why}")),
    "not a number": say("Write a number, such as {example}.", example=AsWritten("{example}")),
    "too much": say("A gauge here shows from 0 to {most}.", most=AsWritten("{most}")),
    "free too much": say("The dead zone is a part of the reading: at most {most}.", most=AsWritten("{most}")),
    "minutes left": say("({n} left)", n=_N),
    "no weight": say("Without the weight"),
    "left": say("left side"),
    "right": say("right side"),
    "file": say("As a file"),
    "file taken": say(
        "Taken in: {taken}; here already: {known}.", taken=AsWritten("{taken}"), known=AsWritten("{known}")
    ),
    "file of something else": say("This file holds no records that wait; choose one that was saved on this page."),
    "file of another time": say(
        "This file was saved by another version of the program; take it in where it was saved."
    ),
    "file damaged": say("This file is damaged: nothing of it was taken in; save it once more."),
    "file too large": say(
        "This file is larger than what a device can hold; send what waits from where it was recorded."
    ),
    "kind check": say("a check"),
    "kind reading": say("a reading"),
    "kind hidden": say("what hid a part"),
    "kind condition": say("a condition"),
    "kind not-checked": say("a check left out"),
    "kind minutes": say("minutes at hand"),
    "whole route": say("the whole route, without a limit"),
    "minutes set": say("{n} minutes for the checks", n=_N),
    "kind withdrawn": say("a record taken back"),
    "photo ready": say("Photo {n} of {all} is kept on this device.", n=_N, all=AsWritten("{all}")),
    "clip": say("clip"),
    "clip of": say("Clip of {seconds} s, without sound", seconds=AsWritten("{seconds}")),
    "clip being made": say("The clip is looked at, and a large one is made small, which takes as long as it lasts."),
    "clip too long": say(
        "A clip lasts at most {most} s, this one {seconds} s: take a shorter one.",
        most=AsWritten("{most}"),
        seconds=AsWritten("{seconds}"),
    ),
    "clip too large": say(
        "This clip is too large, or few browsers play it, and it could not be made anew here: set the camera to 720 "
        "lines, or photograph both ends of the movement."
    ),
    "not a clip": say("The clip cannot be played by this browser: photograph both ends of the movement."),
    "not a picture": say("The picture cannot be read by this browser."),
    "up": say("up"),
    "down": say("down"),
    "begun": say("begun"),
    "done": say("done"),
}
_GRADES_BY: Mapping[By, tuple[Grade, ...]] = {
    "hand": ("none", "slight", "clear", "gross"),
    "eye": ("none", "slight", "clear", "gross"),
    "ear": ("silent", "knock"),
    "feel": ("rising", "dead zone"),
}
_MOST_MM = {"tread": MOST_AT_TREAD_MM, "elsewhere": MOST_ELSEWHERE_MM, "stop": MOST_STOP_GAP_MM}

_CLIP = {"most_s": MOST_CLIP_S, "most_bytes": MOST_CLIP_BYTES, "most_pixels": MOST_CLIP_PIXELS}


def words_for(speech: Speech) -> dict[str, str]:
    """The sentences by key; the grades under their own names with "grade " before them."""
    said = {key: speech.words(text) for key, text in _WORDS.items()}
    said |= {"mm": Length.metric_unit, "in": Length.us_unit}
    said |= {f"by {by}": speech.words(text) for by, text in BY.items()}
    return said | {f"grade {grade}": speech.words(text) for grade, text in GRADES.items()}


def entry_figures(speech: Speech) -> dict[str, object]:
    """What the entry needs to know: grades by observer, the most that a gauge and a clip have, the person's unit."""
    return {"grades": _GRADES_BY, "most_mm": _MOST_MM, "clip": _CLIP, "unit": Length.unit_for(speech)}
