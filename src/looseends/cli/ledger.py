"""`looseends ledger`: whose the free travel is, the repair that is enough, and what the road makes of worn parts."""

from __future__ import annotations

from time import monotonic

from looseends.cli.options import AsJson, LanguageChoice, PolicyFile, UnitsChoice, VisitFile
from looseends.cli.output import print_json
from looseends.cli.progress import Report, progress_shown
from looseends.language import Speech

_QUIET_S = 2.0
"""Work shorter than this [s] shows no progress."""


def ledger(
    visit: VisitFile,
    policy: PolicyFile = None,
    language: LanguageChoice = "en",
    units: UnitsChoice = "metric",
    as_json: AsJson = False,
) -> None:
    """Share out the play of a visit's worn parts.

    Each worn part's share of the free travel at the wheels and at the steering wheel's rim; what is left once some of
    them are replaced; the smallest repair after which every joint and the linkage pass, and where the play moves then;
    what the wheels do on the road, and the tire wear that may come of it. It is averaged over what the visit leaves
    possible. A share is no verdict: "looseends judge" gives those.
    """
    # numpy and scipy: --help need not wait for them.
    from looseends.cli.judged_visit import recorded_visit
    from looseends.cli.ledger_text import print_account, print_nothing_worn
    from looseends.diagnosis import default_store
    from looseends.diagnosis.consequences.account import account_of
    from looseends.diagnosis.consequences.wear import cases_of
    from looseends.diagnosis.inference.diagnose import diagnose
    from looseends.diagnosis.judge import replaced_as_seen
    from looseends.diagnosis.shop import load_shop
    from looseends.report.ledger_record import ledger_record, nothing_worn_record
    from looseends.vehicle.loading import load_vehicles

    record, shop = recorded_visit(visit), load_shop(policy)
    vehicle = load_vehicles()[record.vehicle]
    with progress_shown() as report:
        found = diagnose(record, vehicle, store=default_store(), progress=report, usual=False, beliefs=shop.beliefs)
        cases, seen = cases_of(found.posterior), replaced_as_seen(record, found, shop.policy)
        if not cases.leading_set:
            account = None
        else:
            account = account_of(
                vehicle,
                cases,
                record.jurisdiction,
                anyway=seen,
                progress=_after_a_while(report),
                worn_at_least=shop.beliefs.worn_at_least,
            )
    if account is None:
        if as_json:
            print_json(nothing_worn_record(record, cases, seen))
        else:
            print_nothing_worn(record, vehicle, cases, seen, Speech(language, units))
    elif as_json:
        print_json(ledger_record(record, account))
    else:
        print_account(record, vehicle, account, Speech(language, units))


def _after_a_while(report: Report) -> Report:
    """A report that stays silent for the first two seconds."""
    start = monotonic()

    def told(doing: str, done: int, total: int) -> None:
        if monotonic() - start > _QUIET_S:
            report(doing, done, total)

    return told
