"""Traces made by hand, for measures whose answer can be counted."""

import numpy as np
from two_masses import From

import suspension_lab as lab


def made_trace(time, *, station=None, **signals):
    """A trace of a demo station with the given signals; all others are those at rest."""
    station = station or lab.load_station("courier_scooter_rear")
    time = np.asarray(time, dtype=np.float64)
    rest = {name: np.zeros_like(time) for name in (
        "body", "wheel", "road", "body_velocity", "wheel_velocity", "body_acceleration", "wheel_acceleration",
        "hand_force",
    )}  # fmt: skip
    rest["tyre_load"] = np.full_like(time, station.static_tyre_load)
    return lab.Trace(station=station, excitation=From(), time=time, **(rest | signals))


def with_travel(travel, station=None, step=1e-3):
    """A trace whose wheel travel from full extension is the given signal."""
    station = station or lab.load_station("courier_scooter_rear")
    travel = np.asarray(travel, dtype=np.float64)
    return made_trace(step * np.arange(travel.size), station=station, wheel=travel - station.static_travel)
