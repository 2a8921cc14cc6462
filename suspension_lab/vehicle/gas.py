"""The gas charge that takes up the rod's volume."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.oil import WORKSHOP

ATMOSPHERE = 101_325.0
"""Standard atmosphere [Pa] (ISO 2533)."""
LEAST_SHARE = 0.05
"""The law is not carried on below this share of the volume at full extension."""


@dataclass(frozen=True, kw_only=True)
class GasCharge:
    """Gas behind a separator, filled at full extension and workshop temperature.

    Attributes:
        pressure: absolute [Pa]; a gauge reads one atmosphere less.
        volume: [m^3].
        exponent: of the polytropic law p V^n = const: 1 for slow moves, 1.4 for moves too quick for any heat to pass
            (textbook, a gas of two-atom molecules); riding lies between.
        vented: the gas has leaked out, and the air stands in its place at its own pressure.

    Raises:
        LabError: a value out of its range.
    """

    pressure: float
    volume: float
    exponent: float = 1.3
    vented: bool = False

    def __post_init__(self) -> None:
        positive("gas volume", self.volume, "m³")
        number("gas pressure", self.pressure, "Pa absolute", low=0.5e5, high=200e5)
        number("exponent of the gas", self.exponent, "1", low=1.0, high=1.7)

    def volume_at(self, displaced: ArrayLike, oil_growth: float = 0.0) -> Array:
        """Volume [m^3] with a volume of rod in the oil [m^3], same shape.

        Args:
            displaced: by the rod [m^3].
            oil_growth: how much the warm oil takes more than when filled [m^3].
        """
        left = self.volume - oil_growth - np.asarray(displaced, dtype=np.float64)
        return np.maximum(left, LEAST_SHARE * self.volume)

    def pressure_at(self, displaced: ArrayLike, temperature: float = WORKSHOP, oil_growth: float = 0.0) -> Array:
        """Absolute pressure [Pa], same shape: polytropic in the volume, in proportion to the temperature at rest.

        Args:
            displaced: by the rod [m^3].
            temperature: of gas and oil [K].
            oil_growth: how much the warm oil takes more than when filled [m^3].

        Raises:
            LabError: the warm oil leaves the gas no room.
        """
        if self.vented:
            return np.full_like(np.asarray(displaced, dtype=np.float64), ATMOSPHERE)
        start = self.volume - oil_growth
        if start <= LEAST_SHARE * self.volume:
            raise LabError(
                f"The warm oil grows by {1e6 * oil_growth:.3g} cm³ and leaves the gas nothing of its "
                f"{1e6 * self.volume:.3g} cm³; give more gas volume, less oil, or a lower oil temperature."
            )
        filled = self.pressure * (temperature / WORKSHOP) * (self.volume / start)
        return np.asarray(filled * (start / self.volume_at(displaced, oil_growth)) ** self.exponent)
