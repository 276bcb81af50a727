"""From a customer's words to what to suspect: complaints that are meant, and how much more likely each part is worn."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache, lru_cache
from math import exp, log, sqrt

from looseends.catalogue import load_catalogue
from looseends.catalogue.complaints import Complaint
from looseends.catalogue.names import nearest
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.opening import load_complaint_figures
from looseends.diagnosis.tables.states import log_odds, worn_axes
from looseends.errors import InputError
from looseends.language import AsWritten, Text, either, refusal
from looseends.vehicle.vehicle import Vehicle

_MEANT = 0.4
"""Words are taken for a complaint when they are at least so much like it, from 0 to 1."""

_AS_LIKE = 0.6
"""Complaints are meant too that are at least this share as like as the likest."""

_SAME_WORD = 0.82
"""Words that are so much alike are taken as one: a slip of the pen, another ending."""

_GIVEN, _UNSAID = 0.7, 0.25
"""How much a word counts against likeness that only the customer, or only the phrase on file, has. Assumed."""

_CLAUSES = re.compile(r"[.,;:!?/]|\b(?:and|but|y|pero)\b", re.IGNORECASE)
"""A customer may have several complaints in one breath."""

_ENDINGS = ("ing", "es", "ed", "s", "a", "o", "e")


@dataclass(frozen=True)
class Suspicion:
    """What a complaint says of one vehicle.

    `complaints` that were meant, by name; `weights` prior chance of wear by part, raised by them; `raised` the parts
    whose odds they raise; `elsewhere` the causes, in words, that no clearance of this vehicle tells; `checks` that
    decide by common practice.
    """

    complaints: tuple[str, ...]
    weights: Mapping[str, float]
    raised: tuple[str, ...]
    elsewhere: tuple[str, ...]
    checks: tuple[str, ...]


@lru_cache(maxsize=256)
def meant_in_catalogue(words: str) -> tuple[Complaint, ...]:
    """The catalogue's complaints that a customer's words are like, none where they are like no complaint.

    A visit's are asked for after each reading.
    """
    try:
        return complaints_meant(words, load_catalogue().complaints.values())
    except InputError:
        return ()


def complaints_meant(words: str, complaints: Collection[Complaint]) -> tuple[Complaint, ...]:
    """The complaints that a customer's words are like, clause by clause, the likest first; an id is taken as it is.

    Likeness counts the words that are shared against those that are not, a rare word more than one that many complaints
    have. Who says little means much by it: what a phrase has beyond the words given counts least. Where only words are
    shared that say where or when, nothing is alike unless they are the whole phrase.

    Raises
    ------
    InputError
        If the words are like none; the nearest are offered.

    Source
    ------
    A. Tversky, Psychological Review 84 (1977) 327-352, for the likeness; K. Spärck Jones, Journal of Documentation 28
    (1972) 11-21, for the weight of rare words; both from memory.
    """
    by_id = {complaint.id: complaint for complaint in complaints}
    if words.strip() in by_id:
        return (by_id[words.strip()],)
    phrases = {c.id: [_roots(phrase) for phrase in _said(c)] for c in complaints}
    holders = Counter(root for said in phrases.values() for root in set().union(*said))
    rarity = {root: sqrt(log(1.0 + len(by_id) / count)) for root, count in holders.items()}
    likest: dict[str, float] = {}
    for clause in _CLAUSES.split(words):
        given = _known(_roots(clause), rarity)
        like = {name: max(_likeness(given, phrase, rarity) for phrase in said) for name, said in phrases.items()}
        least = max(_MEANT, _AS_LIKE * max(like.values(), default=0.0))
        likest |= {name: max(amount, likest.get(name, 0.0)) for name, amount in like.items() if amount >= least}
    if not likest:
        raise InputError(_unlike(words, complaints))
    return tuple(by_id[name] for name in sorted(likest, key=lambda name: -likest[name]))


def suspicion_of(vehicle: Vehicle, meant: Sequence[Complaint], beliefs: Beliefs) -> Suspicion:
    """The prior chance of wear of every part that can wear, raised by the strongest weight that complaints give it."""
    figures = load_complaint_figures()
    causes = [cause for complaint in meant for cause in complaint.causes]
    weights, raised = {}, []
    here: set[str] = set()
    for part in vehicle.wearable:
        if worn_axes(part):
            named = {part.kind.id, part.kind.group}
            here |= named
            factors = [figures.odds_factor[cause.weight] for cause in causes if named & set(cause.points_to)]
            odds = exp(log_odds(part, beliefs)) * max(factors, default=1.0)
            weights[part.id] = odds / (1.0 + odds)
            raised += [part.id] if factors else []
    return Suspicion(
        complaints=tuple(complaint.name for complaint in meant),
        weights=weights,
        raised=tuple(raised),
        elsewhere=tuple(dict.fromkeys(cause.words for cause in causes if not here & set(cause.points_to))),
        checks=tuple(dict.fromkeys(complaint.check for complaint in meant)),
    )


def _said(complaint: Complaint) -> tuple[str, ...]:
    return (complaint.name, *complaint.words, *complaint.spanish)


def _unlike(words: str, complaints: Collection[Complaint]) -> Text:
    """The sentence that refuses words; with no phrase near it offers the first names on file."""
    near = nearest(words, [phrase for complaint in complaints for phrase in _said(complaint)])
    offered = [AsWritten(f'"{name}"') for name in near or [complaint.name for complaint in complaints][:3]]
    if not offered:
        return refusal(
            'looseends route: --complaint "{words}" cannot be looked up, found no complaint in the catalogue.',
            words=words,
        )
    return refusal(
        'looseends route: --complaint "{words}" is like no complaint on file; nearest are {offered}.',
        words=words,
        offered=either(offered),
    )


def _likeness(given: frozenset[str], phrase: frozenset[str], rarity: Mapping[str, float]) -> float:
    if given & phrase <= _circumstances() and not phrase <= given:
        return 0.0
    shared, only_given, only_phrase = (
        sum(rarity[root] for root in roots) for roots in (given & phrase, given - phrase, phrase - given)
    )
    return shared / (shared + _GIVEN * only_given + _UNSAID * only_phrase) if shared else 0.0


def _known(roots: frozenset[str], rarity: Mapping[str, float]) -> frozenset[str]:
    """The given words that complaints have, each as it is written there; others tell nothing."""
    found = set()
    for root in roots:
        known = root if root in rarity else max(rarity, key=lambda other: _alike(root, other), default="")
        if known and _alike(root, known) >= _SAME_WORD:
            found.add(known)
    return frozenset(found)


def _alike(first: str, second: str) -> float:
    return SequenceMatcher(None, first, second).ratio()


def _roots(text: str) -> frozenset[str]:
    """The words of a text without accents, case and endings, and without those that say nothing."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(letter for letter in plain if not unicodedata.combining(letter))
    empty = load_complaint_figures().empty_words
    return frozenset(_root(word) for word in re.findall(r"[a-z]+", letters) if word not in empty)


@cache
def _circumstances() -> frozenset[str]:
    return frozenset(_root(word) for word in load_complaint_figures().circumstance_words)


def _root(word: str) -> str:
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            return word.removesuffix(ending)
    return word
