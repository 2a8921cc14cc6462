"""Settings that hold up, and the two to start from."""

import re
from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.vehicle_file import demo_vehicles
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.presets import harsh_hump, presets, street_rides
from suspension_lab.workshop.reading_robust import read_robust, usual_robust_map
from suspension_lab.workshop.release_test import passing, rebound_verdicts
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
def test_street_is_softer_than_track(name):
    """Practice: compression opens for the street and closes for the track. Here the roads decide."""
    street, track, _ = presets(lab.load_station(name))
    assert street.clicks.high_speed > track.clicks.high_speed
    assert street.clicks.low_speed > track.clicks.low_speed


@pytest.mark.parametrize("name", demo_vehicles())
def test_presets_keep_off_end_stops_metal_and_the_release_test(name):
    """Each is put to the release test and over the hump itself, simulated anew."""
    station = lab.load_station(name)
    softest = {name: most for name, most in station.damper.adjusters.items() if name != "rebound"}
    street, track, said = presets(station)
    for preset in (street, track):
        for adjuster, most in station.damper.adjusters.items():
            assert 0 < preset.clicks[adjuster] < most
        chosen = station.with_clicks(**preset.clicks)
        assert lab.swings(lab.simulate(chosen, lab.Release(depth=0.025))) <= 1
        for adjuster, (low, high) in preset.reach.items():
            assert low <= preset.clicks[adjuster] <= high
    blows = lab.bottoming(lab.simulate(station.with_clicks(**street.clicks), harsh_hump()))
    assert blows <= lab.bottoming(lab.simulate(station.with_clicks(**softest), harsh_hump()))
    usual_load = f"With {station.rider_mass:.0f} kg on it the street setting bottoms out"
    assert any(sentence.startswith(usual_load) for sentence in said) == (blows > 0)


def test_presets_move_a_rebound_that_fails_and_say_so():
    street, track, said = presets(scooter().with_clicks(rebound=20))
    middle = passing(rebound_verdicts(scooter()))[3]
    assert street.clicks.rebound == track.clicks.rebound == middle
    assert said[0].startswith(f"Rebound 20 swings on: too open in the release test. Both hold for rebound {middle}")
    street, _, said = presets(scooter())
    assert street.clicks.rebound == scooter().clicks.rebound
    assert "which passes the release test" in said[0]


def test_a_heavy_load_that_bottoms_out_is_told():
    station = scooter()
    street, _, said = presets(station)
    heavy = station.with_rider(1.5 * station.rider_mass).with_clicks(**street.clicks)
    assert lab.bottoming(lab.simulate(heavy, harsh_hump())) > 0
    assert any("With 72 kg on it the street setting bottoms out" in each for each in said)


def test_what_each_gives_up_is_what_simulate_gives():
    station = scooter()
    street, track, _ = presets(station)
    comfort = [lab.weighted_acceleration(lab.simulate(station.with_clicks(**each.clicks), street_rides()[0]))
               for each in (street, track)]  # fmt: skip
    assert comfort[1] > 1.05 * comfort[0]
    assert "it gives up comfort" in track.gives_up
    assert f"{comfort[1]:.2f} m/s², with the other setting {comfort[0]:.2f} m/s²" in track.gives_up
    push = lab.Push(peak_force=0.3 * station.sprung_mass * 9.80665, rise_time=0.1, hold_time=0.5)
    dips = []
    for each in (street, track):
        trace = lab.simulate(station.with_clicks(**each.clicks), push)
        dips.append(-1e3 * trace.body[trace.time <= 0.2].min())
    assert f"{dips[0]:.0f} mm, with the other setting {dips[1]:.0f} mm" in street.gives_up


def test_no_compression_adjuster_no_presets():
    with pytest.raises(lab.LabError, match="no compression adjuster"):
        presets(replace(scooter(), damper=lab.LinearDamper(rebound=1.0, compression=1.0)))


def test_only_rebound_that_holds_in_every_condition_is_tried():
    """Each click tried is put to the release test in each condition; the next ones outside fail somewhere."""
    station = scooter()
    made, said = usual_robust_map(station, samples=4)
    spread = Spread(rider=(32.0, 72.0), tyre_pressure=(0.85, 1.15), friction=(0.5, 2.0),
                    oil_temperature=(ZERO_CELSIUS + 10.0, ZERO_CELSIUS + 60.0))  # fmt: skip
    varied = [each.with_clicks(low_speed=20, high_speed=16) for _, each in conditions(station, spread, 4)]

    def swings_at_most_once(rebound):
        return [lab.swings(lab.simulate(each.with_clicks(rebound=rebound), lab.Release(depth=0.025))) <= 1
                for each in varied]  # fmt: skip

    tried = made.clicks["rebound"]
    assert all(all(swings_at_most_once(rebound)) for rebound in tried)
    assert not all(swings_at_most_once(tried[-1] + 1))
    assert "load 32 to 72 kg" in said[0]
    assert "High-speed compression stays at 8" in said[0]
    assert "passes the release test in all 4 conditions" in said[1]
    assert said[2] == REBOUND_FIRST


def test_where_no_rebound_holds_in_every_condition_that_is_said():
    made, said = usual_robust_map(lab.load_station("classroom_rig"), samples=16)
    assert "No rebound click passes the release test in all 16 conditions" in said[1]
    assert len(made.clicks["rebound"]) >= 1


def test_what_holds_up_in_words():
    made, _ = usual_robust_map(scooter(), samples=4)
    for told, measure in zip(read_robust(made), made.measures, strict=True):
        worst = made.over_cases(measure, "worst")
        low, high = made.valley(measure, 0.05, "worst")["low_speed"]
        assert f"low-speed {low} to {high}" in told.valley
        found = re.match(r"rebound (\d+), low-speed (\d+) \(at worst ([0-9.]+)", told.clicks)
        place = tuple(made.clicks[name].index(int(found[i])) for i, name in ((1, "rebound"), (2, "low_speed")))
        assert worst[place] <= 1.05 * worst.min()
        assert low <= int(found[2]) <= high
