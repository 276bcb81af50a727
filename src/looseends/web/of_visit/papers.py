"""The handover of a visit as a PDF that is sent."""

from __future__ import annotations

from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.response import Response

from looseends.inspection.types import Judgement
from looseends.web.of_visit.concluded import Concluded, concluded
from looseends.web.of_visit.handing_over import Manner, enclosures_of, file_name, paper


def paper_answer(state: State, visit_id: str, manner: Manner) -> Response[bytes]:
    """The PDF of what was signed, else of what is judged now.

    Raises
    ------
    NotFoundException
        If there is no such visit, or its tables are still computed.
    """
    found = concluded(state, visit_id, manner.speech, wait=True)
    judgement = judgement_made(found)
    enclosures = enclosures_of(state.store, state.judging, visit_id, judgement, manner.speech, found.signed)
    name = file_name(judgement, manner, found.signed)
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "private, no-cache"}
    return Response(paper(judgement, manner, enclosures), media_type="application/pdf", headers=headers)


def judgement_made(found: Concluded) -> Judgement:
    """The judgement of a document that is asked for by itself.

    Raises
    ------
    NotFoundException
        If its tables are still computed: there is no document yet.
    """
    if not isinstance(found.judgement, Judgement):
        raise NotFoundException
    return found.judgement
