"""What a visit file says comes back as written, completed where only one thing can be meant."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import get_args

import pytest

from looseends.catalogue import load_catalogue
from looseends.errors import InputError
from looseends.inspection import CheckDone, ConditionSeen, NotChecked, Reading, Setup, Visit
from looseends.inspection.types import Grade, Hidden, Replaced, SymptomSeen, Use
from looseends.language import Speech, Text
from tests.inspection.small_catalogue import HEAD, one_check, one_reading, read


def visit_of(folder: Path, text: str) -> Visit:
    """The visit that this text records."""
    path = folder / "ramp.toml"
    path.write_text(text, encoding="utf-8")
    return read(path)


def test_the_shortest_visit_has_defaults(tmp_path: Path) -> None:
    assert visit_of(tmp_path, HEAD) == Visit(
        vehicle="yard-pickup", date=datetime.date(2026, 10, 14), place="", technician="Ines Calder", plate="",
        odometer_km=None, customer="", complaint="", jurisdiction="us-federal", checks=(), conditions=(),
        not_checked=(),
    )  # fmt: skip


def test_the_head_is_kept_as_written(tmp_path: Path) -> None:
    visit = visit_of(
        tmp_path,
        HEAD + 'place = "bay 2"\nplate = "SLIP 07"\nodometer_km = 148200\ncustomer = "C"\n'
        'complaint = "knocks"\njurisdiction = "us-utah"\n',
    )
    assert (visit.place, visit.plate, visit.odometer_km) == ("bay 2", "SLIP 07", 148200.0)
    assert (visit.customer, visit.complaint, visit.jurisdiction) == ("C", "knocks", "us-utah")


SEEN = '[[condition]]\npart = "lower-ball-joint-left"\nseen = "torn-boot"\nby = "Ana Lirio"\n'
TOLD = '[[symptom]]\nkind = "complaint"\nwhat = "wanders"\nby = "Tom Orr"\n'


def test_learners_are_named_in_the_head(tmp_path: Path) -> None:
    named = visit_of(tmp_path, HEAD + 'learners = ["Tom Orr", " Ana Lirio "]\n' + SEEN + TOLD)
    assert named.learners == ("Tom Orr", "Ana Lirio")
    assert visit_of(tmp_path, HEAD + 'learners = ["Ines Calder"]\n').learners == ("Ines Calder",)  # nothing done yet


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        ("Ana Liro", 'did you mean "Ana Lirio" (accepted: Ana Lirio, Ines Calder)?'),
        ("Tom Orr", "accepted: Ana Lirio, Ines Calder."),
    ],
)
def test_a_learner_who_wrote_nothing_down_in_the_visit_is_refused_with_the_names_of_those_who_did(
    tmp_path: Path, found: str, sentence: str
) -> None:
    with pytest.raises(InputError) as refused:
        visit_of(tmp_path, HEAD + f'learners = ["{found}"]\n' + SEEN)
    assert f'learners "{found}" is not known' in str(refused.value) and str(refused.value).endswith(sentence)
    assert "\n" not in str(refused.value)


def test_learners_that_are_no_list_are_refused_with_a_persons_name_as_the_example(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        visit_of(tmp_path, HEAD + 'learners = "Tom Orr"\n')
    said = 'learners must be a list of texts in quotes, as in ["Ines Calder"], found "Tom Orr".'
    assert str(refused.value).endswith(said)
    sentence = refused.value.sentence
    assert isinstance(sentence, Text) and Speech("es").words(sentence).endswith(
        'learners debe ser una lista de textos entre comillas, como ["Ines Calder"]; se encontró "Tom Orr".'
    )


def test_a_check_with_every_field(tmp_path: Path) -> None:
    text = one_check(
        'steer = "free"', 'brake = "on"', "stand_inboard_mm = 40", "stop_gap_mm = 12.0", 'by = "Tom Orr"',
        'readings = [{ watch = "lower-ball-joint", gauge_mm = 1.3, note = "dial on arm" }]',
        'passed = ["lower-ball-joint", "idler-arm"]', 'note = "third lift"', do="bj-axial", support="arm", side="R",
    )  # fmt: skip
    assert visit_of(tmp_path, text).checks == (
        CheckDone(
            number=1,
            setup=Setup("bj-axial", "arm", "right", "free", "on", 40.0),
            stop_gap_mm=12.0,
            observer="Tom Orr",
            readings=(Reading("lower-ball-joint-right.axial", "gauge", 1.3, None, "dial on arm"),),
            passed_parts=("lower-ball-joint-right", "idler-arm"),
            note="third lift",
        ),
    )


def test_a_check_says_only_what_it_must(tmp_path: Path) -> None:
    done = visit_of(tmp_path, one_reading('watch = "tread", eye = "slight"')).checks[0]
    assert done.setup == Setup("wheel39", "frame", "left", "held", "off", 0.0)
    assert (done.stop_gap_mm, done.observer, done.passed_parts) == (None, "Ines Calder", ())
    assert done.readings == (Reading("tread", "eye", None, "slight", ""),)


@pytest.mark.parametrize("free_mm", [0.0, 0.8, 3.4])
def test_a_gauge_may_read_the_dead_zone_too_from_nothing_to_all_of_it(tmp_path: Path, free_mm: float) -> None:
    done = visit_of(tmp_path, one_reading(f'watch = "tread", gauge_mm = 3.4, free_mm = {free_mm}')).checks[0]
    assert done.readings == (Reading("tread", "gauge", 3.4, None, "", free_mm),)


def test_a_gauge_reading_without_a_dead_zone_has_none(tmp_path: Path) -> None:
    done = visit_of(tmp_path, one_reading('watch = "tread", gauge_mm = 3.4')).checks[0]
    assert done.readings[0].free_mm is None


@pytest.mark.parametrize(
    ("way", "grade"), [("ear", "silent"), ("ear", "knock"), ("feel", "rising"), ("feel", "dead zone")]
)
def test_a_joint_may_be_read_by_ear_and_by_feel(tmp_path: Path, way: str, grade: Grade) -> None:
    done = visit_of(tmp_path, one_reading(f'watch = "wheel-bearing", {way} = "{grade}"')).checks[0]
    assert done.readings == (Reading("wheel-bearing-left", way, None, grade, ""),)  # type: ignore[arg-type]


def test_a_watch_may_be_read_once_in_every_way(tmp_path: Path) -> None:
    ways = ("gauge_mm = 0.4", 'hand = "slight"', 'eye = "none"', 'ear = "knock"', 'feel = "dead zone"')
    text = one_check("readings = [" + ", ".join(f'{{ watch = "wheel-bearing", {way} }}' for way in ways) + "]")
    readings = visit_of(tmp_path, text).checks[0].readings
    assert [reading.by for reading in readings] == ["gauge", "hand", "eye", "ear", "feel"]


def test_a_joint_that_was_heard_only_is_not_also_said_to_have_stayed_still(tmp_path: Path) -> None:
    text = one_check("nothing_moved = true", 'readings = [{ watch = "outer-tie-rod-end", ear = "knock" }]')
    assert [(r.watch, r.by) for r in visit_of(tmp_path, text).checks[0].readings] == [
        ("outer-tie-rod-end-left", "ear"),
        ("wheel-bearing-left", "hand"),
    ]


def test_the_grades_of_the_catalogues_observers_are_the_grades_of_a_reading() -> None:
    """What `Grade` lists for the type checker is what the observers on file may call."""
    called = {grade for observer in load_catalogue().observers.values() for grade in observer.grades}
    assert called == set(get_args(Grade))


def test_what_hides_a_part_is_kept_with_its_check(tmp_path: Path) -> None:
    text = one_check(
        'passed = ["wheel-bearing"]',
        'hidden = [{ part = "wheel-bearing", by = "grease" }, { part = "idler-arm", by = "dry joint" }]',
    )
    assert visit_of(tmp_path, text).checks[0].hidden == (
        Hidden("wheel-bearing-left", "grease"),
        Hidden("idler-arm", "dry joint"),
    )


GREASY = '[[hidden]]\npart = "wheel-bearing-left"\nby = "grease"\n'
AGAIN = one_check('readings = [{ watch = "wheel-bearing", hand = "none" }]', "{more}").removeprefix(HEAD)


def hidden_in(tmp_path: Path, *more: str) -> list[tuple[Hidden, ...]]:
    """What is hidden in checks of one wheel that the visit names as greasy, each with a line more."""
    text = HEAD + "".join(AGAIN.replace("{more}", line) for line in more) + GREASY
    return [done.hidden for done in visit_of(tmp_path, text).checks]


def test_what_the_visit_names_is_hidden_until_a_check_says_that_it_was_cleaned(tmp_path: Path) -> None:
    grease = (Hidden("wheel-bearing-left", "grease"),)
    assert hidden_in(tmp_path, "", 'cleaned = ["wheel-bearing"]', "") == [grease, (), ()]


def test_a_checks_own_word_of_what_hides_a_part_comes_before_the_visits(tmp_path: Path) -> None:
    own = 'hidden = [{ part = "wheel-bearing", by = "rust" }, { part = "idler-arm", by = "grease" }]'
    rust, grease = Hidden("wheel-bearing-left", "rust"), Hidden("wheel-bearing-left", "grease")
    assert hidden_in(tmp_path, own, "") == [(rust, Hidden("idler-arm", "grease")), (grease,)]


def test_a_condition_may_have_been_looked_for_and_be_absent(tmp_path: Path) -> None:
    one = '[[condition]]\npart = "idler-arm"\nseen = "bent"\n'
    visit = visit_of(tmp_path, HEAD + one + "present = false\n" + one + "present = true\n" + one)
    assert [seen.present for seen in visit.conditions] == [False, True, True]


def test_symptoms_told_noticed_and_seen_on_a_tire(tmp_path: Path) -> None:
    visit = visit_of(
        tmp_path,
        HEAD + '[[symptom]]\nkind = "complaint"\nwhat = "wanders"\nby = "yard office"\nnote = "loaded"\n'
        '[[symptom]]\nkind = "road-test"\nwhat = "wanders"\npresent = false\n'
        '[[symptom]]\nkind = "tire"\nwhat = "feathered"\nwheel = "front-left"\n'
        '[[symptom]]\nkind = "tire"\nwhat = "feathered"\nwheel = "rear-right"\n',
    )
    assert visit.symptoms == (
        SymptomSeen(1, "complaint", "wanders", None, "yard office", "loaded"),
        SymptomSeen(2, "road-test", "wanders", None, "Ines Calder", "", present=False),
        SymptomSeen(3, "tire", "feathered", "front-left", "Ines Calder", ""),
        SymptomSeen(4, "tire", "feathered", "rear-right", "Ines Calder", ""),
    )


def test_use_is_as_written_and_usual_where_it_is_not(tmp_path: Path) -> None:
    text = HEAD + '[use]\nage_years = 14\nwork = "hard"\nrust = "heavy"\n'
    assert visit_of(tmp_path, text).use == Use(14.0, "hard", "heavy")
    assert visit_of(tmp_path, HEAD + '[use]\nrust = "light"\n').use == Use(None, "usual", "light")


def test_a_part_may_be_replaced_before_all_checks_and_after_the_last(tmp_path: Path) -> None:
    visit = visit_of(
        tmp_path,
        one_check("nothing_moved = true") + '[[replaced]]\npart = "idler-arm"\nafter_check = 0\n'
        '[[replaced]]\npart = "wheel-bearing-left"\nafter_check = 1\nby = "Tom Orr"\nnote = "new race"\n',
    )
    assert visit.replaced == (
        Replaced(1, "idler-arm", 0, "Ines Calder", ""),
        Replaced(2, "wheel-bearing-left", 1, "Tom Orr", "new race"),
    )


@pytest.mark.parametrize(("given", "side"), [("left", "left"), ("L", "left"), ("Right", "right"), ("r", "right")])
def test_sides_may_be_shortened(tmp_path: Path, given: str, side: str) -> None:
    done = visit_of(tmp_path, one_reading('watch = "wheel-bearing", hand = "none"', side=given)).checks[0]
    assert (done.setup.side, done.readings[0].watch) == (side, f"wheel-bearing-{side}")


@pytest.mark.parametrize(
    ("given", "watch"),
    [
        ("upper-ball-joint", "upper-ball-joint-left"),
        ("upper-ball-joint-left", "upper-ball-joint-left"),
        ("upper-ball-joint.axial", "upper-ball-joint-left.axial"),
        ("upper-ball-joint-left.axial", "upper-ball-joint-left.axial"),
        ("lower-ball-joint", "lower-ball-joint-left.axial"),
        ("lower-ball-joint-left", "lower-ball-joint-left.axial"),
    ],
)
def test_a_watch_is_completed_where_one_can_be_meant(tmp_path: Path, given: str, watch: str) -> None:
    text = one_reading(f'watch = "{given}", hand = "none"', do="bj-axial", support="arm")
    assert visit_of(tmp_path, text).checks[0].readings[0].watch == watch


def test_nothing_moved_grades_every_joint_that_is_not_listed(tmp_path: Path) -> None:
    text = one_check("nothing_moved = true", 'readings = [{ watch = "outer-tie-rod-end", hand = "clear" }]')
    assert visit_of(tmp_path, text).checks[0].readings == (
        Reading("outer-tie-rod-end-left", "hand", None, "clear", ""),
        Reading("wheel-bearing-left", "hand", None, "none", ""),
    )


def test_nothing_moved_speaks_only_of_parts_that_the_vehicle_has(tmp_path: Path) -> None:
    text = one_check("nothing_moved = true", do="idler", side=None).replace("yard-pickup", "bare-frame")
    assert [reading.watch for reading in visit_of(tmp_path, text).checks[0].readings] == ["idler-arm"]


def test_passing_a_part_without_any_reading_is_a_fact_too(tmp_path: Path) -> None:
    assert visit_of(tmp_path, one_check('passed = ["wheel-bearing"]')).checks[0].passed_parts == ("wheel-bearing-left",)


def test_contradictions_and_repeats_are_kept_in_the_order_of_the_file(tmp_path: Path) -> None:
    again = one_reading('watch = "tread", gauge_mm = 0.2').removeprefix(HEAD)
    checks = visit_of(tmp_path, one_reading('watch = "tread", gauge_mm = 9.0') + again + again).checks
    assert [(done.number, done.readings[0].gauge_mm) for done in checks] == [(1, 9.0), (2, 0.2), (3, 0.2)]


def test_a_check_under_a_support_that_hides_the_play_is_kept(tmp_path: Path) -> None:
    text = one_reading('watch = "lower-ball-joint", gauge_mm = 0.1', do="bj-axial", support="frame")
    assert visit_of(tmp_path, text).checks[0].setup.support == "frame"


@pytest.mark.parametrize(("watch", "most"), [("tread", 60.0), ("wheel-bearing", 25.0)])
def test_the_greatest_believable_reading_is_accepted(tmp_path: Path, watch: str, most: float) -> None:
    reading = visit_of(tmp_path, one_reading(f'watch = "{watch}", gauge_mm = {most}')).checks[0].readings[0]
    assert reading.gauge_mm == most


def test_conditions_and_what_was_not_checked(tmp_path: Path) -> None:
    visit = visit_of(
        tmp_path,
        HEAD + '[[condition]]\npart = "idler-arm"\nseen = "bent"\nby = "Tom Orr"\nnote = "old mark"\n'
        '[[condition]]\npart = "outer-tie-rod-end-left"\nseen = "torn-boot"\n'
        '[[not_checked]]\npart = "wheel-bearing-right"\nbecause = "seized"\n'
        '[[not_checked]]\ncheck = "idler"\nbecause = "no time"\n',
    )
    assert visit.conditions == (
        ConditionSeen(1, "idler-arm", "bent", "Tom Orr", "old mark"),
        ConditionSeen(2, "outer-tie-rod-end-left", "torn-boot", "Ines Calder", ""),
    )
    assert visit.not_checked == (NotChecked(1, "wheel-bearing-right", "seized"), NotChecked(2, "idler", "no time"))


def test_a_byte_order_mark_and_lines_ending_in_carriage_returns_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "ramp.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (HEAD + 'place = "Fährhaus"\n').replace("\n", "\r\n").encode())
    assert read(path).place == "Fährhaus"
