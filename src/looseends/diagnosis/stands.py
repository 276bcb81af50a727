"""Minutes of checks, with the minutes to bring the vehicle from one support to another."""

from __future__ import annotations

from looseends.catalogue import load_catalogue
from looseends.diagnosis.opening import load_opening
from looseends.diagnosis.policy import Policy
from looseends.vehicle.setup import Setup


def change_minutes(before: str | None, after: str, policy: Policy) -> float:
    """Minutes from one support to another; None where the vehicle has just come in.

    The catalogue says how long a support takes to reach from any other; a policy may say otherwise of a pair.
    """
    here = load_opening().arrives_on if before is None else before
    if here == after:
        return 0.0
    return policy.support_changes.get((here, after), load_catalogue().supports[after].minutes)


def check_minutes(setup: Setup) -> float:
    """Minutes of the check alone, on a vehicle that stands so already."""
    return load_catalogue().checks[setup.check].minutes
