"""Sags by tape measure: rates and preloads against closed forms, words, bad input."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.common.checks import GRAVITY
from suspension_lab.common.errors import LabError
from suspension_lab.workshop.cautions import OPENING, STANDING_TEST
from suspension_lab.workshop.measured.sag import preload_for, read_sag
from tests.sentences import is_one_sentence, on_one_line

STATION = lab.load_station("courier_scooter_rear")


def made(rate=20_000.0, preload=0.010, ratio=0.8, mass=110.0, rider=60.0):
    """A linear spring without gas, so that its statics are a line."""
    return lab.Station(
        name="made", sprung_mass=mass, unsprung_mass=15.0, rider_mass=rider, travel=0.12, motion_ratio=ratio,
        spring=lab.Spring(rate=rate, preload=preload), damper=lab.LinearDamper(rebound=800.0, compression=400.0),
        tyre=lab.Tyre(stiffness=150_000.0),
    )  # fmt: skip


def test_two_sags_give_the_wheel_rate():
    """Closed form: the wheel rate of a linear spring is its rate times the ratio squared."""
    station = made()
    reading = read_sag(station, station.sag.free, station.sag.rider)
    assert reading.rate.value == pytest.approx(20_000.0 * 0.8**2, rel=1e-6)
    assert reading.free_share == pytest.approx(station.sag.free / 0.12)
    assert not any("check spring rate" in sentence for sentence in reading.sentences)


def test_the_rates_uncertainty_is_the_tapes():
    """An independent second way: many sags read with the tape's scatter."""
    station, rng = made(), np.random.default_rng(2)
    reading = read_sag(station, station.sag.free, station.sag.rider, tape=0.001)
    off = rng.normal(0.0, 0.001, (100_000, 2))
    rates = 60.0 * GRAVITY / (station.sag.rider - station.sag.free + off[:, 1] - off[:, 0])
    assert reading.rate.uncertainty == pytest.approx(float(np.std(rates)), rel=0.03)


def test_the_riders_mass_can_be_given():
    reading = read_sag(made(), 0.010, 0.050, rider_mass=40.0)
    assert reading.rate.value == pytest.approx(40.0 * 9.80665 / 0.040)


@pytest.mark.parametrize("sag", [0.025, 0.036, 0.044])
def test_the_preload_that_gives_a_sag(sag):
    """Closed form: ratio x rate x (ratio x sag + preload) carries the weight; and the station then rests there."""
    station = made()
    preload = preload_for(station, sag)
    assert preload == pytest.approx(110.0 * GRAVITY / (0.8 * 20_000.0) - 0.8 * sag, abs=1e-8)
    then = replace(station, spring=replace(station.spring, preload=preload))
    assert then.sag.rider == pytest.approx(sag, abs=1e-7)


@pytest.mark.parametrize("name", ["courier_scooter_rear", "courier_scooter_front", "trail_bike_rear"])
def test_the_preload_holds_with_gas_and_linkage(name):
    """A property: put in, it gives the sag it was asked for."""
    station = lab.load_station(name)
    wish = 0.3 * station.travel
    then = replace(station, spring=replace(station.spring, preload=preload_for(station, wish)))
    assert then.sag.rider == pytest.approx(wish, abs=1e-6)
    assert read_sag(station, rider_sag=wish).free_sag_then == pytest.approx(max(then.sag.free, 0.0), abs=1e-6)


def test_the_change_of_preload_moves_the_shaft_by_the_difference_of_sags():
    """Closed form: at a constant ratio and without gas the spring stays as squashed: preload makes up for the way."""
    reading = read_sag(made(), rider_sag=0.045, wished_rider_sag=0.036)
    assert reading.preload_change == pytest.approx(0.8 * (0.045 - 0.036), abs=1e-8)


def test_a_soft_spring_reaches_the_sag_at_the_price_of_free_sag():
    """Common practice: at the same rider sag a softer spring leaves less free sag."""
    soft, hard = made(rate=14_000.0), made(rate=50_000.0, preload=0.0)
    read = [read_sag(each, rider_sag=0.040) for each in (soft, hard)]
    assert any("too soft" in sentence and "price of a free sag" in sentence for sentence in read[0].sentences)
    assert read[1].preload is None
    assert any("Even without preload" in sentence for sentence in read[1].sentences)
    stiff = read_sag(made(rate=46_000.0, rider=40.0), rider_sag=0.040, wished_rider_sag=0.034)
    assert any("hard for this load" in sentence for sentence in stiff.sentences)
    assert read[0].free_sag_then < stiff.free_sag_then


def test_what_the_sags_do_not_tell_is_said():
    cases = {
        "needs both sags": {"rider_sag": 0.03},
        "top-out stop": {"free_sag": 0.0, "rider_sag": 0.03},
        "too near for a rate": {"free_sag": 0.028, "rider_sag": 0.030},
        "check spring rate, motion ratio": {"free_sag": 0.008, "rider_sag": 0.060},
        "over the usual 20 to 45 %": {"rider_sag": 0.050},
        "under the usual 5 to 15 %": {"free_sag": 0.002},
    }
    for says, given in cases.items():
        sentences = read_sag(STATION, **given).sentences
        assert any(says in sentence for sentence in sentences), says
        assert all(on_one_line(sentence) for sentence in sentences)
        assert sentences[-len(STANDING_TEST) :] == STANDING_TEST
        assert OPENING in sentences
    none = read_sag(made(rider=0.0), 0.01, 0.04)
    assert none.rate is None
    assert any("needs the rider's mass" in sentence for sentence in none.sentences)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "No sag is given"),
        ({"rider_sag": 0.02, "free_sag": 0.03}, "less than the free sag"),
        ({"rider_sag": 0.09}, "more than the travel"),
        ({"rider_sag": 27.0}, "give it in m"),
        ({"free_sag": -0.001}, "0 or more"),
        ({"free_sag": math.nan}, "finite"),
        ({"rider_sag": 0.03, "tape": 0.0}, "tape"),
        ({"rider_sag": 0.03, "rider_mass": -5.0}, "rider mass"),
        ({"rider_sag": 0.03, "wished_rider_sag": -0.01}, "wished rider sag"),
        ({"rider_sag": 0.03, "wished_rider_sag": 0.5}, "wished rider sag"),
    ],
)
def test_impossible_sags_are_told_in_one_sentence(given, says):
    with pytest.raises(LabError, match=says) as caught:
        read_sag(STATION, **given)
    assert is_one_sentence(str(caught.value))


def test_other_bad_input():
    no_travel = replace(made(), travel=None, bump_stop=None, top_out_stop=None)
    for wrong, says in (
        (lambda: read_sag("scooter", 0.01), "Station was expected"),
        (lambda: read_sag(no_travel, 0.01), "has no travel"),
        (lambda: preload_for(STATION, 0.079), "bump stop"),
        (lambda: preload_for(made(rate=60_000.0), 0.05), "softer spring"),
    ):
        with pytest.raises(LabError, match=says) as caught:
            wrong()
        assert is_one_sentence(str(caught.value))
