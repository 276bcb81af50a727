"""Getting a tablet on, over HTTP: the address to open, the certificate to trust, and the steps."""

from __future__ import annotations

from typing import Any

import msgspec
from litestar import get
from litestar.connection import Request
from litestar.datastructures import State

from looseends.web.answering.speaking import manner_of
from looseends.web.settings import Settings
from looseends.web.tablets.certificates import fingerprint_of
from looseends.web.tablets.tablet_steps import NEEDS, STEPS


class TabletOut(msgspec.Struct):
    """The page that a tablet opens, and by kind of tablet the steps to it, in the reader's language.

    `needs` are what that page looks for on the tablet. `certificate` and its `fingerprint` are None where the shop made
    no certificates of its own.
    """

    address: str
    certificate: str | None
    fingerprint: str | None
    needs: dict[str, str]
    steps: dict[str, list[str]]


@get("/tablet", sync_to_thread=True, tags=["tablets"])
def tablet(request: Request[Any, Any, Any], state: State) -> TabletOut:
    """How a tablet is got on: what it opens, what it must trust and have, and the steps to it."""
    settings: Settings = state.settings
    words = manner_of(request).speech.words
    fingerprint = fingerprint_of(settings.authority)
    return TabletOut(
        address=f"{settings.public_address}/tablet",
        certificate=f"{settings.public_address}/tablet/authority.crt" if fingerprint else None,
        fingerprint=fingerprint or None,
        needs={name: words(said) for name, said in NEEDS.items()},
        steps={kind: [words(step) for step in steps] for kind, steps in STEPS.items()} if fingerprint else {},
    )


HANDLERS = [tablet]
