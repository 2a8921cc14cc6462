"""Dampers described by their curves: linear, and two slopes a side that follow the clicks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.clicks import Adjustable, Clicks, Span, checked_adjusters, starting_clicks


class Damper(Protocol):
    """What a station asks of its damper, whatever law it follows."""

    @property
    def clicks(self) -> Clicks:
        """Where the adjusters stand."""

    @property
    def adjusters(self) -> Mapping[str, int]:
        """Name -> number of clicks from closed to open; empty where nothing can be set."""

    @property
    def knees(self) -> tuple[float, float]:
        """Shaft speeds [m/s] of the rebound (negative) and compression knee; infinite where there is none."""

    @property
    def free_play(self) -> float:
        """Shaft travel without damping at each turn [m]; 0 for a sound damper."""

    @property
    def longest_stroke(self) -> float:
        """Shaft travel from full extension that the damper allows [m]; infinite where nothing is known of it."""

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression."""

    def gas_force(self, shaft_travel: ArrayLike) -> Array:
        """Force [N] with which gas pushes the rod out, over shaft travel from full extension [m], same shape."""

    def with_oil_temperature(self, temperature: float) -> Damper:
        """A changed copy."""

    def with_clicks(
        self, *, rebound: int | None = None, low_speed: int | None = None, high_speed: int | None = None
    ) -> Damper:
        """A changed copy."""


@dataclass(frozen=True, kw_only=True)
class LinearDamper(Adjustable):
    """Force in proportion to shaft speed, with a constant of its own for each direction.

    Attributes:
        rebound, compression: damping constants at the shaft [N s/m], not below zero.

    Raises:
        LabError: a constant that is not finite or below zero.
    """

    rebound: float
    compression: float

    def __post_init__(self) -> None:
        number("linear damper's rebound constant", self.rebound, "N s/m", low=0.0)
        number("linear damper's compression constant", self.compression, "N s/m", low=0.0)

    @property
    def knees(self) -> tuple[float, float]:
        """Infinite: the law has no knee."""
        return -np.inf, np.inf

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        return np.where(v < 0.0, self.rebound * v, self.compression * v)


@dataclass(frozen=True, kw_only=True)
class DamperSide:
    """One direction of a two-slope damper.

    Attributes:
        low_speed_slope: force over shaft speed below the knee [N s/m].
        knee_speed: shaft speed at which the second slope begins [m/s].
        high_speed_slope: force over shaft speed above the knee [N s/m].

    Each is a number, or a `Span` that follows its adjuster.
    """

    low_speed_slope: float | Span
    knee_speed: float | Span
    high_speed_slope: float | Span

    def __post_init__(self) -> None:
        for name in ("low_speed_slope", "knee_speed", "high_speed_slope"):
            value = getattr(self, name)
            if not isinstance(value, Span):
                positive(f"damper {name}", value, "m/s" if name == "knee_speed" else "N s/m")


def _two_slopes(speed: Array, low: float, knee: float, high: float) -> Array:
    return low * np.minimum(speed, knee) + high * np.maximum(speed - knee, 0.0)


@dataclass(frozen=True, kw_only=True)
class TwoSlopeDamper(Adjustable):
    """Two straight pieces a side: a bleed's slope up to the knee, a blow-off's slope above it.

    Rebound follows the rebound clicks as a whole. In compression the low-speed slope follows the low-speed
    clicks, the knee and the high-speed slope follow the high-speed clicks, or the low-speed clicks where the
    damper has a single compression adjuster.

    Attributes:
        rebound, compression: the two sides.
        adjusters: name ('rebound', 'low_speed', 'high_speed') -> clicks from closed to open.
        clicks: where they stand; by default in the middle of each range.

    Raises:
        LabError: unknown adjuster, no clicks in a range, clicks out of range, a span without its adjuster, or a
            high-speed adjuster without a low-speed one.
    """

    rebound: DamperSide
    compression: DamperSide
    adjusters: Mapping[str, int] = field(default_factory=dict)
    clicks: Clicks = field(default_factory=Clicks)

    def __post_init__(self) -> None:
        checked_adjusters(self.adjusters)
        object.__setattr__(self, "clicks", starting_clicks(self.adjusters, self.clicks))
        for side, names in (("rebound", ("rebound",)), ("compression", ("low_speed",))):
            spans = [value for value in vars(getattr(self, side)).values() if isinstance(value, Span)]
            if spans and names[0] not in self.adjusters:
                raise LabError(
                    f"The {side} side has closed and open values but there is no {names[0]} adjuster to set them; add "
                    f"{names[0]} to the adjusters, or give single numbers."
                )

    @property
    def knees(self) -> tuple[float, float]:
        """Shaft speeds [m/s] of the rebound (negative) and compression knee."""
        return -self._side("rebound")[1], self._side("compression")[1]

    def _at(self, value: float | Span, adjuster: str) -> float:
        if not isinstance(value, Span):
            return value
        return value.at(self.clicks[adjuster], self.adjusters[adjuster])

    def _side(self, side: str) -> tuple[float, float, float]:
        law: DamperSide = getattr(self, side)
        low = "rebound" if side == "rebound" else "low_speed"
        high = "high_speed" if side == "compression" and "high_speed" in self.adjusters else low
        return self._at(law.low_speed_slope, low), self._at(law.knee_speed, high), self._at(law.high_speed_slope, high)

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        rebound = _two_slopes(np.maximum(-v, 0.0), *self._side("rebound"))
        return _two_slopes(np.maximum(v, 0.0), *self._side("compression")) - rebound
