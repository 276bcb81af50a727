"""Part kinds, conditions, support states and observers, read from TOML."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.spanish import refuse_shared_spanish, regional_words
from looseends.catalogue.types import (
    Axis,
    Condition,
    JointFigure,
    LimitStatus,
    Observer,
    PartGroup,
    PartKind,
    PlayAllowance,
    SupportState,
    VerdictWord,
)
from looseends.errors import InputError

Sources = Mapping[str, Source]
GROUPS: tuple[str, ...] = get_args(PartGroup)
OBSERVERS: tuple[Literal["hand", "eye", "ear", "feel", "group"], ...] = ("hand", "eye", "ear", "feel", "group")


@dataclass(frozen=True)
class KindNames:
    """All names that a part kind may refer to: joint figures by id, failure words."""

    figures: Mapping[str, JointFigure]
    failure_words: Collection[str]


def read_part_kinds(
    texts: Mapping[str, str], names: KindNames, sources: Sources, folder: str = "part_kinds"
) -> dict[str, PartKind]:
    """Part kinds by id from the texts of the part-kinds files, by file name.

    Raises
    ------
    InputError
        If a field is not as `PartKind` describes it, a figure, failure word or source is unknown, an axis cannot wear
        because the figure has no reject clearance there, or two kinds share a name or a synonym, English or Spanish.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = [entry for file, text in texts.items() for entry in toml_entries(text, file, "part_kind", "part kind")]
    kinds = by_id((_part_kind(entry, names, sources) for entry in entries), folder, "part kind")
    _refuse_shared_names(kinds, folder)
    refuse_shared_spanish(kinds, folder)
    return kinds


def _part_kind(entry: Entry, names: KindNames, sources: Sources) -> PartKind:
    figures = names.figures
    kind = PartKind(
        id=entry.identifier(),
        name=entry.text("name"),
        plural=entry.text("plural"),
        synonyms=entry.texts("synonyms"),
        spanish_synonyms=regional_words(entry, "spanish_synonyms"),
        spanish_plural=entry.text("spanish_plural"),
        spanish=entry.text("spanish"),
        group=entry.choice("group", get_args(PartGroup)),
        figure=entry.known("figure", figures) if entry.has("figure") else None,
        worn_by=entry.choices("worn_by", get_args(Axis)),
        play=entry.choice("play", get_args(PlayAllowance)),
        has_boot=entry.flag("has_boot"),
        fails_by=entry.choices("fails_by", tuple(names.failure_words)),
        purpose=entry.text("purpose"),
        effect=entry.text("effect"),
        how_shown=entry.text("how_shown"),
        source=citation(entry, sources),
    )
    if not kind.fails_by:
        raise entry.refuse("fails_by", "a list with at least one failure word")
    if bool(kind.worn_by) != (kind.figure is not None):
        raise entry.refuse("worn_by", "given exactly when figure is given (a kind without one is judged by condition)")
    for axis in kind.worn_by:
        figure = figures[kind.figure or ""]
        if (figure.radial if axis == "radial" else figure.axial).reject is None:
            raise entry.refuse("worn_by", f'axes for which figure "{figure.id}" has a reject clearance')
    entry.finish()
    return kind


def _refuse_shared_names(kinds: Mapping[str, PartKind], file: str) -> None:
    owner: dict[str, str] = {}
    for kind in kinds.values():
        for name in {word.lower() for word in (kind.id, kind.name, kind.plural, *kind.synonyms)}:
            if name in owner:
                raise InputError(
                    f'{file}, part kind "{kind.id}": names and synonyms must belong to one kind, '
                    f'found "{name}" also under "{owner[name]}".'
                )
            owner[name] = kind.id


def read_conditions(
    text: str, kinds: Mapping[str, PartKind], sources: Sources, file: str = "conditions.toml"
) -> dict[str, Condition]:
    """Conditions by id from the text of a conditions file.

    Raises
    ------
    InputError
        If a field is not as `Condition` describes it, or applies_to names no part kind or group.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    known = {*kinds, *GROUPS}
    entries = toml_entries(text, file, "condition", "condition")
    return by_id((_condition(entry, known, sources) for entry in entries), file, "condition")


def _condition(entry: Entry, known: Collection[str], sources: Sources) -> Condition:
    condition = Condition(
        id=entry.identifier(),
        words=entry.text("words"),
        plain=entry.text("plain"),
        verdict=entry.choice("verdict", get_args(VerdictWord)[:3]),
        applies_to=entry.choices("applies_to", tuple(known)),
        status=status_of(entry, sources),
        grounds=entry.text("grounds"),
        source=citation(entry, sources),
        caution=entry.optional_text("caution"),
    )
    entry.finish()
    return condition


def read_supports(text: str, sources: Sources, file: str = "supports.toml") -> dict[str, SupportState]:
    """Support states by id from the text of a supports file; time [min].

    Raises
    ------
    InputError
        If a field is not as `SupportState` describes it.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    return by_id((_support(e, sources) for e in toml_entries(text, file, "support", "support")), file, "support")


def _support(entry: Entry, sources: Sources) -> SupportState:
    name, how, proof, caution = (entry.text(key) for key in ("name", "how", "proof", "caution"))
    minutes = entry.positive("minutes")
    support = SupportState(entry.identifier(), name, how, proof, caution, minutes, citation(entry, sources))
    entry.finish()
    return support


def read_observers(text: str, sources: Sources, file: str = "observers.toml") -> dict[str, Observer]:
    """Observers by id from the text of an observers file; thresholds [mm of free travel].

    Raises
    ------
    InputError
        If a field is not as `Observer` describes it, or the thresholds do not rise.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    return by_id((_observer(e, sources) for e in toml_entries(text, file, "observer", "observer")), file, "observer")


def _observer(entry: Entry, sources: Sources) -> Observer:
    grades = entry.texts("grades", empty_allowed=False)
    thresholds = entry.numbers("thresholds_mm")
    if len(thresholds) != len(grades) - 1 or not all(a < b for a, b in pairwise((0.0, *thresholds))):
        raise entry.refuse("thresholds_mm", f"{len(grades) - 1} rising numbers > 0, one fewer than grades")
    observer = Observer(
        id=entry.choice("id", OBSERVERS),
        grades=grades,
        thresholds=thresholds,
        elastic_share=entry.number("elastic_share", minimum=0, maximum=1),
        spread=entry.positive("spread"),
        lapse=entry.number("lapse", minimum=0, maximum=0.5),
        basis=entry.text("basis"),
        source=citation(entry, sources),
    )
    entry.finish()
    return observer


def status_of(entry: Entry, sources: Sources) -> LimitStatus:
    """The rank of a limit; only what was read may be called law or a maker's."""
    status: LimitStatus = entry.choice("status", get_args(LimitStatus))
    seen = sources[entry.known("source", sources)].seen
    if status in ("law", "maker") and not seen.startswith("read"):
        raise entry.refuse("status", f'"common practice" or "to be confirmed", as its source was not read ({seen})')
    return status
