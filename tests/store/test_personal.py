"""Erasing a customer leaves the stub and the vehicle's record, and nothing personal in the files."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import Text, cast, select

from looseends.errors import InputError
from looseends.store import Store, erase_customer, judgement_of, keep_customer, open_visit
from looseends.store.models import Base, Customer
from looseends.store.personal import PERSONAL
from tests.store.made_records import (
    COMPLAINT,
    CUSTOMER,
    NAME,
    NOON,
    PHONE,
    PLATE,
    VIN,
    VISIT,
    condition,
    fact,
    prepared,
    recorded,
    stay,
    visit_in,
)
from tests.store.test_sign_off import signed

NOTE = f"{NAME.lower()} (tel. {PHONE}) heard it; Mrs Quay drives {PLATE}, VIN {VIN}; rust at the quayside"
TRACES = (NAME, PHONE, PLATE, VIN, COMPLAINT, "Wilhelmina", "shimmies")


def everything(store: Store) -> str:
    """All that the database tells, and on SQLite every byte of its files."""
    with store.reading() as session:
        tables = Base.metadata.sorted_tables
        cells = [cast(column, Text) for table in tables for column in table.columns]
        text = " ".join(str(value) for cell in cells for value in session.scalars(select(cell)))
    if store.where.file is not None:
        files = [path for path in store.where.file.parent.rglob("*") if path.is_file()]
        text += "".join(path.read_bytes().decode("latin-1") for path in files)
    return text


def found(store: Store) -> list[str]:
    """What of the customer is still there, in any case of letters."""
    text = everything(store).lower()
    return [trace for trace in TRACES if trace.lower() in text]


def test_nothing_personal_remains(store: Store) -> None:
    seen = fact("condition", condition(note=NOTE))
    recorded(prepared(store), seen, fact("withdrawn", {"because": f"{NAME} was wrong"}, 1, supersedes=seen.id))
    recorded(store, kept := fact("condition", condition(note=NOTE), 2))
    signed(store)
    assert found(store) == list(TRACES)
    erase_customer(store, CUSTOMER, at=NOON)
    assert found(store) == []
    visit = visit_in(store)
    (condition_seen,) = visit.conditions
    assert condition_seen.note.startswith("[erased] (tel. [erased]) heard it; Mrs [erased] drives [erased]")
    assert condition_seen.note.endswith("rust at the quayside")
    assert (visit.customer, visit.complaint, visit.plate, visit.odometer_km) == ("", "", "", 81200.0)
    with store.reading() as session:
        assert session.get_one(Customer, CUSTOMER).erased_at == NOON
        frozen = judgement_of(session, VISIT)
        assert frozen is not None and frozen.redacted_at == NOON
    # a tablet that did not hear the answer sends the same again
    assert recorded(store, kept).accepted[0].new is False
    with store.writing() as session:
        keep_customer(session, Customer(id=CUSTOMER, name=NAME, phone=PHONE, created_at=NOON))
        open_visit(session, stay(), complaint=COMPLAINT)
    assert found(store) == []
    erase_customer(store, CUSTOMER)


def test_words_of_the_trade_survive_a_customer_who_is_called_so(store: Store) -> None:
    prepared(store)
    with store.writing() as session:
        keep_customer(session, Customer(id="customer-2", name="Rust", phone="torn", created_at=NOON))
        open_visit(session, stay(id="visit-2", customer_id="customer-2", plate="idler-arm", vin=""))
    recorded(store, fact("use", {"rust": "heavy"}, visit="visit-2"))
    recorded(store, fact("condition", condition(note="Rust told"), visit="visit-2"))
    erase_customer(store, "customer-2")
    visit = visit_in(store, "visit-2")
    assert (visit.use.rust, visit.conditions[0].part, visit.conditions[0].note) == (
        "heavy",
        "idler-arm",
        "[erased] told",
    )


def test_an_unknown_customer_is_refused(store: Store) -> None:
    with pytest.raises(InputError, match=r'^customer must be one that is stored, found "nobody"\.$'):
        erase_customer(store, "nobody")


def test_what_is_called_personal_are_columns_that_there_are() -> None:
    tables = Base.metadata.tables
    assert [(t, c) for t, columns in PERSONAL.items() for c in columns if c not in tables[t].columns] == []


def test_another_content_for_the_same_id_is_refused(store: Store) -> None:
    prepared(store)
    with store.writing() as session:
        with pytest.raises(InputError, match=r"^visit visit-1: plate is stored already and is not the same"):
            open_visit(session, stay(plate="SLIP 78"))
        with pytest.raises(InputError, match=r'^visit visit-3: vehicle must be one that is stored, found "gig"\.$'):
            open_visit(session, stay(id="visit-3", vehicle_id="gig"))


def test_the_store_is_for_its_user_alone(store: Store) -> None:
    if store.where.file is not None:
        assert Path(store.where.file).stat().st_mode & 0o077 == 0
