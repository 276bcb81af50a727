"""Quantities that are said in metric or in US units.

Source of the factors: NIST Special Publication 811 (2008), Appendix B.8 and B.9; the inch, the pound and standard
gravity are exact by definition, and the others follow from them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from looseends.language.speech import Sayable, Speech

MM_PER_INCH = 25.4
MM_PER_FOOT = 12 * MM_PER_INCH
KM_PER_MILE = 5280 * MM_PER_FOOT * 1e-6
KG_PER_POUND = 0.45359237
STANDARD_GRAVITY_M_S2 = 9.80665
N_PER_POUND_FORCE = KG_PER_POUND * STANDARD_GRAVITY_M_S2
NM_PER_POUND_FOOT = N_PER_POUND_FORCE * MM_PER_FOOT * 1e-3
KPA_PER_PSI = N_PER_POUND_FORCE / MM_PER_INCH**2 * 1e3
M_PER_KM_PER_FOOT_PER_MILE = MM_PER_FOOT * 1e-3 / KM_PER_MILE


@dataclass(frozen=True)
class Quantity(Sayable):
    """A value in its metric unit, said with so many decimals; None: with those that it has, up to six digits.

    `spread`, in the same unit, is said behind it as ± spread. `grouped` sets thousands apart.
    """

    value: float
    decimals: int | None = None
    spread: float | None = None
    grouped: bool = False

    metric_unit: ClassVar[str] = ""
    us_unit: ClassVar[str] = ""
    metric_per_us: ClassVar[float] = 1.0
    more_us_decimals: ClassVar[int] = 0
    most_us_decimals: ClassVar[int] = 3

    def said(self, speech: Speech) -> str:
        """The number and its unit."""
        unit = self.unit_for(speech)
        return f"{self.number_for(speech)} {unit}" if unit else self.number_for(speech)

    def number_for(self, speech: Speech) -> str:
        """The number alone, for a table whose head names the unit."""
        in_us = self._in_us(speech)
        factor, decimals = (self.metric_per_us, self.us_decimals()) if in_us else (1.0, self.decimals)
        numbers = [self.value] if self.spread is None else [self.value, self.spread]
        return " ± ".join(speech.number(number / factor, decimals, grouped=self.grouped) for number in numbers)

    @classmethod
    def unit_for(cls, speech: Speech) -> str:
        """The unit alone."""
        return cls.us_unit if cls._in_us(speech) else cls.metric_unit

    @classmethod
    def _in_us(cls, speech: Speech) -> bool:
        return speech.units == "us" and cls.metric_per_us != 1.0

    def us_decimals(self) -> int:
        """Decimals of the US value, for about the same resolution."""
        if self.decimals is not None:
            return min(self.decimals + self.more_us_decimals, self.most_us_decimals)
        return 0 if abs(self.value) >= 10.0 * self.metric_per_us else 1


@dataclass(frozen=True)
class Number(Quantity):
    """A number without a unit."""


@dataclass(frozen=True)
class Length(Quantity):
    """A length or clearance [mm]; in inches with thousandths, as gauges show them, and fewer from ten inches on."""

    metric_unit: ClassVar[str] = "mm"
    us_unit: ClassVar[str] = "in"
    metric_per_us: ClassVar[float] = MM_PER_INCH
    more_us_decimals: ClassVar[int] = 2

    def us_decimals(self) -> int:
        """Decimals in inches."""
        if self.decimals is not None:
            return super().us_decimals()
        inches = self.value / MM_PER_INCH
        return 3 if abs(inches) < 10 else 0 if math.isclose(inches, round(inches)) else 1

    @classmethod
    def read(cls, value: float, resolution_mm: float | None) -> Length:
        """A gauge reading [mm] with the decimals of the gauge; two decimals at most where it is unknown."""
        if resolution_mm is not None and resolution_mm > 0:
            return cls(value, max(0, -math.floor(math.log10(resolution_mm) + 1e-9)))
        return cls(round(value, 2))


@dataclass(frozen=True)
class Force(Quantity):
    """A force [N]."""

    metric_unit: ClassVar[str] = "N"
    us_unit: ClassVar[str] = "lbf"
    metric_per_us: ClassVar[float] = N_PER_POUND_FORCE


@dataclass(frozen=True)
class Moment(Quantity):
    """A torque [N·m]."""

    metric_unit: ClassVar[str] = "N·m"
    us_unit: ClassVar[str] = "lb·ft"
    metric_per_us: ClassVar[float] = NM_PER_POUND_FOOT


@dataclass(frozen=True)
class Distance(Quantity):
    """A distance driven [km]."""

    metric_unit: ClassVar[str] = "km"
    us_unit: ClassVar[str] = "mi"
    metric_per_us: ClassVar[float] = KM_PER_MILE


@dataclass(frozen=True)
class SideSlip(Quantity):
    """How far a wheel slips sideways on its way [m/km]."""

    metric_unit: ClassVar[str] = "m/km"
    us_unit: ClassVar[str] = "ft/mile"
    metric_per_us: ClassVar[float] = M_PER_KM_PER_FOOT_PER_MILE


@dataclass(frozen=True)
class Angle(Quantity):
    """An angle [degrees], the same in both systems."""

    metric_unit: ClassVar[str] = "°"

    def said(self, speech: Speech) -> str:
        """The number with its sign, which no space parts."""
        return super().said(speech).replace(" °", "°")


@dataclass(frozen=True)
class Pressure(Quantity):
    """A pressure [kPa]."""

    metric_unit: ClassVar[str] = "kPa"
    us_unit: ClassVar[str] = "psi"
    metric_per_us: ClassVar[float] = KPA_PER_PSI


@dataclass(frozen=True)
class Mass(Quantity):
    """A mass [kg]."""

    metric_unit: ClassVar[str] = "kg"
    us_unit: ClassVar[str] = "lb"
    metric_per_us: ClassVar[float] = KG_PER_POUND


@dataclass(frozen=True)
class Minutes(Quantity):
    """A time in the bay [min]."""

    metric_unit: ClassVar[str] = "min"


@dataclass(frozen=True)
class Percent(Sayable):
    """A chance or share, in whole percent that never claims certainty; `down`: never rounded up."""

    share: float
    down: bool = False

    def said(self, speech: Speech) -> str:
        """The percentage, with below 1 % and above 99 % in words."""
        if self.share < 0.01:
            return speech.template("below {percent} %").format(percent=1)
        if self.share > 0.99:
            return speech.template("above {percent} %").format(percent=99)
        percent = math.floor(100.0 * self.share + 1e-9) if self.down else round(100.0 * self.share)
        return f"{speech.number(percent, 0)} %"
