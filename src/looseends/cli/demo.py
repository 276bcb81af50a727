"""`looseends demo`: the visit that ships with the program, from the readings to the handover."""

from __future__ import annotations

from pathlib import Path

from looseends.cli.options import AsJson, Directory, Replace
from looseends.cli.output import console, print_json


def demo(directory: Directory = Path("handover"), replace: Replace = False, as_json: AsJson = False) -> None:
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
    files = written_handover(judgement, directory, replace=replace)
    if as_json:
        print_json({"judgement": judgement, "files": files})
        return
    out = console()
    print_judgement(judgement, out)
    out.print("Handover:", style="bold")
    for file in files:
        out.print(f"  {file}", soft_wrap=True)
