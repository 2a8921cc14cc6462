"""A damper whose two sides are some times as strong as another's: as measured, or worn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, positive
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.damper import Damper


@dataclass(frozen=True, kw_only=True)
class ScaledDamper:
    """Another damper's law, each side times a factor; everything else is the other's.

    Attributes:
        base: the damper.
        rebound, compression: factors of its forces, above zero.

    Raises:
        LabError: a factor that is not finite or not above zero.
    """

    base: Damper
    rebound: float = 1.0
    compression: float = 1.0

    def __post_init__(self) -> None:
        positive("factor of rebound damping", self.rebound, "of the damper's own")
        positive("factor of compression damping", self.compression, "of the damper's own")

    @property
    def clicks(self) -> Clicks:
        """Where the adjusters stand."""
        return self.base.clicks

    @property
    def adjusters(self) -> Mapping[str, int]:
        """Name -> number of clicks from closed to open."""
        return self.base.adjusters

    @property
    def knees(self) -> tuple[float, float]:
        """Shaft speeds [m/s] of the rebound (negative) and compression knee: those of the other."""
        return self.base.knees

    @property
    def free_play(self) -> float:
        """Shaft travel without damping at each turn [m]."""
        return self.base.free_play

    @property
    def longest_stroke(self) -> float:
        """Shaft travel from full extension that the damper allows [m]."""
        return self.base.longest_stroke

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        return self.base.force(v) * np.where(v < 0.0, self.rebound, self.compression)

    def gas_force(self, shaft_travel: ArrayLike) -> Array:
        """Force [N] of the gas over shaft travel from full extension [m], same shape."""
        return self.base.gas_force(shaft_travel)

    def with_oil_temperature(self, temperature: float) -> ScaledDamper:
        """A copy with its oil at another temperature [K]."""
        return replace(self, base=self.base.with_oil_temperature(temperature))

    def with_clicks(
        self, *, rebound: int | None = None, low_speed: int | None = None, high_speed: int | None = None
    ) -> ScaledDamper:
        """A copy at other clicks."""
        return replace(self, base=self.base.with_clicks(rebound=rebound, low_speed=low_speed, high_speed=high_speed))


def scaled(damper: Damper, *, rebound: float = 1.0, compression: float = 1.0) -> ScaledDamper:
    """A damper times some factors; one that is scaled already is scaled on, not wrapped again."""
    if isinstance(damper, ScaledDamper):
        return replace(damper, rebound=rebound * damper.rebound, compression=compression * damper.compression)
    return ScaledDamper(base=damper, rebound=rebound, compression=compression)
