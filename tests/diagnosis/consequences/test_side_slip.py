"""Side slip from total toe, against a published relation, the catalogue's derived rows and numbers worked by hand."""

from __future__ import annotations

from math import asin, atan, radians

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.consequences.slip import side_slip_ft_per_mile, side_slip_m_per_km, toe_mm

INCH_MM = 25.4


def test_published_a_sixteenth_of_an_inch_on_26_4_inches_is_12_5_feet_per_mile() -> None:
    """A mile has 5,280 feet and 26.4 inches are 5280/200, so that 1/16 inch makes 200/16 feet: exactly 12.5."""
    total_toe = atan((1.0 / 16.0) / 26.4)
    assert side_slip_ft_per_mile(total_toe) == pytest.approx(12.5, rel=1e-12)


@pytest.mark.parametrize(("tire_inch", "row"), [(28.5, "11.6 feet per mile"), (35.6, "9.3 feet per mile")])
def test_published_the_catalogues_rows_of_the_conversion_table(tire_inch: float, row: str) -> None:
    """The rows are rounded to a tenth."""
    printed = [limit.printed for limit in load_catalogue().limits.values() if "side-slip" in limit.id]
    assert row in printed
    slip = side_slip_ft_per_mile(atan((1.0 / 16.0) / tire_inch))
    assert slip == pytest.approx(float(row.split()[0]), abs=0.05)


def test_exact_one_degree() -> None:
    assert side_slip_ft_per_mile(radians(1.0)) == pytest.approx(92.163, abs=5e-4)
    assert side_slip_m_per_km(radians(1.0)) == pytest.approx(17.455, abs=5e-4)
    assert side_slip_m_per_km(radians(-1.0)) == pytest.approx(-17.455, abs=5e-4)


def test_exact_one_foot_per_mile_is_0_189394_metres_per_kilometre() -> None:
    angle = atan(1.0 / 5280.0)
    assert side_slip_m_per_km(angle) == pytest.approx(0.189394, abs=5e-7)


def test_exact_the_same_distance_at_a_smaller_diameter_is_a_larger_angle() -> None:
    """3 mm at 650 mm are 0.26444 deg, at a rim of 17 inches 0.39807 deg; 0.20 deg at 650 mm are 2.2689 mm."""
    assert toe_mm(radians(0.26444), 650.0) == pytest.approx(3.0, abs=1e-4)
    assert toe_mm(radians(0.39807), 17.0 * INCH_MM) == pytest.approx(3.0, abs=1e-4)
    assert toe_mm(radians(0.20), 650.0) == pytest.approx(2.2689, abs=5e-5)
    assert toe_mm(asin(0.01), 100.0) == pytest.approx(1.0)
