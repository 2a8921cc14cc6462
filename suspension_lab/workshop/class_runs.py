"""The runs that handouts and the instructor's guide quote: the same as the benches make with these settings."""

from __future__ import annotations

from dataclasses import replace

from suspension_lab.excitation import roads
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station

VEHICLE = "courier_scooter_rear"
USUAL_DEPTH, USUAL_HEIGHT, USUAL_SPEED = 35.0, 40.0, 30.0
"""With which the benches begin [mm, mm, km/h]."""
HAND, HOLD = 400.0, 0.2
"""The hand's force [N], and how long it keeps it [s], of the push bench."""
RUN_IN_TIME, RUN_OUT_TIME, BUMPS = 0.3, 1.5, 12
"""Level road before and after a bump, as time at the speed [s], and bumps of a washboard, as of the bump bench."""

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
    return _found(station, Release(depth=1e-3 * depth))


def pushed(station: Station, rise: float) -> Measures:
    """Pushed by a hand within a time [ms]: the measures by their keys."""
    return _found(station, Push(peak_force=HAND, rise_time=1e-3 * rise, hold_time=HOLD))


def ridden(station: Station, shape: str, *, height: float = USUAL_HEIGHT, speed: float = USUAL_SPEED) -> Measures:
    """Driven over one of the bump bench's roads [mm, km/h]: the measures by their keys."""
    level = {"run_in": RUN_IN_TIME * speed / 3.6, "run_out": RUN_OUT_TIME * speed / 3.6}
    if shape == "pothole":
        road = roads.pothole(depth=1e-3 * height, **level)
    elif shape == "long_hump":
        road = roads.long_hump(height=1e-3 * height, **level)
    else:
        road = roads.washboard(height=1e-3 * height, bumps=BUMPS, **level)
    return _found(station, Ride(road, speed / 3.6))


def _found(station: Station, excitation: Release | Push | Ride) -> Measures:
    return {measure.key: measure for measure in summary(simulate(station, excitation))}
