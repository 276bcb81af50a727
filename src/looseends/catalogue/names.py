"""Unknown names: the nearest known ones, and the sentence that refuses them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from looseends.catalogue.types import PartKind
from looseends.language import AsWritten, Text, either, refusal

LIST_IN_FULL_UP_TO = 12


def nearest(name: str, names: Iterable[str], *, count: int = 3) -> tuple[str, ...]:
    """Known names most like a given one, best first; empty when nothing is close.

    Case, spaces and underscores do not count as differences.

    Parameters
    ----------
    name : str
        Name as given.
    names : iterable of str
        Accepted names.
    count : int
        Most names to return, >= 1.

    Source
    ------
    Ratcliff and Obershelp matching as in the standard library's difflib.
    """
    plain = {_plain(known): known for known in names}
    return tuple(plain[match] for match in get_close_matches(_plain(name), plain, n=count, cutoff=0.55))


def unknown_name_sentence(what: str, given: str, accepted: Iterable[str], *, where: str) -> Text:
    """One sentence that refuses an unknown name: place, field, value found, names accepted.

    A short list of accepted names is given whole; of a long one the nearest names, if any is near.

    Parameters
    ----------
    what : str
        The field or noun, for example "figure".
    given : str
        Name found.
    accepted : iterable of str
        Accepted names.
    where : str
        File and entry, for example 'part_kinds.toml, part kind "idler-arm"'.

    Source
    ------
    Own convention.
    """
    known = sorted(set(accepted))
    near = nearest(given, known)
    if near:
        meant = either([AsWritten(f'"{name}"') for name in near])
        if len(known) > LIST_IN_FULL_UP_TO:
            return refusal(
                '{where}: {what} "{given}" is not known; did you mean {meant}?',
                where=where,
                what=what,
                given=given,
                meant=meant,
            )
        return refusal(
            '{where}: {what} "{given}" is not known; did you mean {meant} (accepted: {accepted})?',
            where=where,
            what=what,
            given=given,
            meant=meant,
            accepted=", ".join(known),
        )
    if len(known) > LIST_IN_FULL_UP_TO:
        return refusal(
            '{where}: {what} "{given}" is not known; accepted are {count} names such as {accepted}.',
            where=where,
            what=what,
            given=given,
            count=len(known),
            accepted=", ".join(known[:LIST_IN_FULL_UP_TO]),
        )
    if not known:
        return refusal(
            '{where}: {what} "{given}" is not known; accepted: no name at all, none is defined.',
            where=where,
            what=what,
            given=given,
        )
    return refusal(
        '{where}: {what} "{given}" is not known; accepted: {accepted}.',
        where=where,
        what=what,
        given=given,
        accepted=", ".join(known),
    )


def kind_called(name: str, kinds: Mapping[str, PartKind]) -> str | None:
    """Id of the part kind that a shop calls by this name: its id, name, plural or a synonym; None if there is none.

    Parameters
    ----------
    name : str
        For example "Drop arm".
    kinds : mapping
        Part kinds by id.

    Source
    ------
    Synonyms of the catalogue's part kinds.
    """
    for kind in kinds.values():
        if _plain(name) in map(_plain, (kind.id, kind.name, kind.plural, *kind.synonyms)):
            return kind.id
    return None


def _plain(name: str) -> str:
    return name.lower().replace(" ", "-").replace("_", "-")
