"""Observations go in once, come out in order with their corrections, and wrong ones are refused in a sentence."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from looseends.errors import InputError
from looseends.inspection.types import CheckDone, ConditionSeen, Hidden, NotChecked, Reading, Replaced, SymptomSeen, Use
from looseends.store import Store, keep_account, open_visit, record, time_ordered_id
from looseends.store.ids import is_time_ordered
from looseends.store.models import Account
from tests.store.made_records import NOON, READING, check, condition, fact, prepared, recorded, refusals, stay, visit_in


def test_a_visit_of_every_kind_comes_out_as_it_went_in(store: Store) -> None:
    done = fact("check", check(stop_gap_mm=1), 1)
    receipt = recorded(
        prepared(store),
        done,
        fact("reading", {"check": done.id, "reading": {**READING, "gauge_mm": 0.5, "free_mm": 0.25}}, 2),
        fact("hidden", {"check": done.id, "hidden": {"part": "idler-arm", "by": "rust"}}, 3),
        fact("condition", condition(present=False), 4),
        fact("not-checked", {"part": "rack", "because": "no room"}, 5),
        fact("symptom", {"kind": "tire", "id": "cupping", "wheel": "front-left", "observer": "Ann", "note": ""}, 6),
        fact("replaced", {"part": "idler-arm", "by": "Ann", "note": "new"}, 7),
        fact("use", {"age_years": 12, "rust": "heavy"}, 8),
    )
    assert receipt.refused == ()
    assert [accepted.sequence for accepted in receipt.accepted] == list(range(1, 9))
    visit = visit_in(store)
    (seen,) = visit.checks
    assert isinstance(seen, CheckDone)
    assert (seen.number, seen.stop_gap_mm, seen.passed_parts) == (1, 1.0, ("idler-arm",))
    assert seen.readings[1] == Reading("gap", "gauge", 0.5, None, "", 0.25)
    assert seen.hidden == (Hidden("idler-arm", "rust"),)
    assert visit.conditions == (ConditionSeen(1, "idler-arm", "boot-torn", "Ann", "", present=False),)
    assert visit.not_checked == (NotChecked(1, "rack", "no room"),)
    assert visit.symptoms == (SymptomSeen(1, "tire", "cupping", "front-left", "Ann", ""),)
    assert visit.replaced == (Replaced(1, "idler-arm", 1, "Ann", "new"),)
    assert visit.use == Use(age_years=12.0, rust="heavy")
    assert (visit.vehicle, visit.technician, visit.date) == ("yard-pickup", "Ann", NOON.date())


def test_a_visit_names_those_learners_who_looked(store: Store) -> None:
    prepared(store)
    with store.writing() as session:
        for name, role in (("Bo", "learner"), ("Cy", "learner"), ("Di", "technician"), ("Ed", "learner")):
            plain = {"language": "en", "units": "metric", "created_at": NOON}
            keep_account(session, Account(id=f"account-{name}", name=name, role=role, **plain))
    seen = fact("condition", condition(observer="Cy"), 2)
    recorded(store, fact("check", check("Bo")), fact("check", check("Di"), 1), seen)
    assert visit_in(store).learners == ("Bo", "Cy")


def test_what_is_sent_again_is_accepted_once(store: Store) -> None:
    first, second = fact("condition", condition("a")), fact("condition", condition("b"), 1)
    before = recorded(prepared(store), first)
    after = recorded(store, first, second, second)
    assert [accepted.new for accepted in after.accepted] == [False, True, False]
    assert after.accepted[0] == replace(before.accepted[0], new=False)
    assert [seen.part for seen in visit_in(store).conditions] == ["a", "b"]


def test_the_same_id_with_other_content_is_refused_and_the_rest_goes_in(store: Store) -> None:
    first = fact("condition", condition("a"))
    other = replace(first, payload=condition("z"))
    later = replace(first, device_time=NOON + datetime.timedelta(seconds=1))
    recorded(prepared(store), first)
    receipt = recorded(store, other, later, fact("condition", condition("b"), 1))
    sentence = f"observation {first.id}: is stored already with other content; a correction takes an id of its own."
    assert [refused.sentence for refused in receipt.refused] == [sentence, sentence]
    assert [seen.part for seen in visit_in(store).conditions] == ["a", "b"]


def test_a_batch_is_stored_whole_or_not_at_all(store: Store) -> None:
    class Broken(Exception):
        pass

    prepared(store)
    with pytest.raises(Broken), store.writing() as session:
        assert len(record(session, [fact("condition", condition())]).accepted) == 1
        raise Broken
    assert visit_in(store).conditions == ()
    assert recorded(store, fact("condition", condition())).accepted[0].sequence == 1


def test_order_is_the_device_s_time_then_the_id(store: Store) -> None:
    late, early = fact("condition", condition("late"), 5), fact("condition", condition("early"), 1)
    same = replace(fact("condition", condition("same")), device_time=late.device_time)
    recorded(prepared(store), same, late)
    recorded(store, early)
    assert [(seen.number, seen.part) for seen in visit_in(store).conditions] == [(1, "early"), (2, "late"), (3, "same")]


def test_a_second_look_stands_beside_the_first(store: Store) -> None:
    first, second = fact("condition", condition()), fact("condition", condition(again=1, present=False), 1)
    recorded(prepared(store), first, second)
    recorded(store, fact("condition", condition(again=1), 2, supersedes=second.id))
    assert [(seen.present, seen.again) for seen in visit_in(store).conditions] == [(True, 0), (True, 1)]


def test_a_replacement_counts_the_checks_before_it(store: Store) -> None:
    recorded(prepared(store), *(fact("check", check(), minute) for minute in (1, 2, 4)))
    recorded(store, fact("replaced", {"part": "idler-arm", "by": "Ann", "note": ""}, 3))
    assert [done.after_check for done in visit_in(store).replaced] == [2]


def test_corrections_take_the_place_and_keep_what_hangs_on_it(store: Store) -> None:
    first, second = fact("check", check("one"), 1), fact("check", check("two"), 2)
    # the chain decides, even where the device's clock went back
    mended = fact("check", check("mended"), 9, supersedes=first.id)
    again = fact("check", check("again"), 8, supersedes=mended.id)
    taken = fact("reading", {"check": mended.id, "reading": READING}, 10)
    hung = fact("hidden", {"check": first.id, "hidden": {"part": "rack", "by": "grease"}}, 3)
    assert refusals(prepared(store), first, second, hung, mended, again, taken) == []
    checks = visit_in(store).checks
    assert [(done.number, done.observer) for done in checks] == [(1, "again"), (2, "two")]
    assert [len(done.readings) for done in checks] == [2, 1]
    assert [len(done.hidden) for done in checks] == [1, 0]


def test_of_two_corrections_the_later_one_holds(store: Store) -> None:
    first = fact("condition", condition("a"), 1)
    later, earlier = (fact("condition", condition(f"at {m}"), m, supersedes=first.id) for m in (5, 4))
    recorded(prepared(store), first, later, earlier)
    assert [seen.part for seen in visit_in(store).conditions] == ["at 5"]


def test_what_is_withdrawn_is_left_out_and_stays_stored(store: Store) -> None:
    done = fact("check", check(), 1)
    taken = fact("reading", {"check": done.id, "reading": READING}, 2)
    gone = fact("withdrawn", {"because": "the other wheel"}, 3, supersedes=done.id)
    assert refusals(prepared(store), done, taken, gone) == []
    assert visit_in(store).checks == ()
    assert recorded(store, done).accepted[0].new is False
    back = fact("check", check("back"), 4, supersedes=gone.id)
    assert refusals(store, back) == []
    assert [seen.observer for seen in visit_in(store).checks] == ["back"]


def test_wrong_observations_are_refused_in_a_sentence(store: Store) -> None:
    right = fact("condition", condition())
    known = fact("check", check())
    recorded(prepared(store), known)
    cases = {
        'id must be a UUID of version 7 in lower case, found "7".': replace(right, id="7"),
        'kind "conditions" is not known; did you mean "condition"': replace(right, kind="conditions"),
        "device_time must tell its time zone": replace(right, device_time=datetime.datetime(2026, 1, 1)),
        'visit must be one that is stored, found "no".': replace(right, visit="no"),
        'account must be one that is stored, found "no".': replace(right, account="no"),
        "condition: must be an object with fields, found a list": replace(right, payload=[]),  # type: ignore[arg-type]
        'condition: field "nots" is not known; did you mean "note"': replace(right, payload={**condition(), "nots": 1}),
        "condition: observer must be given, it is missing.": replace(right, payload={"part": "a", "condition": "b"}),
        'condition, present: must be true or false, found "no".': replace(right, payload=condition(present="no")),
        "condition, note: must be a text of whole characters": replace(right, payload=condition(note="\0")),
        "condition, note: must be a text, found null.": replace(right, payload=condition(note=None)),  # type: ignore[arg-type]
        "check, stop_gap_mm: must be a number, found true.": fact("check", check(stop_gap_mm=True)),
        "check, stop_gap_mm: must be a number, found inf.": fact("check", check(stop_gap_mm=float("inf"))),
        'check, readings 1, by: must be one of gauge, hand, eye, ear, feel, group, found "nose".': fact(
            "check", check(readings=[{**READING, "by": "nose"}])
        ),
        "check, passed_parts: must be a list, found": fact("check", check(passed_parts="idler-arm")),
        "payload must be at most 64000 bytes, found": replace(right, payload=condition(note="n" * 64_000)),
        "supersedes must name the observation that is withdrawn, found nothing.": fact("withdrawn", {"because": ""}),
        'kind must be "check", as what it corrects, or "withdrawn", found "condition".': replace(
            right, supersedes=known.id
        ),
        "supersedes must be an earlier observation of the same visit": replace(right, supersedes=time_ordered_id()),
        "check must be an earlier observation of the same visit": fact(
            "reading", {"check": "none", "reading": READING}
        ),
    }
    found = [refusals(store, wrong) for wrong in cases.values()]
    assert [len(sentences) for sentences in found] == [1] * len(cases)
    assert [words for words, (sentence,) in zip(cases, found, strict=True) if words not in sentence] == []
    assert [sentence for (sentence,) in found if sentence.count("\n")] == []
    assert visit_in(store).conditions == ()


def test_a_correction_stays_in_its_visit(store: Store) -> None:
    prepared(store)
    with store.writing() as session:
        open_visit(session, stay(id="visit-2"))
    first = fact("condition", condition())
    (sentence,) = refusals(store, first, fact("condition", condition(), 1, visit="visit-2", supersedes=first.id))
    assert "supersedes must be an earlier observation of the same visit" in sentence


def test_a_reading_hangs_on_a_check_only(store: Store) -> None:
    seen = fact("condition", condition())
    taken = fact("reading", {"check": seen.id, "reading": READING}, 1)
    (sentence,) = refusals(prepared(store), seen, taken)
    assert sentence.endswith('check must be an observation of a check, found one of "condition".')


def test_a_batch_that_is_too_long_is_refused(store: Store) -> None:
    batch = [fact("condition", condition())] * 1001
    with pytest.raises(InputError, match=r"^a batch must hold at most 1000 observations, found 1001\.$"):
        recorded(prepared(store), *batch)


def test_an_unknown_visit_is_refused(store: Store) -> None:
    with pytest.raises(InputError, match=r'^visit must be one that is stored, found "visit-2"\.$'):
        visit_in(store, "visit-2")


def test_ids_are_ordered_by_time_and_of_version_7() -> None:
    ids = [time_ordered_id(at) for at in (0, 1, 1_700_000_000_000, 2**48 - 1)]
    assert ids == sorted(ids)
    assert all(is_time_ordered(made) for made in ids)
    # the example of RFC 9562, appendix A.6, and one of version 4
    assert is_time_ordered("017f22e2-79b0-7cc3-98c4-dc0c0c07398f")
    assert time_ordered_id(0x017F22E279B0).startswith("017f22e2-79b0-7")
    assert not is_time_ordered("919108f7-52d1-4320-9bac-f847db4148a8")
