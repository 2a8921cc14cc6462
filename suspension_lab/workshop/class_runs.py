"""The runs that handouts and the instructor's guide quote: the same as the benches make with these settings."""

from __future__ import annotations

from dataclasses import replace

from suspension_lab.excitation.bump_ride import bump
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station

VEHICLE = "courier_scooter_rear"
USUAL_DEPTH, USUAL_HEIGHT, USUAL_SPEED = 35.0, 40.0, 30.0
"""With which the benches begin [mm, mm, km/h]."""
COLD, WARM = 20.0, 60.0
"""Of a damper's oil before and after some minutes of riding [°C] (our choice)."""
HAND, HOLD = 400.0, 0.2
"""The hand's force [N], and how long it keeps it [s], of the push bench."""

Measures = dict[str, Measure]


def rear(*, rider: float | None = None, oil: float | None = None, preload: float = 0.0, rate: float | None = None,
         vehicle: str = VEHICLE, **clicks: int) -> Station:  # fmt: skip
    """The rear of the courier scooter with something changed.

    Args:
        rider: rider and load on this wheel [kg].
        oil: its temperature [°C].
        preload: more than there is [mm].
        rate: of the spring [N/mm].
        vehicle: another demo vehicle.
        clicks: as of `Station.with_clicks`.
    """
    station = load_station(vehicle).with_clicks(**clicks)
    if rider is not None:
        station = station.with_rider(rider)
    if oil is not None:
        station = station.with_oil_temperature(ZERO_CELSIUS + oil)
    spring = replace(station.spring, preload=station.spring.preload + 1e-3 * preload)
    return replace(station, spring=spring if rate is None else replace(spring, rate=1e3 * rate))


def released(station: Station, depth: float = USUAL_DEPTH) -> Measures:
    """Held down and let go [mm]: the measures by their keys."""
    return _found(simulate(station, Release(depth=1e-3 * depth)))


def push_run(station: Station, rise: float, force: float = HAND) -> Trace:
    """Pushed by a hand that reaches its force [N] within a time [ms]."""
    return simulate(station, Push(peak_force=force, rise_time=1e-3 * rise, hold_time=HOLD))


def bump_run(station: Station, shape: str, height: float = USUAL_HEIGHT, speed: float = USUAL_SPEED) -> Trace:
    """Driven over one of the bump bench's roads [mm, km/h]."""
    return simulate(station, Ride(bump(shape, 1e-3 * height, speed / 3.6), speed / 3.6))


def pushed(station: Station, rise: float) -> Measures:
    """As `push_run`: the measures by their keys."""
    return _found(push_run(station, rise))


def ridden(station: Station, shape: str, *, height: float = USUAL_HEIGHT, speed: float = USUAL_SPEED) -> Measures:
    """As `bump_run`: the measures by their keys."""
    return _found(bump_run(station, shape, height, speed))


def _found(trace: Trace) -> Measures:
    return {measure.key: measure for measure in summary(trace)}
