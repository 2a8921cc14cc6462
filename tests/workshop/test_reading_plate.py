"""What is said of a run on a plate."""

from dataclasses import replace

import pytest
from sentences import on_one_line

import suspension_lab as lab
from suspension_lab.workshop.reading import read_run
from suspension_lab.workshop.reading_plate import read_plate


def said(name, **plate):
    return lab.simulate(lab.load_station(name), lab.ShakerPlate(**plate))


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_says_what_happened_and_that_bands_do_not_carry_over(name):
    trace = said(name)
    sentences = read_plate(trace)
    assert all(on_one_line(sentence) for sentence in sentences)
    smallest = lab.minimum_contact_force(trace)
    assert f"{100 * smallest.share:.0f} %" in sentences[0]
    assert f"{smallest.frequency:.1f} Hz" in sentences[0]
    car_like = name == "delivery_van_corner"
    assert ("do not carry over to a light two-wheeler" in sentences[-1]) != car_like
    assert ("about as on a car" in sentences[-1]) == car_like
    assert read_run(trace)[: len(sentences)] == sentences


def test_a_low_value_of_a_light_vehicle_is_explained_by_its_tyre():
    """A car's tyre is worth 18 % on 3 mm, this one far more."""
    station = lab.load_station("courier_scooter_front")
    worth = 100 * station.tyre.stiffness * 0.003 / station.static_tyre_load
    assert worth > 40
    assert f"worth {worth:.0f} % of the load at rest" in read_plate(said("courier_scooter_front"))[-1]


def test_a_sweep_that_stops_short_of_the_resonance_is_doubted():
    assert not any("at an end of the sweep" in sentence for sentence in read_plate(said("courier_scooter_rear")))
    short = said("courier_scooter_rear", start_frequency=25.0, end_frequency=18.0)
    assert any("at an end of the sweep" in sentence for sentence in read_plate(short))
    steady = said("courier_scooter_rear", start_frequency=14.0, end_frequency=14.0)
    assert not any("at an end of the sweep" in sentence for sentence in read_plate(steady))


def test_leaving_the_plate_is_said_first():
    station = lab.load_station("courier_scooter_rear")
    stiff = replace(station, tyre=replace(station.tyre, stiffness=6.0 * station.tyre.stiffness))
    sentences = read_plate(lab.simulate(stiff, lab.ShakerPlate()))
    assert sentences[0].startswith("The tyre leaves the plate, at the longest for")
    assert "minimum contact force is 0 %" in sentences[0]


def test_another_run_is_refused():
    with pytest.raises(lab.LabError, match="needs a run on a ShakerPlate"):
        read_plate(lab.simulate(lab.load_station("classroom_rig"), lab.Release(depth=0.01)))
