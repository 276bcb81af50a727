"""From a visit file to its judgement, and to the handover's two files."""

from __future__ import annotations

import gc
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from looseends.cli.progress import progress_shown

if TYPE_CHECKING:
    from looseends.diagnosis.consequences.account import Account
    from looseends.diagnosis.next_step import Enough, Step
    from looseends.diagnosis.observed.calls import By
    from looseends.inspection.types import Finding, Judgement, Visit
    from looseends.language import Speech
    from looseends.report import Enclosures
    from looseends.report.paper import Sheet
    from looseends.vehicle.vehicle import Vehicle


def judged_visit(visit_file: Path, policy_file: Path | None = None, by: By = "hand") -> Judgement:
    """The judgement of the visit that a file records, by a shop's policy; what to do next as `by` would see it.

    Raises
    ------
    InputError
        If a file is not a visit as docs/visit-file.md describes it, or not a policy as docs/policy.md does.
    """
    _collect_seldom()
    # numpy, scipy and the catalogue: --help need not wait for them.
    from looseends.diagnosis import default_store, judge_visit
    from looseends.diagnosis.shop import load_shop
    from looseends.vehicle.loading import load_vehicles

    visit, shop = recorded_visit(visit_file), load_shop(policy_file)
    vehicle = load_vehicles()[visit.vehicle]
    with progress_shown() as report:
        return judge_visit(
            visit, vehicle, store=default_store(), progress=report, beliefs=shop.beliefs, policy=shop.policy, by=by
        )


def planned_step(visit_file: Path, policy_file: Path | None, minutes: float, by: By) -> tuple[Step | Enough, Vehicle]:
    """The next step of the visit that a file records, within some minutes, and its vehicle.

    Raises
    ------
    InputError
        As `judged_visit`.
    """
    _collect_seldom()
    from looseends.diagnosis import default_store
    from looseends.diagnosis.inference.diagnose import diagnose
    from looseends.diagnosis.next_step import next_step
    from looseends.diagnosis.shop import load_shop
    from looseends.vehicle.loading import load_vehicles

    visit, shop = recorded_visit(visit_file), load_shop(policy_file)
    vehicle = load_vehicles()[visit.vehicle]
    with progress_shown() as report:
        found = diagnose(visit, vehicle, store=default_store(), progress=report, beliefs=shop.beliefs)
    return next_step(found, minutes, shop.policy, by), vehicle


def _collect_seldom() -> None:
    """Look for garbage after 100 000 new objects and not after 700.

    What a short command loads stays until its end, and is searched over and over, a tenth of a second in all.
    """
    gc.set_threshold(100_000)


def recorded_visit(visit_file: Path) -> Visit:
    """The visit that a file records.

    Raises
    ------
    InputError
        If the file is not a visit as docs/visit-file.md describes it.
    """
    from looseends.catalogue import load_catalogue
    from looseends.inspection import read_visit
    from looseends.vehicle.loading import ReadWhenAsked, load_vehicles

    vehicles = load_vehicles()
    part_ids = ReadWhenAsked({name: partial(_part_ids, name) for name in vehicles})
    return read_visit(visit_file, catalogue=load_catalogue(), part_ids=part_ids, vehicle_ids=tuple(vehicles))


def _part_ids(vehicle_id: str) -> tuple[str, ...]:
    from looseends.vehicle.loading import load_vehicles

    return tuple(load_vehicles()[vehicle_id].parts)


def as_found(judgement: Judgement, policy_file: Path | None = None) -> tuple[Finding, ...]:
    """Findings on every replaced part by what was done before it was replaced."""
    from looseends.diagnosis import default_store, judge_visit
    from looseends.diagnosis.shop import load_shop
    from looseends.vehicle.loading import load_vehicles

    visit, shop = judgement.visit, load_shop(policy_file)
    vehicle, store = load_vehicles()[visit.vehicle], default_store()
    findings: list[Finding] = []
    for after in sorted({event.after_check for event in visit.replaced}):
        gone = {event.part for event in visit.replaced if event.after_check == after}
        earlier = tuple(event for event in visit.replaced if event.after_check < after)
        until = replace(visit, checks=visit.checks[:after], replaced=earlier)
        before = judge_visit(until, vehicle, store=store, beliefs=shop.beliefs, policy=shop.policy)
        findings += [finding for finding in before.findings if finding.part in gone]
    return tuple(findings)


def consequences(visit: Visit, policy_file: Path | None = None) -> Account | None:
    """What the worn parts of a visit do; None where no worn part is likelier than none, or too many are to be told."""
    from looseends.diagnosis import default_store
    from looseends.diagnosis.consequences.of_visit import account_of_visit
    from looseends.diagnosis.inference.diagnose import diagnose
    from looseends.diagnosis.judge import replaced_as_seen
    from looseends.diagnosis.shop import load_shop
    from looseends.vehicle.loading import load_vehicles

    vehicle, shop = load_vehicles()[visit.vehicle], load_shop(policy_file)
    with progress_shown() as report:
        found = diagnose(visit, vehicle, store=default_store(), progress=report, usual=False, beliefs=shop.beliefs)
        return account_of_visit(found, replaced_as_seen(visit, found, shop.policy), progress=report)


def written_handover(
    judgement: Judgement,
    directory: Path,
    speech: Speech,
    *,
    enclosures: Enclosures | None = None,
    sheet: Sheet = "a4",
    replace: bool = False,
) -> tuple[Path, Path]:
    """Paths of the page and the PDF, written into `directory`; `replace` overwrites a handover that differs.

    Raises
    ------
    InputError
        If the directory cannot be made or written, or holds a handover that differs and `replace` is off.
    """
    # The typesetter: `judge` and `next` need not wait for it.
    from looseends.report import Enclosures, write_handover
    from looseends.report.vehicle_plan import plan_geometry
    from looseends.report.vehicle_words import vehicle_vocabulary
    from looseends.vehicle.loading import load_vehicles

    vehicle = load_vehicles()[judgement.visit.vehicle]
    return write_handover(
        judgement,
        plan_geometry(vehicle),
        directory,
        vocabulary=vehicle_vocabulary(vehicle),
        speech=speech,
        enclosures=enclosures or Enclosures(),
        sheet=sheet,
        replace=replace,
    )
