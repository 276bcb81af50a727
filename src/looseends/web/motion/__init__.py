"""The motion view: a vehicle's linkage in space, and how it moves when it is gripped, from the model."""

from looseends.web.motion.asked import MotionAsk, MotionRequest, read_motion
from looseends.web.motion.shown import MotionShown, motion_shown

__all__ = ["MotionAsk", "MotionRequest", "MotionShown", "motion_shown", "read_motion"]
