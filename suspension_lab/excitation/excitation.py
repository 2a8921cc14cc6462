"""What every excitation tells the simulation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.vehicle.station import Station


class State(NamedTuple):
    """Displacements from static ride height [m] and their rates [m/s], up positive."""

    body: float = 0.0
    wheel: float = 0.0
    body_velocity: float = 0.0
    wheel_velocity: float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Path:
    """A signal of straight pieces over time; constant before its first and after its last point.

    Attributes:
        time: rising [s], (n,).
        value: [m] for a road, [N] for a force, (n,).
    """

    time: Array
    value: Array


LEVEL = Path(time=np.array([0.0, 1.0]), value=np.zeros(2))
"""Nothing happens."""


class Excitation(Protocol):
    """What is done to a station."""

    def start(self, station: Station) -> State:
        """The state at t = 0."""

    def road_path(self, station: Station) -> Path:
        """Height under the wheel over time, from the height at the start [m]."""

    def force_path(self, station: Station) -> Path:
        """Outside force on the body over time, up positive [N]."""

    def free_from(self) -> float:
        """When the hand lets go or the ride begins: measures of a free decay count from here [s]."""

    def usual_duration(self, station: Station) -> float:
        """A duration that shows the whole of it [s]."""
