"""Damper oil: viscosity and density over temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from suspension_lab.common.checks import number, positive
from suspension_lab.common.errors import LabError

ZERO_CELSIUS = 273.15
"""[K] (the kelvin's definition)."""
WORKSHOP = ZERO_CELSIUS + 20.0
"""Temperature at which a damper is filled, and judged where nothing else is said [K]."""
COLDEST, HOTTEST = ZERO_CELSIUS - 30.0, ZERO_CELSIUS + 160.0
"""Range in which an oil is described here [K]; colder it may not pour, hotter it cracks and seals fail."""
DENSITY_GIVEN_AT = ZERO_CELSIUS + 15.0
"""[K]; the usual temperature of an oil's data sheet (ISO 12185, from memory)."""
GRADES = {10: 2.5, 15: 3.5, 22: 4.5, 32: 5.5, 46: 6.5, 68: 8.5}
"""ISO 3448 grade (its midpoint at 40 degC [mm^2/s]) -> typical viscosity at 100 degC [mm^2/s] (tables of lubrication
handbooks, secondary copy)."""


class Fluid(NamedTuple):
    """An oil at one temperature."""

    density: float
    """[kg/m^3]"""
    viscosity: float
    """Dynamic [Pa s]."""


@dataclass(frozen=True, kw_only=True)
class Oil:
    """A mineral oil by two published viscosities.

    Attributes:
        viscosity_40, viscosity_100: kinematic viscosity at 40 and 100 degC [m^2/s] (1 mm^2/s is 1e-6 m^2/s).
        density: at 15 degC [kg/m^3].
        expansion: share by which the volume grows [1/K]; 0.0007 is usual for mineral oil (handbook value, from memory).
        vapour_pressure: below this absolute pressure bubbles form [Pa]. That of mineral oil is far lower; dissolved air
            comes out before (assumed, no source).

    Raises:
        LabError: a viscosity of zero or below, an oil that does not thin as it warms, or a value out of its range.
    """

    viscosity_40: float
    viscosity_100: float
    density: float = 860.0
    expansion: float = 0.0007
    vapour_pressure: float = 1000.0

    def __post_init__(self) -> None:
        for name, value in (("40", self.viscosity_40), ("100", self.viscosity_100)):
            positive(f"oil viscosity at {name} °C", value, "m²/s")
            number(f"oil viscosity at {name} °C", value, "m²/s", low=0.5e-6, high=0.01)
        if self.viscosity_100 >= self.viscosity_40:
            raise LabError(
                f"The oil's viscosity at 100 °C ({1e6 * self.viscosity_100:g} mm²/s) is not below that at 40 °C "
                f"({1e6 * self.viscosity_40:g} mm²/s), where an oil that thins as it warms was expected; check whether "
                "the two are swapped."
            )
        number("oil density", self.density, "kg/m³", low=500.0, high=1500.0)
        number("oil expansion", self.expansion, "1/K", low=0.0, high=0.002)
        number("vapour pressure", self.vapour_pressure, "Pa", low=0.0, high=1e5)

    @classmethod
    def of_grade(cls, grade: int) -> Oil:
        """A typical oil of an ISO 3448 viscosity grade.

        Raises:
            LabError: a grade that is not in `GRADES`.
        """
        if grade not in GRADES:
            known = ", ".join(map(str, GRADES))
            raise LabError(f"Oil grade ISO VG {grade!r} is not known here; take one of {known}, or give viscosities.")
        return cls(viscosity_40=1e-6 * grade, viscosity_100=1e-6 * GRADES[grade])

    def kinematic_viscosity(self, temperature: float) -> float:
        """[m^2/s] at a temperature [K], by ASTM D341: log log (nu + 0.7) falls in a straight line over log T.

        Raises:
            LabError: a temperature outside `COLDEST` to `HOTTEST`.
        """
        t = oil_temperature(temperature)
        first, second = (math.log10(math.log10(1e6 * nu + 0.7)) for nu in (self.viscosity_40, self.viscosity_100))
        at_first, at_second = math.log10(ZERO_CELSIUS + 40.0), math.log10(ZERO_CELSIUS + 100.0)
        slope = (second - first) / (at_second - at_first)
        return 1e-6 * (math.pow(10.0, math.pow(10.0, first + slope * (math.log10(t) - at_first))) - 0.7)

    def density_at(self, temperature: float) -> float:
        """[kg/m^3] at a temperature [K].

        Raises:
            LabError: a temperature outside `COLDEST` to `HOTTEST`.
        """
        return self.density / (1.0 + self.expansion * (oil_temperature(temperature) - DENSITY_GIVEN_AT))

    def at(self, temperature: float) -> Fluid:
        """Density and dynamic viscosity at a temperature [K].

        Raises:
            LabError: a temperature outside `COLDEST` to `HOTTEST`.
        """
        density = self.density_at(temperature)
        return Fluid(density=density, viscosity=density * self.kinematic_viscosity(temperature))

    @property
    def viscosity_index(self) -> float:
        """How little the oil thins as it warms (ASTM D2270); about 100 for plain mineral oil, more is steadier.

        Not a number where the viscosity at 100 degC is below 2 mm^2/s, where the practice ends.
        """
        at_40, at_100 = 1e6 * self.viscosity_40, 1e6 * self.viscosity_100
        if at_100 < _INDEX_BASE[0][0]:
            return math.nan
        row = next(row for row in reversed(_INDEX_BASE) if at_100 >= row[0])
        loose, high = (a * at_100**2 + b * at_100 + c for a, b, c in (row[1:4], row[4:7]))
        if at_40 >= high:
            return 100.0 * (loose - at_40) / (loose - high)
        power = (math.log10(high) - math.log10(at_40)) / math.log10(at_100)
        return (math.pow(10.0, power) - 1.0) / 0.00715 + 100.0


def oil_temperature(value: float) -> float:
    """A temperature [K] at which an oil is described.

    Raises:
        LabError: outside the range, with a hint where it looks like degrees Celsius.
    """
    kelvin = number("oil temperature", value, "K")
    if COLDEST <= kelvin <= HOTTEST:
        return kelvin
    range_ = f"{COLDEST - ZERO_CELSIUS:.0f} to {HOTTEST - ZERO_CELSIUS:.0f} °C ({COLDEST:g} to {HOTTEST:g} K)"
    hint = (
        f"; if you meant {kelvin:g} °C, give {kelvin + ZERO_CELSIUS:g} K"
        if COLDEST <= kelvin + ZERO_CELSIUS <= HOTTEST
        else "; the oil is not described there"
    )
    raise LabError(
        f"The oil temperature is {kelvin:g} K ({kelvin - ZERO_CELSIUS:g} °C), where {range_} was expected{hint}."
    )


_INDEX_BASE = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.475, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (55.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)
"""Viscosity at 100 degC from which a row holds [mm^2/s], then the coefficients of L and of H (ASTM D2270, from memory;
held to a published table by the tests)."""
