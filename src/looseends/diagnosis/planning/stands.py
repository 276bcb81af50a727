"""Minutes of checks, with the minutes to bring the vehicle from one support to another."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.opening import load_again_minutes, load_opening
from looseends.diagnosis.verdicts.policy import Policy
from looseends.vehicle.setup import Setup


@dataclass(frozen=True)
class Again:
    """One watch of a setup that was done, to be read again."""

    setup: Setup
    watch: str

    @property
    def support(self) -> str:
        """The support in which it is read."""
        return self.setup.support


Look = Setup | Again
"""What may be done next: a setup with all its watches, or one watch again."""


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


def look_minutes(look: Look) -> float:
    """Minutes of a look alone, on a vehicle that stands so already; to read one watch again never takes longer."""
    if isinstance(look, Again):
        return min(load_again_minutes(), check_minutes(look.setup))
    return check_minutes(look)
