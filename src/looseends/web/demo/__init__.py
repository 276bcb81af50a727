"""The demo bay, Saltmarsh Slip: invented people, vehicles and visits in every stage."""

from looseends.web.demo.filling import DEMO_PERSON, fill_demo

__all__ = ["DEMO_PERSON", "fill_demo"]
