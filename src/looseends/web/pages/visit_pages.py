"""The pages of a visit in the order in which its home shows them.

A module of a page brings `PAGE`, a `VisitPage`, and `HANDLERS`, its route handlers; it is named here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Sequence
from types import ModuleType

from litestar.types import ControllerRouterHandler

from looseends.web.pages import compare, erase, findings, handover, motion, plan, sheet
from looseends.web.pages.visit_page import VisitPage

MODULES: tuple[ModuleType, ...] = (sheet, plan, motion, findings, handover, compare, erase)

VISIT_PAGES: tuple[VisitPage, ...] = tuple(module.PAGE for module in MODULES)
VISIT_PAGE_HANDLERS: Sequence[ControllerRouterHandler] = [handler for module in MODULES for handler in module.HANDLERS]
