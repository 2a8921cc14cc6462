"""Sag, wheel rate and motion ratio, by hand."""

import math
from dataclasses import replace

import by_hand
import numpy as np
import pytest
from scipy.integrate import quad
from vehicle_texts import TWO_SLOPE_FILE

import suspension_lab as lab

G = 9.80665
TABLE = lab.MotionRatio(wheel_travel=[0.0, 0.08, 0.16, 0.24], ratio=[0.315, 0.33, 0.35, 0.375])


def station(**changes):
    parts = {
        "name": "by hand",
        "sprung_mass": 90.0,
        "rider_mass": 40.0,
        "unsprung_mass": 15.0,
        "spring": lab.Spring(rate=25_000.0, preload=0.01),
        "damper": lab.LinearDamper(rebound=1000.0, compression=500.0),
        "tyre": lab.Tyre(stiffness=150_000.0),
    }
    return lab.Station(**(parts | changes))


def test_sag_of_a_spring_at_the_wheel():
    """m g = k (sag + preload)."""
    sag = station().sag
    assert sag.free == pytest.approx(50.0 * G / 25_000.0 - 0.01, rel=1e-9)
    assert sag.rider == pytest.approx(90.0 * G / 25_000.0 - 0.01, rel=1e-9)


@pytest.mark.parametrize("ratio", [0.5, 0.9])
def test_sag_behind_a_linkage(ratio):
    """m g = ratio k (ratio sag + preload)."""
    expected = (90.0 * G / (ratio * 25_000.0) - 0.01) / ratio
    assert station(motion_ratio=ratio).sag.rider == pytest.approx(expected, rel=1e-9)
    assert station(motion_ratio=ratio).wheel_rate == pytest.approx(ratio**2 * 25_000.0, rel=1e-6)


def test_sag_of_a_vehicle_file():
    """From the numbers in the file by the formula above [mm]."""
    sag = lab.load_station(TWO_SLOPE_FILE).sag
    assert (sag.free * 1e3, sag.rider * 1e3) == pytest.approx((7.8513, 27.2224), abs=1e-3)


@pytest.mark.parametrize("name", [name for name in lab.demo_vehicles() if name != "trail_bike_rear"])
def test_sag_of_the_demo_vehicles_on_spring_and_gas(name):
    """m g = ratio (k (ratio sag + preload) + (p - p_atm) A), from the numbers in their files."""
    file, sag = by_hand.numbers(name), lab.load_station(name).sag
    sprung, rider = file["masses"]["sprung_mass_kg"], file["masses"]["rider_mass_kg"]
    assert sag.free == pytest.approx(by_hand.travel_under(file, sprung * G), abs=1e-9)
    assert sag.rider == pytest.approx(by_hand.travel_under(file, (sprung + rider) * G), abs=1e-9)


def test_gas_carries_its_share_and_stiffens_the_wheel():
    """The slope of (p - p_atm) A over the shaft's way is n p A^2 / V."""
    file, demo = by_hand.numbers("courier_scooter_rear"), lab.load_station("courier_scooter_rear")
    ratio, damper = file["linkage"]["motion_ratio"], file["damper"]
    area = math.pi / 4.0 * (1e-3 * damper["rod_diameter_mm"]) ** 2
    shaft = ratio * demo.static_travel
    pressure = by_hand.gas_force(damper, shaft) / area + by_hand.ATMOSPHERE
    left = 1e-6 * damper["gas"]["gas_volume_cm3"] - area * shaft
    rate = 1e3 * file["spring"]["rate_N_per_mm"] + by_hand.EXPONENT * pressure * area**2 / left
    assert demo.wheel_rate == pytest.approx(ratio**2 * rate, rel=1e-6)
    bare = replace(demo, damper=lab.LinearDamper(rebound=1000.0, compression=500.0))
    assert bare.static_travel > demo.static_travel
    spring = 1e3 * file["spring"]["rate_N_per_mm"] * (shaft + 1e-3 * file["spring"]["preload_mm"])
    carried = ratio * (spring + by_hand.gas_force(damper, shaft))
    assert carried == pytest.approx(demo.sprung_mass * G, rel=1e-9)


def test_each_millimetre_of_preload_takes_its_share_off_the_sag():
    before, after = (station(motion_ratio=0.8, spring=lab.Spring(rate=25_000.0, preload=p)) for p in (0.01, 0.014))
    assert before.static_travel - after.static_travel == pytest.approx(0.004 / 0.8, rel=1e-6)


def test_rider_sag_follows_the_rider():
    light = station().with_rider(0.0)
    assert light.sag.rider == pytest.approx(light.sag.free, abs=1e-12)
    assert light.sprung_mass == 50.0
    assert light.with_rider(40.0) == station()


def test_static_loads():
    assert station().static_tyre_load == pytest.approx(105.0 * G)
    assert station().static_tyre_deflection == pytest.approx(105.0 * G / 150_000.0)


def test_too_much_preload_rests_on_the_top_out_stop():
    stiff = station(spring=lab.Spring(rate=25_000.0, preload=0.05), travel=0.1)
    assert stiff.static_travel < 0.0
    assert "topped out" in stiff.rests_on_a_stop
    # The stop carries what the preload has too much of.
    assert -float(stiff.stop_force(stiff.static_travel)) == pytest.approx(
        25_000.0 * (0.05 + stiff.static_travel) - 90.0 * G, rel=1e-6
    )


def test_too_soft_a_spring_rests_on_the_bump_stop():
    assert "bump stop" in station(spring=lab.Spring(rate=10_000.0), travel=0.09).rests_on_a_stop
    weak = lab.Stop(length=0.01, rate=10_000.0)
    assert "bottomed" in station(spring=lab.Spring(rate=500.0), travel=0.05, bump_stop=weak).rests_on_a_stop
    assert station(travel=0.1).rests_on_a_stop is None


@pytest.mark.parametrize("travel", [-0.05, 0.0, 0.03, 0.08, 0.11, 0.2, 0.24, 0.3])
def test_shaft_travel_is_the_integral_of_the_ratio(travel):
    area, _ = quad(lambda w: float(TABLE.at(w)), 0.0, travel, points=[0.08, 0.16, 0.24], epsabs=1e-13)
    assert float(TABLE.shaft_travel(travel)) == pytest.approx(area, abs=1e-11)


def test_shaft_travel_counts_from_full_extension_wherever_the_table_begins():
    late = lab.MotionRatio(wheel_travel=[0.05, 0.15], ratio=[0.4, 0.5])
    assert float(late.shaft_travel(0.0)) == 0.0
    assert late.shaft_travel([0.05, 0.15]) == pytest.approx([0.02, 0.02 + 0.045])


def test_an_even_table_is_a_number():
    even = station(motion_ratio=lab.MotionRatio(wheel_travel=[0.0, 0.1], ratio=[0.7, 0.7]))
    number = station(motion_ratio=0.7)
    travel = np.linspace(-0.05, 0.15, 41)
    assert even.suspension_force(travel) == pytest.approx(number.suspension_force(travel), abs=1e-9)


def test_wheel_force_is_the_slope_of_the_springs_energy():
    """Analytic (virtual work): d/dw of k x(w)^2 / 2 is ratio times spring force."""
    linked = station(motion_ratio=TABLE, spring=lab.Spring(rate=58_000.0, preload=0.03))
    travel = np.linspace(0.01, 0.23, 23)
    d = 1e-6

    def energy(w):
        return 0.5 * 58_000.0 * (np.asarray(linked.shaft_travel(w)) + 0.03) ** 2

    slope = (energy(travel + d) - energy(travel - d)) / (2.0 * d)
    assert linked.suspension_force(travel) == pytest.approx(slope, rel=1e-6)


def test_a_rising_ratio_makes_the_wheel_rate_rise():
    linked = station(motion_ratio=TABLE, spring=lab.Spring(rate=58_000.0, preload=0.03))
    loaded = replace(linked, sprung_mass=130.0)
    assert loaded.static_travel > linked.static_travel
    assert loaded.wheel_rate > linked.wheel_rate


def test_a_linkage_that_cannot_carry_the_load_is_told_in_one_sentence():
    """The ratio falls faster than the spring rises, so that the wheel pushes less the deeper it is."""
    falling = lab.MotionRatio(wheel_travel=[0.0, 0.02, 0.05], ratio=[1.0, 1.0, 0.8])
    unstable = station(
        sprung_mass=15.0, rider_mass=0.0, unsprung_mass=4.0, motion_ratio=falling, travel=0.05,
        spring=lab.Spring(rate=600.0, preload=0.23), tyre=lab.Tyre(stiffness=12_000.0),
    )  # fmt: skip
    with pytest.raises(lab.LabError):
        lab.simulate(unstable, lab.Release(depth=0.015))


@pytest.mark.parametrize("name", sorted(lab.demo_vehicles()))
def test_clicks_do_not_move_the_ride_height(name):
    """Found anew at other clicks it is the one that is carried over."""
    station = lab.load_station(name)
    turned = station.with_clicks(rebound=0)
    assert turned.static_travel == replace(station, damper=station.damper.with_clicks(rebound=0)).static_travel
