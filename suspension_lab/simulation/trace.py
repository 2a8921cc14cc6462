"""What a simulation returns."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.vehicle.station import Station


@dataclass(frozen=True, kw_only=True, eq=False)
class Trace:
    """Signals over time, each (n,); displacements from static ride height, up positive, SI.

    Attributes:
        station, excitation: what was simulated.
        time: from 0 [s].
        body, wheel, road: displacements [m]; the road as the wheel's envelope sees it.
        body_velocity, wheel_velocity: [m/s].
        body_acceleration, wheel_acceleration: [m/s^2].
        tyre_load: load on the road [N].
        hand_force: outside force on the body, up positive [N].
        idle: where the damper moves through free play and meets no oil: booleans, or False for never.
    """

    station: Station
    excitation: Excitation
    time: Array
    body: Array
    wheel: Array
    road: Array
    body_velocity: Array
    wheel_velocity: Array
    body_acceleration: Array
    wheel_acceleration: Array
    tyre_load: Array
    hand_force: Array
    idle: NDArray[np.bool_] | bool = False

    @property
    def static_tyre_load(self) -> float:
        """Load on the road at rest [N]."""
        return self.station.static_tyre_load

    @cached_property
    def wheel_travel(self) -> Array:
        """Wheel travel from full extension, positive in compression [m]."""
        return self.station.static_travel + self.wheel - self.body

    @cached_property
    def shaft_travel(self) -> Array:
        """Shaft travel from its place at static ride height, positive in compression [m]."""
        at_rest = self.station.shaft_travel(self.station.static_travel)
        return self.station.shaft_travel(self.wheel_travel) - at_rest

    @cached_property
    def shaft_speed(self) -> Array:
        """Shaft speed, positive in compression [m/s]."""
        return self.station.ratio(self.wheel_travel) * (self.wheel_velocity - self.body_velocity)

    @cached_property
    def spring_force(self) -> Array:
        """Force of spring and damper gas at the shaft, positive when it pushes the body up [N]; stops are not in it."""
        return self.station.spring_force(self.wheel_travel)

    @cached_property
    def damper_force(self) -> Array:
        """Damper force at the shaft, positive when it pushes the body up [N]; friction is not in it."""
        return np.where(self.idle, 0.0, self.station.damper.force(self.shaft_speed))

    @cached_property
    def friction_force(self) -> Array:
        """Seal friction at the shaft, positive when it pushes the body up [N]."""
        return self.station.friction_at(self.wheel_travel) * self.station.friction_share(self.shaft_speed)

    @cached_property
    def stop_force(self) -> Array:
        """Force of the stops at the wheel, positive when it pushes the body up [N]."""
        return self.station.stop_force(self.wheel_travel)
