"""`looseends handover`: the page and the PDF for the customer and the file."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from looseends.cli.options import AsJson, Directory, LanguageChoice, PolicyFile, Replace, UnitsChoice, VisitFile
from looseends.cli.output import console, print_json
from looseends.language import Speech

Paper = Annotated[
    Literal["a4", "letter"],
    typer.Option("--paper", metavar="a4|letter", envvar="LOOSEENDS_PAPER", help="Size of the PDF's paper."),
]
Quick = Annotated[
    bool,
    typer.Option(
        "--quick", help="Leave out what worn parts do on the road and whose the play is, which takes some seconds."
    ),
]


def handover(
    visit: VisitFile,
    directory: Directory,
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    paper: Paper = "a4",
    quick: Quick = False,
    replace: Replace = False,
    as_json: AsJson = False,
) -> None:
    """Write the handover of a visit.

    Judges the visit and writes one page to open in a browser and one PDF to print: a page for the customer, and behind
    it the plan of the underside and an annex from which a stranger can do every check again, with the grounds of every
    verdict. Parts that were replaced stand as found and as left.
    """
    # numpy, scipy and the typesetter: --help need not wait for them.
    from looseends.cli.judged_visit import as_found, consequences, judged_visit, written_handover
    from looseends.report import Enclosures

    judgement = judged_visit(visit, policy)
    enclosures = Enclosures(
        account=None if quick else consequences(judgement.visit, policy),
        as_found=as_found(judgement, policy),
    )
    speech = Speech(language, units)
    files = written_handover(judgement, directory, speech, enclosures=enclosures, sheet=paper, replace=replace)
    if as_json:
        print_json({"files": files})
        return
    for path in files:
        console().print(str(path), soft_wrap=True)
