"""A what-if: numbers as single runs give them, what is sure and what stands out, words on both sides, bad input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.workshop.fit_release import fit_release
from suspension_lab.workshop.reading_what_if import NOTHING, read_what_if
from suspension_lab.workshop.robust import Spread
from suspension_lab.workshop.what_if import what_if

STATION = lab.load_station("courier_scooter_rear")
RELEASE = lab.Release(depth=0.025)
RIDE = lab.Ride(lab.roads.pothole(), 30.0 / 3.6)
PUSH = lab.Push(peak_force=300.0, rise_time=0.1)


def changes(answer):
    return {(each.test, each.kind.key): each for each in answer.changes}


def test_before_and_after_are_what_simulate_gives():
    after = STATION.with_clicks(rebound=5)
    answer = what_if(STATION, after, [RELEASE, PUSH, RIDE], samples=16)
    found = {each.kind.key: each for each in answer.changes if "pothole" in each.test}
    for side, station in (("before", STATION), ("after", after)):
        trace = lab.simulate(station, RIDE)
        assert getattr(found["tyre_load_variation"], side).value == 100.0 * lab.tyre_load_variation(trace)
        assert getattr(found["weighted_acceleration"], side).value == lab.weighted_acceleration(trace)
    assert len({each.test for each in answer.changes}) == 3


def test_scatter_and_range_are_those_of_runs_made_one_by_one():
    """The same load varied by hand, over its range: standard deviation of an even spread is range / sqrt(12)."""
    spread = Spread(rider=(30.0, 70.0), tyre_pressure=None, friction=None)
    after = STATION.with_clicks(low_speed=2)
    answer = what_if(STATION, after, PUSH, spread=spread, samples=128)
    (found,) = [each for each in answer.changes if each.kind.key == "push_depth"]
    loads = np.linspace(30.0, 70.0, 21)
    depth = np.array([[-1e3 * lab.simulate(station.with_rider(load), PUSH).body.min() for load in loads]
                      for station in (STATION, after)])  # fmt: skip
    assert found.blur == pytest.approx(depth[0].std(), rel=0.1)
    low, high = np.quantile(depth[1] - depth[0], [0.05, 0.95])
    assert found.low == pytest.approx(low, abs=0.05)
    assert found.high == pytest.approx(high, abs=0.05)
    assert answer.varied == ["rider"]


def test_no_change_changes_nothing():
    answer = what_if(STATION, STATION, [RELEASE, RIDE], samples=16)
    assert not any(each.worth_a_word or each.sure or each.stands_out for each in answer.changes)
    assert NOTHING in read_what_if(answer)
    assert any("hardly notice" in said for said in read_what_if(answer))


def test_better_and_worse_are_both_told():
    """Compression closed: by simulation the ride is harsher on a rough road; a quick push goes less deep."""
    road = lab.Ride(lab.roads.iso8608("C", length=60.0, seed=1), 40.0 / 3.6)
    answer = what_if(STATION, STATION.with_clicks(low_speed=0, high_speed=0), [road, PUSH], samples=64)
    found = {each.kind.key: each for each in answer.changes}
    harsh = found["weighted_acceleration"]
    assert harsh.direction == "worse"
    assert harsh.sure
    assert found["push_depth"].change < 0.0
    said = read_what_if(answer)
    assert any(each.startswith("Worse: ") and "weighted body acceleration" in each for each in said)
    other = read_what_if(what_if(STATION.with_clicks(low_speed=0, high_speed=0), STATION, [road, PUSH], samples=64))
    assert any(each.startswith("Better: ") and "weighted body acceleration" in each for each in other)
    assert any("64 variations" in each for each in said)


def test_a_change_out_of_the_release_test_is_warned_of_first():
    for rebound, word in ((22, "swings on"), (0, "creeps back")):
        said = read_what_if(what_if(STATION, STATION.with_clicks(rebound=rebound), RELEASE, samples=16))
        assert said[0].startswith("Do not leave it so")
        assert word in said[0]
    assert not read_what_if(what_if(STATION, STATION.with_clicks(rebound=7), RELEASE, samples=16))[0].startswith(
        "Do not"
    )


def test_what_a_fit_leaves_open_blurs_the_change():
    true = replace(STATION, friction=30.0)
    trace = lab.simulate(true, lab.Release(depth=0.03), 2.0)
    time = np.arange(0.0, 1.6, 1.0 / 60.0)
    rng = np.random.default_rng(1)
    blurs = []
    for noise in (1e-4, 2e-3):
        position = np.interp(time - 0.3, trace.time, trace.body, left=trace.body[0]) + rng.normal(0, noise, time.size)
        fit = fit_release(time, position, STATION)
        nothing_else = Spread(rider=(48.0, 48.0), tyre_pressure=None, friction=None)
        answer = what_if(STATION, STATION.with_clicks(rebound=7), RELEASE, fit=fit, spread=nothing_else, samples=64)
        blurs.append(next(each.blur for each in answer.changes if each.kind.key == "overshoot"))
        assert answer.before.friction == fit["friction"].value
        assert any("the fit's rebound damping" in said for said in read_what_if(answer))
    assert blurs[1] > 2.0 * blurs[0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"after": lab.load_station("trail_bike_rear")}, "the same vehicle was expected twice"),
        ({"before": "scooter"}, "station is 'scooter', where a Station"),
        ({"samples": 3}, "samples of the what-if"),
        ({"seed": -1}, "seed of the what-if"),
        ({"fit": 3}, "The fit is 3, where the answer of fit_release"),
        ({"spread": 3}, "The spread is 3, where a Spread"),
        ({"excitations": []}, "excitation"),
    ],
)
def test_bad_input_is_one_sentence(given, says):
    usual = {"before": STATION, "after": STATION, "excitations": RELEASE}
    with pytest.raises(lab.LabError, match=says):
        what_if(**(usual | given))


def test_a_change_of_what_the_fit_has_found_stays_a_change():
    """Fitted once or carried in by the fit's own station, the spring a quarter harder is a quarter harder after."""
    trace = lab.simulate(replace(STATION, friction=30.0), lab.Release(depth=0.03), 2.0)
    time = np.arange(0.0, 1.6, 1.0 / 60.0)
    position = np.interp(time - 0.3, trace.time, trace.body, left=trace.body[0])
    fit = fit_release(time, position, STATION, ["spring_rate", "rebound_damping", "friction"])
    harder = replace(STATION, spring=replace(STATION.spring, rate=1.25 * STATION.spring.rate), friction=11.0)
    answer = what_if(STATION, harder, RELEASE, fit=fit, samples=8)
    assert answer.before.spring.rate == pytest.approx(fit["spring_rate"].value)
    assert answer.after.spring.rate == pytest.approx(1.25 * answer.before.spring.rate)
    assert answer.after.friction == pytest.approx(answer.before.friction + 11.0 - STATION.friction)
    own = what_if(fit.station, fit.station.with_clicks(rebound=6), RELEASE, fit=fit, samples=8)
    assert own.before.damper.rebound == pytest.approx(fit["rebound_damping"].value)
