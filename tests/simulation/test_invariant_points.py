"""Two points of the response that no suspension can change, asymmetric dampers included.

Published idea: Hedrick and Butsuen 1990, Proc. IMechE D 204. The values follow from the sum of both masses' equations,
in which the suspension does not appear, so they hold for the part of any steady answer at the road's own frequency.
"""

import numpy as np
import pytest
from reference_values import reference

import suspension_lab as lab

POINTS = reference("invariant_points")
VEHICLES = {
    "240 kg over 36 kg on 160 kN/m": (240.0, 36.0, 160_000.0, 16_000.0),
    "60 kg over 12 kg on 110 kN/m": (60.0, 12.0, 110_000.0, 9_000.0),
}
DAMPERS = {"even": (900.0, 900.0), "rebound 2.7 times": (1600.0, 600.0), "rebound 10 times": (3000.0, 300.0)}
PER_CYCLE = 200
CYCLES, COUNTED = 400, 20


def steady_run(vehicle, damper, frequency, amplitude=1e-3):
    """A ride over a sine road until it has settled; each cycle of the road is PER_CYCLE samples and straight pieces."""
    sprung, unsprung, tyre, spring = VEHICLES[vehicle]
    rebound, compression = DAMPERS[damper]
    station = lab.Station(
        name=vehicle,
        sprung_mass=sprung,
        unsprung_mass=unsprung,
        spring=lab.Spring(rate=spring),
        damper=lab.LinearDamper(rebound=rebound, compression=compression),
        tyre=lab.Tyre(stiffness=tyre, can_leave_road=False),
    )
    step = 1.0 / (frequency * PER_CYCLE)
    time = step * np.arange(PER_CYCLE * (CYCLES + 1))
    road = lab.Road(time, amplitude * np.sin(2.0 * np.pi * frequency * time))
    return lab.simulate(station, lab.Ride(road, 1.0), CYCLES / frequency, step=step)


def gain_over_road_speed(trace, signal, frequency):
    """Size of a signal at the road's frequency over the size of the road's speed there.

    A sine drawn with n straight pieces a cycle has a fundamental smaller by sinc(1/n)^2 than its corner points.
    """
    last = slice(-COUNTED * PER_CYCLE, None)
    turning = np.exp(-2j * np.pi * frequency * trace.time[last])
    answer, road = (abs(np.mean(turning * values[last])) for values in (signal, trace.road))
    return answer / (road * np.sinc(1.0 / PER_CYCLE) ** 2 * 2.0 * np.pi * frequency)


@pytest.mark.parametrize("damper", DAMPERS)
@pytest.mark.parametrize("vehicle", VEHICLES)
def test_body_acceleration_at_the_wheels_own_frequency_on_the_tyre(vehicle, damper):
    sprung, unsprung, tyre, _ = VEHICLES[vehicle]
    frequency = np.sqrt(tyre / unsprung) / (2.0 * np.pi)
    assert frequency == POINTS[f"first point, {vehicle}"].near
    trace = steady_run(vehicle, damper, frequency)
    gain = gain_over_road_speed(trace, trace.body_acceleration, frequency)
    assert gain == pytest.approx(POINTS[f"body acceleration over road speed, {vehicle}"].value, rel=1e-4)
    assert gain == pytest.approx(np.sqrt(tyre * unsprung) / sprung, rel=1e-4)


@pytest.mark.parametrize("damper", DAMPERS)
@pytest.mark.parametrize("vehicle", VEHICLES)
def test_rattle_space_at_the_frequency_of_both_masses_on_the_tyre(vehicle, damper):
    sprung, unsprung, tyre, _ = VEHICLES[vehicle]
    frequency = np.sqrt(tyre / (sprung + unsprung)) / (2.0 * np.pi)
    assert frequency == POINTS[f"second point, {vehicle}"].near
    trace = steady_run(vehicle, damper, frequency)
    gain = gain_over_road_speed(trace, trace.body - trace.wheel, frequency)
    assert gain == pytest.approx(POINTS[f"rattle space over road speed, {vehicle}"].value, rel=1e-4)


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_elsewhere_the_damper_does_matter(vehicle):
    """What the invariant points are not: at other frequencies the same dampers answer differently."""
    even, uneven = (steady_run(vehicle, damper, 6.0) for damper in ("even", "rebound 10 times"))
    gains = [gain_over_road_speed(trace, trace.body_acceleration, 6.0) for trace in (even, uneven)]
    assert abs(gains[1] / gains[0] - 1.0) > 0.05


@pytest.mark.parametrize(
    ("damper", "sinks"), [("even", 0.0), ("rebound 2.7 times", 2.85508e-3), ("rebound 10 times", 5.37402e-3)]
)
def test_a_harder_rebound_jacks_the_body_down(damper, sinks):
    """On a sine of 1 mm at 10.61 Hz; the expected values come from an independent solver at a tolerance of 1e-9."""
    vehicle = "240 kg over 36 kg on 160 kN/m"
    trace = steady_run(vehicle, damper, POINTS[f"first point, {vehicle}"].value)
    mean = np.mean((trace.wheel - trace.body)[-COUNTED * PER_CYCLE :])
    assert mean == pytest.approx(sinks, abs=1e-5)
