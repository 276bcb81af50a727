"""Numbers with their unit, and sentences that say no more than is known."""

from dataclasses import replace

from looseends.inspection.types import Reading, Suspect, Unproven
from looseends.report.unproven_content import in_doubt
from looseends.report.vocabulary import Vocabulary
from looseends.report.wording import (
    headline,
    kilometres,
    listed,
    reading_words,
    sentence,
)
from tests.report.handover_sample import yard_pickup_judgement


def test_a_reading_says_where_how_much_and_by_what() -> None:
    words = Vocabulary(names={"stud": "ball joint stud"}, resolution_mm={"stud": 0.05})
    gauged, felt = Reading("stud", "gauge", 0.3, None, "cold"), Reading("rod-end", "hand", None, "slight", "")
    assert reading_words(gauged, words) == "ball joint stud: 0.30 mm, by gauge (cold)"
    assert reading_words(felt, words) == "rod end: slight movement, felt by hand"


def test_distances_cannot_be_misread() -> None:
    assert kilometres(148210) == "148\u00a0210 km" and kilometres(None) == "not read"


def test_sentences_begin_with_a_capital_and_end_once() -> None:
    assert sentence("it holds") == "It holds." and sentence("it holds.") == "It holds." and sentence("") == ""


def test_the_headline_counts_and_never_calls_the_unproven_sound() -> None:
    findings = yard_pickup_judgement().findings
    assert headline(findings, 0).startswith("Do not drive it: one part is unsafe. Two parts need replacing.")
    assert (
        headline([], 2)
        == "Nothing worn was found. Two parts are unproven: what was done shows them neither worn nor sound."
    )


def suspect(part: str, chance: float) -> Suspect:
    return Suspect(part, part.replace("-", " "), chance, 0.04)


def test_the_customer_is_told_what_may_well_be_worn_and_is_not_proven() -> None:
    known = yard_pickup_judgement()
    unproven = tuple(Unproven(part, part, "", "", "", "") for part in ("idler-arm", "sway-link", "damper"))
    suspects = (suspect("sway-link", 0.3), suspect("idler-arm", 0.61), suspect("damper", 0.1), suspect("rack", 0.9))
    said = in_doubt(replace(known, unproven=unproven, suspects=suspects))
    assert said is not None
    assert str(said).endswith("left: idler arm (worn with a chance of 61 %), sway link (worn with a chance of 30 %).")
    assert in_doubt(replace(known, unproven=unproven, suspects=suspects[2:])) is None


def test_both_sides_of_a_part_are_named_together() -> None:
    names = ["left damper", "idler arm", "right damper", "left link"]
    assert listed(names) == "left and right damper, idler arm, left link"
