"""Draws the README's picture of the plan from the invented visit: `python -m tests.report.draw_pictures`."""

from pathlib import Path

from looseends.report import plan_svg
from tests.report.handover_sample import yard_pickup_judgement, yard_pickup_plan

PICTURE = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "underside-plan.svg"


def underside_picture() -> str:
    """The plan with the verdicts of the invented visit, as SVG."""
    judgement = yard_pickup_judgement()
    return plan_svg(yard_pickup_plan(), {finding.part: finding.verdict for finding in judgement.findings})


if __name__ == "__main__":
    PICTURE.write_text(underside_picture(), encoding="utf-8")
