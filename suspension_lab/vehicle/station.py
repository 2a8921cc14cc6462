"""A station: one wheel's two masses with everything between the body and the road."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import GRAVITY, Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.damper import Damper
from suspension_lab.vehicle.linkage import MotionRatio
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.stop import Stop
from suspension_lab.vehicle.tyre import Tyre


class Sag(NamedTuple):
    """How far the wheel has moved from full extension at rest [m]."""

    free: float
    """By the vehicle's own weight."""
    rider: float
    """With the rider."""


@dataclass(frozen=True, kw_only=True)
class Station:
    """One wheel's station: sprung and unsprung mass, spring, damper, tyre, friction, travel with stops.

    Attributes:
        name: shown in pictures and messages.
        sprung_mass: all that the spring carries at this wheel, rider included [kg].
        unsprung_mass: wheel and what moves with it [kg].
        spring, damper, tyre: the parts.
        motion_ratio: shaft travel per wheel travel, a number or a `MotionRatio` table.
        travel: wheel travel from full extension to the end of the bump stop's rubber [m]; None: no stops.
        friction: Coulomb friction of the seals, at the shaft [N].
        friction_speed: shaft speed over which the friction turns around smoothly, as a tanh [m/s].
        binding: what friction a bent shaft adds, from nothing at full extension to this at full travel [N].
        wheel_radius: [m]; None: the axle follows the profile as it is.
        rider_mass: how much of the sprung mass is the rider and load, which the free sag leaves out [kg].
        bump_stop, top_out_stop: the rubbers; where travel is given and they are not, plain ones are made
            (0.15 and 0.05 of the travel, 3 times the static load when fully squashed; common practice, no source).

    Raises:
        LabError: a value that is not finite or out of its range.
    """

    name: str
    sprung_mass: float
    unsprung_mass: float
    spring: Spring
    damper: Damper
    tyre: Tyre
    motion_ratio: float | MotionRatio = 1.0
    travel: float | None = None
    friction: float = 0.0
    friction_speed: float = 0.005
    binding: float = 0.0
    wheel_radius: float | None = None
    rider_mass: float = 0.0
    bump_stop: Stop | None = None
    top_out_stop: Stop | None = None

    def __post_init__(self) -> None:
        positive("sprung mass", self.sprung_mass, "kg")
        positive("unsprung mass", self.unsprung_mass, "kg")
        number("seal friction", self.friction, "N", low=0.0)
        positive("friction speed", self.friction_speed, "m/s")
        number("binding of the shaft", self.binding, "N", low=0.0)
        number("rider mass", self.rider_mass, "kg", low=0.0)
        if self.rider_mass >= self.sprung_mass:
            raise LabError(
                f"The rider's {self.rider_mass:g} kg leave nothing of the sprung mass of {self.sprung_mass:g} kg; "
                "the sprung mass counts the rider in."
            )
        if not isinstance(self.motion_ratio, MotionRatio):
            positive("motion ratio", self.motion_ratio, "m/m")
        if self.wheel_radius is not None:
            positive("wheel radius", self.wheel_radius, "m")
        if self.travel is None:
            if self.binding:
                raise LabError(
                    "A bent shaft binds more the deeper it goes in: a station with binding needs its travel."
                )
            if self.bump_stop or self.top_out_stop:
                raise LabError("A station without travel has no stops; give travel in m, or leave the stops out.")
            return
        positive("travel", self.travel, "m")
        weight = self.sprung_mass * GRAVITY
        if self.bump_stop is None:
            length = 0.15 * self.travel
            object.__setattr__(self, "bump_stop", Stop(length=length, rate=1.5 * weight / length))
        if self.top_out_stop is None:
            length = 0.05 * self.travel
            object.__setattr__(self, "top_out_stop", Stop(length=length, rate=1.5 * weight / length))
        assert self.bump_stop is not None
        if self.bump_stop.length >= self.travel:
            raise LabError(
                f"The bump stop's {self.bump_stop.length * 1e3:g} mm fill all the travel of {self.travel * 1e3:g} mm; "
                "a bump stop shorter than the travel was expected."
            )
        stroke = float(self.shaft_travel(self.travel))
        if stroke >= self.damper.longest_stroke:
            raise LabError(
                f"At full travel the shaft is {1e3 * stroke:.0f} mm in, where the rod leaves the gas no room beyond "
                f"{1e3 * self.damper.longest_stroke:.0f} mm; give the gas more volume, or check travel and ratio."
            )

    @property
    def clicks(self) -> Clicks:
        """Where the damper's adjusters stand, in clicks out from closed."""
        return self.damper.clicks

    def with_clicks(
        self, *, rebound: int | None = None, low_speed: int | None = None, high_speed: int | None = None
    ) -> Station:
        """A copy with the damper at other clicks.

        Raises:
            LabError: an adjuster this damper does not have, or clicks out of its range.
        """
        damper = self.damper.with_clicks(rebound=rebound, low_speed=low_speed, high_speed=high_speed)
        made = replace(self, damper=damper)
        # No click moves the ride height, and finding it takes longer than all else that a click changes.
        made.__dict__["static_travel"] = self.static_travel
        return made

    def with_oil_temperature(self, temperature: float) -> Station:
        """A copy with the damper's oil at another temperature [K].

        Raises:
            LabError: a damper described by its curves, or a temperature at which its oil is not described.
        """
        return replace(self, damper=self.damper.with_oil_temperature(temperature))

    def with_rider(self, mass: float) -> Station:
        """A copy with another rider and load [kg] on this wheel.

        Raises:
            LabError: a mass that is not finite or below zero.
        """
        number("rider mass", mass, "kg", low=0.0)
        return replace(self, sprung_mass=self.sprung_mass - self.rider_mass + mass, rider_mass=mass)

    def shaft_travel(self, wheel_travel: ArrayLike) -> Array:
        """Shaft travel [m] over wheel travel [m], both from full extension; same shape."""
        if isinstance(self.motion_ratio, MotionRatio):
            return self.motion_ratio.shaft_travel(wheel_travel)
        return self.motion_ratio * np.asarray(wheel_travel, dtype=np.float64)

    def ratio(self, wheel_travel: ArrayLike) -> Array:
        """Motion ratio over wheel travel from full extension [m]; same shape."""
        if isinstance(self.motion_ratio, MotionRatio):
            return self.motion_ratio.at(wheel_travel)
        return np.full(np.shape(wheel_travel), self.motion_ratio)

    def stop_force(self, wheel_travel: ArrayLike) -> Array:
        """Force of the bump stop (positive) and top-out stop (negative) at the wheel [N]; same shape."""
        w = np.asarray(wheel_travel, dtype=np.float64)
        if self.travel is None or self.bump_stop is None or self.top_out_stop is None:
            return np.zeros_like(w)
        return self.bump_stop.force(w - self.travel + self.bump_stop.length) - self.top_out_stop.force(-w)

    def spring_force(self, wheel_travel: ArrayLike) -> Array:
        """Force of the spring and the damper's gas at the shaft [N] over wheel travel from full extension [m]."""
        x = self.shaft_travel(wheel_travel)
        return self.spring.force(x) + self.damper.gas_force(x)

    def suspension_force(self, wheel_travel: ArrayLike) -> Array:
        """Force of spring, gas and stops at the wheel [N] over wheel travel from full extension [m]; same shape."""
        w = np.asarray(wheel_travel, dtype=np.float64)
        return self.ratio(w) * self.spring_force(w) + self.stop_force(w)

    def friction_at(self, wheel_travel: ArrayLike) -> Array:
        """Coulomb friction at the shaft [N] over wheel travel from full extension [m]; same shape."""
        w = np.asarray(wheel_travel, dtype=np.float64)
        if self.travel is None:
            return np.full_like(w, self.friction)
        return self.friction + self.binding * np.clip(w / self.travel, 0.0, 1.0)

    def friction_share(self, shaft_speed: ArrayLike) -> Array:
        """Which share of the friction acts, -1 to 1, over shaft speed [m/s]; same shape. It turns around smoothly."""
        return np.tanh(np.asarray(shaft_speed, dtype=np.float64) / self.friction_speed)

    @cached_property
    def static_travel(self) -> float:
        """Wheel travel from full extension at rest, with the rider [m]."""
        return self._rest_at(self.sprung_mass)

    @cached_property
    def sag(self) -> Sag:
        """Free sag and rider sag at the wheel [m]."""
        return Sag(free=self._rest_at(self.sprung_mass - self.rider_mass), rider=self.static_travel)

    @cached_property
    def static_tyre_load(self) -> float:
        """Load on the road at rest [N]."""
        return (self.sprung_mass + self.unsprung_mass) * GRAVITY

    @cached_property
    def static_tyre_deflection(self) -> float:
        """Squash of the tyre at rest [m]."""
        return self.static_tyre_load / self.tyre.stiffness

    @cached_property
    def wheel_rate(self) -> float:
        """Slope of the suspension force over wheel travel at rest [N/m]."""
        d = 1e-5
        low, high = self.suspension_force(np.array([self.static_travel - d, self.static_travel + d]))
        return float((high - low) / (2.0 * d))

    @property
    def rests_on_a_stop(self) -> str | None:
        """One sentence where the station tops out or touches its bump stop at rest, else None."""
        if self.travel is None or self.bump_stop is None:
            return None
        w = self.static_travel
        if w <= 1e-6:
            return (
                f"{self.name} is topped out at rest: the preload carries the whole load and no sag is left; "
                "take preload off or fit a softer spring."
            )
        if w >= self.travel:
            return (
                f"{self.name} is bottomed out at rest: the spring is far too soft for this load; fit a stiffer spring "
                "or take load off."
            )
        if w > self.travel - self.bump_stop.length:
            return (
                f"{self.name} rests on its bump stop: sag is {w * 1e3:.0f} mm of {self.travel * 1e3:.0f} mm; "
                "add preload, fit a stiffer spring or take load off."
            )
        return None

    def _rest_at(self, mass: float) -> float:
        from scipy.optimize import brentq

        weight = mass * GRAVITY

        def lack(w: float) -> float:
            return float(self.suspension_force(w)) - weight

        low, high = -1.0, 1.0
        while lack(low) > 0.0 or lack(high) < 0.0:
            low, high = 2.0 * low, 2.0 * high
            if high > 1e6:
                raise LabError(
                    f"The spring of {self.name} cannot carry {mass:g} kg at any travel; give a stiffer spring."
                )
        return float(brentq(lack, low, high, xtol=1e-13, rtol=1e-13))
