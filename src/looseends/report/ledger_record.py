"""The answer of `looseends ledger` as a record for another program."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from math import degrees
from typing import Any

from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.repair import Repair, every_repair
from looseends.diagnosis.consequences.road import RoadEffects, Swing
from looseends.diagnosis.consequences.wear import Cases
from looseends.inspection.types import Visit


def ledger_record(visit: Visit, account: Account) -> dict[str, Any]:
    """Lengths in mm, angles in degrees; every subset of the parts stands under `remains`."""
    return {
        "vehicle": visit.vehicle,
        "parts": _chances(account.cases),
        "covered": account.cases.covered,
        "places": [_place(ledger) for ledger in account.ledgers],
        "leading_set": sorted(account.cases.leading_set),
        "leading_probability": account.cases.sets[account.cases.leading_set],
        "repair": _repair(account.repair),
        "then": [asdict(move) for move in account.moves],
        "next_part": account.next_part,
        "road": [_road(effects) for effects in account.road],
        "tires": [
            {
                "pattern": expected.pattern.id,
                "where": expected.where,
                "case": expected.case,
                "angle_deg": expected.angle_deg,
                "parts": expected.parts,
                "weight": expected.weight,
                "status": expected.pattern.status,
                "source": expected.pattern.source,
            }
            for expected in account.patterns
        ],
    }


def nothing_worn_record(visit: Visit, cases: Cases, seen: Sequence[str]) -> dict[str, Any]:
    """The same keys as far as there is anything to say."""
    return {
        "vehicle": visit.vehicle,
        "parts": _chances(cases),
        "leading_set": [],
        "none_worn_probability": cases.none,
        "replace_for_what_was_seen": list(seen),
    }


def _chances(cases: Cases) -> list[dict[str, Any]]:
    return [{"part": part, "chance": chance} for part, chance in cases.marginals.items()]


def _place(ledger: Ledger) -> dict[str, Any]:
    return {
        "place": ledger.place.id,
        "check": ledger.place.look.setup.check,
        "support": ledger.place.look.setup.support,
        "watch": ledger.place.look.watch,
        "free_mm": ledger.total_mm,
        "sound_mm": ledger.sound_mm,
        "shares_mm": ledger.shares_mm,
        "remains": [{"replaced": list(parts), "mm": mm} for parts, mm in every_repair(ledger)],
    }


def _repair(repair: Repair) -> dict[str, Any]:
    limits = [
        {
            "limit": kept.limit.limit.id,
            "side": kept.limit.look.setup.side,
            "value_mm": kept.limit.value_mm,
            "kept_before": kept.before,
            "kept_after": kept.after,
        }
        for kept in repair.limits
    ]
    return {**vars(repair), "limits": limits}


def _road(effects: RoadEffects) -> dict[str, Any]:
    return {
        "case": effects.case.id,
        "source": effects.case.source,
        "wheels": [
            {
                "wheel": f"{wheel.end} {wheel.side}",
                "toe": _swing(wheel.toe),
                "toe_added_mm": wheel.toe_swing_mm(wheel.toe.added),
                "at_diameter_mm": wheel.diameter_mm,
                "camber": _swing(wheel.camber),
            }
            for wheel in effects.wheels
        ],
        "axles": [
            {
                "end": axle.end,
                "total_toe": _swing(axle.total_toe),
                "side_slip_sound_m_per_km": axle.slip_m_per_km(axle.total_toe.sound),
                "side_slip_worn_m_per_km": axle.slip_m_per_km(axle.total_toe.worn),
                "side_slip_shift_m_per_km": axle.slip_m_per_km(axle.total_toe.shift),
                "side_slip_shift_ft_per_mile": axle.slip_ft_per_mile(axle.total_toe.shift),
            }
            for axle in effects.axles
        ],
    }


def _swing(swing: Swing) -> dict[str, float]:
    told = {"sound_deg": swing.sound, "worn_deg": swing.worn, "added_deg": swing.added, "shift_deg": swing.shift}
    return {name: degrees(angle) for name, angle in told.items()}
