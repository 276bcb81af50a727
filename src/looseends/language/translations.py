"""The translations that ship with the program: gettext PO files, all of a language's folder together."""

from __future__ import annotations

import gettext
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from io import BytesIO


def translation_files(language: str) -> list[Traversable]:
    """The PO files of a language, by name."""
    folder = resources.files("looseends.language") / "locale" / language
    return sorted((file for file in folder.iterdir() if file.name.endswith(".po")), key=lambda file: file.name)


@cache
def translations(language: str) -> gettext.NullTranslations:
    """All translations into a language; an entry that stands in two files counts as in the first.

    Source
    ------
    GNU gettext's PO format, read by Babel.
    """
    # 0.1 s that nobody who reads English need wait for
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    found: gettext.NullTranslations = gettext.NullTranslations()
    for file in reversed(translation_files(language)):
        compiled = BytesIO()
        write_mo(compiled, read_po(BytesIO(file.read_bytes()), locale=language))
        compiled.seek(0)
        next_one = gettext.GNUTranslations(compiled)
        next_one.add_fallback(found)
        found = next_one
    return found
