"""`looseends handover`: the page and the PDF for the customer and the file."""

from __future__ import annotations

from looseends.cli.options import AsJson, Directory, LanguageChoice, PolicyFile, Replace, UnitsChoice, VisitFile
from looseends.cli.output import console, print_json
from looseends.language import Speech


def handover(
    visit: VisitFile,
    directory: Directory,
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    replace: Replace = False,
    as_json: AsJson = False,
) -> None:
    """Write the handover of a visit.

    Judges the visit and writes one page to open in a browser and one PDF to print, with the verdicts, their grounds and
    the plan of the underside.
    """
    from looseends.cli.judged_visit import judged_visit, written_handover  # numpy, scipy: --help need not wait

    files = written_handover(judged_visit(visit, policy), directory, Speech(language, units), replace=replace)
    if as_json:
        print_json({"files": files})
        return
    for path in files:
        console().print(str(path), soft_wrap=True)
