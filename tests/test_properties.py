"""What must hold for any sound vehicle under anything done to it."""

import math
from unittest import mock

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from made_dampers import between, hydraulic_dampers

import suspension_lab as lab
import suspension_lab.simulation.simulate as simulation
from suspension_lab.common.checks import GRAVITY

EXAMPLES = settings(
    max_examples=160, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], database=None
)


@st.composite
def two_slope_dampers(draw, critical):
    """Two slopes a side, the lower one as a share of critical damping [N s/m]."""
    sides = []
    for _ in range(2):
        slope = critical * draw(between(0.05, 1.5))
        sides.append(
            lab.DamperSide(
                low_speed_slope=slope,
                knee_speed=draw(between(0.05, 0.4)),
                high_speed_slope=slope * draw(between(0.15, 1.5)),
            )
        )
    return lab.TwoSlopeDamper(rebound=sides[0], compression=sides[1])


@st.composite
def stations(draw):
    """Wheels from a push scooter's to a van's: frequencies, sag and damping as practice knows them, and well beyond.

    The vehicle of a damper by its parts is as heavy as this damper is strong: its stronger side's force over speed
    at 0.2 m/s is the share of critical damping that two slopes draw.
    """
    travel, ratio = draw(between(0.05, 0.25)), draw(between(0.3, 1.2))
    body_rate = 2.0 * math.pi * draw(between(1.0, 3.0))
    if draw(st.sampled_from(["parts", "parts", "two slopes"])) == "parts":
        # 1.3: a linkage may end with that much more ratio.
        damper = draw(hydraulic_dampers(stroke=1.3 * ratio * travel))
        strength = float(np.abs(damper.force([-0.2, 0.2])).max()) / 0.2
        sprung = strength * ratio**2 / (2.0 * body_rate * draw(between(0.1, 1.5)))
        assume(15.0 < sprung < 400.0)
    else:
        sprung = draw(between(15.0, 400.0))
        damper = draw(two_slope_dampers(2.0 * sprung * body_rate / ratio**2))
    unsprung = sprung * draw(between(0.08, 0.45))
    wheel_rate = sprung * body_rate**2
    spring = wheel_rate / ratio**2
    sag = travel * draw(between(0.15, 0.45))
    load, gas = sprung * GRAVITY / ratio, float(damper.gas_force(ratio * sag))
    # More would be a gas spring.
    assume(gas < 0.6 * load)
    preload = (load - gas - spring * ratio * sag) / spring
    linkage = ratio
    if draw(st.booleans()):
        end = draw(between(0.8, 1.3)) * ratio
        linkage = lab.MotionRatio(wheel_travel=[0.0, sag, travel], ratio=[ratio, ratio, max(end, 0.2)])
    station = lab.Station(
        name="random",
        sprung_mass=sprung,
        unsprung_mass=unsprung,
        spring=lab.Spring(rate=spring, preload=preload),
        damper=damper,
        tyre=lab.Tyre(
            stiffness=unsprung * (2.0 * math.pi * draw(between(9.0, 20.0))) ** 2 + wheel_rate,
            damping=draw(between(0.0, 300.0)),
        ),
        motion_ratio=linkage,
        travel=travel,
        friction=sprung * GRAVITY * draw(between(0.0, 0.06)),
        wheel_radius=draw(st.none() | between(0.12, 0.4)),
    )
    # A linkage that falls faster than the spring rises cannot carry a load at all.
    assume(np.diff(station.suspension_force(np.linspace(0.0, travel, 100))).min() > 0.0)
    return station


@st.composite
def roads(draw):
    kind = draw(st.sampled_from(["pothole", "kerb", "hump", "washboard", "rough"]))
    size = draw(between(0.005, 0.06))
    if kind == "pothole":
        return lab.roads.pothole(length=draw(between(0.06, 1.0)), depth=size)
    if kind == "kerb":
        return lab.roads.kerb(height=size, length=draw(st.none() | between(0.05, 2.0)))
    if kind == "hump":
        return lab.roads.long_hump(length=draw(between(1.0, 8.0)), height=size)
    if kind == "washboard":
        return lab.roads.washboard(wavelength=draw(between(0.2, 1.5)), height=0.5 * size)
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    x = np.cumsum(rng.uniform(0.01, 0.2, 300))
    return lab.Road(x, np.cumsum(0.1 * size * rng.normal(size=x.size))).with_run_in()


@st.composite
def cases(draw):
    """A station and what is done to it; a hand pushes with up to half the body's weight."""
    station = draw(stations())
    kind = draw(st.sampled_from(["release", "push", "ride", "ride"]))
    if kind == "release":
        return station, lab.Release(depth=draw(between(0.002, 0.02)))
    if kind == "push":
        force = station.sprung_mass * GRAVITY * draw(between(0.02, 0.5))
        rise, hold = draw(between(0.02, 1.0)), draw(between(0.01, 0.3))
        return station, lab.Push(peak_force=force, rise_time=rise, hold_time=hold)
    return station, lab.Ride(draw(roads()), draw(between(0.8, 25.0)))


SIGNALS = ("body", "wheel", "body_velocity", "wheel_velocity", "body_acceleration", "wheel_acceleration", "tyre_load",
           "shaft_travel", "shaft_speed", "spring_force", "damper_force", "friction_force", "stop_force")  # fmt: skip


@EXAMPLES
@given(case=cases())
def test_every_signal_is_a_number_and_no_tyre_pulls(case):
    station, excitation = case
    trace = lab.simulate(station, excitation, 1.5)
    for signal in SIGNALS:
        assert np.isfinite(getattr(trace, signal)).all(), signal
    assert trace.tyre_load.min() >= 0.0
    inertia = station.sprung_mass * trace.body_acceleration + station.unsprung_mass * trace.wheel_acceleration
    off = inertia - (trace.tyre_load - trace.static_tyre_load + trace.hand_force)
    assert np.abs(off).max() < 1e-9 * (trace.static_tyre_load + trace.tyre_load.max())


def until_it_bounces(trace):
    """Samples before the third landing, and before the metal behind a bump stop throws the body back at tens of g.

    A wheel that bounces on is like any bouncing ball: the smallest difference grows with every landing.
    """
    landings = np.flatnonzero(np.diff((trace.tyre_load > 0.0).astype(int)) > 0)
    bottomed = np.flatnonzero(trace.wheel_travel >= trace.station.travel)
    return min([trace.time.size, *landings[2:3], *bottomed[:1]])


@EXAMPLES
@given(case=cases())
def test_halving_the_step_changes_little(case):
    """Body within 1 in 50 of its motion; most change far less."""
    station, excitation = case
    with mock.patch.object(simulation, "STEP_TIMES_RATE", 0.5 * simulation.STEP_TIMES_RATE):
        half = lab.simulate(station, excitation, 1.5, step=0.5 * simulation.USUAL_STEP)
    usual = lab.simulate(station, excitation, 1.5)
    end = until_it_bounces(usual)
    assert np.abs(usual.body - half.body[::2])[:end].max() < 2e-5 + 0.02 * np.ptp(half.body)


@EXAMPLES
@given(station=stations())
def test_at_rest_springs_and_tyre_carry_the_weight(station):
    """Simulated, it stays within 0.1 mm: a linkage's kink may lie between two nodes of the lookup table."""
    carried = float(station.suspension_force(station.static_travel))
    assert carried == pytest.approx(station.sprung_mass * GRAVITY, rel=1e-9)
    assert station.rests_on_a_stop is None
    still = lab.simulate(station, lab.Push(peak_force=1e-6, rise_time=0.1), 0.5)
    assert np.abs(still.body).max() < 1e-4


@EXAMPLES
@given(station=stations(), depth=between(0.002, 0.02))
def test_a_released_body_never_swings_back_below_where_it_was_let_go(station, depth):
    """Energy only leaves: it may fly up, but not come down to its first depth again."""
    trace = lab.simulate(station, lab.Release(depth=depth), 3.0)
    assert trace.body.min() >= -depth * (1.0 + 1e-6)


SHAFT_SPEED = np.concatenate([-np.geomspace(10.0, 1e-4, 300), [0.0], np.geomspace(1e-4, 10.0, 300)])


@EXAMPLES
@given(damper=hydraulic_dampers())
def test_a_damper_by_its_parts_only_takes_energy_and_keeps_its_sides_apart(damper):
    """Its force grows with speed and never helps the shaft along; a click opened makes one side softer, no other."""
    v, force = SHAFT_SPEED, damper.force(SHAFT_SPEED)
    assert (force * v >= 0.0).all()
    assert (np.diff(force) >= -1e-9 * np.abs(force).max()).all()
    pressures = damper.pressures(v)
    assert min(pressures.compression_side.min(), pressures.rebound_side.min()) > 0.999 * damper.oil.vapour_pressure
    for name, most in damper.adjusters.items():
        closed, opened = (damper.with_clicks(**{name: clicks}).force(v) for clicks in (0, most))
        other = v > 0.0 if name == "rebound" else v < 0.0
        assert np.array_equal(closed[other], opened[other])
        assert (np.abs(opened) <= np.abs(closed) * (1.0 + 1e-6)).all()


@EXAMPLES
@given(damper=hydraulic_dampers())
def test_all_the_oil_that_the_piston_moves_goes_through_the_circuits(damper):
    """Continuity, where nothing cavitates; drops under 1 Pa, where the program goes straight, are left out."""
    first, last = (0.999 * speed for speed in damper.cavitation_speeds)
    v = SHAFT_SPEED[np.abs(damper.force(SHAFT_SPEED)) > 0.01]
    v = v[(v > first) & (v < last)]
    rebound, compression = damper.flows(v)
    assert rebound.whole == pytest.approx(damper.ring_area * np.maximum(-v, 0.0), rel=2e-4)
    assert compression.whole == pytest.approx(damper.compression_area * np.maximum(v, 0.0), rel=2e-4)
