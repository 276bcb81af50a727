"""Taking in a vehicle: what is kept, what is asked again, and what a double touch does."""

from __future__ import annotations

import pytest
from litestar import Litestar
from sqlalchemy import func, select

from looseends.inspection.types import Visit
from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store
from looseends.store.models import VisitRecord
from looseends.store.rebuild import visit_of
from tests.web.cast import NAMES, Client, send, signed_in, taken_in, words_of

VALID_VIN = "1M8GDM9AXKP042788"  # the worked example of 49 CFR 565.15, as tests/vehicle/test_vin.py has it


def kept(app: Litestar, visit_id: str) -> Visit:
    """The visit as the inspection knows it."""
    store: Store = app.state.store
    with store.reading() as session:
        return visit_of(session, visit_id)


def test_everything_of_the_form_is_kept(app: Litestar, technician: Client) -> None:
    fields = {
        "plate": "SLIP 41",
        "odometer": "148,200",
        "customer": "Hanna Ferris",
        "complaint": "Wanders all over the road",
        "told_shown": "yes",
        "told": "wanders",
        "tire-front-left": "feathered",
        "tire-rear-right": "even",
        "road_shows": ["pulls-braking"],
        "alteration": ["lift-block"],
        "alteration_note": "50 mm, rear",
    }
    visit = kept(app, taken_in(technician, **fields))
    assert (visit.plate, visit.odometer_km, visit.customer) == ("SLIP 41", 148200.0, "Hanna Ferris")
    assert visit.complaint == "Wanders all over the road"
    seen = {(symptom.kind, symptom.id, symptom.wheel, symptom.observer) for symptom in visit.symptoms}
    by = NAMES["technician"]
    assert seen == {
        ("complaint", "wanders", None, by),
        ("tire", "feathered", "front-left", by),
        ("road-test", "pulls-braking", None, by),
    }
    assert [check.note for check in visit.checks] == ["lift block; 50 mm, rear"]


def test_a_complaint_that_was_unticked_is_not_recorded(app: Litestar, technician: Client) -> None:
    visit = kept(app, taken_in(technician, complaint="wanders", told_shown="yes"))
    assert visit.complaint == "wanders"
    assert visit.symptoms == ()


def test_without_script_what_is_understood_is_recorded(app: Litestar, technician: Client) -> None:
    visit = kept(app, taken_in(technician, complaint="wanders"))
    assert [symptom.id for symptom in visit.symptoms] == ["wanders"]


def test_a_form_sent_twice_opens_one_visit(app: Litestar, technician: Client) -> None:
    visit_id = time_ordered_id()
    fields = {"visit_id": visit_id, "vehicle": "yard-pickup", "customer": "Hanna Ferris", "complaint": "wanders"}
    first, second = send(technician, "/intake", **fields), send(technician, "/intake", **fields)
    assert first[0] == second[0] == 200
    store: Store = app.state.store
    with store.reading() as session:
        assert session.scalar(select(func.count()).select_from(VisitRecord)) == 1
    assert len(kept(app, visit_id).symptoms) == 1


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("vehicle", "hovercraft", "Vehicle: choose the one that is built like it."),
        ("odometer", "a lot", "Odometer: write a distance as digits, such as 148200, found a lot."),
        ("odometer", "-5", "found -5."),
        (
            "vin",
            "1M8GDM9A",
            "has 17 digits and letters other than I, O and Q, found 8 in 1M8GDM9A.",
        ),
        ("vin", "1M8GDM9AOKP042788", "found 17 in 1M8GDM9AOKP042788."),
        ("visit_id", "../../x", "This page cannot be sent as it is: load it again."),
    ],
)
def test_a_wrong_field_is_told_in_one_sentence_and_the_rest_stays(
    app: Litestar, technician: Client, field: str, value: str, sentence: str
) -> None:
    fields = {"visit_id": time_ordered_id(), "vehicle": "yard-pickup", "complaint": "knocks & <wanders>", field: value}
    status, page = send(technician, "/intake", **fields)
    assert status == 400
    assert sentence in words_of(page)
    assert "knocks &amp; &lt;wanders&gt;</textarea>" in page
    store: Store = app.state.store
    with store.reading() as session:
        assert session.scalar(select(func.count()).select_from(VisitRecord)) == 0


def test_a_number_with_a_wrong_check_digit_is_kept_with_a_warning(technician: Client) -> None:
    remark = technician.get("/intake/vin", params={"vin": "1M8GDM9A5KP042788"}).text
    assert "character 9 is 5 and should be X" in words_of(remark)
    assert words_of(technician.get("/intake/vin", params={"vin": VALID_VIN}).text) == ""
    visit_id = taken_in(technician, vin="1m8gdm9a5kp042788")
    assert "1M8GDM9A5KP042788" in technician.get(f"/visits/{visit_id}").text


@pytest.mark.parametrize("typed", ["91,6", "91.6", "91,60"])
def test_an_odometer_in_miles_is_kept_in_km_whatever_the_decimal_sign(
    app: Litestar, technician: Client, typed: str
) -> None:
    assert send(technician, "/me", units="us", back="/intake")[0] == 200
    found = kept(app, taken_in(technician, odometer=typed)).odometer_km
    assert found == pytest.approx(91.6 * 1.609344)


def test_what_is_understood_shows_while_it_is_typed(technician: Client) -> None:
    page = technician.get("/intake/understood", params={"complaint": "it wanders, knocks on small bumps"}).text
    assert 'value="wanders" checked' in page
    assert 'value="knock-small-bumps" checked' in page
    nothing = technician.get("/intake/understood", params={"complaint": "purple"}).text
    assert "like no complaint on file" in words_of(nothing)


def test_names_from_right_to_left_keep_their_direction(technician: Client) -> None:
    visit_id = taken_in(technician, customer="רות כהן", plate="أ ب ج 123")
    page = technician.get(f"/visits/{visit_id}").text
    assert '<span dir="auto">أ ب ج 123</span>' in page
    assert '<dd dir="auto">רות כהן</dd>' in page


def test_the_lift_points_come_first_and_the_last_look_counts(app: Litestar, technician: Client) -> None:
    visit_id = taken_in(technician)
    assert "First: the lift points" in technician.get(f"/visits/{visit_id}").text
    assert "lift points, before it is raised" in technician.get("/").text
    send(technician, f"/visits/{visit_id}/lift-points", found="not sound", note="left rear flakes")
    home = words_of(technician.get(f"/visits/{visit_id}").text)
    assert "Not to be raised" in home and "left rear flakes" in home and "Next check" not in home
    assert "not raised: tell the owner" in technician.get("/").text
    send(technician, f"/visits/{visit_id}/lift-points", found="sound")
    assert "Not to be raised" not in technician.get(f"/visits/{visit_id}").text
    assert "first check" in technician.get("/").text


def test_the_office_takes_in_and_leaves_the_lift_points_to_others(app: Litestar) -> None:
    with signed_in(app, "office") as office:
        visit_id = taken_in(office, plate="SLIP 77")
        assert "A technician or an instructor looks at them." in office.get(f"/visits/{visit_id}").text
        assert send(office, f"/visits/{visit_id}/lift-points", found="sound")[0] == 403
