"""The whole catalogue, read from the package's data files and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType

from looseends.catalogue.alterations import Alteration, read_alterations
from looseends.catalogue.causes import CauseNames
from looseends.catalogue.checks import CheckNames, Places, read_check, read_places
from looseends.catalogue.complaints import Complaint, read_complaints
from looseends.catalogue.drills import read_drills
from looseends.catalogue.entry import by_id
from looseends.catalogue.failure_words import FailureWord, read_failure_words
from looseends.catalogue.joint_figures import read_joint_figures
from looseends.catalogue.limits import LimitNames, read_limits
from looseends.catalogue.records import KindNames, read_conditions, read_observers, read_part_kinds, read_supports
from looseends.catalogue.sources import Source, read_sources
from looseends.catalogue.spanish import SpanishTrap, read_spanish_traps
from looseends.catalogue.types import Check, Condition, Drill, JointFigure, Limit, Observer, PartKind, SupportState
from looseends.catalogue.wear_patterns import WearPattern, read_wear_patterns
from looseends.errors import InputError


@dataclass(frozen=True)
class Catalogue:
    """Trade knowledge by id. A record's `source` is the whole citation; `sources` also says how it was seen."""

    joint_figures: Mapping[str, JointFigure]
    failure_words: Mapping[str, FailureWord]
    part_kinds: Mapping[str, PartKind]
    spanish_traps: Mapping[str, SpanishTrap]
    alterations: Mapping[str, Alteration]
    wear_patterns: Mapping[str, WearPattern]
    complaints: Mapping[str, Complaint]
    conditions: Mapping[str, Condition]
    supports: Mapping[str, SupportState]
    observers: Mapping[str, Observer]
    limits: Mapping[str, Limit]
    drills: Mapping[str, Drill]
    checks: Mapping[str, Check]
    sources: Mapping[str, Source]
    places: Places


@cache
def load_catalogue() -> Catalogue:
    """The catalogue of the package, read once.

    Raises
    ------
    InputError
        If a data file is not as the readers accept it.

    Source
    ------
    Each entry names its own; see `Catalogue.sources`.
    """
    return read_catalogue(files("looseends.catalogue") / "data")


def read_catalogue(folder: Traversable) -> Catalogue:
    """The catalogue from a folder of data files (a `pathlib.Path` will do).

    Raises
    ------
    InputError
        If a data file is not as the readers accept it.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """

    def text(name: str) -> str:
        return _text(folder / name)

    sources = read_sources(text("sources.toml"))
    figures = read_joint_figures(text("joint_figures.csv"), sources)
    words = read_failure_words(text("failure_words.toml"), sources)
    kinds = _part_kinds(folder / "part_kinds", KindNames(figures, words), sources)
    supports = read_supports(text("supports.toml"), sources)
    places = read_places(text("places.toml"))
    checks = _checks(folder / "checks", CheckNames(supports, kinds, places), sources)
    causes = CauseNames(kinds, checks)
    return Catalogue(
        joint_figures=MappingProxyType(figures),
        failure_words=MappingProxyType(words),
        part_kinds=MappingProxyType(kinds),
        spanish_traps=MappingProxyType(read_spanish_traps(text("spanish_traps.toml"), kinds, sources)),
        alterations=MappingProxyType(read_alterations(text("alterations.toml"), kinds, sources)),
        wear_patterns=MappingProxyType(read_wear_patterns(text("wear_patterns.toml"), causes, sources)),
        complaints=MappingProxyType(read_complaints(text("complaints.toml"), causes, sources)),
        conditions=MappingProxyType(read_conditions(text("conditions.toml"), kinds, sources)),
        supports=MappingProxyType(supports),
        observers=MappingProxyType(read_observers(text("observers.toml"), sources)),
        limits=MappingProxyType(_limits(folder / "limits", LimitNames(checks, places), sources)),
        drills=MappingProxyType(read_drills(text("drills.toml"), checks, kinds, sources)),
        checks=MappingProxyType(checks),
        sources=MappingProxyType(sources),
        places=places,
    )


def _checks(folder: Traversable, names: CheckNames, sources: Mapping[str, Source]) -> dict[str, Check]:
    read = (read_check(_text(file), names, sources, f"checks/{file.name}") for file in _toml_files(folder))
    return by_id(read, "checks", "check")


def _part_kinds(folder: Traversable, names: KindNames, sources: Mapping[str, Source]) -> dict[str, PartKind]:
    texts = {f"{folder.name}/{file.name}": _text(file) for file in _toml_files(folder)}
    return read_part_kinds(texts, names, sources)


def _limits(folder: Traversable, names: LimitNames, sources: Mapping[str, Source]) -> dict[str, Limit]:
    read = (read_limits(_text(file), names, sources, f"limits/{file.name}") for file in _toml_files(folder))
    return by_id((limit for limits in read for limit in limits.values()), "limits", "limit")


def _toml_files(folder: Traversable) -> list[Traversable]:
    try:
        found = [file for file in folder.iterdir() if file.name.endswith(".toml")]
    except OSError as error:
        raise InputError(f"{folder.name}: must be a readable folder of TOML files, found: {error}.") from error
    return sorted(found, key=lambda file: file.name)


def _text(file: Traversable) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{file.name}: must be a readable file of UTF-8 text, found: {error}.") from error
