"""Springs and stops: force over travel, by hand."""

import numpy as np
import pytest

import suspension_lab as lab


def test_linear_spring_with_preload():
    spring = lab.Spring(rate=30_000.0, preload=0.014)
    assert spring.force([0.0, 0.010, -0.014]) == pytest.approx([420.0, 720.0, 0.0])


def test_preload_moves_the_curve_and_leaves_its_slope():
    x = np.linspace(-0.01, 0.08, 50)
    soft, hard = (lab.Spring(rate=20_000.0, preload=preload).force(x) for preload in (0.0, 0.02))
    assert hard - soft == pytest.approx(400.0)


def test_progressive_spring():
    """Rate at compression x is rate + progression x, so the force is rate x + progression x^2 / 2."""
    spring = lab.Spring(rate=20_000.0, progression=100_000.0, preload=0.01)
    assert float(spring.force(0.03)) == pytest.approx(20_000.0 * 0.04 + 0.5 * 100_000.0 * 0.04**2)
    x = np.array([0.02, 0.02 + 1e-6])
    assert np.diff(spring.force(x))[0] / 1e-6 == pytest.approx(20_000.0 + 100_000.0 * 0.03, rel=1e-4)


def test_a_spring_that_is_pulled_keeps_its_first_rate():
    assert float(lab.Spring(rate=20_000.0, progression=100_000.0).force(-0.01)) == pytest.approx(-200.0)


def test_spring_table():
    spring = lab.Spring(compression=[0.0, 0.02, 0.04, 0.06], table_force=[0.0, 600.0, 1240.0, 1950.0], preload=0.01)
    assert spring.force([0.0, 0.01, 0.02]) == pytest.approx([300.0, 600.0, 920.0])
    # Beyond its ends it goes on with the last slope.
    assert float(spring.force(0.07)) == pytest.approx(1950.0 + 0.02 * 710.0 / 0.02)
    assert float(spring.force(-0.02)) == pytest.approx(-300.0)


def test_table_of_a_linear_spring_is_a_linear_spring():
    x = np.linspace(-0.02, 0.1, 77)
    table = lab.Spring(compression=[0.0, 0.01, 0.05], table_force=[0.0, 250.0, 1250.0], preload=0.005)
    assert table.force(x) == pytest.approx(lab.Spring(rate=25_000.0, preload=0.005).force(x), abs=1e-9)


def test_forces_keep_the_shape_they_are_asked_in():
    assert lab.Spring(rate=1000.0).force(np.zeros((2, 3))).shape == (2, 3)
    assert lab.Spring(rate=1000.0).force(0.1).shape == ()


def test_stop():
    """rate x (1 + (x / length)^2): twice rate times length when its rubber is used up, then metal."""
    stop = lab.Stop(length=0.02, rate=40_000.0)
    assert stop.force([-0.01, 0.0, 0.01, 0.02]) == pytest.approx([0.0, 0.0, 500.0, 1600.0])
    assert float(stop.force(0.021)) == pytest.approx(1600.0 + 1000.0)


def test_where_the_stops_of_a_station_stand():
    station = lab.load_station("courier_scooter_rear")
    free, travel = station.bump_stop.length, station.travel
    assert station.stop_force([0.0, 0.5 * travel, travel - free]) == pytest.approx(0.0)
    assert float(station.stop_force(travel)) == pytest.approx(2.0 * station.bump_stop.rate * free)
    assert float(station.stop_force(-0.002)) < 0.0


def test_stops_made_where_none_are_given():
    """Practice: 0.15 and 0.05 of the travel, three times the static load when fully squashed."""
    station = lab.Station(
        name="plain",
        sprung_mass=100.0,
        unsprung_mass=10.0,
        spring=lab.Spring(rate=20_000.0),
        damper=lab.LinearDamper(rebound=900.0, compression=500.0),
        tyre=lab.Tyre(stiffness=120_000.0),
        travel=0.2,
    )
    assert (station.bump_stop.length, station.top_out_stop.length) == pytest.approx((0.03, 0.01))
    assert float(station.stop_force(0.2)) == pytest.approx(3.0 * 100.0 * 9.80665)


def test_tyre_pushes_but_never_pulls():
    tyre = lab.Tyre(stiffness=100_000.0, damping=100.0)
    assert tyre.load([0.01, 0.0, -0.01]) == pytest.approx([1000.0, 0.0, 0.0])
    assert float(tyre.load(0.001, -2.0)) == 0.0
    assert float(lab.Tyre(stiffness=100_000.0, can_leave_road=False).load(-0.01)) == pytest.approx(-1000.0)
