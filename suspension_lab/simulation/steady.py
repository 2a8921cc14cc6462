"""The real answer to a sine road: simulated until it is steady, friction, knees, stops and lost contact included."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import positive
from suspension_lab.excitation.excitation import LEVEL, Path, State
from suspension_lab.simulation.equivalent import equivalent_response, mean_force, shaft_speed
from suspension_lab.simulation.frequency import Complex, FrequencyResponse, checked_frequencies, of_motion
from suspension_lab.simulation.simulate import USUAL_STEP, simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station

PIECES = 200
"""Least samples and straight pieces of road in a cycle."""
COMPARED = 5
"""Cycles of which the last are read, and held against as many before."""
STEADY = 1e-3
"""Two such stretches may differ by this share of the larger of both motions."""
FIRST_TIME, FIRST_CYCLES = 2.0, 20
"""At least so long [s], and so many cycles, the first try lasts."""
TRIES = 5
"""Each lasts twice as long as the one before."""


@dataclass(frozen=True)
class _SineRoad:
    """A road that goes on as a sine, begun in the midst of the motion that the equivalent damping lets expect."""

    frequency: float
    amplitude: float
    pieces: int
    cycles: int
    first: State

    def start(self, station: Station) -> State:
        return self.first

    def road_path(self, station: Station) -> Path:
        turn = np.arange(self.pieces * self.cycles + 1) / self.pieces
        return Path(time=turn / self.frequency, value=self.amplitude * np.sin(2.0 * np.pi * turn))

    def force_path(self, station: Station) -> Path:
        return LEVEL

    def free_from(self) -> float:
        return 0.0

    def usual_duration(self, station: Station) -> float:
        return self.cycles / self.frequency


def steady_response(station: Station, frequencies: ArrayLike, road_amplitude: float) -> FrequencyResponse:
    """How a station really answers sines of one size: the part of the settled motion at the road's own frequency.

    Each frequency is simulated until two stretches of five cycles agree to one part in a thousand.

    Args:
        station: at its present clicks.
        frequencies: [Hz], (n,).
        road_amplitude: of the sine, half its height [m].

    Returns:
        NaN where the motion is not steady even after hundreds of cycles, as when a tyre hops in another rhythm.

    Raises:
        LabError: values out of range, or a station that nothing damps.
    """
    f = checked_frequencies(frequencies)
    positive("road amplitude", road_amplitude, "m")
    expected = equivalent_response(station, f, road_amplitude)
    speeds = shaft_speed(station, expected, road_amplitude)
    motion = np.full((2, f.size), complex(math.nan, math.nan))
    for i, (frequency, speed) in enumerate(zip(f, speeds, strict=True)):
        rise = mean_force(station, float(speed)) / station.wheel_rate if station.wheel_rate > 0.0 else 0.0
        body, wheel = road_amplitude * expected.body[i], road_amplitude * expected.wheel[i]
        turning = 2.0 * np.pi * float(frequency)
        first = State(
            body=float(body.imag) + rise,
            wheel=float(wheel.imag),
            body_velocity=turning * float(body.real),
            wheel_velocity=turning * float(wheel.real),
        )
        motion[:, i] = _settled(station, float(frequency), road_amplitude, first)
    return of_motion(station, f, motion[0], motion[1])


def _settled(station: Station, frequency: float, amplitude: float, first: State) -> Complex:
    """Body and wheel per metre of road (2,), or NaN."""
    pieces = max(PIECES, math.ceil(1.0 / (frequency * USUAL_STEP)))
    cycles = max(FIRST_CYCLES, math.ceil(FIRST_TIME * frequency))
    for _ in range(TRIES):
        road = _SineRoad(frequency, amplitude, pieces, cycles, first)
        trace = simulate(station, road, step=1.0 / (frequency * pieces))
        last, before = (_fundamental(trace, pieces, cycles - back * COMPARED) for back in (0, 1))
        if np.abs(last - before).max() <= STEADY * np.abs(last).max():
            # A sine drawn by n chords has a fundamental smaller by sinc(1/n)^2 than its corners.
            return np.asarray(last / (amplitude * np.sinc(1.0 / pieces) ** 2), dtype=np.complex128)
        cycles *= 2
    return np.full(2, complex(math.nan, math.nan))


def _fundamental(trace: Trace, pieces: int, until: int) -> Complex:
    """Size and lag against the road's sine of body and wheel [m] in the cycles before `until`, (2,)."""
    part = slice((until - COMPARED) * pieces, until * pieces)
    turning = 2j * np.exp(-2j * np.pi * np.arange(COMPARED * pieces) / pieces) / (COMPARED * pieces)
    return np.asarray(np.stack([trace.body[part], trace.wheel[part]]) @ turning, dtype=np.complex128)
