"""The example visit, sent fact by fact and put together again, is the visit that its file records."""

from __future__ import annotations

from importlib.resources import as_file

from looseends.catalogue import load_catalogue
from looseends.inspection import EXAMPLE_VISIT, Visit, read_visit
from looseends.store import Store, keep_customer, keep_vehicle, open_visit
from looseends.store.models import Customer
from looseends.store.typed_json import ASSIGNED, plain
from looseends.vehicle.loading import load_vehicles
from tests.store.made_records import NOON, VISIT, fact, prepared, recorded, stay, visit_in


def example() -> Visit:
    """The visit of the file."""
    vehicles = load_vehicles()
    parts = {name: tuple(vehicles[name].parts) if name == "yard-pickup" else () for name in vehicles}
    with as_file(EXAMPLE_VISIT) as path:
        return read_visit(path, catalogue=load_catalogue(), part_ids=parts, vehicle_ids=tuple(vehicles))


def test_the_example_visit_comes_back(store: Store) -> None:
    visit = example()
    prepared(store)
    with store.writing() as session:
        keep_vehicle(session, visit.vehicle, at=NOON)
        keep_customer(session, Customer(id="c", name=visit.customer, phone="", created_at=NOON))
        row = stay(id="example", vehicle_id=visit.vehicle, customer_id="c", date=visit.date, place=visit.place)
        row.plate, row.odometer_km, row.jurisdiction = visit.plate, visit.odometer_km, visit.jurisdiction
        open_visit(session, row, complaint=visit.complaint)
    kinds = (("check", visit.checks), ("condition", visit.conditions), ("not-checked", visit.not_checked))
    facts = [(kind, plain(content, ASSIGNED)) for kind, contents in kinds for content in contents]
    assert len(facts) > 5
    sent = [fact(kind, content, minute, visit="example") for minute, (kind, content) in enumerate(facts)]  # type: ignore[arg-type]
    assert recorded(store, *reversed(sent)).refused == ()
    back = visit_in(store, "example")
    assert back.technician == "Ann"  # the account that opened it
    assert plain(back) == {**plain(visit), "technician": "Ann"}  # type: ignore[dict-item]
    assert visit_in(store, VISIT).checks == ()
