"""`looseends next`: the check that tells most per minute."""

from __future__ import annotations

from looseends.cli.options import AsJson, LanguageChoice, UnitsChoice, VisitFile
from looseends.cli.output import console, print_json
from looseends.language import Speech


def next_check(
    visit: VisitFile, language: LanguageChoice = "en", units: UnitsChoice = "metric", as_json: AsJson = False
) -> None:
    """Name the check to do next.

    It is the one that tells most per minute, given what the visit has shown so far. Its setup, its reason, what to do
    and the cautions stand beside it.
    """
    from looseends.cli.judged_visit import judged_visit  # numpy and scipy: --help need not wait for them
    from looseends.cli.judgement_text import print_next_checks

    judgement = judged_visit(visit)
    if as_json:
        print_json(judgement.next_checks)
    else:
        print_next_checks(judgement.next_checks, console(), Speech(language, units), with_instructions=True)
