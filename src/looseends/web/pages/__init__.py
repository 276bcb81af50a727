"""The pages: one module per subject, each with its HANDLERS."""

from __future__ import annotations

from collections.abc import Sequence

from litestar.types import ControllerRouterHandler

from looseends.web.pages import (
    day,
    export,
    intake,
    keys,
    me,
    offline,
    own_vehicle,
    passwords,
    people,
    sign_in,
    tablet,
    visit,
)
from looseends.web.pages.visit_pages import VISIT_PAGE_HANDLERS

_MODULES = (day, export, intake, keys, me, offline, own_vehicle, passwords, people, sign_in, tablet, visit)

PAGE_HANDLERS: Sequence[ControllerRouterHandler] = [
    *(handler for module in _MODULES for handler in module.HANDLERS),
    *VISIT_PAGE_HANDLERS,
]
