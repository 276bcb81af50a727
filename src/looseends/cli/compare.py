"""`looseends compare`: two visits of one vehicle side by side, or the left against the right in one visit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from looseends.cli.options import AsJson, LanguageChoice, PolicyFile, UnitsChoice, VisitFile
from looseends.cli.output import print_json
from looseends.errors import InputError
from looseends.language import Speech, refusal, say

Second = Annotated[
    Path | None,
    typer.Argument(metavar="[VISIT]", help="The later visit of the same vehicle; left out with --sides."),
]
Sides = Annotated[bool, typer.Option("--sides", help="Lay the left beside the right in one visit.")]


def compare(
    visit: VisitFile,
    second: Second = None,
    sides: Sides = False,
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    as_json: AsJson = False,
) -> None:
    """Lay two visits of a vehicle side by side.

    The readings that both took in the same way, and whether they differ by more than the gauge's own error or the
    observer's scatter; every verdict that is another one now; and what was replaced in between. With --sides it lays
    the left of one visit beside its right.
    """
    # numpy and scipy: --help need not wait for them.
    from looseends.cli.comparison_text import print_comparison
    from looseends.cli.judged_visit import judged_visit
    from looseends.report.compared import compared_sides, compared_visits, comparison_record

    if sides == (second is not None):
        found = say("two visits with --sides") if sides else say("one visit")
        raise InputError(
            refusal("compare: found {found}; accepted are two visits, or one visit with --sides.", found=found)
        )
    first = judged_visit(visit, policy)
    if second is None:
        comparison = compared_sides(first)
    else:
        comparison = compared_visits(first, judged_visit(second, policy), (visit, second))
    if as_json:
        print_json(comparison_record(comparison))
    else:
        print_comparison(comparison, Speech(language, units))
