"""Simulate one station at many clicks: side by side, over a road they share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import Excitation, State
from suspension_lab.simulation.simulate import Course, course_of, left_all_bounds, simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.linkage import MotionRatio
from suspension_lab.vehicle.station import Station

if TYPE_CHECKING:
    from suspension_lab.simulation.pieces import Laws, LawsOfMany

LONGEST_TOGETHER = 200_000
"""Runs of more samples than this are simulated one after another, for the memory that all lanes at once would take."""


class Ahead(NamedTuple):
    """What all settings of one run share."""

    course: Course
    laws: Laws | None
    """None: they cannot be marched side by side."""


def worked_out_ahead(
    station: Station,
    excitation: Excitation,
    duration: float | None = None,
    *,
    step: float | None = None,
    settings: Iterable[Clicks] = (),
) -> Ahead:
    """What all settings of one run share, for workers that would each work it out again.

    Args:
        station, excitation, duration, step: as `simulate_settings`.
        settings: clicks whose laws are worked out now.

    Raises:
        LabError: as `simulate`, and for clicks the damper does not have.
    """
    course = course_of(station, excitation, duration, step)
    # Free play and a bent shaft's binding cannot be sums of bends.
    if course.samples > LONGEST_TOGETHER or station.damper.free_play or station.binding:
        return Ahead(course, None)
    from suspension_lab.simulation.pieces import Laws

    laws = Laws(station)
    if not laws.near_the_linkage:
        return Ahead(course, None)
    for clicks in settings:
        laws.at(station.with_clicks(**clicks))
    return Ahead(course, laws)


def simulate_settings(
    station: Station,
    settings: Sequence[Clicks],
    excitation: Excitation,
    duration: float | None = None,
    *,
    step: float | None = None,
    ahead: Ahead | None = None,
) -> Iterator[Trace]:
    """What happens to a station at each of many settings when the same is done to it.

    The same march as `simulate`, over laws of straight pieces: where the vehicle stays off the metal of its stops,
    measures of a whole ride differ from its by less than about a hundredth of their value; counts, peaks and rides that
    throw the vehicle about may differ more. What pieces cannot hold (free play, a bent shaft, a linkage of many waves)
    is simulated setting by setting.

    Args:
        station: the vehicle's wheel.
        settings: the clicks, each those of an adjuster it has.
        excitation, duration, step: as `simulate`.
        ahead: from `worked_out_ahead` for the same run.

    Yields:
        A `Trace` for each of the settings, in their order; only a few are held at a time.

    Raises:
        LabError: as `simulate`, and for clicks the damper does not have.
    """
    course, laws = ahead or worked_out_ahead(station, excitation, duration, step=step)
    if laws is None:
        for clicks in settings:
            yield simulate(station.with_clicks(**clicks), excitation, duration, step=step)
        return
    from suspension_lab.simulation.kernel import LANES

    for first in range(0, len(settings), LANES):
        stations = [station.with_clicks(**clicks) for clicks in settings[first : first + LANES]]
        # No click moves where a run starts from.
        yield from _together(stations, [excitation.start(station)] * len(stations), laws, excitation, course)


def simulate_stations(
    stations: Sequence[Station],
    excitation: Excitation,
    duration: float | None = None,
    *,
    step: float | None = None,
    laws: LawsOfMany | None = None,
) -> Iterator[Trace]:
    """What happens to many stations of one wheel size when the same is done to each: side by side where they can be.

    Args:
        stations: that may differ in masses, spring, damper, tyre and friction; parts that they share (the same
            objects) are worked out once. All have the first one's wheel radius, so that the road is the same.
        excitation: what is done to each.
        duration: [s]; None: as long as shows the whole of it on the first.
        step: as `simulate`.
        laws: kept from another run of the same stations, so that they are not worked out again.

    Yields:
        A `Trace` for each, in their order; how near to `simulate`'s: as `simulate_settings`.

    Raises:
        LabError: as `simulate`, or stations of different wheel radii.
    """
    if not stations:
        return
    if any(station.wheel_radius != stations[0].wheel_radius for station in stations):
        raise LabError("These stations have different wheel radii, where one was expected; run them one by one.")
    from suspension_lab.simulation.kernel import LANES
    from suspension_lab.simulation.pieces import LawsOfMany

    course = course_of(stations[0], excitation, duration, step)
    laws = LawsOfMany() if laws is None else laws
    alone = course.samples > LONGEST_TOGETHER or any(
        station.damper.free_play or station.binding or not laws.near_the_linkage(station) for station in stations
    )
    if alone:
        for station in stations:
            yield simulate(station, excitation, course.time[-1], step=step)
        return
    for first in range(0, len(stations), LANES):
        some = stations[first : first + LANES]
        for station in some:
            laws.let_settle(station)
        yield from _together(some, [excitation.start(station) for station in some], laws, excitation, course)


def _together(
    stations: Sequence[Station],
    starts: Sequence[State],
    laws: Laws | LawsOfMany,
    excitation: Excitation,
    course: Course,
) -> Iterator[Trace]:
    from suspension_lab.simulation.kernel import LANE_COLUMNS, LANES, LAW_ROWS, march_side_by_side

    # Lanes too many repeat the last station.
    columns = [laws.at(station) for station in stations]
    table, state = np.empty((LAW_ROWS, LANES)), np.empty((4, LANES))
    for lane in range(LANES):
        table[:, lane] = columns[min(lane, len(columns) - 1)][0]
        state[:, lane] = starts[min(lane, len(columns) - 1)]
    substeps = course.substeps(max(rate for _, rate in columns))
    out = np.empty((LANES, LANE_COLUMNS, course.samples))
    linkage = True if isinstance(stations[0].motion_ratio, MotionRatio) else None
    march_side_by_side(
        out, course.step, substeps, state.ravel(), table.ravel(), course.road, course.hand, course.breaks, linkage
    )
    time, road, hand = course.time, course.along(course.road), course.along(course.hand)
    for station, (body, wheel, body_v, wheel_v, body_a, wheel_a, load) in zip(stations, out, strict=False):
        if not np.isfinite(body[-1] + wheel[-1]):
            raise left_all_bounds(station, time[int(np.argmin(np.isfinite(body + wheel)))])
        yield Trace(
            station=station, excitation=excitation, time=time, body=body, wheel=wheel, road=road,
            body_velocity=body_v, wheel_velocity=wheel_v, body_acceleration=body_a, wheel_acceleration=wheel_a,
            tyre_load=load, hand_force=hand,
        )  # fmt: skip
