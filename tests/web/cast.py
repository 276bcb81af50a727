"""A shop with a fixed cast, one person of each role, and what tests ask it."""

from __future__ import annotations

import datetime
import io
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from litestar import Litestar
from litestar.testing import TestClient
from PIL import Image

from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.next_step import Enough, Step
from looseends.inspection.types import Judgement, NextCheck, Visit
from looseends.language import AsWritten
from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store, open_store
from looseends.vehicle.setup import Setup
from looseends.web import Settings, create_app
from looseends.web.accounts.access import ROLES, Role
from looseends.web.accounts.people import account_named, new_account
from looseends.web.judged.judging import Judged
from looseends.web.judged.preparing import Progress
from tests.report.handover_sample import yard_pickup_judgement

Client = TestClient[Litestar]

PASSWORD = "four worn tires stacked"
NAMES: dict[Role, str] = {
    "owner": "Ines Calder",
    "instructor": "Bram Oduya",
    "technician": "Tom Orrin",
    "learner": "Lucía Quay",
    "office": "Wen Sallow",
}
ADDRESS = "http://testserver.local"


LIFT_WITH_A_BAR = NextCheck(
    setup=Setup("bj-axial", "arm", "left", "held", "off", 0.0),
    watches=("lower-ball-joint-left",),
    minutes=5.0,
    information_bits=0.8,
    separates=("lower-ball-joint-left",),
    reason=AsWritten("It is the quickest check that would show play here."),
)


class JudgingStub:
    """Answers at once: computing tables is the diagnosis's own business, and its tests'."""

    def __init__(self) -> None:
        self.answer: Judgement | Progress = replace(yard_pickup_judgement(), next_checks=(LIFT_WITH_A_BAR,))
        self.asked: list[tuple[str, Visit]] = []
        self.worn: Account | None = None

    def known(self, visit_id: str, visit: Visit) -> Judgement | None:
        """What was asked for before, as the judging keeps it."""
        return None if isinstance(self.answer, Progress) else self.answer

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """What the test put there."""
        self.asked.append((visit_id, visit))
        return self.answer

    def account(self, visit_id: str, visit: Visit) -> Account | None:
        """Nothing is worn, unless the test put something there."""
        return self.worn

    def knows_account(self, visit_id: str, visit: Visit) -> bool:
        """At once."""
        return True

    def judged(self, visit_id: str, visit: Visit) -> Judged | Progress:
        """The same, with the first of its next checks as the step."""
        found = self.judgement(visit_id, visit)
        if isinstance(found, Progress):
            return found
        if not found.next_checks:
            return Judged(found, Enough("decided", "Enough is known to act.", (), ()))
        first, *others = found.next_checks
        return Judged(found, Step(first, 1.0, tuple(check.setup for check in others), None, ()))

    def step_within(self, visit_id: str, visit: Visit, minutes_left: float) -> Step | Enough:
        """The same step, as if it fitted."""
        found = self.judged(visit_id, visit)
        assert isinstance(found, Judged)
        return found.step


class JudgingOfStored(JudgingStub):
    """Concludes the same of every visit, as that visit is stored."""

    def known(self, visit_id: str, visit: Visit) -> Judgement | None:
        """As if it had been asked for before."""
        found = self.judgement(visit_id, visit)
        return None if isinstance(found, Progress) else found

    def judgement(self, visit_id: str, visit: Visit) -> Judgement | Progress:
        """The sample, of this visit."""
        return self.answer if isinstance(self.answer, Progress) else replace(self.answer, visit=visit)


def shop_records(file: Path) -> Path:
    """A store that holds the cast and nothing else."""
    store = open_store(str(file))
    with store.writing() as session:
        for role in ROLES:
            new_account(session, NAMES[role], role, PASSWORD)
    store.close()
    return file


def shop(folder: Path, records: Path) -> Litestar:
    """An application over a copy of a shop's records."""
    file = shutil.copy(records, folder / "records.sqlite")
    app = create_app(Settings(folder / "web", str(file), ADDRESS))
    app.state.judging = JudgingStub()
    return app


@contextmanager
def visitor(app: Litestar, language: str = "en") -> Iterator[Client]:
    """A browser that nobody has signed in with."""
    with TestClient(app, base_url=ADDRESS) as client:
        client.headers["accept-language"] = language
        yield client


@contextmanager
def signed_in(app: Litestar, role: Role) -> Iterator[Client]:
    """A browser of the person with this role."""
    with visitor(app) as client:
        sign_in_as(app, client, role)
        yield client


def sign_in_as(app: Litestar, client: Client, role: Role) -> None:
    """The same browser in the hands of the person with this role, who begins afresh."""
    store: Store = app.state.store
    with store.reading() as session:
        account = account_named(session, NAMES[role])
        assert account is not None
        word = app.state.links.word_for(account.id)
    client.cookies.clear()
    assert client.get(f"/once/{word}").status_code == 200


def form_token(client: Client) -> str:
    """The token of a page that was loaded before."""
    token = client.cookies.get("looseends-form")
    assert token is not None
    return token


def send(client: Client, address: str, *, follow: bool = True, **fields: object) -> tuple[int, str]:
    """Status and page after a form was sent as a browser does it."""
    data = {"_csrf_token": form_token(client), **fields}
    answer = client.post(address, data=data, follow_redirects=follow)
    return answer.status_code, answer.text


def put_photo(client: Client, visit: str, photo: str, observation: str = "") -> int:
    """Status after a small gray picture was sent as a tablet does it."""
    made = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 90, 90)).save(made, "JPEG")
    now = datetime.datetime.now(datetime.UTC).isoformat()
    headers = {"x-csrftoken": form_token(client), "content-type": "image/jpeg", "x-device-time": now}
    address = f"/api/visits/{visit}/photos/{photo}" + (f"?observation={observation}" if observation else "")
    return client.put(address, content=made.getvalue(), headers=headers).status_code


def taken_in(client: Client, **fields: object) -> str:
    """The id of a visit that was just opened through the form."""
    visit_id = time_ordered_id()
    status, page = send(client, "/intake", visit_id=visit_id, vehicle="yard-pickup", **fields)
    assert status == 200, words_of(page)
    return visit_id


def words_of(page: str) -> str:
    """A page's text without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())
