"""Visits found among many, in both databases: by any word, however long ago they were signed off."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from sqlalchemy import text
from sqlalchemy.orm import Session

from looseends.store import Store, keep_customer, keep_vehicle, open_store, open_visit
from looseends.store.models import Complaint, Customer
from looseends.store.rebuild import checks_of, facts_of
from looseends.web.of_visit import finding_visits
from looseends.web.of_visit.finding_visits import found_visits
from tests.store.conftest import new_url, store, url
from tests.store.made_records import NOON, VISIT, check, condition, fact, prepared, recorded, stay

__all__ = ["new_url", "store", "url"]

OLD = "stay-0"
OF_THE_OLD = (
    "kelp_7",
    "ode",
    "MARLIN hums",
    "setts 9axk",
    "stores-van",
    "100%",
    "stores van kelp",
    "setts ke",
    "hum marlin kelp",
)
OF_NONE = ("kelpx7", "1000", "/", "ode wanders", "100%%")


def many(kept: Store) -> None:
    """An old visit with words of its own, nineteen newer ones signed off, four that are open."""
    with kept.writing() as session:
        keep_vehicle(session, "stores-van", at=NOON)
        keep_customer(session, Customer(id="old-customer", name="Ode Marlin 100%", phone="", created_at=NOON))
        for number in range(24):
            row = stay(
                id=f"stay-{number}",
                vehicle_id="stores-van" if number == 0 else "yard-pickup",
                customer_id="old-customer" if number == 0 else None,
                opened_at=NOON + datetime.timedelta(days=number),
                plate="KELP_7" if number == 0 else f"SLIP {number}",
                vin="1M8GDM9AXKP042788" if number == 0 else "",
            )
            open_visit(session, row, complaint="hums over setts" if number == 0 else "wanders")
            row.state = "signed-off" if number < 20 else "open"


def ids(session: Session, search: str) -> tuple[list[str], list[str]]:
    """Open and signed visits that are found."""
    found = found_visits(session, search)
    return [row.VisitRecord.id for row in found.open], [row.VisitRecord.id for row in found.done]


@pytest.fixture(params=[0, 100])
def filled(request: pytest.FixtureRequest, store: Store, monkeypatch: pytest.MonkeyPatch) -> Store:
    """A store with those visits, whose newest five signed ones are looked through and three are shown at most.

    The old one is found by the visits of all its words, or by the first of the words that hardly any have.
    """
    monkeypatch.setattr(finding_visits, "NEWEST", 5)
    monkeypatch.setattr(finding_visits, "MOST_FOUND", 3)
    monkeypatch.setattr(finding_visits, "HARDLY_ANY", request.param)
    many(prepared(store))
    return store


def test_a_visit_signed_off_long_ago_is_found_by_each_word_and_a_patterns_signs_are_plain(
    filled: Store,
) -> None:
    with filled.reading() as session:
        assert ids(session, "ke") == ([], [])
        assert {search: ids(session, search) for search in OF_THE_OLD} == dict.fromkeys(OF_THE_OLD, ([], [OLD]))
        assert {search: ids(session, search) for search in OF_NONE} == dict.fromkeys(OF_NONE, ([], []))


def test_the_longest_waiting_and_the_newest_signed_come_first_and_no_more_than_are_shown(filled: Store) -> None:
    with filled.reading() as session:
        assert ids(session, "wanders") == (["stay-20", "stay-21", "stay-22"], ["stay-19", "stay-18", "stay-17"])
        assert found_visits(session, "wanders").more == 1


def test_many_that_have_each_of_the_words_and_were_signed_off_long_ago_are_found_newest_first(filled: Store) -> None:
    with filled.writing() as session:
        for number in range(1, 9):
            session.get_one(Complaint, f"stay-{number}").words = "hums on the quay"
    with filled.reading() as session:
        assert ids(session, "quay hums") == ids(session, "qu hums") == ([], ["stay-8", "stay-7", "stay-6"])
        assert ids(session, "quay wanders") == ([], [])


def test_a_server_plans_each_search_for_its_own_words(new_url: Callable[[str], str]) -> None:
    store = open_store(new_url("postgresql"))
    with store.reading() as session:
        for number in range(20):
            found_visits(session, f"kelp {number}")
        assert session.scalar(text("SELECT count(*) FROM pg_prepared_statements")) == 0
    store.close()


def test_a_check_corrected_and_one_withdrawn_count_as_what_they_have_become(filled: Store) -> None:
    first, second, seen = fact("check", check(), 1), fact("check", check(), 2), fact("condition", condition(), 3)
    gone = fact("withdrawn", {"because": "not done"}, 4, supersedes=second.id)
    unseen = fact("withdrawn", {"because": "not seen"}, 5, supersedes=seen.id)
    mended = fact("check", check("Bea"), 6, supersedes=first.id)
    recorded(filled, first, second, seen, gone, unseen, mended)
    with filled.reading() as session:
        found = checks_of(session, [VISIT, OLD])
        held = [one for one in facts_of(session, VISIT) if one.kind == "check"]
    assert found[OLD] == []
    assert [one["observer"] for one in found[VISIT]] == ["Bea"] == [one.content.observer for one in held]
