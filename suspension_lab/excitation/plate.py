"""A plate under the wheel that moves up and down, as on an inspection line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import LEVEL, Path, State
from suspension_lab.vehicle.station import Station

PIECES = 40
"""Straight pieces in a period of the plate; its crests are always points."""
EASING_PERIODS = 10
"""Periods at the start frequency over which the plate comes up to its stroke."""


@dataclass(frozen=True, kw_only=True)
class ShakerPlate:
    """The wheel stands on a plate that moves up and down by a fixed stroke, swept from one frequency to another.

    The plate eases in at the start frequency over ten periods; then the frequency changes evenly over time. The usual
    6 mm (3 mm either way) from 25 Hz down are those of the European minimum-contact-force test (secondary copy and
    memory); 5 Hz lies below the wheel hop of road vehicles. A line lets its plate run out by itself, which is not even.

    Attributes:
        stroke: from lowest to highest [m].
        start_frequency, end_frequency: [Hz]; equal ones give a steady sine.
        duration: of the whole, easing in included [s].

    Raises:
        LabError: a value that is not above zero or far out of range, or a duration under twice the easing in.
    """

    stroke: float = 0.006
    start_frequency: float = 25.0
    end_frequency: float = 5.0
    duration: float = 20.0

    def __post_init__(self) -> None:
        positive("plate stroke", self.stroke, "m")
        number("plate stroke", self.stroke, "m", high=0.5)
        number("start frequency of the plate", self.start_frequency, "Hz", low=0.1, high=100.0)
        number("end frequency of the plate", self.end_frequency, "Hz", low=0.1, high=100.0)
        number("duration of the plate's run", self.duration, "s", high=3600.0)
        easing = self.whole_stroke_from
        if self.duration < 2.0 * easing:
            raise LabError(
                f"duration of the plate's run is {self.duration:g} s, where at least {2.0 * easing:.3g} s was "
                f"expected: coming up to its stroke takes {easing:.3g} s at {self.start_frequency:g} Hz."
            )

    @property
    def whole_stroke_from(self) -> float:
        """When the plate has its whole stroke and the sweep begins [s]."""
        return EASING_PERIODS / self.start_frequency

    def frequency_at(self, time: float | Array) -> Array:
        """Frequency of the plate [Hz], in the shape of the times [s]; constant before and after the sweep."""
        easing = self.whole_stroke_from
        swept = np.clip((np.asarray(time) - easing) / (self.duration - easing), 0.0, 1.0)
        return np.asarray(self.start_frequency + (self.end_frequency - self.start_frequency) * swept)

    def start(self, station: Station) -> State:
        """At rest."""
        return State()

    def road_path(self, station: Station) -> Path:
        """Height of the plate, from the middle of its stroke [m]; any wheel stands on it the same."""
        easing, sweep = self.whole_stroke_from, self.duration - self.whole_stroke_from
        cycles = EASING_PERIODS + 0.5 * (self.start_frequency + self.end_frequency) * sweep
        cycle = np.arange(int(cycles * PIECES) + 1) / PIECES
        time = np.minimum(cycle, EASING_PERIODS) / self.start_frequency
        # Cycles since the sweep began are f0 t + rate t^2 / 2, solved for t in the form that holds for no rate too.
        swept = np.maximum(cycle - EASING_PERIODS, 0.0)
        rate = (self.end_frequency - self.start_frequency) / sweep
        root = np.sqrt(np.maximum(self.start_frequency**2 + 2.0 * rate * swept, 0.0))
        time += 2.0 * swept / (self.start_frequency + root)
        eased = 0.5 - 0.5 * np.cos(np.pi * np.minimum(time / easing, 1.0))
        return Path(time=time, value=0.5 * self.stroke * eased * np.sin(2.0 * np.pi * cycle))

    def force_path(self, station: Station) -> Path:
        """None."""
        return LEVEL

    def free_from(self) -> float:
        """0: no hand is on the body."""
        return 0.0

    def usual_duration(self, station: Station) -> float:
        """The whole run [s]."""
        return self.duration
