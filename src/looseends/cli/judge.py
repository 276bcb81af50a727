"""`looseends judge`: the verdict on every part, with its grounds."""

from __future__ import annotations

from looseends.cli.options import AsJson, VisitFile
from looseends.cli.output import console, print_json


def judge(visit: VisitFile, as_json: AsJson = False) -> None:
    """Give the verdict on every part of a visit.

    Each with its grounds, the gravest first: unsafe, replace, plan, sound, unproven. Unproven means that nothing done
    so far could have shown wear; the check that would show it stands beside it. Then come the suspects with their
    probability and the check to do next.
    """
    from looseends.cli.judged_visit import judged_visit  # numpy and scipy: --help need not wait for them
    from looseends.cli.judgement_text import print_judgement

    judgement = judged_visit(visit)
    if as_json:
        print_json(judgement)
    else:
        print_judgement(judgement, console())
