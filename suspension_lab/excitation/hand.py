"""What a hand does to a parked vehicle: hold it down and let go, or push on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import GRAVITY, Array, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import LEVEL, Path, State
from suspension_lab.vehicle.station import Station


@dataclass(frozen=True, kw_only=True)
class Release:
    """The body is held down at rest and let go at t = 0.

    Attributes:
        depth: how far the body is held under its ride height, tyre squash included [m].

    Raises:
        LabError: a depth that is not above zero.
    """

    depth: float = 0.035

    def __post_init__(self) -> None:
        positive("release depth", self.depth, "m")

    def start(self, station: Station) -> State:
        """Body at depth, wheel where spring and tyre balance, both at rest.

        Raises:
            LabError: the station does not have that much travel left.
        """
        rest = station.static_travel

        def lack(wheel: Array) -> Array:
            tyre = station.tyre.stiffness * (station.static_tyre_deflection - wheel)
            suspension = station.suspension_force(rest + wheel + self.depth)
            return np.asarray(tyre - suspension - station.unsprung_mass * GRAVITY)

        # The tyre alone gives at most the whole depth: the wheel lies between there and its place at rest. Many places
        # at once take hardly longer than one: narrowed so twice, the straight line between two is near enough.
        low, high = -self.depth, 1e-12
        for _ in range(2):
            wheels = np.linspace(low, high, 65)
            lacks = lack(wheels)
            if lacks[0] * lacks[-1] > 0.0:
                raise LabError(
                    f"{station.name} cannot be held {self.depth * 1e3:.0f} mm down: its spring carries less the deeper "
                    "the wheel goes in, where more was expected; check the motion ratio's table."
                )
            at = int(np.argmax(lacks * lacks[0] <= 0.0)) or 1
            low, high = float(wheels[at - 1]), float(wheels[at])
        before, after = float(lacks[at - 1]), float(lacks[at])
        wheel = low + (high - low) * before / (before - after) if before != after else low
        travel = rest + wheel + self.depth
        if station.travel is not None and travel > station.travel:
            raise LabError(
                f"A release depth of {self.depth * 1e3:.0f} mm would need {travel * 1e3:.0f} mm of travel, but "
                f"{station.name} has {station.travel * 1e3:.0f} mm; use a smaller depth, or more preload."
            )
        return State(body=-self.depth, wheel=wheel)

    def road_path(self, station: Station) -> Path:
        """Level."""
        return LEVEL

    def force_path(self, station: Station) -> Path:
        """None: the hand is gone."""
        return LEVEL

    def free_from(self) -> float:
        """0."""
        return 0.0

    def usual_duration(self, station: Station) -> float:
        """2 s for a short-travel vehicle, longer with the root of the static deflection."""
        period = 2.0 * np.pi * np.sqrt(station.sprung_mass / station.wheel_rate)
        return float(np.clip(np.ceil(5.0 * period), 2.0, 12.0))


@dataclass(frozen=True, kw_only=True)
class Push:
    """A hand pushes on the body: the force rises, is held, and the hand lets go.

    The force is what is given, not the way: a hand can only push so hard, and a stiffer station moves less.

    Attributes:
        peak_force: downward [N].
        rise_time: from none to the peak [s]; long for a slow push, short for a quick one.
        hold_time: at the peak [s].
        fall_time: from the peak to none, as the hand lets go [s].

    Raises:
        LabError: a value that is not finite or out of its range.
    """

    peak_force: float
    rise_time: float
    hold_time: float = 0.0
    fall_time: float = 0.03

    def __post_init__(self) -> None:
        positive("peak force of the push", self.peak_force, "N")
        positive("rise time of the push", self.rise_time, "s")
        if self.hold_time != 0.0:
            positive("hold time of the push", self.hold_time, "s")
        positive("fall time of the push", self.fall_time, "s")

    @property
    def pushed_until(self) -> float:
        """When the hand begins to let go [s]."""
        return self.rise_time + self.hold_time

    def start(self, station: Station) -> State:
        """At rest."""
        return State()

    def road_path(self, station: Station) -> Path:
        """Level."""
        return LEVEL

    def force_path(self, station: Station) -> Path:
        """Up to the peak, held, down again [N], negative because it points down."""
        steps = [self.rise_time, self.hold_time, self.fall_time] if self.hold_time else [self.rise_time, self.fall_time]
        time = np.concatenate([[0.0], np.cumsum(steps)])
        value = np.full(time.size, -self.peak_force)
        value[[0, -1]] = 0.0
        return Path(time=time, value=value)

    def free_from(self) -> float:
        """When the hand has let go [s]."""
        return self.pushed_until + self.fall_time

    def usual_duration(self, station: Station) -> float:
        """The push and the time for the body to come back, in whole quarters of a second [s]."""
        return float(np.ceil(4.0 * (self.free_from() + 1.5)) / 4.0)
