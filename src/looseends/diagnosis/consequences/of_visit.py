"""What the worn parts of a visit do, from its posterior."""

from __future__ import annotations

from collections.abc import Collection

from looseends.diagnosis.consequences.account import Account, account_of
from looseends.diagnosis.consequences.bench import Progress, untold
from looseends.diagnosis.consequences.shapley import MOST_PARTS
from looseends.diagnosis.consequences.wear import cases_of
from looseends.diagnosis.inference.diagnose import Diagnosed


def account_of_visit(found: Diagnosed, seen: Collection[str], *, progress: Progress = untold) -> Account | None:
    """The account of a visit; `seen` are parts to replace for what was seen on them, replaced ones aside.

    None where no worn part is likelier than none, or too many are to be told.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in a support that is asked for.
    """
    cases = cases_of(found.posterior)
    if not cases.leading_set or len(cases.parts) > MOST_PARTS:
        return None
    replaced = {event.part for event in found.visit.replaced}
    anyway = [part for part in seen if part not in replaced]
    sure = found.beliefs.worn_at_least
    return account_of(
        found.vehicle, cases, found.visit.jurisdiction, anyway=anyway, progress=progress, worn_at_least=sure
    )
