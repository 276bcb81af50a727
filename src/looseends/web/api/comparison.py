"""Two visits of a vehicle side by side, or the left of one beside its right, over HTTP."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, QueryParameter
from litestar.response import Response

from looseends.inspection.types import Judgement
from looseends.language import ENGLISH
from looseends.report.compared import comparison_record
from looseends.store.kept import Store
from looseends.store.typed_json import plain
from looseends.web.accounts.access import may
from looseends.web.api.judgement import WAITS, waits
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.comparing import compared, in_order, other_visits
from looseends.web.of_visit.concluded import concluded
from looseends.web.of_visit.visits import known_visit


@get(
    "/visits/{visit_id:str}/comparison",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["conclusions"],
    responses=WAITS,
)
def comparison(
    state: State, visit_id: FromPath[str], other: Annotated[str, QueryParameter(max_length=80)] = ""
) -> Response[Any]:
    """As `looseends compare --json` prints it: left beside right, or beside the `other` visit of the same plate.

    202 while tables are computed.

    Raises
    ------
    NotFoundException
        If there is no such visit, or `other` is none of the same vehicle and plate.
    """
    store: Store = state.store
    with store.reading() as session:
        _, stay = known_visit(session, visit_id)
        beside = next((entry for entry in other_visits(session, stay) if entry.id == other), None)
    if other and beside is None:
        raise NotFoundException
    judged = [concluded(state, known, ENGLISH, wait=True).judgement for known in in_order(stay, beside)]
    for found in judged:
        if isinstance(found, Progress):
            return waits(found)
    ready = [found for found in judged if isinstance(found, Judgement)]
    return Response(content=plain(comparison_record(compared(ready))))


HANDLERS = [comparison]
