"""Which check tells most per minute: expected information about the worn set, stands moved where they must be."""

from __future__ import annotations

from collections.abc import Sequence

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.detect import best_by_hand
from looseends.diagnosis.observed.words import watch_place
from looseends.diagnosis.planning.information import Told, told_by
from looseends.diagnosis.planning.looks import described_look, looks_left
from looseends.diagnosis.planning.looks_again import look_repeats
from looseends.diagnosis.planning.repeats import Repeat, repeats_of
from looseends.diagnosis.planning.stands import Again, Look, change_minutes, look_minutes
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.again import set_words
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.proving import best_setup
from looseends.inspection.types import NextCheck
from looseends.language import Value, say
from looseends.vehicle.setup import Setup

_LEAST_BITS = 0.01
"""A check that tells less is not worth a line."""

_TELLS = 0.3
"""A setup is said to tell about a part whose play at the reject clearance it shows by hand with this chance."""


def next_checks(
    found: Diagnosed,
    policy: Policy,
    passed_without_proof: Sequence[PartStates] = (),
    by: By = "hand",
    count: int = 3,
) -> tuple[NextCheck, ...]:
    """The most telling checks that were not done in this setup yet, and readings to take again, best first.

    A part that stands on record as tight without proof comes before all: what is written there may be trusted.
    """
    here = found.support
    told, repeats = looks_of(found, by)
    minutes = {look: look_minutes(look) + change_minutes(here, look.support, policy) for look in told}
    proving = {best_setup(s.part, s, found.tables, found.beliefs): s.part.name for s in reversed(passed_without_proof)}
    ranked = sorted(told, key=lambda look: (look not in proving, -told[look].bits / minutes[look]))
    # Of a check without movement, which tells as much in every support, the quickest.
    first: dict[object, Look] = {}
    for look in ranked:
        alike = isinstance(look, Setup) and look not in found.tables
        first.setdefault((look.check, look.side) if alike and isinstance(look, Setup) else look, look)
    return tuple(
        described_again(found, [look], minutes[look], told[look].bits, repeats[look])
        if isinstance(look, Again)
        else described(found, look, minutes[look], told[look].bits, proving.get(look))
        for look in list(first.values())[:count]
        if told[look].bits > _LEAST_BITS or look in proving
    )


def looks_of(found: Diagnosed, by: By, *, looks: bool = True) -> tuple[dict[Look, Told], dict[Again, Repeat]]:
    """What every setup that was not done yet, and every reading that may be taken again, would tell.

    Setups of checks without movement are among them, unless `looks` is off.
    """
    repeats = repeats_of(found) | (look_repeats(found) if looks else {})
    left = told_by(
        found.posterior, found.tables, found.beliefs, by, left=tables_left(found), forecasts=found.forecasts
    ) | (looks_left(found) if looks else {})
    told: dict[Look, Told] = {setup: entry for setup, entry in left.items()}
    return told | {again: repeat.told for again, repeat in repeats.items()}, repeats


def tables_left(found: Diagnosed) -> dict[Setup, ResponseTable]:
    """The setups that were not done yet, without checks that could not be done."""
    done = {check.setup for check in found.checks}
    skipped = {entry.part for entry in found.visit.not_checked}
    return {s: table for s, table in found.tables.items() if s not in done and s.check not in skipped}


def described(found: Diagnosed, setup: Setup, minutes: float, bits: float, unproven: str | None = None) -> NextCheck:
    """A setup as advice: its watches, its minutes, and the parts that it tells about."""
    if load_catalogue().checks[setup.check].kind != "movement":
        return described_look(found, setup, minutes, bits)
    table, beliefs = found.tables[setup], found.beliefs
    doubtful = {
        found.vehicle.parts[name].name: found.posterior.marginal(name)
        for name, states in found.posterior.states.items()
        if best_by_hand(table, states, states.axes[0], beliefs)[0] > _TELLS
    }
    apart = [name for name, chance in doubtful.items() if 0.02 < chance < beliefs.worn_at_least]
    apart = sorted(apart, key=lambda name: -doubtful[name])[:3]
    # The table's watches: a check's own list is for every vehicle, and names parts that this one has not.
    return NextCheck(setup, table.watches, minutes, bits, tuple(apart), _reason(apart, unproven))


def described_again(found: Diagnosed, looks: Sequence[Again], minutes: float, bits: float, repeat: Repeat) -> NextCheck:
    """Watches of one setup to be read again, or parts to be looked at again: what the first of them decides."""
    leads, instead = (set_words(found.vehicle, parts) for parts in (repeat.leads, repeat.instead))
    if load_catalogue().checks[looks[0].setup.check].kind == "movement":
        reason = say(
            "do it again ({watches}): it decides between {leads} and {instead}",
            watches=tuple(watch_place(look.watch) for look in looks),
            leads=leads,
            instead=instead,
        )
    else:
        reason = say(
            "look again ({parts}), best by somebody else: it decides between {leads} and {instead}",
            parts=tuple(found.vehicle.parts[look.watch].name for look in looks),
            leads=leads,
            instead=instead,
        )
    apart = sorted(set(repeat.leads) ^ set(repeat.instead), key=lambda name: -found.posterior.marginal(name))
    names = tuple(found.vehicle.parts[name].name for name in apart)
    return NextCheck(looks[0].setup, tuple(look.watch for look in looks), minutes, bits, names, reason, again=True)


def described_unexplained(looks: Sequence[Again], minutes: float) -> NextCheck:
    """Watches of one setup to be read again because nothing explains what was read there, as advice."""
    reason = say(
        "do it again ({watches}): more was read than anything known of this vehicle explains",
        watches=tuple(watch_place(look.watch) for look in looks),
    )
    return NextCheck(looks[0].setup, tuple(look.watch for look in looks), minutes, 0.0, (), reason, again=True)


def _reason(apart: Sequence[Value], unproven: str | None) -> str:
    if unproven is not None:
        return say("{part} is on record as tight, from a check that could not have shown its play", part=unproven)
    if apart:
        return say("tells most per minute about {parts}", parts=tuple(apart))
    return say("tells most per minute about parts not looked at yet")
