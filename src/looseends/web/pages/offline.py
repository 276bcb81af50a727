"""What lets visits go on without a connection: the service worker, the manifest, the page of what is kept."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from litestar import MediaType, get
from litestar.connection import Request
from litestar.response import Redirect, Response, Template

from looseends.web.accounts.access import Person
from looseends.web.answering.rendering import FONTS, STATIC, asset, page, static_mark
from looseends.web.answering.speaking import manner_of
from looseends.web.bay.handed import as_block
from looseends.web.bay.words import words_for

_OPEN = {"exclude_from_auth": True}
_NAMED = ("looseends.css", "app.js", "asking.js", "mark.svg", "vendor/htmx.js", "vendor/idb.js", "bay/bay.css")
"""Files of every page; the scripts of the visits' pages lie in a folder of their own."""


@cache
def shell() -> tuple[str, ...]:
    """The addresses of all that the visits' pages need besides themselves."""
    scripts = sorted(f"bay/{file.name}" for file in (STATIC / "bay").glob("*.js"))
    fonts = sorted(f"/fonts/{file.name}" for file in FONTS.glob("*.woff2"))
    return (*(asset(name) for name in (*_NAMED, *scripts)), *fonts, "/visits/kept", "/visits/outbox")


@cache
def worker_script() -> str:
    """The service worker; its text changes with anything of the shell, so that a browser takes up the new one."""
    body = (STATIC / "bay" / "service-worker.js").read_text(encoding="utf-8")
    return f"const VERSION = {json.dumps(static_mark())};\nconst SHELL = {json.dumps(shell())};\n{body}"


@get("/visits/service-worker.js", opt=_OPEN, sync_to_thread=True)
def service_worker() -> Response[str]:
    """The worker of the visits' pages: it stands in their folder and so rules there alone."""
    return Response(worker_script(), media_type="text/javascript", headers={"Cache-Control": "no-cache"})


@get("/visits/kept", opt=_OPEN, sync_to_thread=True)
def kept(request: Request[Person | None, Any, Any]) -> Template:
    """The visits that this device holds; nothing in it is anybody's, so that it may lie in the worker's cache."""
    return page(request, "kept.html.j2", person=None)


@get("/visits/outbox", opt=_OPEN, sync_to_thread=True)
def outbox(request: Request[Person | None, Any, Any]) -> Template:
    """What waits on this device, to be saved to a file, and a file to be taken in; nobody's, as the page before."""
    speech = manner_of(request).speech
    block = as_block({"words": words_for(speech), "language": speech.language})
    return page(request, "outbox.html.j2", person=None, block=block)


@get("/visits", opt=_OPEN, sync_to_thread=False)
def first() -> Redirect:
    """Where the installed application begins: what waits, or without a connection what this device holds."""
    return Redirect("/")


@get("/manifest.webmanifest", opt=_OPEN, media_type=MediaType.TEXT, sync_to_thread=True)
def manifest() -> Response[str]:
    """What a tablet needs to know to install the application."""
    icons = [
        {"src": asset("bay/icon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
        {"src": asset("bay/icon-192.png"), "sizes": "192x192", "type": "image/png", "purpose": "any"},
        {"src": asset("bay/icon-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ]
    about = {
        "id": "/visits/",
        "name": "Loose Ends",
        "short_name": "Loose Ends",
        "start_url": "/visits/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#f5f2ea",
        "theme_color": "#f5f2ea",
        "icons": icons,
    }
    return Response(json.dumps(about), media_type="application/manifest+json")


HANDLERS = [service_worker, kept, outbox, first, manifest]
