"""`looseends judge`: the verdict on every part, with its grounds."""

from __future__ import annotations

from typing import Annotated

import typer

from looseends.cli.options import AsJson, LanguageChoice, PolicyFile, UnitsChoice, VisitFile
from looseends.cli.output import console, print_json
from looseends.language import Speech

InFull = Annotated[
    bool, typer.Option("--all", help="Tell also of every part that the visit says nothing of, and what would show it.")
]


def judge(
    visit: VisitFile,
    in_full: InFull = False,
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    as_json: AsJson = False,
) -> None:
    """Give the verdict on every part of a visit.

    Each with its grounds and how soon it is due, the gravest first: unsafe, replace, plan, sound, unproven. Unproven
    means that nothing done so far could have shown wear; the check that would show it stands beside it. Then come the
    suspects with their probability and the check to do next. On a vehicle that is known by tape it says how far
    verdicts hang on what was not measured.
    """
    from looseends.cli.judged_visit import judged_visit  # numpy and scipy: --help need not wait for them
    from looseends.cli.judgement_doubt import doubts_of, print_doubts
    from looseends.cli.judgement_text import print_judgement

    judgement = judged_visit(visit, policy)
    doubt = doubts_of(judgement)
    if as_json:
        print_json(judgement if not doubt else {**vars(judgement), "by_tape": doubt})
        return
    speech = Speech(language, units)
    print_judgement(judgement, console(), speech, in_full=in_full)
    print_doubts(doubt, judgement, speech)
