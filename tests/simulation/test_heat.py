"""Slow heat: work into heat, air flow, and the march over minutes."""

import math
from dataclasses import replace

import ht
import numpy as np
import pytest
from made_traces import made_trace

import suspension_lab as lab
from suspension_lab.simulation.heat import (
    AIR_CONDUCTIVITY,
    AIR_PRANDTL,
    AIR_VISCOSITY,
    STILL_AIR,
    conductance,
    convection,
    dissipated_power,
    heat_capacity,
)
from suspension_lab.vehicle.oil import WORKSHOP, ZERO_CELSIUS

RIDE = lab.Ride(lab.roads.washboard(height=0.008, bumps=20, run_in=1.0, run_out=3.0), 7.0)
AMPLITUDE, FREQUENCY, CYCLES = 0.012, 2.5, 6


def stroked(damper):
    """A wheel moved as a sinusoid against a body held still, without friction."""
    station = replace(lab.load_station("courier_scooter_front"), damper=damper, friction=0.0, motion_ratio=1.0)
    time = np.linspace(0.0, CYCLES / FREQUENCY, 60_001)
    omega = 2.0 * math.pi * FREQUENCY
    wheel = AMPLITUDE * np.sin(omega * time)
    return made_trace(time, station=station, wheel=wheel, wheel_velocity=AMPLITUDE * omega * np.cos(omega * time))


def per_cycle(trace):
    return dissipated_power(trace) / FREQUENCY


def test_work_per_cycle_of_a_linear_damper():
    """Textbook: pi c omega X^2."""
    trace = stroked(lab.LinearDamper(rebound=900.0, compression=900.0))
    assert per_cycle(trace) == pytest.approx(math.pi * 900.0 * 2.0 * math.pi * FREQUENCY * AMPLITUDE**2, rel=1e-6)


def test_work_per_cycle_of_a_square_damper():
    """Textbook: 8/3 a omega^2 X^3, the equivalent damping 8/(3 pi) a omega X."""

    class Square(lab.LinearDamper):
        def force(self, shaft_speed):
            v = np.asarray(shaft_speed)
            return 5000.0 * v * np.abs(v)

    trace = stroked(Square(rebound=0.0, compression=0.0))
    omega = 2.0 * math.pi * FREQUENCY
    assert per_cycle(trace) == pytest.approx(8.0 / 3.0 * 5000.0 * omega**2 * AMPLITUDE**3, rel=1e-6)


@pytest.mark.parametrize("name", ["courier_scooter_rear", "courier_scooter_front", "delivery_van_corner"])
def test_work_per_cycle_of_a_damper_by_its_parts(name):
    """The loop integral of force over travel, summed over half a million phases, and what the balance receives."""
    damper = lab.load_station(name).damper
    omega = 2.0 * math.pi * FREQUENCY

    phase = 2.0 * math.pi * (np.arange(500_000) + 0.3) / 500_000
    travel_rate = AMPLITUDE * np.cos(phase)
    work = 2.0 * math.pi * float(np.mean(damper.force(omega * travel_rate) * travel_rate))
    assert per_cycle(stroked(damper)) == pytest.approx(work, rel=1e-4)


def test_seal_friction_warms_too():
    """Coulomb: 4 F X a cycle, for seals that turn around in no time."""
    trace = stroked(lab.LinearDamper(rebound=0.0, compression=0.0))
    rubbing = replace(trace, station=replace(trace.station, friction=30.0, friction_speed=1e-5))
    assert per_cycle(rubbing) == pytest.approx(4.0 * 30.0 * AMPLITUDE, rel=1e-3)


@pytest.mark.parametrize("air_speed", [0.5, 2.0, 6.0, 15.0])
def test_moving_air_against_an_independent_library(air_speed):
    """Churchill and Bernstein as the `ht` library has it; still air adds a little at low speeds only."""
    diameter = 0.046
    nusselt = ht.conv_external.Nu_cylinder_Churchill_Bernstein(Re=air_speed * diameter / AIR_VISCOSITY, Pr=AIR_PRANDTL)
    forced = nusselt * AIR_CONDUCTIVITY / diameter
    assert convection(diameter, air_speed) == pytest.approx((forced**3 + STILL_AIR**3) ** (1.0 / 3.0), rel=1e-9)


def test_still_air():
    assert convection(0.046, 0.0) == STILL_AIR == 10.0
    # Free convection in gases, 5 to 25 W/(m^2 K) (Incropera and DeWitt, from memory).
    assert 5.0 <= STILL_AIR <= 25.0


def test_steady_temperature_is_power_over_conductance():
    station = lab.load_station("courier_scooter_front")
    long = lab.warm_up(station, RIDE, 4.0 * 3600.0, step=60.0)
    rise = long.temperature[-1] - long.air_temperature
    assert rise > 10.0
    assert rise == pytest.approx(long.power[-1] / long.conductance, rel=1e-6)
    assert long.steady_temperature == pytest.approx(long.temperature[-1], abs=1e-3)


def test_warming_under_a_steady_power_is_exponential():
    """A damper whose oil does not thin keeps its power: T rises as 1 - exp(-t G / C), the textbook's lumped body."""
    station = lab.load_station("courier_scooter_front")
    steady = lab.Oil(viscosity_40=15e-6, viscosity_100=14.9999e-6, expansion=0.0)
    damper = replace(station.damper, oil=steady, gas=None)
    run = lab.warm_up(replace(station, damper=damper), RIDE, 900.0)
    assert np.ptp(run.power) < 1e-3 * run.power[0]
    rate = conductance(damper.shells, 3.5) / heat_capacity(damper, damper.shells)
    settled = run.air_temperature + run.power[0] / run.conductance
    expected = settled - (settled - WORKSHOP) * np.exp(-rate * run.time)
    assert run.temperature == pytest.approx(expected, abs=0.02)


def test_heat_closes_over_the_ride():
    """Heat in is what was held and what the air carried off, when both are added up from the run itself."""
    run = lab.warm_up(lab.load_station("courier_scooter_rear"), RIDE, 1200.0, step=5.0)
    into = float(np.sum(run.power[:-1] * np.diff(run.time)))
    held = run.heat_capacity * (run.temperature[-1] - run.temperature[0])
    carried = run.conductance * float(np.trapezoid(run.temperature - run.air_temperature, run.time))
    assert into == pytest.approx(held + carried, rel=1e-3)


def test_smaller_steps_agree():
    station = lab.load_station("courier_scooter_rear")
    coarse, fine = (lab.warm_up(station, RIDE, 600.0, step=step).temperature[-1] for step in (20.0, 2.5))
    assert coarse == pytest.approx(fine, abs=0.3)


def test_a_reservoir_adds_capacity_and_surface():
    damper = lab.load_station("courier_scooter_rear").damper
    assert len(damper.shells) == 2
    assert heat_capacity(damper, damper.shells) > heat_capacity(damper, damper.shells[:1]) + 300.0
    assert conductance(damper.shells, 4.0) > 1.2 * conductance(damper.shells[:1], 4.0)


def test_wind_cools_and_hot_air_warms():
    station = lab.load_station("courier_scooter_front")
    end = {speed: lab.warm_up(station, RIDE, 600.0, air_speed=speed).temperature[-1] for speed in (0.0, 2.0, 10.0)}
    assert end[0.0] > end[2.0] > end[10.0]
    hot = lab.warm_up(station, RIDE, 600.0, air_temperature=ZERO_CELSIUS + 40.0).temperature[-1]
    assert hot > lab.warm_up(station, RIDE, 600.0).temperature[-1]


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"duration": 0.0}, "duration of the ride"),
        ({"duration": 1e9}, "duration of the ride"),
        ({"step": 0.0}, "time step"),
        ({"air_temperature": 25.0}, "air temperature"),
        ({"air_speed": -1.0}, "air speed"),
    ],
)
def test_bad_settings_are_told(settings, says):
    with pytest.raises(lab.LabError, match=says):
        lab.warm_up(lab.load_station("courier_scooter_front"), RIDE, **settings)


def test_a_damper_by_its_curves_knows_nothing_of_heat():
    station = replace(
        lab.load_station("courier_scooter_front"), damper=lab.LinearDamper(rebound=900.0, compression=900.0)
    )
    with pytest.raises(lab.LabError, match="described by its curves"):
        lab.warm_up(station, RIDE)


def test_oil_that_would_burn_is_told():
    hard = lab.Ride(lab.roads.washboard(height=0.02, bumps=20, run_in=1.0, run_out=2.0), 8.0)
    with pytest.raises(lab.LabError, match=r"minutes the oil would pass 160 °C"):
        lab.warm_up(lab.load_station("courier_scooter_rear"), hard, 3600.0)
