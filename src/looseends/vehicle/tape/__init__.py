"""A user's own vehicle, known by a tape measure and the door sticker."""

from looseends.vehicle.tape.answers import Answers, read_answers
from looseends.vehicle.tape.questions import Question, load_questions
from looseends.vehicle.tape.scaling import taped_vehicle
from looseends.vehicle.tape.templates import Template, load_templates
from looseends.vehicle.tape.writing import vehicle_text

__all__ = [
    "Answers",
    "Question",
    "Template",
    "load_questions",
    "load_templates",
    "read_answers",
    "taped_vehicle",
    "vehicle_text",
]
