"""`looseends demo`: the visit that ships with the program, from the readings to the handover."""

from __future__ import annotations

from pathlib import Path

from looseends.cli.options import AsJson, Directory, LanguageChoice, Replace, UnitsChoice
from looseends.cli.output import console, print_json
from looseends.language import Speech, say


def demo(
    directory: Directory = Path("handover"),
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    replace: Replace = False,
    as_json: AsJson = False,
) -> None:
    """Judge the example visit.

    It comes with the program. Prints the findings and writes the handover. The vehicle, the people and the readings
    are invented.
    """
    from importlib.resources import as_file

    from looseends.cli.judged_visit import judged_visit, written_handover  # numpy, scipy: --help need not wait
    from looseends.cli.judgement_text import print_judgement
    from looseends.inspection import EXAMPLE_VISIT

    with as_file(EXAMPLE_VISIT) as path:
        judgement = judged_visit(path)
    speech = Speech(language, units)
    files = written_handover(judgement, directory, speech, replace=replace)
    if as_json:
        print_json({"judgement": judgement, "files": files})
        return
    out = console()
    print_judgement(judgement, out, speech)
    out.print(speech.words(say("Handover:")), style="bold")
    for file in files:
        out.print(f"  {file}", soft_wrap=True)
