"""What the pages of a visit hand to their scripts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import msgspec
from litestar.connection import Request
from litestar.datastructures import State
from markupsafe import Markup

from looseends.inspection.types import Visit
from looseends.store.kept import Store
from looseends.store.models import VisitRecord
from looseends.store.rebuild import facts_of
from looseends.web.accounts.access import Person
from looseends.web.answering.speaking import manner_of
from looseends.web.bay.cards import cards_of
from looseends.web.bay.records import Cards
from looseends.web.bay.route_order import Order, RouteOrder
from looseends.web.bay.words import entry_figures, words_for
from looseends.web.judged.judging import vehicle_of
from looseends.web.of_visit.lift_points import LiftPoints, lift_points_found
from looseends.web.of_visit.recorded import ObservationOut, recorded
from looseends.web.of_visit.visits import known_visit


class Handed(msgspec.Struct):
    """The block that a page's script reads."""

    visit: str
    account: str
    observer: str
    language: str
    may_record: bool
    cards: Cards
    records: list[ObservationOut]
    words: dict[str, str]
    entry: dict[str, object]


@dataclass(frozen=True)
class OpenedVisit:
    """A visit as its tablet pages know it."""

    visit: Visit
    stay: VisitRecord
    order: Order
    lift_points: LiftPoints
    handed: Handed

    @property
    def block(self) -> Markup:
        """The block as JSON that may stand between script tags."""
        return as_block(self.handed)


def as_block(handed: object) -> Markup:
    """JSON that may stand between script tags: no "</script>" in a person's words ends it."""
    return Markup(msgspec.json.encode(handed).decode().replace("<", "\\u003c"))


def opened_visit(request: Request[Person, Any, Any], state: State, visit_id: str) -> OpenedVisit:
    """The visit with all that its pages need to go on without a connection.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    """
    store: Store = state.store
    routes: RouteOrder = state.routes
    person, speech = request.user, manner_of(request).speech
    with store.reading() as session:
        visit, stay = known_visit(session, visit_id)
        records = recorded(session, visit_id)
        lift_points = lift_points_found(facts_of(session, visit_id))
        session.expunge(stay)
    order = routes.of(vehicle_of(visit))
    handed = Handed(
        visit=visit_id,
        account=person.account_id,
        observer=person.name,
        language=speech.language,
        may_record=person.may("record") and stay.state == "open",
        cards=cards_of(visit.vehicle, speech, order.setups, order.shortest),
        records=records,
        words=words_for(speech),
        entry=entry_figures(speech),
    )
    return OpenedVisit(visit, stay, order, lift_points, handed)
