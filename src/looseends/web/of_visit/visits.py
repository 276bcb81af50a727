"""A visit found by its id, for every page and address that speaks of one."""

from __future__ import annotations

from litestar.exceptions import NotFoundException
from sqlalchemy.orm import Session

from looseends.inspection.types import Visit
from looseends.store.models import VisitRecord
from looseends.store.rebuild import visit_of


def known_visit(session: Session, visit_id: str) -> tuple[Visit, VisitRecord]:
    """The visit as the inspection knows it, and as it is kept.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    """
    stay = session.get(VisitRecord, visit_id)
    if stay is None:
        raise NotFoundException
    return visit_of(session, visit_id), stay
