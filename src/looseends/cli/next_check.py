"""`looseends next`: the check that tells most per minute, or the next step within some minutes and when to stop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from looseends.catalogue.names import unknown_name_sentence
from looseends.cli.options import AsJson, LanguageChoice, PolicyFile, UnitsChoice, VisitFile
from looseends.cli.output import console, print_json
from looseends.cli.plain_number import number_within
from looseends.errors import InputError
from looseends.language import Speech

if TYPE_CHECKING:
    from looseends.diagnosis.observed.calls import By

_WHERE = "looseends next"
_MOST_MINUTES = 1000.0
"""More than any visit has: a slip of the pen. Assumed."""

MinutesLeft = Annotated[
    str | None,
    typer.Option(
        "--minutes",
        metavar="N",
        help="Minutes that are left: names one step that fits, stands moved where they must be, or says why to stop.",
    ),
]
Observer = Annotated[
    str, typer.Option("--by", metavar="OBSERVER", help="What the watches are taken with: gauge, hand or eye.")
]


def next_check(
    visit: VisitFile,
    minutes: MinutesLeft = None,
    by: Observer = "hand",
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    as_json: AsJson = False,
) -> None:
    """Name the check to do next.

    It is the one that tells most per minute, given what the visit has shown so far, moving the stands included. Its
    setup, its reason, what to do and the cautions stand beside it. With --minutes what the complaint raises and what is
    critical for safety counts more; it is planned anew after each reading, and it says when enough is known.
    """
    observer = _known_observer(by)
    speech = Speech(language, units)
    if minutes is not None:
        _print_step(
            visit,
            policy,
            number_within(minutes, f"{_WHERE}: --minutes", "min", 0.0, _MOST_MINUTES),
            observer,
            speech,
            as_json=as_json,
        )
        return
    from looseends.cli.judged_visit import judged_visit  # numpy and scipy: --help need not wait for them
    from looseends.cli.judgement_text import print_next_checks

    judgement = judged_visit(visit, policy, observer)
    if as_json:
        print_json(judgement.next_checks)
    else:
        print_next_checks(judgement.next_checks, console(), speech, with_instructions=True)


def _known_observer(by: str) -> By:
    accepted: tuple[By, ...] = ("gauge", "hand", "eye")
    for known in accepted:
        if by == known:
            return known
    raise InputError(unknown_name_sentence("--by", by, accepted, where=_WHERE))


def _print_step(visit: Path, policy: Path | None, minutes: float, by: By, speech: Speech, *, as_json: bool) -> None:
    from looseends.cli.judged_visit import planned_step  # as above
    from looseends.cli.step_text import print_step
    from looseends.diagnosis.next_step import Enough

    planned, vehicle = planned_step(visit, policy, minutes, by)
    if as_json:
        enough = isinstance(planned, Enough)
        print_json({"step": None if enough else planned, "enough": planned if enough else None})
    else:
        print_step(planned, vehicle, console(), speech)
