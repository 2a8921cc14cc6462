"""Slow heat: what the damper takes from the ride warms oil and metal, and the air carries it off.

One temperature for oil and metal, marched over minutes; the fast simulation supplies the power, anew at each
temperature, since warmer oil damps less.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.road import Ride
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.oil import HOTTEST, WORKSHOP, ZERO_CELSIUS
from suspension_lab.vehicle.shell import Shell
from suspension_lab.vehicle.station import Station

AIR_CONDUCTIVITY, AIR_VISCOSITY, AIR_PRANDTL = 0.0263, 15.89e-6, 0.707
"""Of air at 300 K: [W/(m K)], kinematic [m^2/s], [1] (Incropera and DeWitt, table A.4, from memory)."""
STILL_AIR = 10.0
"""Heat carried off in still air by free convection and radiation together [W/(m^2 K)]; textbooks give 5 to 25 for free
convection in gases (Incropera and DeWitt, table 1.1, from memory)."""
SHELTER = 0.5
"""Share of the ride's speed that the air has at the damper, behind wheel and engine (assumed, no source)."""
OIL_HEAT = 1900.0
"""Specific heat of mineral oil [J/(kg K)] (handbook value, from memory)."""
STEP = 20.0
"""Time for which one power is taken [s]; small against the minutes in which a damper warms."""
LONGEST = 6.0 * 3600.0


def dissipated_power(trace: Trace, *, seals: bool = True) -> float:
    """Mean power that the damper turns into heat over a run [W], with its seals or without: force times shaft speed."""
    power = (trace.damper_force + trace.friction_force if seals else trace.damper_force) * trace.shaft_speed
    return float(np.trapezoid(power, trace.time) / (trace.time[-1] - trace.time[0]))


def convection(diameter: float, air_speed: float) -> float:
    """Heat carried off the side of a round body per area and degree [W/(m^2 K)].

    Across the flow by Churchill and Bernstein (J. Heat Transfer 99, 1977, 300; as in Incropera and DeWitt, from
    memory), put together with still air by the third power (Churchill and Usagi, AIChE J. 18, 1972, from memory).

    Args:
        diameter: [m].
        air_speed: [m/s], not below zero.
    """
    if air_speed <= 0.0:
        return STILL_AIR
    reynolds = air_speed * diameter / AIR_VISCOSITY
    blunt = (1.0 + (0.4 / AIR_PRANDTL) ** (2.0 / 3.0)) ** 0.25
    nusselt = (
        0.3
        + 0.62
        * math.sqrt(reynolds)
        * AIR_PRANDTL ** (1.0 / 3.0)
        / blunt
        * (1.0 + (reynolds / 282_000.0) ** 0.625) ** 0.8
    )
    return math.cbrt(STILL_AIR**3 + (nusselt * AIR_CONDUCTIVITY / diameter) ** 3)


def conductance(shells: Sequence[Shell], air_speed: float) -> float:
    """Heat carried off by all bodies together per degree above the air [W/K]."""
    return sum(convection(shell.diameter, air_speed) * shell.surface for shell in shells)


def heat_capacity(damper: HydraulicDamper, shells: Sequence[Shell]) -> float:
    """Of the oil and the metal of these bodies [J/K]."""
    oil = damper.oil.density * damper.oil_volume * OIL_HEAT
    return oil + sum(shell.heat_capacity for shell in shells)


@dataclass(frozen=True, kw_only=True, eq=False)
class WarmUp:
    """A damper warming over a ride, n instants.

    Attributes:
        station: as it was at the start, at its oil's starting temperature.
        excitation: what it was put through, over and over.
        time: from 0 [s], (n,).
        temperature: of oil and metal [K], (n,).
        power: turned into heat from each instant to the next [W], (n,); the last is that at the end.
        air_temperature: [K].
        conductance: [W/K].
        heat_capacity: [J/K].
    """

    station: Station
    excitation: Excitation
    time: Array
    temperature: Array
    power: Array
    air_temperature: float
    conductance: float
    heat_capacity: float

    @cached_property
    def steady_temperature(self) -> float:
        """To which it would warm if the power stayed as at the end: that over the conductance, above the air [K]."""
        return self.air_temperature + float(self.power[-1]) / self.conductance

    def at(self, instant: int) -> Station:
        """The station with its oil as warm as at an instant."""
        return self.station.with_oil_temperature(float(self.temperature[instant]))


def warm_up(
    station: Station, excitation: Excitation, duration: float = 600.0, *, air_temperature: float = WORKSHOP,
    air_speed: float | None = None, shells: Sequence[Shell] | None = None, step: float = STEP,
) -> WarmUp:  # fmt: skip
    """Minutes of riding: the same stretch over and over, and what it does to the oil.

    Args:
        station: with a damper described by its parts; its oil starts at the damper's temperature.
        excitation: the stretch; its mean power is taken.
        duration: [s].
        air_temperature: [K].
        air_speed: at the damper [m/s]; None: `SHELTER` of a ride's speed, else still air.
        shells: the bodies that warm and cool; None: the damper's own.
        step: time for which one power is taken [s].

    Raises:
        LabError: a damper described by its curves, a value out of its range, or oil that gets hotter than `HOTTEST`.
    """
    damper = by_parts(station)
    number("duration of the ride", duration, "s", low=positive("time step", step, "s"), high=LONGEST)
    number("air temperature", air_temperature, "K", low=ZERO_CELSIUS - 40.0, high=ZERO_CELSIUS + 60.0)
    if air_speed is None:
        air_speed = SHELTER * excitation.speed if isinstance(excitation, Ride) else 0.0
    number("air speed", air_speed, "m/s", low=0.0, high=100.0)
    bodies = damper.shells if shells is None else tuple(shells)
    carried, held = conductance(bodies, air_speed), heat_capacity(damper, bodies)
    count = math.ceil(duration / step)
    time = np.linspace(0.0, duration, count + 1)
    temperature, power = np.empty(count + 1), np.empty(count + 1)
    now = damper.oil_temperature
    share = math.exp(-carried * float(time[1]) / held)
    for i in range(count + 1):
        if now > HOTTEST:
            raise LabError(
                f"After {time[i] / 60.0:.1f} minutes the oil would pass {HOTTEST - ZERO_CELSIUS:.0f} °C, where oil and "
                "seals give out; take a smoother road, a lower speed, or less friction."
            )
        temperature[i] = now
        power[i] = dissipated_power(simulate(station.with_oil_temperature(now), excitation))
        # Exact for a power that stays as it is over the step.
        settled = air_temperature + power[i] / carried
        now = settled + (now - settled) * share
    return WarmUp(
        station=station, excitation=excitation, time=time, temperature=temperature, power=power,
        air_temperature=air_temperature, conductance=carried, heat_capacity=held,
    )  # fmt: skip
