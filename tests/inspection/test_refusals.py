"""What a visit file may not say, and the one sentence that answers it."""

from __future__ import annotations

from pathlib import Path

import pytest

from looseends.errors import InputError
from tests.inspection.small_catalogue import HEAD, one_check, one_reading, read

TREAD = 'readings = [ { watch = "tread", gauge_mm = 3.4 } ]'

# name, text of the file, what the sentence must hold
REFUSALS: list[tuple[str, str, tuple[str, ...]]] = [
    ("format missing", 'vehicle = "yard-pickup"', ("format must be 1", "missing")),
    ("format of tomorrow", HEAD.replace("format = 1", "format = 2"), ("format must be 1", "found 2")),
    ("format true", HEAD.replace("format = 1", "format = true"), ("format must be 1", "found true")),
    ("vehicle missing", HEAD.replace('vehicle = "yard-pickup"', ""), ("vehicle must be", "yard-pickup", "missing")),
    ("vehicle unknown", HEAD.replace("yard-pickup", "yard-pikup"), ('vehicle "yard-pikup"', '"yard-pickup"')),
    ("vehicle a number", HEAD.replace('"yard-pickup"', "7"), ("vehicle must be one of", "found 7")),
    ("technician missing", HEAD.replace('technician = "Ines Calder"', ""), ("technician must be", "missing")),
    ("technician blank", HEAD.replace("Ines Calder", "  "), ("technician must be a text that is not empty",)),
    ("date missing", HEAD.replace("date = 2026-10-14", ""), ("date must be", "missing")),
    ("date in quotes", HEAD.replace("2026-10-14", '"14.10.2026"'), ("date must be", '"14.10.2026"', "without quotes")),
    ("date with a time", HEAD.replace("2026-10-14", "2026-10-14T08:00:00"), ("date must be", "without a time")),
    ("date of another age", HEAD.replace("2026", "2206"), ("date must be", "2099-12-31", "found 2206-10-14")),
    ("date no day", HEAD.replace("2026-10-14", "2026-02-30"), ("line 3", "not TOML")),
    ("unknown key", HEAD + 'technicain = "x"', ('key "technicain"', '"technician"')),
    ("unknown key in check", one_check("stop_gap = 3", TREAD), ("check 1", 'key "stop_gap"', '"stop_gap_mm"')),
    ("unknown key in reading", one_reading('watch = "tread", guage_mm = 1'), ("reading 1", '"guage_mm"', '"gauge_mm"')),
    ("jurisdiction unknown", HEAD + 'jurisdiction = "us-uta"', ('jurisdiction "us-uta"', '"us-utah"')),
    ("jurisdiction any", HEAD + 'jurisdiction = "any"', ('jurisdiction "any"', "accepted: us-federal, us-utah")),
    ("odometer in miles", HEAD + 'odometer_km = "92000 mi"', ("odometer_km", "plain number in km", "148059.65")),
    ("odometer negative", HEAD + "odometer_km = -4", ("odometer_km must be from 0", "found -4")),
    ("place a number", HEAD + "place = 2", ("place must be a text", "found 2")),
    ("control character", HEAD + 'place = "bay\\u001b[2J"', ("place must be plain text", "\\x1b[2J")),
    ("endless text", HEAD + 'place = """' + "very long\n" * 300 + '"""', ("place", "at most 2000 characters")),
    ("check not a list", HEAD + "check = 3", ("check must be a list of tables", "found 3")),
    ("check of condition", one_check(TREAD, do="tire"), ("check 1", 'do "tire"', "[[condition]]")),
    ("check unknown", one_check(TREAD, do="wheel93"), ("check 1", 'do "wheel93"', '"wheel39"')),
    ("check missing", HEAD + '[[check]]\nsupport = "frame"', ("do must be one of", "wheel39", "missing")),
    ("check of other vehicle", one_check(do="rack-shift", support="wheels", side=None), ("rack-shift", "none of the")),
    ("support unknown", one_check(TREAD, support="fram"), ("check 1", 'support "fram"', '"frame"')),
    ("support impossible", one_check(TREAD, support="wheels"), ("support", "one of frame, arm", 'found "wheels"')),
    ("side missing", one_check(TREAD, side=None), ("side", '"left" or "right"', "missing")),
    ("side unknown", one_check(TREAD, side="offside"), ("side must be", '"left" or "right"', '"offside"')),
    ("side on unsided", one_check(do="idler"), ("side must be left out", '"idler"', 'found "left"')),
    ("steer unknown", one_check('steer = "locked"', TREAD), ('steer "locked"', "held", "free")),
    ("brake a flag", one_check("brake = true", TREAD), ("brake must be one of off, on", "found true")),
    ("stand at frame", one_check("stand_inboard_mm = 30", TREAD), ("stand_inboard_mm", '"arm" only', '"frame"')),
    ("stop gap negative", one_check("stop_gap_mm = -1.5", TREAD), ("stop_gap_mm must be from 0 to 200 mm", "-1.5")),
    ("stop gap in inches", one_check("stop_gap_mm = '1/4\"'", TREAD), ("plain number in mm", "stop_gap_mm = 6.35")),
    ("no readings", one_check(), ("readings", "found none", "nothing_moved = true")),
    ("readings empty", one_check("readings = []"), ("readings", "found none")),
    ("readings not tables", one_check('readings = ["tread"]'), ("readings must be a list of tables", "a list")),
    ("nothing_moved a word", one_check('nothing_moved = "yes"'), ("nothing_moved must be true or false", '"yes"')),
    ("passed a word", one_check(TREAD, 'passed = "idler-arm"'), ("passed must be a list", '"idler-arm"')),
    ("passed unknown", one_check(TREAD, 'passed = ["lower-bal-joint"]'), ("lower-bal-joint", "lower-ball-joint-left")),
    ("watch unknown", one_reading('watch = "treat", gauge_mm = 1'), ("reading 1", 'watch "treat"', '"tread"')),
    ("watch of other side", one_reading('watch = "wheel-bearing-right", eye = "none"'), ('"wheel-bearing-left"',)),
    ("watch missing", one_reading("gauge_mm = 1"), ("reading 1", "watch must be", "missing")),
    ("watch twice", one_check('readings = [{watch="tread",gauge_mm=1},{watch="tread",gauge_mm=2}]'),
     ("reading 2", '"tread"', "already read by gauge", "another [[check]]")),
    ("watch twice, short and long",
     one_check('readings = [{watch="wheel-bearing",ear="knock"},{watch="wheel-bearing-left",ear="silent"}]'),
     ("reading 2", '"wheel-bearing-left"', "already read by ear")),
    ("gauge and hand", one_reading('watch = "tread", gauge_mm = 1, hand = "none"'),
     ("exactly one of gauge_mm, hand, eye, ear and feel", "found gauge_mm and hand")),
    ("ear and feel", one_reading('watch = "tread", ear = "knock", feel = "dead zone"'), ("found ear and feel",)),
    ("neither", one_reading('watch = "tread"'), ("exactly one of gauge_mm, hand, eye, ear and feel", "none of them")),
    ("dead zone by hand", one_reading('watch = "tread", hand = "none", free_mm = 0.2'),
     ("reading 1", '"tread"', "free_mm goes with gauge_mm", "found it with hand")),
    ("dead zone by eye", one_reading('watch = "tread", eye = "none", free_mm = 0.2'), ("free_mm", "found it with eye")),
    ("dead zone alone", one_reading('watch = "tread", free_mm = 0.2'), ("exactly one of gauge_mm", "none of them")),
    ("dead zone above gauge", one_reading('watch = "tread", gauge_mm = 3.4, free_mm = 3.5'),
     ("free_mm must be from 0 to 3.4 mm", "found 3.5")),
    ("dead zone negative", one_reading('watch = "tread", gauge_mm = 3.4, free_mm = -0.1'),
     ("free_mm must be from 0 to 3.4 mm", "found -0.1")),
    ("dead zone not a number", one_reading('watch = "tread", gauge_mm = 3.4, free_mm = nan'), ("free_mm must", "nan")),
    ("dead zone misspelt", one_reading('watch = "tread", gauge_mm = 3.4, fre_mm = 1'), ('"fre_mm"', '"free_mm"')),
    ("grade unknown", one_reading('watch = "tread", hand = "slightly"'), ('hand "slightly"', '"slight"')),
    ("grade of another", one_reading('watch = "tread", ear = "slight"'), ('ear "slight"', "accepted: knock, silent")),
    ("sound a number", one_reading('watch = "tread", ear = 1'), ("ear must be one of silent, knock", "found 1")),
    ("feeling misspelt", one_reading('watch = "tread", feel = "deadzone"'), ('feel "deadzone"', '"dead zone"')),
    ("dead zone by ear", one_reading('watch = "tread", ear = "knock", free_mm = 0.2'), ("free_mm", "with ear")),
    ("hidden by a word", one_check(TREAD, 'hidden = "wheel-bearing"'), ("hidden must be a list of tables", "found")),
    ("hidden by nothing", one_check(TREAD, 'hidden = [{part="wheel-bearing"}]'),
     ("check 1, hidden 1", "by must be one of grease, rust, dry joint, cover", "missing")),
    ("hidden by mud", one_check(TREAD, 'hidden = [{part="wheel-bearing",by="mud"}]'), ('by "mud"', "grease, rust")),
    ("hidden unknown", one_check(TREAD, 'hidden = [{part="wheel-baring",by="rust"}]'), ('part "wheel-baring"',)),
    ("hidden key", one_check(TREAD, 'hidden = [{part="wheel-bearing",with="rust"}]'), ("hidden 1", 'key "with"')),
    ("hidden twice",
     one_check(TREAD, 'hidden = [{part="wheel-bearing",by="rust"},{part="wheel-bearing-left",by="grease"}]'),
     ("hidden 2", '"wheel-bearing-left"', "already hidden in this check")),
    ("hidden twice in the visit",
     one_check(TREAD) + '[[hidden]]\npart="idler-arm"\nby="rust"\n[[hidden]]\npart="idler-arm"\nby="grease"\n',
     ("hidden 2", '"idler-arm"', "already hidden in this visit")),
    ("cleaned though nothing hid it", one_check(TREAD, 'cleaned = ["wheel-bearing"]'),
     ("check 1", 'cleaned names "wheel-bearing-left"', "the visit's hidden does not")),
    ("hidden alone", one_check('hidden = [{part="wheel-bearing",by="rust"}]'), ("readings", "found none")),
    ("grade a number", one_reading('watch = "tread", eye = 2'), ("eye must be one of none, slight", "found 2")),
    ("gauge negative", one_reading('watch = "tread", gauge_mm = -0.4'), ("gauge_mm must be from 0 to 60 mm", "-0.4")),
    ("gauge absurd at tread", one_reading('watch = "tread", gauge_mm = 400'), ("0 to 60", "400", "mean 4.00?")),
    ("gauge absurd by ten", one_reading('watch = "wheel-bearing", gauge_mm = 34'), ("0 to 25", "34", "mean 3.40?")),
    ("gauge beyond guessing", one_reading('watch = "tread", gauge_mm = 99999'), ("from 0 to 60 mm", "99999")),
    ("gauge not a number", one_reading('watch = "tread", gauge_mm = nan'), ("gauge_mm must be", "nan")),
    ("gauge infinite", one_reading('watch = "tread", gauge_mm = inf'), ("gauge_mm must be", "inf")),
    ("gauge true", one_reading('watch = "tread", gauge_mm = true'), ("plain number in mm", "true")),
    ("gauge huge", one_reading(f'watch = "tread", gauge_mm = 0x{"f" * 3000}'), ("gauge_mm must be", "very large")),
    ("gauge in inches", one_reading('watch = "tread", gauge_mm = "0.12 in"'),
     ("plain number in mm", '"0.12 in"', "gauge_mm = 3.05")),
    ("gauge with unit", one_reading('watch = "tread", gauge_mm = "3.4 mm"'), ('"3.4 mm"', "gauge_mm = 3.4")),
    ("gauge with comma", one_reading('watch = "tread", gauge_mm = "3,4"'), ('"3,4"', "gauge_mm = 3.4")),
    ("gauge a word", one_reading('watch = "tread", gauge_mm = "lots"'), ("plain number in mm", '"lots".')),
    ("bare comma", one_reading('watch = "tread", gauge_mm = 3,4'), ("line 9", "decimal point")),
    ("bare unit", one_check("stop_gap_mm = 12 mm"), ("line 9", "without its unit")),
    ("condition unknown", HEAD + '[[condition]]\npart="idler-arm"\nseen="torn-boots"', ("condition 1", '"torn-boot"')),
    ("condition on nothing", HEAD + '[[condition]]\nseen="bent"', ("condition 1", "part must be", "missing")),
    ("condition part unknown", HEAD + '[[condition]]\npart="idler"\nseen="bent"', ('part "idler"', '"idler-arm"')),
    ("condition either side", HEAD + '[[condition]]\npart="wheel-bearing"\nseen="bent"',
     ("wheel-bearing-left, wheel-bearing-right",)),
    ("condition misplaced", HEAD + '[[condition]]\npart="wheel-bearing-left"\nseen="torn-boot"',
     ("torn-boot", "wheel-bearing-left", "accepted on it: bent")),
    ("condition in doubt", HEAD + '[[condition]]\npart="idler-arm"\nseen="bent"\npresent="no"',
     ("condition 1: present must be true or false", 'found "no"')),
    ("symptom of no kind", HEAD + '[[symptom]]\nwhat="wanders"',
     ("symptom 1: kind must be one of complaint, road-test, tire", "missing")),
    ("symptom kind", HEAD + '[[symptom]]\nkind="road"\nwhat="wanders"', ('kind "road"', "road-test")),
    ("symptom key", HEAD + '[[symptom]]\nkind="complaint"\nwords="wanders"', ('symptom 1', 'key "words"')),
    ("symptom unnamed", HEAD + '[[symptom]]\nkind="complaint"', ("what must be one of wanders", "missing")),
    ("symptom unknown", HEAD + '[[symptom]]\nkind="road-test"\nwhat="wander"', ('what "wander"', '"wanders"')),
    ("symptom of a tire", HEAD + '[[symptom]]\nkind="complaint"\nwhat="cupped"', ('what "cupped"', "clunk-braking")),
    ("tire's complaint", HEAD + '[[symptom]]\nkind="tire"\nwhat="wanders"', ('what "wanders"', "cupped")),
    ("tire of no wheel", HEAD + '[[symptom]]\nkind="tire"\nwhat="cupped"',
     ("wheel must be one of front-left", "missing")),
    ("tire of wheel L", HEAD + '[[symptom]]\nkind="tire"\nwhat="cupped"\nwheel="left"', ('wheel "left"', "front-left")),
    ("complaint of a wheel", HEAD + '[[symptom]]\nkind="complaint"\nwhat="wanders"\nwheel="front-left"',
     ("symptom 1", 'wheel belongs to kind "tire" only', 'found kind "complaint"')),
    ("symptom in doubt", HEAD + '[[symptom]]\nkind="complaint"\nwhat="wanders"\npresent=1',
     ("present must", "found 1")),
    ("symptom twice", HEAD + '[[symptom]]\nkind="complaint"\nwhat="wanders"\n' * 2,
     ("symptom 2", '"wanders"', "already written as symptom 1")),
    ("use a list", HEAD + '[[use]]\nwork="hard"', ("use must be one table", "found a list")),
    ("use key", HEAD + '[use]\nage = 3', ("ramp.toml, use", 'key "age"', "age_years")),
    ("age in words", HEAD + '[use]\nage_years = "14 years"', ("plain number in years", "write age_years = 14")),
    ("age negative", HEAD + "[use]\nage_years = -1", ("age_years must be from 0 to 120 years", "found -1")),
    ("work unknown", HEAD + '[use]\nwork = "heavy"', ('work "heavy"', "usual", "hard")),
    ("rust a number", HEAD + "[use]\nrust = 2", ("rust must be one of none, light, heavy", "found 2")),
    ("replaced nothing", HEAD + "[[replaced]]\nafter_check = 0", ("replaced 1", "part must be", "missing")),
    ("replaced unknown", HEAD + '[[replaced]]\npart="idler"\nafter_check = 0', ('part "idler"', '"idler-arm"')),
    ("replaced key", HEAD + '[[replaced]]\npart="idler-arm"\nafter = 0', ('key "after"', '"after_check"')),
    ("replaced at no time", HEAD + '[[replaced]]\npart="idler-arm"', ("after_check must be a whole number", "missing")),
    ("replaced too late", one_check(TREAD) + '[[replaced]]\npart="idler-arm"\nafter_check = 2',
     ("replaced 1", "after_check must be a whole number from 0 to 1", "found 2")),
    ("replaced too early", HEAD + '[[replaced]]\npart="idler-arm"\nafter_check = -1', ("from 0 to 0", "found -1")),
    ("replaced half-way", HEAD + '[[replaced]]\npart="idler-arm"\nafter_check = 0.5', ("whole number", "found 0.5")),
    ("replaced truly", HEAD + '[[replaced]]\npart="idler-arm"\nafter_check = true', ("whole number", "found true")),
    ("replaced twice", HEAD + '[[replaced]]\npart="idler-arm"\nafter_check = 0\n' * 2,
     ("replaced 2", '"idler-arm"', "already replaced after check 0")),
    ("reason missing", HEAD + '[[not_checked]]\npart="idler-arm"', ("not_checked 1", "because must be", "missing")),
    ("neither part nor check", HEAD + '[[not_checked]]\nbecause="rust"', ("exactly one of part and check", "neither")),
    ("part and check", HEAD + '[[not_checked]]\npart="idler-arm"\ncheck="idler"\nbecause="rust"', ("found both",)),
    ("check not done unknown", HEAD + '[[not_checked]]\ncheck="idle"\nbecause="rust"', ('check "idle"', '"idler"')),
]  # fmt: skip


@pytest.mark.parametrize(("text", "parts"), [case[1:] for case in REFUSALS], ids=[case[0] for case in REFUSALS])
def test_a_wrong_entry_gets_one_sentence_that_names_file_field_and_value(
    tmp_path: Path, text: str, parts: tuple[str, ...]
) -> None:
    path = tmp_path / "ramp.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read(path)
    sentence = str(caught.value)
    assert sentence.startswith(str(path))
    assert [part for part in parts if part not in sentence] == []
    assert "\n" not in sentence and sentence[-1] in ".?"
    assert path.read_text(encoding="utf-8") == text


BYTES: list[tuple[str, bytes, tuple[str, ...]]] = [
    ("empty", b"", ("is empty",)),
    ("only a comment", b"# nothing yet\n\n", ("is empty",)),
    ("cut in a list", (HEAD + "[[check]]\nreadings = [\n").encode(), ("line 6", "breaks off")),
    ("cut in a text", HEAD[:-3].encode(), ("line 4", "breaks off")),
    ("binary", b"\x7fELF\x00\x01", ("not a text file",)),
    ("utf-16", "format = 1".encode("utf-16"), ("not",)),
    ("latin-1", (HEAD + 'place = "Fährhaus"').encode("latin-1"), ("line 5", "UTF-8", "0xe4")),
    ("too large", b"# filler\n" * 120_000, ("larger than 1 MB",)),
    ("nested without end", b"a = " + b"[\n" * 50_000, ("nested too deeply",)),
    ("one long line", b"a." * 3_000 + b"b = 1", ("line 1", "at most 4000")),
]


@pytest.mark.parametrize(("data", "parts"), [case[1:] for case in BYTES], ids=[case[0] for case in BYTES])
def test_a_file_that_is_no_record_gets_one_sentence(tmp_path: Path, data: bytes, parts: tuple[str, ...]) -> None:
    path = tmp_path / "ramp.toml"
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read(path)
    assert [part for part in ("ramp.toml", *parts) if part not in str(caught.value)] == []
    assert path.read_bytes() == data


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"absent\.toml does not exist"):
        read(tmp_path / "absent.toml")


def test_a_directory_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a directory"):
        read(tmp_path)


def test_a_name_below_a_file_and_an_impossible_name_are_refused(tmp_path: Path) -> None:
    (tmp_path / "ramp.toml").write_text(HEAD)
    with pytest.raises(InputError, match="cannot be read"):
        read(tmp_path / "ramp.toml" / "inner.toml")
    with pytest.raises(InputError, match="not a possible file name"):
        read(tmp_path / "a\0b.toml")
