"""Getting a tablet on: what it must trust, the steps, and whether it then has what the application needs."""

from __future__ import annotations

from typing import Any

import segno
from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.response import Response, Template
from markupsafe import Markup

from looseends.web.answering.rendering import page
from looseends.web.settings import Settings
from looseends.web.tablets.certificates import fingerprint_of
from looseends.web.tablets.tablet_steps import NEEDS, STEPS


@get("/tablet", sync_to_thread=True)
def tablet_page(request: Request[Any, Any, Any], state: State) -> Template:
    """The steps for each kind of tablet, and a look at this one; for everybody, since it comes before signing in."""
    settings: Settings = state.settings
    address = f"{settings.public_address}/tablet"
    code = segno.make(address, micro=False).svg_inline(scale=6, svgclass="code-drawing")
    return page(
        request,
        "tablet.html.j2",
        address=address,
        code=Markup(code),
        fingerprint=fingerprint_of(settings.authority),
        needs=NEEDS,
        steps=STEPS,
    )


@get("/tablet/authority.crt", sync_to_thread=True)
def authority(state: State) -> Response[bytes]:
    """The certificate that a tablet is to trust; it is no secret.

    Raises
    ------
    NotFoundException
        If the shop made none.
    """
    settings: Settings = state.settings
    if settings.authority is None or not settings.authority.exists():
        raise NotFoundException
    named = {"Content-Disposition": 'attachment; filename="loose-ends-authority.crt"'}
    content = settings.authority.read_bytes()
    return Response(content=content, media_type="application/x-x509-ca-cert", headers=named)


HANDLERS = [tablet_page, authority]
