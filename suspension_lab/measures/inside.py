"""Measures of what happens inside a damper described by its parts."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from suspension_lab.measures.drift import drift_in_clicks
from suspension_lab.measures.measure import Measure
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, Pressures, by_parts
from suspension_lab.vehicle.oil import WORKSHOP

BAR = 1e-5


class Shares(NamedTuple):
    """Who carries the oil through a circuit, as shares of its flow."""

    bleed: float
    blow_off: float
    leak: float


def flow_shares(damper: HydraulicDamper, shaft_speed: float) -> Shares:
    """Who carries the oil at a shaft speed [m/s], in rebound where it is below zero; nothing flows at zero."""
    flows = damper.flows(shaft_speed)[0 if shaft_speed < 0.0 else 1]
    whole = float(flows.whole)
    return Shares(*(float(way) / whole if whole > 0.0 else 0.0 for way in flows))


@lru_cache(maxsize=4)
def pressures(trace: Trace) -> Pressures:
    """Absolute pressures over a run [Pa], (n,) each; where the damper idles in free play, that of the gas.

    Raises:
        LabError: a damper described by its curves.
    """
    station = trace.station
    damper = by_parts(station)
    found = damper.pressures(trace.shaft_speed, station.shaft_travel(trace.wheel_travel))
    below, above = (np.where(trace.idle, found.gas, side) for side in found[:2])
    return Pressures(below, above, found.gas)


@lru_cache(maxsize=4)
def inside_summary(trace: Trace) -> tuple[Measure, ...]:
    """What a run shows of the inside of its damper, ready for a table.

    Raises:
        LabError: a damper described by its curves.
    """
    damper, sides = by_parts(trace.station), pressures(trace)
    fastest = (float(trace.shaft_speed.min()), float(trace.shaft_speed.max()))
    cavitates = [abs(onset) if abs(onset) < abs(speed) else math.inf
                 for onset, speed in zip(damper.cavitation_speeds, fastest, strict=True)]  # fmt: skip
    highest = max(float(side.max()) for side in sides[:2])
    lowest = min(float(side.min()) for side in sides[:2])
    at_rest = float(damper.gas_force(trace.station.shaft_travel(trace.station.static_travel)))
    cold = damper.with_oil_temperature(WORKSHOP)
    viscosity = damper.fluid.viscosity / damper.fluid.density
    found = [
        *_direction(damper, "compression", fastest[1]),
        *_direction(damper, "rebound", -fastest[0]),
        Measure(key="highest_pressure", label="Highest pressure in the oil (absolute)", name="highest pressure",
                value=BAR * highest, unit="bar", digits=1, resolution=0.2),
        Measure(key="lowest_pressure", label="Lowest pressure in the oil (absolute)", name="lowest pressure",
                value=BAR * lowest, unit="bar", digits=1, resolution=0.2),
        Measure(key="cavitation_compression", label="Cavitates in compression from", name="cavitation in compression",
                value=cavitates[1], unit="m/s", digits=2, smaller_is="worse", resolution=0.02),
        Measure(key="cavitation_rebound", label="Cavitates in rebound from", name="cavitation in rebound",
                value=cavitates[0], unit="m/s", digits=2, smaller_is="worse", resolution=0.02),
        Measure(key="gas_force", label="The gas pushes the rod out, at ride height", name="gas force",
                value=at_rest, unit="N", resolution=2.0),
        Measure(key="viscosity", label="Viscosity of the oil", name="oil viscosity",
                value=1e6 * viscosity, unit="mm²/s", digits=1, resolution=0.2),
    ]  # fmt: skip
    if "rebound" in damper.adjusters:
        drift = drift_in_clicks(damper, cold)
        found.append(
            Measure(key="drift", label="Rebound acts more open than at 20 °C by", name="drift of rebound",
                    value=drift, unit="clicks", digits=1, resolution=0.1)
        )  # fmt: skip
    return tuple(found)


def _direction(damper: HydraulicDamper, direction: str, fastest: float) -> list[Measure]:
    sign = 1.0 if direction == "compression" else -1.0
    share = flow_shares(damper, sign * fastest)
    word = direction.capitalize()
    return [
        Measure(key=f"fastest_{direction}", label=f"{word}: highest shaft speed", name=f"{direction} speed",
                value=fastest, unit="m/s", digits=2, resolution=0.02),
        Measure(key=f"bleed_{direction}", label=f"{word}: the bleed then carries", name=f"bleed's share in {direction}",
                value=100.0 * share.bleed, unit="% of the oil", resolution=1.0),
        Measure(key=f"blow_off_{direction}", label=f"{word}: the blow-off then carries",
                name=f"blow-off's share in {direction}", value=100.0 * share.blow_off, unit="% of the oil",
                resolution=1.0),
    ]  # fmt: skip
