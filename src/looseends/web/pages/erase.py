"""Erasing a customer, a photo or a clip on request, after a step that says what stays."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import FromPath
from litestar.response import Redirect, Template
from sqlalchemy import func, select

from looseends.language import say
from looseends.store.kept import Store
from looseends.store.models import Account, ClipRecord, Customer, PhotoRecord, VisitRecord
from looseends.store.personal import erase_customer, erase_photo
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.judged.judging import vehicle_of
from looseends.web.of_visit.pictures import Shown, shown_pictures
from looseends.web.of_visit.visits import known_visit
from looseends.web.pages.visit_page import VisitPage
from looseends.web.taken.forms import Sent, line

PAGE = VisitPage(
    "erase", say("Erase on request"), say("A customer's name, words and plate, a photo or a clip."), "erase a person"
)
_UNSURE = say("Tick that it was asked for; nothing was erased.")


@get("/visits/{visit_id:str}/erase", guards=[may("erase a person")], sync_to_thread=True)
def erase_page(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """What can be erased, and what stays."""
    return _page(request, state.store, visit_id)


@post("/visits/{visit_id:str}/erase", guards=[may("erase a person")], status_code=200, sync_to_thread=True)
def erase_person(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], data: Sent
) -> Template | Redirect:
    """Erase the customer of a visit once it is confirmed."""
    store: Store = state.store
    with store.reading() as session:
        _, stay = known_visit(session, visit_id)
    if line(data, "asked") != "yes":
        return _page(request, store, visit_id, mistake=True)
    if stay.customer_id is None:
        raise NotFoundException
    erase_customer(store, stay.customer_id)
    return Redirect(f"/visits/{visit_id}/erase", status_code=303)


@get("/visits/{visit_id:str}/erase/photo/{photo_id:str}", guards=[may("erase a person")], sync_to_thread=True)
def erase_photo_page(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], photo_id: FromPath[str]
) -> Template:
    """The photo or clip once more, and what stays of it."""
    return _photo_page(request, state.store, visit_id, photo_id)


@post(
    "/visits/{visit_id:str}/erase/photo/{photo_id:str}",
    guards=[may("erase a person")],
    status_code=200,
    sync_to_thread=True,
)
def erase_one_photo(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], photo_id: FromPath[str], data: Sent
) -> Template | Redirect:
    """Erase a photo or a clip once it is confirmed."""
    if line(data, "asked") != "yes":
        return _photo_page(request, state.store, visit_id, photo_id, mistake=True)
    _known_photo(state.store, visit_id, photo_id)
    erase_photo(state.store, photo_id)
    return Redirect(f"/visits/{visit_id}/erase", status_code=303)


def _page(request: Request[Person, Any, Any], store: Store, visit_id: str, *, mistake: bool = False) -> Template:
    with store.reading() as session:
        visit, stay = known_visit(session, visit_id)
        customer = session.get(Customer, stay.customer_id) if stay.customer_id else None
        pictures = shown_pictures(session, visit_id)
        stubs = select(PhotoRecord, ClipRecord).outerjoin(ClipRecord, ClipRecord.photo_id == PhotoRecord.id)
        stubs = stubs.where(PhotoRecord.visit_id == visit_id, PhotoRecord.sha256 == "")
        gone = session.execute(stubs.order_by(PhotoRecord.device_time)).all()
        known = select(Account.id, Account.name).where(Account.id.in_({photo.account_id for photo, _ in gone}))
        names = {account: name for account, name in session.execute(known)}
        same = select(func.count()).where(VisitRecord.customer_id == stay.customer_id)
        visits = session.scalar(same) or 0
    return page(
        request,
        "erase.html.j2",
        status=400 if mistake else 200,
        visit_id=visit_id,
        visit=visit,
        vehicle=vehicle_of(visit),
        customer=customer,
        visits=visits,
        photos=pictures,
        gone=gone,
        names=names,
        mistake=_UNSURE if mistake else None,
    )


def _photo_page(
    request: Request[Person, Any, Any], store: Store, visit_id: str, photo_id: str, *, mistake: bool = False
) -> Template:
    return page(
        request,
        "erase_photo.html.j2",
        status=400 if mistake else 200,
        visit_id=visit_id,
        photo=_known_photo(store, visit_id, photo_id),
        mistake=_UNSURE if mistake else None,
    )


def _known_photo(store: Store, visit_id: str, photo_id: str) -> Shown:
    with store.reading() as session:
        for picture in shown_pictures(session, visit_id):
            if picture.id == photo_id:
                return picture
    raise NotFoundException


HANDLERS = [erase_page, erase_person, erase_photo_page, erase_one_photo]
