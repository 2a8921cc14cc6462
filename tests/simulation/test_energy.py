"""Energy closes: what road and hand put in is stored, or taken by damper, friction and tyre.

Analytic. Stored energies come from the positions and velocities, the works from forces over displacements. A term
with the wrong sign or a missing force would leave a gap.
"""

from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.simulation.tables import SPEED
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper

STEP = 1e-5
SHARE = 3e-5
"""Largest gap as a share of all the energy put in; the lookup tables and the trapezoidal rule are finer than this."""
ATMOSPHERE = 101_325.0


def work(force, way):
    """Of a force along a way, by the trapezoidal rule, since the start [J]."""
    return np.concatenate([[0.0], np.cumsum(0.5 * (force[1:] + force[:-1]) * np.diff(way))])


def linear_spring_energy(spring, shaft_travel):
    return 0.5 * spring.rate * (shaft_travel + spring.preload) ** 2


def gas_energy(damper, shaft_travel):
    """Integral of (p - p_atm) x rod area, with p V^n = const; the air outside pushes on the rod's end."""
    if damper.gas.vented:
        return np.zeros_like(shaft_travel)
    filled, pressure, n = damper.gas.volume, damper.gas.pressure, damper.gas.exponent
    displaced = np.pi / 4.0 * damper.rod_diameter**2 * shaft_travel
    left = filled - displaced
    assert left.min() > 0.05 * filled
    return pressure * filled**n * (left ** (1.0 - n) - filled ** (1.0 - n)) / (n - 1.0) - ATMOSPHERE * displaced


def stop_energy(stop, squash):
    """Integral of rate x (1 + (x / length)^2), and of the metal behind it."""
    x = np.clip(squash, 0.0, stop.length)
    metal = 0.5 * 1.0e6 * np.maximum(squash - stop.length, 0.0) ** 2
    return (
        stop.rate * (x**2 / 2 + x**4 / (4 * stop.length**2))
        + 2.0 * stop.rate * stop.length * np.maximum(squash - stop.length, 0.0)
        + metal
    )


def stored(trace):
    """Kinetic, gravity, spring, gas, stop and tyre energy [J]."""
    s = trace.station
    kinetic = 0.5 * s.sprung_mass * trace.body_velocity**2 + 0.5 * s.unsprung_mass * trace.wheel_velocity**2
    gravity = 9.80665 * (s.sprung_mass * trace.body + s.unsprung_mass * trace.wheel)
    shaft = s.shaft_travel(trace.wheel_travel)
    spring = linear_spring_energy(s.spring, shaft)
    if isinstance(s.damper, HydraulicDamper):
        spring = spring + gas_energy(s.damper, shaft)
    squash = np.maximum(s.static_tyre_deflection + trace.road - trace.wheel, 0.0)
    tyre = 0.5 * s.tyre.stiffness * squash**2
    stops = stop_energy(s.bump_stop, trace.wheel_travel - s.travel + s.bump_stop.length)
    stops = stops + stop_energy(s.top_out_stop, -trace.wheel_travel)
    return kinetic + gravity + spring + stops + tyre


def put_in(trace):
    """Work of the road on the tyre and of the hand on the body [J]."""
    return work(trace.tyre_load, trace.road) + work(trace.hand_force, trace.body)


def taken(trace):
    """Heat of damper, seals and tyre [J]."""
    s = trace.station
    squash = s.static_tyre_deflection + trace.road - trace.wheel
    tyre = work(trace.tyre_load - s.tyre.stiffness * np.maximum(squash, 0.0), squash)
    shaft = s.shaft_travel(trace.wheel_travel)
    return work(trace.damper_force, shaft), work(trace.friction_force, shaft), tyre


def tabled(trace):
    """The damper's force as the kernel's table has it, straight between its nodes, and how far off that may be [N].

    A curve whose slope changes by s over a spacing h lies at most h s / 4 off the straight line: the blow-off's knee,
    where the next node may be 10 mm/s away, loses its corner. A change within a piece shows at both its nodes.
    """
    v = trace.shaft_speed
    force, off = np.empty_like(v), np.empty_like(v)
    fine = np.abs(v) < SPEED[0, -1]
    for nodes, here in zip(SPEED, (fine, ~fine), strict=True):
        curve = trace.station.damper.force(nodes)
        force[here] = np.interp(v[here], nodes, curve)
        h = nodes[1] - nodes[0]
        change = np.concatenate([[0.0], np.abs(np.diff(curve, 2)) / h, [0.0]])
        piece = ((v[here] - nodes[0]) / h).astype(int)
        off[here] = 0.25 * h * (change[piece] + change[piece + 1])
    return force, off


RUNS = {
    "pothole with all stops": ("courier_scooter_rear", lab.Ride(lab.roads.pothole(length=0.6, depth=0.08), 6.0), 1.5),
    "kerb on a rising-rate linkage": ("trail_bike_rear", lab.Ride(lab.roads.kerb(height=0.1), 7.0), 1.5),
    "washboard": ("courier_scooter_front", lab.Ride(lab.roads.washboard(), 8.0), 2.5),
    "push": ("classroom_rig", lab.Push(peak_force=600.0, rise_time=0.1, hold_time=0.3), 1.5),
    "release": ("delivery_van_corner", lab.Release(depth=0.06), 2.0),
}


@pytest.fixture(scope="module", params=RUNS)
def trace(request):
    name, excitation, duration = RUNS[request.param]
    station = lab.load_station(name)
    assert station.spring.progression == 0.0
    return lab.simulate(station, excitation, duration, step=STEP)


def test_energy_closes_at_every_sample(trace):
    """With the damper as the kernel has it, and with its own law as far as the table's straight pieces follow that."""
    damper, friction, tyre = taken(trace)
    balance = stored(trace) - stored(trace)[0] - put_in(trace) + damper + friction + tyre
    turnover = max(np.ptp(stored(trace)), np.abs(put_in(trace)).max())
    assert turnover > 5.0
    force, off = tabled(trace)
    assert (np.abs(force - trace.damper_force) <= off + 1e-6 * np.abs(force)).all()
    shaft = trace.station.shaft_travel(trace.wheel_travel)
    assert np.abs(balance - damper + work(force, shaft)).max() < SHARE * turnover
    lost = np.cumsum(np.maximum(off[1:], off[:-1]) * np.abs(np.diff(shaft)))
    assert (np.abs(balance[1:]) < SHARE * turnover + lost).all()


@pytest.mark.parametrize("fault", ["low_oil", "bent_shaft", "lost_gas"])
def test_energy_closes_with_a_fault(fault):
    """To 1 in 1,000: the force of a damper with free play jumps at its ends, within a step."""
    station = lab.with_fault(lab.load_station("courier_scooter_front"), fault)
    trace = lab.simulate(station, lab.Push(peak_force=600.0, rise_time=0.1, hold_time=0.3), 1.5, step=STEP)
    assert np.any(trace.idle) == (fault == "low_oil")
    damper, friction, tyre = taken(trace)
    balance = stored(trace) - stored(trace)[0] - put_in(trace) + damper + friction + tyre
    assert np.abs(balance).max() < 1e-3 * np.abs(put_in(trace)).max()


def test_what_takes_energy_only_takes(trace):
    damper, friction, _ = taken(trace)
    scale = damper[-1]
    assert scale > 0.0
    assert np.diff(damper).min() > -1e-9 * scale
    assert np.diff(friction).min() > -1e-9 * scale


def test_without_anything_that_takes_energy_none_is_lost():
    """Analytic: an undamped station on a tyre that holds on swings for ever."""
    station = lab.load_station("classroom_rig")
    lossless = replace(
        station,
        damper=lab.LinearDamper(rebound=0.0, compression=0.0),
        friction=0.0,
        tyre=lab.Tyre(stiffness=400_000.0, can_leave_road=True),
    )
    trace = lab.simulate(lossless, lab.Release(depth=0.02), 5.0, step=1e-4)
    energy = stored(trace)
    kinetic = 0.5 * lossless.sprung_mass * trace.body_velocity**2
    assert kinetic.max() > 2.0
    assert np.ptp(energy) < 1e-5 * kinetic.max()
