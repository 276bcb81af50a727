"""The compiled kernel of the lash problem: many loads and clearances on one stiffness, each answer certified."""

from looseends.mechanics.answers import Answers
from looseends.mechanics.kernel.answers import solve_many
from looseends.mechanics.kernel.warm import warm_up

__all__ = ["Answers", "solve_many", "warm_up"]
