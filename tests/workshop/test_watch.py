"""A hand's stopwatch: closed forms, simulated trainees, the file, worth in clicks by brute force, its use."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from scipy import stats

import suspension_lab as lab
from suspension_lab.workshop.click_belief import Belief, Measured, course
from suspension_lab.workshop.measured.timing import by_stopwatch
from suspension_lab.workshop.measured.watch import Watch, late_or_early, watch_of
from suspension_lab.workshop.measured.watch_file import KEPT, keep_trial, read_trials, read_watch, trial_of, watch_path
from suspension_lab.workshop.measured.watch_worth import alike, click_times, clicks_for, worth_of
from suspension_lab.workshop.next_click import next_click
from suspension_lab.workshop.release_test import target_time, usual_release
from tests.sentences import is_one_sentence, on_one_line

ONE = 0.682689
TRUE = (0.33, 0.51, 0.46, 0.9, 0.7, 0.55, 1.1, 0.3, 0.8, 0.6)


# ---- the hand


def test_bias_and_spread_are_mean_and_standard_deviation():
    """Closed form by hand: off by 0.1, 0.3, 0.1, 0.3; mean 0.2; squares 4 x 0.01 over n - 1 = 3."""
    watch = watch_of([0.6, 0.8, 0.6, 0.8], [0.5, 0.5, 0.5, 0.5])
    assert watch.bias == pytest.approx(0.2)
    assert watch.spread == pytest.approx(math.sqrt(0.04 / 3.0))
    assert watch.tries == 4
    assert watch.corrected(0.75) == pytest.approx(0.55)
    assert watch.corrected(math.inf) == math.inf


def test_uncertainty_is_the_prediction_interval():
    """Table G.2 of JCGM 100:2008: 1.06 for 68.27 % and 9 degrees of freedom; times s sqrt(1/n + 1/N)."""
    watch = Watch(bias=0.1, spread=0.08, tries=10)
    assert watch.uncertainty() == pytest.approx(1.06 * 0.08 * math.sqrt(1.1), rel=5e-3)
    assert watch.uncertainty(3) == pytest.approx(1.06 * 0.08 * math.sqrt(1 / 3 + 0.1), rel=5e-3)
    assert watch.bias_uncertainty == pytest.approx(1.06 * 0.08 / math.sqrt(10), rel=5e-3)


@pytest.mark.parametrize("count", [1, 3])
def test_a_thousand_trainees_are_covered_as_often_as_should_be(count):
    """Known bias and spread: 683 of 1,000 within, give or take three standard deviations of a binomial count; the
    variance is right on average and bias errors are covered alike."""
    rng, within, within_bias, squares = np.random.default_rng(5), 0, 0, []
    for _ in range(1000):
        bias, spread = rng.normal(0.1, 0.1), rng.uniform(0.03, 0.2)
        watch = watch_of(np.array(TRUE) + 5.0 + rng.normal(bias, spread, 10), np.array(TRUE) + 5.0)
        stopped = float(np.mean(0.5 + rng.normal(bias, spread, count)))
        within += abs(watch.corrected(stopped) - 0.5) <= watch.uncertainty(count)
        within_bias += abs(watch.bias - bias) <= watch.bias_uncertainty
        squares.append((watch.spread / spread) ** 2)
    three = 3.0 * math.sqrt(1000 * ONE * (1.0 - ONE))
    assert abs(within - 1000 * ONE) < three
    assert abs(within_bias - 1000 * ONE) < three
    assert np.mean(squares) == pytest.approx(1.0, abs=3.0 * math.sqrt(2.0 / 9.0 / 1000))


def test_late_and_early_in_words():
    assert late_or_early(0.124) == "0.12 s late"
    assert late_or_early(-0.3) == "0.30 s early"
    assert late_or_early(0.004) == late_or_early(-0.004) == "on time, to a hundredth of a second"
    late, early = Watch(bias=0.2, spread=0.05, tries=10), Watch(bias=-0.2, spread=0.05, tries=10)
    assert "you press 0.20 s late" in late.sentences[0]
    assert "Take 0.20 s off" in late.sentences[2]
    assert "you press 0.20 s early" in early.sentences[0]
    assert "Add 0.20 s to" in early.sentences[2]
    assert not Watch(bias=0.02, spread=0.1, tries=10).off
    assert "cannot tell from being on time" in Watch(bias=0.02, spread=0.1, tries=10).sentences[0]
    assert all(on_one_line(said) for said in (*late.sentences, *early.sentences))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: watch_of([0.5, 0.6], [0.5, 0.6]), "at least 3"),
        (lambda: watch_of([0.5, 0.6, 0.7], [0.5, 0.6, 0.7, 0.8]), "a pair for each try"),
        (lambda: watch_of([0.5, 0.6, -0.1], [0.5, 0.6, 0.7]), "pressed time 3"),
        (lambda: watch_of([0.5, 0.6, 0.7], [0.5, 31.0, 0.7]), "true time 2"),
        (lambda: watch_of([0.5, math.inf, 0.7], [0.5, 0.6, 0.7]), "finite"),
        (lambda: watch_of(["soon"] * 3, [0.5, 0.6, 0.7]), "not a number"),
        (lambda: Watch(bias=math.nan, spread=0.1, tries=10), "bias of a watch"),
        (lambda: Watch(bias=0.1, spread=-0.1, tries=10), "spread of a watch"),
        (lambda: Watch(bias=0.1, spread=0.1, tries=2), "tries of a watch"),
        (lambda: Watch(bias=0.1, spread=0.1, tries=10).uncertainty(0), "number of tries"),
        (lambda: by_stopwatch([0.5], watch=0.1), "is no Watch"),
        (lambda: by_stopwatch([0.2], watch=Watch(bias=0.3, spread=0.1, tries=10)), "leaves no time"),
        (lambda: next_click([], timing="mine"), "is no Watch"),
        (lambda: next_click([(5, 0.2, 0)], timing=Watch(bias=0.3, spread=0.1, tries=10)), "leaves nothing"),
    ],
)
def test_bad_input_is_one_sentence(wrong, says):
    with pytest.raises(lab.LabError, match=says) as caught:
        wrong()
    assert is_one_sentence(str(caught.value))


# ---- the file


def trial(off, vehicle="Invented scooter"):
    return trial_of(vehicle, [true + off for true in TRUE], TRUE)


def test_trials_are_added_and_the_last_three_make_the_watch(tmp_path):
    """Closed form: constant offs of each trial, ten tries each; the mean of the last three."""
    path, offs = watch_path(tmp_path), (0.9, 0.3, 0.2, 0.1)
    for at, off in enumerate(offs, 1):
        watch = keep_trial(path, trial(off))
        assert len(read_trials(path)) == at
    assert KEPT == 3
    assert read_watch(path) == watch
    assert (watch.bias, watch.tries) == (pytest.approx(0.2), 30)
    assert [each.pressed_s[0] - each.settled_s[0] for each in read_trials(path)] == pytest.approx(offs)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["my_watch.json"]


def test_a_named_file_keeps_to_its_folder(tmp_path):
    assert watch_path(tmp_path, " ").name == "my_watch.json"
    assert watch_path(tmp_path, "Ana Ma").name == "my_watch_Ana_Ma.json"
    assert watch_path(tmp_path, "../../x").parent == tmp_path
    with pytest.raises(lab.LabError, match="name is empty"):
        watch_path(tmp_path, "..")


@pytest.mark.parametrize(
    ("damage", "says"),
    [
        (lambda held: "{", "no JSON"),
        (lambda held: "[" * 100_000, "no JSON"),
        (lambda held: "[]", "no list of trials"),
        (lambda held: json.dumps(held | {"trials": []}), "no list of trials"),
        (lambda held: json.dumps(held | {"version": 2}), "version 2"),
        (lambda held: json.dumps(held | {"trials": [{"when": "x"}]}), "trial 1 does not have"),
        (lambda held: changed(held, when="noon"), "time of trial 1"),
        (lambda held: changed(held, vehicle=3), "vehicle of trial 1"),
        (lambda held: changed(held, pressed_s="0.5"), "pressed_s of trial 1"),
        (lambda held: changed(held, settled_s=[True] * 10), "settled_s of trial 1"),
        (lambda held: changed(held, settled_s=[0.5] * 9), "a pair for each try"),
        (lambda held: changed(held, settled_s=[10**400] * 10), "trial 1 does not count"),
        (lambda held: "", "is empty"),
    ],
)
def test_a_damaged_file_is_told_and_left_alone(tmp_path, damage, says):
    path = watch_path(tmp_path)
    keep_trial(path, trial(0.1))
    path.write_text(damage(json.loads(path.read_text())), encoding="utf-8")
    before = path.read_bytes()
    for attempt in (lambda: read_watch(path), lambda: keep_trial(path, trial(0.2))):
        with pytest.raises(lab.LabError, match=says) as caught:
            attempt()
        assert is_one_sentence(str(caught.value))
    assert path.read_bytes() == before


def changed(held, **what):
    return json.dumps(held | {"trials": [held["trials"][0] | what]})


def test_no_file_and_no_folder_are_told(tmp_path):
    with pytest.raises(lab.LabError, match="no such file"):
        read_watch(tmp_path / "my_watch.json")
    with pytest.raises(lab.LabError, match="could not be written"):
        keep_trial(tmp_path / "nowhere" / "my_watch.json", trial(0.1))


# ---- its worth in clicks


def test_clicks_for_a_time_are_the_fewest_by_brute_force():
    """An independent second way: all clicks on a side, sorted out by their own differences."""
    rng = np.random.default_rng(2)
    for _ in range(300):
        seconds = [*rng.uniform(0.1, 2.0, 9).round(2), math.inf][:: int(rng.choice([-1, 1]))]
        click, by = int(rng.integers(1, 9)), float(rng.uniform(0.01, 1.5))
        enough = [k for k in range(10) if k != click and abs(seconds[k] - seconds[click]) >= by]
        closing = min((click - k for k in enough if k < click), default=None)
        opening = min((k - click for k in enough if k > click), default=None)
        assert clicks_for(seconds, click, by) == (closing, opening)
        low, high = alike(seconds, click, by)
        inside = set(range(low, high + 1))
        assert not inside & set(enough)
        assert {low - 1, high + 1} - {-1, 10} <= set(enough)


@pytest.mark.parametrize("name", ["courier_scooter_rear", "trail_bike_rear"])
def test_times_and_steps_are_those_of_single_runs(name):
    """Brute force: each click simulated alone; a step is where the last time outside the band changes its half swing,
    counted here by ride height's passings before it."""
    station = lab.load_station(name)
    times = click_times(station)
    for click in range(station.damper.adjusters["rebound"] + 1):
        trace = lab.simulate(station.with_clicks(rebound=click), usual_release(station), 8.0)
        assert times.seconds[click] == lab.settling_time(trace)
        last = np.flatnonzero(np.abs(trace.body) > 0.05 * abs(trace.body[0]))[-1]
        way = np.sign(trace.body[: last + 1])
        passings = np.flatnonzero(way[1:] * way[:-1] < 0)
        peaks = [np.abs(part).max() for part in np.split(trace.body[: last + 1], passings + 1)]
        assert times.leaves[click] == sum(peak > 0.05 * abs(trace.body[0]) for peak in peaks) - 1


def test_the_words_name_what_cannot_be_told_apart():
    """The scooter's rear takes 0.33 s at 8 clicks and 0.34 s at 9, 0.19 s at 7 and 0.51 s at 10 (simulated): a hand of
    0.05 s cannot tell 8 from 9, one of 0.5 s not even 5 from 12."""
    station = lab.load_station("courier_scooter_rear")
    times = click_times(station)
    fine = " ".join(worth_of(Watch(bias=0.0, spread=0.05, tries=10), times, 9))
    assert "cannot tell rebound 8 and 9 apart" in fine
    assert "goes in steps" in fine
    assert "Left in" not in fine
    coarse = Watch(bias=0.15, spread=0.5, tries=1000)
    low, high = alike(times.seconds, 9, math.sqrt(2.0) * 0.5)
    assert low <= 5 < 12 <= high
    said = " ".join(worth_of(coarse, times, 9))
    assert f"cannot tell rebound {low} to {high} apart" in said
    assert "Left in, 0.15 s late looks like another rebound" in said
    never = worth_of(coarse, click_times(lab.load_station("trail_bike_rear")), 0)
    assert "does not settle" in never[0]
    assert all(on_one_line(each) for each in worth_of(coarse, times, 9))


def test_a_vehicle_without_rebound_clicks_is_told():
    from dataclasses import replace

    station = replace(lab.load_station("courier_scooter_rear"), damper=lab.LinearDamper(rebound=1e3, compression=1e3))
    with pytest.raises(lab.LabError, match="no rebound clicks"):
        click_times(station)


# ---- where it is used


def test_a_stopped_time_is_corrected_and_as_uncertain_as_the_hand():
    """Closed forms: mean less bias; the prediction interval; own scatter where it is more."""
    watch = Watch(bias=0.12, spread=0.06, tries=10)
    one = by_stopwatch([0.62], watch=watch)
    assert (one.seconds, one.uncertainty) == (pytest.approx(0.5), pytest.approx(watch.uncertainty()))
    three = by_stopwatch([0.60, 0.62, 0.64], watch=watch)
    assert (three.seconds, three.uncertainty) == (pytest.approx(0.5), pytest.approx(watch.uncertainty(3)))
    wild = by_stopwatch([0.3, 0.6, 0.9], watch=watch)
    own = float(stats.t.ppf(0.5 + 0.5 * ONE, 2)) * 0.3 / math.sqrt(3.0)
    assert wild.uncertainty == pytest.approx(math.hypot(own, watch.bias_uncertainty), rel=1e-4)
    for timed in (one, three, wild):
        assert "0.12 s late in 10 tries" in timed.source
        assert on_one_line(timed.source)


def test_the_next_click_reads_the_clock_with_the_watch():
    """What is late by 0.2 s, told so, gives the same chances as what is not late at all and as uncertain."""
    station = lab.load_station("courier_scooter_rear")
    late = Watch(bias=0.2, spread=0.06, tries=10)
    true = [(12, 0.55, 2), (5, 0.33, 0)]
    stopped = [(click, seconds + 0.2, swings) for click, seconds, swings in true]
    told = next_click(stopped, None, station=station, timing=late)
    plain = next_click(true, None, station=station, uncertainty=late.uncertainty(3))
    assert told.chances == pytest.approx(plain.chances)
    assert told.click == plain.click
    assert told.sentences[1:] == plain.sentences
    assert "0.20 s late" in told.sentences[0]
    assert told.chances != pytest.approx(next_click(stopped, None, station=station).chances)
    assert not next_click([(4, math.inf, 0)], None, station=station, timing=late).done


def test_a_scattered_hand_leaves_the_belief_wider():
    """A property: the wider the likelihood, the less a time says (entropy of the chances)."""
    station = lab.load_station("courier_scooter_rear")

    def entropy(spread):
        scatter = Watch(bias=0.0, spread=spread, tries=10).uncertainty(3)
        chances = Belief(course(station), [Measured(5, 0.33, None)], scatter, target_time(station)).chances
        return -float(np.sum(chances * np.log(np.maximum(chances, 1e-12))))

    assert entropy(0.02) < entropy(0.1) < entropy(0.5)
