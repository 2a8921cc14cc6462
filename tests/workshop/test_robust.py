"""Settings that hold up, and the two to start from."""

from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.workshop.presets import presets, street_rides, track_rides
from suspension_lab.workshop.reading_robust import read_robust, swings_on, usual_robust_map
from suspension_lab.workshop.robust import Spread, conditions, robust_map

RIDE = lab.Ride(lab.roads.iso8608("C", length=40.0, seed=2), 10.0)
ALL = Spread(rider=(20.0, 60.0), tyre_pressure=(0.8, 1.2), oil_temperature=(283.0, 333.0), friction=(0.5, 2.0))


def scooter():
    return lab.load_station("courier_scooter_rear")


def test_conditions_fill_every_range_evenly():
    """A Sobol sequence of 16 has one point in each sixteenth of every range (its own property)."""
    station = scooter()
    found = [made for _, made in conditions(station, ALL, 16, seed=4)]
    shares = {
        "rider": [(s.rider_mass - 20.0) / 40.0 for s in found],
        "tyre": [(s.tyre.stiffness / station.tyre.stiffness - 0.8) / 0.4 for s in found],
        "oil": [(s.damper.oil_temperature - 283.0) / 50.0 for s in found],
        "friction": [(s.friction / station.friction - 0.5) / 1.5 for s in found],
    }
    for values in shares.values():
        assert sorted(np.floor(16.0 * np.array(values)).astype(int)) == list(range(16))


def test_the_same_seed_is_the_same_sample():
    one, same, other = (conditions(scooter(), ALL, 8, seed=seed) for seed in (1, 1, 2))
    assert [name for name, _ in one] == [name for name, _ in same]
    assert [name for name, _ in one] != [name for name, _ in other]


def test_a_name_tells_the_condition():
    name, _ = Spread(
        rider=(30.0, 30.0), tyre_pressure=None, oil_temperature=(ZERO_CELSIUS + 40.0,) * 2, friction=None
    ).at(scooter(), np.array([0.3, 0.3]))
    assert name == "load 30 kg, oil 40 °C"


def test_each_cell_is_that_condition():
    made = robust_map(scooter(), RIDE, ALL, rebound=[4, 16], samples=4, seed=3)
    assert len(made.cases) == 4
    assert all(name.startswith("random road of class C, 36 km/h; load ") for name in made.cases)
    for case, (_, varied) in enumerate(conditions(scooter(), ALL, 4, seed=3)):
        trace = lab.simulate(varied.with_clicks(rebound=16), RIDE)
        assert made["tyre_load_variation"][1, case] == pytest.approx(lab.tyre_load_variation(trace), rel=0.01)


def test_a_setting_that_holds_up_lies_within_the_single_best_ones():
    clicks = range(0, 25, 3)
    made = robust_map(scooter(), RIDE, ALL, rebound=clicks, samples=8)
    best = made.best("tyre_load_variation", "worst").rebound
    each = made["tyre_load_variation"]
    assert min(clicks[i] for i in each.argmin(axis=0)) <= best <= max(clicks[i] for i in each.argmin(axis=0))
    low, high = made.valley("tyre_load_variation", 0.05, "worst")["rebound"]
    assert low <= best <= high


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Spread(rider=(80.0, 20.0)), "from 80 down to 20 kg; swap"),
        (lambda: Spread(rider=30.0), "where two numbers, from and to, were expected"),
        (lambda: Spread(tyre_pressure=(0.0, 1.0)), "tyre pressure is 0 of the usual, where 0.2 to 3"),
        (lambda: Spread(tyre_pressure=None, friction=None), "varies nothing"),
        (lambda: conditions(scooter(), ALL, 8, seed=1.5), "seed of the spread is 1.5, where a whole number"),
        (lambda: conditions(scooter(), {"rider": 3}, 8), "spread is a table, where a Spread"),
        (lambda: presets("scooter"), "station is 'scooter', where a Station"),
        (lambda: conditions(scooter(), ALL, 1), "samples of the spread is 1, where a whole number from 2 to 1024"),
        (
            lambda: conditions(replace(scooter(), damper=lab.LinearDamper(rebound=1.0, compression=1.0)), ALL),
            "described by its curves",
        ),
    ],
)
def test_bad_spreads(make, says):
    with pytest.raises(lab.LabError, match=says):
        make()


@pytest.mark.parametrize("name", ["courier_scooter_rear", "trail_bike_rear"])
def test_street_is_softer_at_high_speed_than_track(name):
    """Practice: high-speed compression opens for the street and closes for the track. Here the roads decide."""
    street, track = presets(lab.load_station(name))
    assert street.clicks.high_speed > track.clicks.high_speed
    assert street.clicks.low_speed > track.clicks.low_speed
    assert street.clicks.rebound is None


def test_what_each_gives_up_is_what_simulate_gives():
    station = scooter()
    street, track = presets(station)
    on_street, on_track = ([lab.simulate(station.with_clicks(**p.clicks), rides()[0]) for p in (street, track)]
                           for rides in (street_rides, track_rides))  # fmt: skip
    comfort = [lab.weighted_acceleration(trace) for trace in on_street]
    evenness = [100.0 * lab.tyre_load_variation(trace) for trace in on_track]
    assert comfort[0] < comfort[1]
    assert evenness[1] < evenness[0]
    assert f"{comfort[1]:.2f} m/s², with the other setting {comfort[0]:.2f} m/s²" in track.gives_up
    assert f"{evenness[0]:.1f} %, with the other setting {evenness[1]:.1f} %" in street.gives_up


def test_no_compression_adjuster_no_presets():
    with pytest.raises(lab.LabError, match="no compression adjuster"):
        presets(replace(scooter(), damper=lab.LinearDamper(rebound=1.0, compression=1.0)))


def test_a_rebound_that_swings_on_is_told():
    """Comfort alone opens rebound as far as it goes; the release test has the last word."""
    station = scooter()
    made = lab.click_map(station, RIDE, rebound=[9, 24], measures=["weighted_acceleration"])
    assert made.best("weighted_acceleration").rebound == 24
    (said,) = swings_on(station, made)
    count = lab.swings(lab.simulate(station.with_clicks(rebound=24), lab.Release(depth=0.025)))
    assert count >= 2
    assert f"rebound 24 swings on in the release test ({count} visible swings)" in said
    calm = lab.click_map(station, RIDE, rebound=[9], measures=["weighted_acceleration"])
    assert swings_on(station, calm) == []


def test_the_usual_robust_map_in_words():
    made, varied = usual_robust_map(scooter(), samples=2)
    assert "load 32 to 72 kg" in varied
    evenness, comfort = read_robust(made)
    best = made.best("tyre_load_variation", "worst")
    assert evenness.best.startswith(f"rebound {best.rebound}, low-speed {best.low_speed} (at worst ")
    assert comfort.label.startswith("Comfort")
