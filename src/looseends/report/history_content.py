"""What was told, noticed on the road or seen on a tire, and what the vehicle has behind it."""

from __future__ import annotations

from collections.abc import Mapping

from looseends.inspection.types import SymptomKind, SymptomSeen, Use, Visit, Wheel
from looseends.language import AsWritten, Number, Speech, Text, Value, joined, say
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import sentence, with_note

_KINDS: Mapping[SymptomKind, Text] = {
    "complaint": say("Told"),
    "road-test": say("Road test"),
    "tire": say("Tire"),
}
_WHEELS: Mapping[Wheel, Text] = {
    "front-left": say("left front tire"),
    "front-right": say("right front tire"),
    "rear-left": say("left rear tire"),
    "rear-right": say("right rear tire"),
}
_WORK: Mapping[str, Text] = {"usual": say("usual work"), "hard": say("hard work")}
_RUST: Mapping[str, Text] = {
    "none": say("no rust"),
    "light": say("light rust"),
    "heavy": say("heavy rust"),
}


def history_lines(visit: Visit, vocabulary: Vocabulary, speech: Speech) -> tuple[str, ...]:
    """A sentence for each symptom, then one on the vehicle's use; nothing for a use that nobody wrote down."""
    lines = [sentence(speech.words(_symptom(seen, vocabulary))) for seen in visit.symptoms]
    if visit.use != Use():
        lines.append(sentence(speech.words(_use(visit.use))))
    return tuple(lines)


def _symptom(seen: SymptomSeen, vocabulary: Vocabulary) -> Text:
    what: Value = vocabulary.name(seen.id)
    if seen.wheel is not None:
        what = say("{tire}, {pattern}", tire=_WHEELS[seen.wheel], pattern=what)
    if not seen.present:
        what = say("{what}: looked for, and not there", what=what)
    words = with_note(what, seen.note)
    return say("{kind}: {what}; {observer}", kind=_KINDS[seen.kind], what=words, observer=AsWritten(seen.observer))


def _use(use: Use) -> Text:
    said: list[Value] = [_WORK[use.work], _RUST[use.rust]]
    if use.age_years is not None:
        said.insert(0, say("{age} years old", age=Number(use.age_years)))
    return say("Use: {use}", use=joined(said, ", "))
