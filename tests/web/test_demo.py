"""The demo bay at its first start: the visit that its list has signed off holds a frozen judgement; tables are told."""

from __future__ import annotations

from pathlib import Path

import pytest
from litestar.testing import TestClient
from sqlalchemy import select

from looseends.store.models import VisitRecord
from looseends.store.sign_off import is_whole, judgement_of, rests_on_all
from looseends.web import Settings, create_app
from looseends.web.demo.filling import demo_vehicles, to_sign
from looseends.web.demo.starting import sign_what_waits
from looseends.web.judged.preparing import Progress
from looseends.web.serving import first_link
from tests.web.cast import ADDRESS, JudgingOfStored, words_of


def test_the_signed_visit_holds_a_judgement_with_its_checksum_and_is_signed_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path / "tables"))
    app = create_app(Settings(tmp_path / "web", str(tmp_path / "records.sqlite"), ADDRESS, demo=True))
    app.state.judging = JudgingOfStored()
    link, store = first_link(app), app.state.store
    with store.reading() as session:
        (stay,) = [stay for stay in session.scalars(select(VisitRecord)) if to_sign(stay)]
        assert stay.state == "open"
    for _ in range(2):
        sign_what_waits(app, demo_vehicles()[0])
    with store.reading() as session:
        frozen = judgement_of(session, stay.id)
        assert frozen is not None and is_whole(frozen) and rests_on_all(session, frozen)
        assert frozen.signed_at.astimezone().date() == stay.date
        states = list(session.scalars(select(VisitRecord.state)))
        assert sorted(states) == ["open"] * 5 + ["signed-off"]
    with TestClient(app, base_url=ADDRESS) as client:
        page = client.get(link).text
        assert 'id="tables"' not in page
        monkeypatch.setattr(app.state.preparing, "now", lambda: Progress("stores-van", 12, 59))
        assert "Tables of the stores van: 12 of 59 are there." in words_of(client.get("/").text)
        assert 'aria-valuenow="12"' in client.get("/tables").text
        assert words_of(client.get(f"/visits/{stay.id}/handover").text).count("This visit is signed off") == 1
