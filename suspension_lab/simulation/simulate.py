"""Simulate one station under one excitation."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import Excitation, Path
from suspension_lab.simulation.tables import tables
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station

USUAL_STEP = 1e-3
"""Time between samples where none is asked for [s]."""
STEP_TIMES_RATE = 1.0
"""Largest step times fastest rate; RK4 stays stable to 2.78 (Butcher, Numerical Methods for ODEs)."""
SHARP_BEND = 0.2
"""A road bend that changes the wheel's vertical speed by more than this is a break point [m/s]."""
MOST_SAMPLES = 20_000_000


def simulate(
    station: Station, excitation: Excitation, duration: float | None = None, *, step: float | None = None
) -> Trace:
    """What happens to a station when something is done to it.

    Fixed-step RK4. A step ends on every sharp bend of the road and of the hand's force, so that none is jumped over,
    and is divided until it is well inside the stability of the station's fastest rate.

    Args:
        station: the vehicle's wheel.
        excitation: `Release`, `Push`, `Ride`, or another with the same methods.
        duration: [s]; None: as long as shows the whole of it.
        step: time between samples [s]; None: 1 ms.

    Returns:
        A `Trace` of n = duration / step + 1 samples.

    Raises:
        LabError: a duration or step out of range, too many samples, or a run that left all bounds.
    """
    course = course_of(station, excitation, duration, step)
    from suspension_lab.simulation.kernel import march

    table = tables(station)
    out = march(
        course.samples, course.step, course.substeps(table.fastest_rate),
        np.array(excitation.start(station), dtype=np.float64), table.constants, table.suspension, table.damper,
        course.road, course.hand, course.breaks, table.play,
    )  # fmt: skip
    if not np.isfinite(out[-1]).all():
        raise left_all_bounds(station, course.step * int(np.flatnonzero(~np.isfinite(out).all(axis=1))[0]))
    body, wheel, road_height, body_v, wheel_v, body_a, wheel_a, load, force, idle = np.ascontiguousarray(out.T)
    return Trace(
        station=station, excitation=excitation, time=course.time,
        body=body, wheel=wheel, road=road_height, body_velocity=body_v, wheel_velocity=wheel_v,
        body_acceleration=body_a, wheel_acceleration=wheel_a, tyre_load=load, hand_force=force, idle=idle > 0.0,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True, eq=False)
class Course:
    """What is done to a station as the kernel takes it.

    Attributes:
        samples: of the output; the first is the start.
        step: between samples [s].
        road, hand: (p, 3) time [s], road height [m] or hand force [N], and slope up to the next row.
        breaks: times on which a step must end [s].
    """

    samples: int
    step: float
    road: Array
    hand: Array
    breaks: Array

    @property
    def time(self) -> Array:
        """Of the samples [s]."""
        return self.step * np.arange(self.samples, dtype=np.float64)

    def along(self, path: Array) -> Array:
        """`road` or `hand` at the samples."""
        return np.interp(self.time, path[:, 0], path[:, 1])

    def substeps(self, fastest_rate: float) -> int:
        """RK4 steps between samples for a station's fastest rate [1/s]."""
        return max(1, math.ceil(self.step * fastest_rate / STEP_TIMES_RATE))


def course_of(
    station: Station, excitation: Excitation, duration: float | None = None, step: float | None = None
) -> Course:
    """The course of a run.

    Args:
        station: its wheel's radius shapes the road.
        excitation: what is done to it.
        duration: [s]; None: as long as shows the whole of it.
        step: between samples [s]; None: 1 ms.

    Raises:
        LabError: a duration or step out of range, or too many samples.
    """
    duration = excitation.usual_duration(station) if duration is None else positive("duration", duration, "s")
    step = USUAL_STEP if step is None else positive("step", step, "s")
    number("step", step, "s", high=duration)
    samples = round(duration / step) + 1
    if samples > MOST_SAMPLES:
        raise LabError(
            f"{duration:g} s in steps of {step:g} s are {samples:.3g} samples, where at most {MOST_SAMPLES:.3g} were "
            "expected; take a shorter duration or a longer step."
        )
    road, hand = excitation.road_path(station), excitation.force_path(station)
    return Course(
        samples=samples, step=step, road=_pieces(road, duration), hand=_pieces(hand, duration),
        breaks=_breaks(road, hand, duration),
    )  # fmt: skip


def left_all_bounds(station: Station, at: float) -> LabError:
    """The error of a run that left all bounds `at` [s]."""
    return LabError(
        f"The simulation of {station.name} left all bounds at {at:.3f} s; look for a mass, stiffness or damper "
        "that is wrong by a factor of 1000."
    )


def _pieces(path: Path, duration: float) -> Array:
    """Rows of time, value, slope that reach level from before the start to behind the end."""
    time = np.concatenate([[min(-1.0, path.time[0] - 1.0)], path.time, [max(duration, path.time[-1]) + 2.0]])
    value = np.concatenate([path.value[:1], path.value, path.value[-1:]])
    rows = np.empty((time.size, 3))
    rows[:, 0], rows[:, 1], rows[-1, 2] = time, value, 0.0
    np.divide(np.diff(value), np.diff(time), out=rows[:-1, 2])
    return rows


def _breaks(road: Path, hand: Path, duration: float) -> Array:
    slope = np.concatenate([[0.0], np.diff(road.value) / np.diff(road.time), [0.0]])
    sharp = road.time[np.abs(np.diff(slope)) > SHARP_BEND]
    return np.union1d(np.union1d(sharp, hand.time), [duration + 1.0 + max(road.time[-1], hand.time[-1])])
