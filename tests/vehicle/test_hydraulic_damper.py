"""The damper by its parts: force from flow, one-way valves, gas, cavitation."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_dampers import hydraulic_dampers
from scipy.optimize import brentq
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.vehicle.gas import ATMOSPHERE
from suspension_lab.vehicle.oil import WORKSHOP, ZERO_CELSIUS

SPEED = np.linspace(-1.5, 1.5, 601)
SLOW = np.array([0.01, 0.02, 0.04, 0.08])


def rear():
    return lab.load_station("courier_scooter_rear").damper


def front():
    return lab.load_station("courier_scooter_front").damper


def with_both(damper, circuit):
    return replace(damper, rebound=circuit, compression=circuit, compression_at="piston")


def test_a_pure_orifice_gives_force_over_speed_squared():
    """No land, so no gap: the loss is all turbulent."""
    needle = lab.Needle(seat_diameter=4e-3, needle_diameter=3.4e-3, taper=0.2, lift_per_click=1e-5, land_length=1e-12)
    damper = with_both(front(), lab.Circuit(needle=needle))
    fluid = damper.fluid
    area = needle.opening(damper.clicks["low_speed"])
    exact = damper.ring_area**3 * fluid.density / (2.0 * (needle.discharge * area) ** 2) * SLOW**2
    assert damper.force(SLOW) == pytest.approx(exact, rel=2e-5)


def test_a_pure_gap_gives_force_over_speed():
    """A land a thousand times as long: the loss is all viscous."""
    needle = lab.Needle(seat_diameter=4e-3, needle_diameter=3.4e-3, taper=0.2, lift_per_click=1e-5, land_length=3.0)
    damper = with_both(replace(front(), gas=replace(front().gas, pressure=2e7)), lab.Circuit(needle=needle))
    clearance = needle.gap(damper.clicks["low_speed"])
    resistance = 12.0 * damper.fluid.viscosity * 3.0 / (np.pi * (4e-3 - clearance) * clearance**3)
    slow = 1e-2 * SLOW
    assert damper.force(slow) == pytest.approx(damper.ring_area**2 * resistance * slow, rel=1e-3)


def test_parts_carry_together_what_the_piston_and_the_rod_sweep():
    for name in lab.demo_vehicles():
        damper = lab.load_station(name).damper
        below_cavitation = SPEED[np.abs(SPEED) < min(map(abs, damper.cavitation_speeds))]
        rebound, compression = damper.flows(below_cavitation)
        swept = damper.ring_area * np.maximum(-below_cavitation, 0.0)
        assert rebound.whole == pytest.approx(swept, rel=3e-5, abs=1e-12)
        driven = damper.compression_area * np.maximum(below_cavitation, 0.0)
        assert compression.whole == pytest.approx(driven, rel=3e-5, abs=1e-12)


def test_force_is_pressure_times_area():
    for damper in (rear(), front()):
        sides = damper.pressures(SPEED)
        pushed = sides.compression_side * damper.piston_area - sides.rebound_side * damper.ring_area
        outside = ATMOSPHERE * damper.rod_area + float(damper.gas_force(0.0))
        assert damper.force(SPEED) == pytest.approx(pushed - outside, abs=1e-6)


def test_gas_force_against_the_polytropic_law():
    damper = rear()
    x = np.linspace(0.0, 0.07, 50)
    for exponent in (1.0, 1.2, 1.4):
        gas = replace(damper.gas, exponent=exponent)
        pressure = gas.pressure * (gas.volume / (gas.volume - damper.rod_area * x)) ** exponent
        found = replace(damper, gas=gas).gas_force(x)
        assert found == pytest.approx((pressure - ATMOSPHERE) * damper.rod_area, rel=1e-12)


def test_warm_gas_presses_in_proportion_to_its_temperature():
    damper = replace(rear(), oil=replace(rear().oil, expansion=0.0))
    warm = damper.with_oil_temperature(WORKSHOP + 60.0)
    assert float(warm.gas_pressure(0.03)) / float(damper.gas_pressure(0.03)) == pytest.approx(1.0 + 60.0 / WORKSHOP)
    # The oil's growth presses the gas together on top of that.
    grown = rear().with_oil_temperature(WORKSHOP + 60.0)
    assert float(grown.gas_pressure(0.0)) > 1.02 * float(warm.gas_pressure(0.0))


def test_no_click_of_one_side_changes_the_other():
    damper = rear()
    for adjuster, own in (("rebound", SPEED < 0.0), ("low_speed", SPEED > 0.0), ("high_speed", SPEED > 0.0)):
        ends = [damper.with_clicks(**{adjuster: clicks}).force(SPEED) for clicks in (0, damper.adjusters[adjuster])]
        assert np.ptp(ends, axis=0)[~own].max() == 0.0
        assert np.ptp(ends, axis=0)[own].max() > 50.0


def test_the_blow_off_opens_at_the_knee():
    for name in lab.demo_vehicles():
        damper = lab.load_station(name).damper
        for direction, knee in zip((0, 1), damper.knees, strict=True):
            before, behind = damper.flows(0.99 * knee)[direction], damper.flows(1.02 * knee)[direction]
            assert float(before.blow_off) == 0.0 < float(behind.blow_off)


def test_at_the_reservoir_little_oil_flows_at_high_pressure():
    """The same force from the rod's oil alone needs a higher drop than from the whole piston's."""
    damper = rear()
    at_piston = front()
    for each, area in ((damper, damper.rod_area), (at_piston, at_piston.ring_area)):
        assert float(each.flows(0.1)[1].whole) == pytest.approx(area * 0.1, rel=1e-4)
    force = float(damper.force(0.1))
    drop = float(damper.circuits[1].drop(damper.rod_area * 0.1))
    assert force == pytest.approx(drop * damper.rod_area, rel=0.05)
    assert drop > 4.0 * force / damper.ring_area


def test_cavitation_begins_where_the_pressure_would_fall_below_the_oils():
    """Against the pressures themselves, on a fine net of speeds."""
    weak = replace(front(), gas=replace(front().gas, pressure=2e5))
    onset = weak.cavitation_speeds[1]
    above = weak.pressures(np.array([0.999, 1.001]) * onset).rebound_side
    assert above[0] > weak.oil.vapour_pressure
    assert above[1] == weak.oil.vapour_pressure
    most = (weak.gas.pressure - weak.oil.vapour_pressure) * weak.ring_area
    assert float(weak.force(5.0 * onset)) == pytest.approx(most, rel=1e-6)
    assert weak.cavitation_speeds[0] == -np.inf


def test_a_narrow_way_back_from_the_reservoir_cavitates_in_rebound():
    damper = replace(rear(), gas=replace(rear().gas, pressure=1.2e5), free_area=2e-6)
    onset = damper.cavitation_speeds[0]
    assert -3.0 < onset < 0.0
    below = damper.pressures(np.array([0.99, 1.02]) * onset).compression_side
    assert below[0] > damper.oil.vapour_pressure == below[1]


def test_past_the_onset_at_the_reservoir_the_oil_is_all_accounted_for():
    """What the piston sweeps passes it or the passage: against a root search on that sum."""
    damper = replace(rear(), free_area=2e-6)
    onset = damper.cavitation_speeds[1]
    assert onset < 0.5
    gas, lowest = float(damper.gas_pressure(0.0)), damper.oil.vapour_pressure
    resistance = damper.fluid.density / (2.0 * (np.pi / (np.pi + 2.0) * 2e-6) ** 2)
    for speed in np.array([1.05, 2.0, 4.0]) * onset:

        def left_over(below, speed=speed):
            passage = float(damper.circuits[1].flows(below - gas).whole)
            return passage + np.sqrt((below - lowest) / resistance) - damper.piston_area * speed

        below = brentq(left_over, gas, 1e9)
        expected = (below - gas) * damper.piston_area - (lowest - gas) * damper.ring_area
        assert float(damper.force(speed)) == pytest.approx(expected, rel=1e-3)
    before, behind = damper.force(np.array([0.999, 1.001]) * onset)
    assert behind == pytest.approx(before, rel=0.02)


def test_pressures_at_any_depth_give_the_force_with_the_gas():
    weak = replace(front(), gas=replace(front().gas, pressure=1.5e5))
    for x in (0.0, 0.03, 0.06):
        sides = weak.pressures(SPEED, x)
        pushed = sides.compression_side * weak.piston_area - sides.rebound_side * weak.ring_area
        outside = ATMOSPHERE * weak.rod_area
        assert weak.force(SPEED) + float(weak.gas_force(x)) == pytest.approx(pushed - outside, abs=1e-6)


SOUND = settings(max_examples=60, deadline=None)


@SOUND
@given(hydraulic_dampers())
def test_force_rises_with_speed_and_falls_with_each_click(damper):
    force = damper.force(SPEED)
    assert np.isfinite(force).all()
    assert (np.diff(force) >= -1e-9 * np.abs(force).max()).all()
    assert float(damper.force(0.0)) == 0.0
    for adjuster, most in damper.adjusters.items():
        clicks = sorted({0, most // 3, most // 2, most})
        sizes = np.abs([damper.with_clicks(**{adjuster: c}).force(SPEED) for c in clicks])
        tolerance = 1e-4 * sizes.max() + 1e-9
        assert (np.diff(sizes, axis=0) <= tolerance).all()


@SOUND
@given(hydraulic_dampers(), st.floats(-10.0, 80.0), st.floats(5.0, 60.0))
def test_thicker_oil_is_harder(damper, celsius, warmer):
    """In viscosity alone: the density is held."""
    oil = replace(damper.oil, expansion=0.0)
    cold, warm = (
        replace(damper, oil=oil, oil_temperature=ZERO_CELSIUS + t).circuits for t in (celsius, celsius + warmer)
    )
    flow = np.geomspace(1e-7, 1e-3, 50)
    for thick, thin in zip(cold, warm, strict=True):
        assert thick.fluid.viscosity > thin.fluid.viscosity
        assert (thick.drop(flow) >= thin.drop(flow) * (1.0 - 1e-4)).all()


@SOUND
@given(hydraulic_dampers())
def test_flows_of_random_dampers_add_up(damper):
    """To 5 in 10,000: the tabled inverse is coarsest where a blow-off far larger than the bleed just opens."""
    quiet = SPEED[(damper.cavitation_speeds[0] < SPEED) & (damper.cavitation_speeds[1] > SPEED)]
    rebound, compression = damper.flows(quiet)
    assert rebound.whole == pytest.approx(damper.ring_area * np.maximum(-quiet, 0.0), rel=5e-4, abs=1e-10)
    assert compression.whole == pytest.approx(damper.compression_area * np.maximum(quiet, 0.0), rel=5e-4, abs=1e-10)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"rod_diameter": 40e-3}, ["rod is 40 mm wide on a piston of 36 mm", "thinner"]),
        ({"rod_diameter": 36e-3}, ["36 mm wide on a piston of 36 mm"]),
        ({"gas": None}, ["reservoir has no gas", "pressure and volume"]),
        ({"reservoir": None}, ["at the reservoir, but there is none"]),
        ({"compression_at": "base"}, ["'base'", "'piston' or 'reservoir'"]),
        ({"adjusters": {"rebound": 24}, "clicks": lab.Clicks()}, ["compression blow-off", "add low_speed"]),
        ({"adjusters": {"rebound": 0}, "clicks": lab.Clicks()}, ["at least 1 click"]),
        ({"oil_volume": 0.0}, ["more than 0 m³"]),
        ({"free_play": -1.0}, ["0 to 0.1 m"]),
        ({"oil_temperature": 70.0}, ["70 K", "343.15 K"]),
        ({"gas": lab.GasCharge(pressure=1e6, volume=5e-6), "oil_temperature": 400.0}, ["leaves the gas nothing"]),
    ],
)
def test_impossible_dampers_are_told_in_a_sentence(change, says):
    with pytest.raises(lab.LabError) as caught:
        replace(rear(), **change)
    assert is_one_sentence(str(caught.value)), str(caught.value)
    for part in says:
        assert part in str(caught.value)


def test_too_little_gas_for_the_stroke_is_told():
    station = lab.load_station("courier_scooter_rear")
    small = replace(station.damper, gas=replace(station.damper.gas, volume=8e-6))
    with pytest.raises(lab.LabError, match="72 mm in, where the rod leaves the gas no room beyond"):
        replace(station, damper=small)
