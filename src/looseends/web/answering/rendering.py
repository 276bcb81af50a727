"""Pages from templates: what every page knows, and the addresses of its files."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from litestar.connection import Request
from litestar.plugins.jinja import JinjaTemplateEngine
from litestar.response import Template
from litestar.template.config import TemplateConfig
from markupsafe import Markup

from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.language import Text, say
from looseends.report.marks import hazard_triangle, mark_icon
from looseends.web.accounts.access import Person, Role
from looseends.web.answering.speaking import manner_of
from looseends.web.answering.template_words import sayers

STATIC = Path(str(files("looseends.web") / "static"))
FONTS = Path(str(files("looseends.report") / "fonts"))

ROLE_WORDS: Mapping[Role, Text] = {
    "owner": say("owner of these records"),
    "instructor": say("instructor"),
    "technician": say("technician"),
    "learner": say("learner"),
    "office": say("office"),
}


@cache
def static_mark() -> str:
    """A mark of all files of ours together; it stands in their addresses, and so in those that they name."""
    contents = hashlib.sha256()
    for file in sorted(STATIC.rglob("*")):
        if file.is_file():
            contents.update(file.read_bytes())
    return contents.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a file of ours, which changes with the files' content, so that a browser may keep it."""
    assert (STATIC / name).is_file(), name
    return f"/static/{static_mark()}/{name}"


def template_config() -> TemplateConfig[JinjaTemplateEngine]:
    """The template engine: everything is escaped, and a name that nobody gave is a fault."""
    environment = Environment(
        loader=PackageLoader("looseends.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return TemplateConfig(instance=JinjaTemplateEngine.from_environment(environment))


def page(
    request: Request[Any, Any, Any],
    template: str,
    here: str = "",
    *,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
    **context: object,
) -> Template:
    """A page, or a fragment of one.

    Every template knows `t`, `tn` and `words` (see `template_words.sayers`), `speech`, `language`, `units`, `theme`,
    `person` (None: nobody is signed in), `path`, `here`, `asset`, `mark` (a verdict's mark) and
    `hazard` (the warning triangle).
    """
    manner = manner_of(request)
    person = request.scope.get("user")
    speech = manner.speech
    known: dict[str, object] = {
        **sayers(speech),
        "speech": speech,
        "language": speech.language,
        "units": speech.units,
        "theme": manner.theme,
        "person": person if isinstance(person, Person) else None,
        "role_words": ROLE_WORDS,
        "path": request.url.path + (f"?{request.url.query}" if request.url.query else ""),
        "here": here,
        "asset": asset,
        "mark": lambda verdict: Markup(mark_icon(verdict)),
        "verdict_words": VERDICT_WORDS,
        "hazard": Markup(hazard_triangle(speech)),
    }
    # a page is one person's, in one language: no cache in between keeps it
    kept = {"Cache-Control": "private, no-cache", "Vary": "Cookie, Accept-Language, HX-Request"}
    return Template(template, context={**known, **context}, status_code=status, headers={**kept, **(headers or {})})
