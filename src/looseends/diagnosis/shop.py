"""What a shop has made its own: the beliefs that it learned and the policy that it set, asked for in one way."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.observed.learned import with_shop
from looseends.diagnosis.verdicts.policy import Policy
from looseends.diagnosis.verdicts.policy_file import load_policy

LEARNED_IN = "LOOSEENDS_SHOP"
"""The variable that names what `looseends learn` has written."""


@dataclass(frozen=True)
class Shop:
    """Beliefs with the policy's thresholds in them, and the policy; what ships where a shop has none of its own."""

    beliefs: Beliefs = field(default_factory=load_beliefs)
    policy: Policy = field(default_factory=load_policy)


def load_shop(policy_file: Path | None = None) -> Shop:
    """What ships, with what the file that LOOSEENDS_SHOP names has learned and what a policy's file changes.

    Raises
    ------
    InputError
        If a file is not as `looseends learn` writes it, or not a policy as docs/policy.md describes it.
    """
    policy, learned = load_policy(policy_file), os.environ.get(LEARNED_IN)
    beliefs = with_shop(load_beliefs(), Path(learned)) if learned else load_beliefs()
    return Shop(policy.applied_to(beliefs), policy)
