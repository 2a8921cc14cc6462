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
        (lambda: Watch(bias=0.1, spread=0.1, tries=10, uneven=-0.1), "unevenness of a watch"),
        (lambda: Watch(bias=0.1, spread=0.1, tries=10, settings=10), "settings of a watch"),
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


# ---- settings that were tried twice


def test_pairs_tell_scatter_from_a_lateness_that_differs_by_setting():
    """Closed form by hand: differences 0.02, -0.04, 0.06; the root of sum d² / (2 n) is sqrt(0.0056 / 6)."""
    true = [0.3, 0.3, 0.5, 0.5, 0.9, 0.9]
    off = [0.10, 0.12, 0.34, 0.30, 0.20, 0.26]
    watch = watch_of(np.add(true, off), true)
    assert watch.bias == pytest.approx(0.22)
    assert watch.spread == pytest.approx(math.sqrt(0.0056 / 6.0))
    # Means 0.11, 0.32, 0.23 lie 0.0222 / 2 = 0.0111 apart (variance), of which half a try's is scatter.
    assert watch.uneven == pytest.approx(math.sqrt(0.0111 - 0.0056 / 12.0))
    assert (watch.tries, watch.settings) == (6, 3)
    t = float(stats.t.ppf(0.5 + 0.5 * ONE, 2))
    assert watch.bias_uncertainty == pytest.approx(t * math.sqrt(0.0111 / 3.0), rel=1e-4)
    assert watch.uncertainty(3) == pytest.approx(
        math.hypot(t * math.sqrt(0.0056 / 18.0 + watch.uneven**2 + 0.0111 / 3.0), 0.01 / math.sqrt(12.0)), rel=1e-4
    )
    assert watch.sentences[1] == (
        "At one setting you scatter by 0.03 s from try to try (one standard deviation); what you are late by differs "
        "by 0.10 s from setting to setting."
    )
    assert all(on_one_line(said) for said in watch.sentences)


def test_what_a_try_was_made_at_may_be_told():
    """Three settings with one true time are three settings; a wrong number of them is refused."""
    off = np.array([0.1, 0.1, 0.3, 0.3, 0.2, 0.2])
    told = watch_of(0.5 + off, np.full(6, 0.5), [4, 4, 5, 5, 6, 6])
    assert told.spread == pytest.approx(0.0, abs=1e-12)
    assert told.uneven == pytest.approx(np.std([0.1, 0.3, 0.2], ddof=1))
    assert watch_of(0.5 + off, np.full(6, 0.5)).spread == pytest.approx(np.std(off, ddof=1))
    with pytest.raises(lab.LabError, match="6 tries but 5 settings") as caught:
        watch_of(0.5 + off, np.full(6, 0.5), [4, 4, 5, 5, 6])
    assert is_one_sentence(str(caught.value))


def test_ten_settings_once_each_hold_both_and_say_so():
    watch = watch_of(np.array(TRUE) + np.linspace(0.0, 0.3, 10), TRUE)
    assert watch.settings is None
    assert watch.spread == pytest.approx(np.std(np.linspace(0.0, 0.3, 10), ddof=1))
    assert "too few were tried twice" in watch.sentences[1]
    assert on_one_line(watch.sentences[1])


def test_a_steady_hand_with_another_idea_of_rest_scatters_by_nothing():
    """It judges rest at 3 % of the depth: late by what the simulated body takes from 5 to 3 %, each time alike."""
    station, true, pressed = lab.load_station("courier_scooter_rear"), [], []
    for click in (2, 9, 12, 2, 5, 7, 9, 5, 12, 7):
        trace = lab.simulate(station.with_clicks(rebound=click), usual_release(station), 8.0)
        true.append(lab.settling_time(trace))
        pressed.append(lab.settling_time(trace, 0.03))
    watch = watch_of(pressed, true)
    assert watch.spread == pytest.approx(0.0, abs=1e-9)
    assert watch.bias == pytest.approx(np.mean(np.subtract(pressed, true)))
    assert watch.uneven > 0.02
    assert watch.uncertainty() > watch.uneven
    assert "scatter by 0.00 s" in watch.sentences[1]


def test_a_random_hand_gets_its_scatter_back():
    """Five pairs: 5 s² / sigma² is chi-squared with 5 degrees of freedom, uneven or not (its mean, its 95 % range)."""
    rng, count, found = np.random.default_rng(6), 2000, []
    true = np.repeat([0.33, 0.51, 0.46, 0.9, 0.7], 2)
    for _ in range(count):
        own = np.repeat(rng.normal(0.1, 0.15, 5), 2)
        found.append(5.0 * (watch_of(5.0 + true + own + rng.normal(0.0, 0.06, 10), 5.0 + true).spread / 0.06) ** 2)
    assert np.mean(found) == pytest.approx(5.0, abs=3.0 * math.sqrt(10.0 / count))
    low, high = stats.chi2.ppf([0.025, 0.975], 5)
    inside = np.mean((np.array(found) > low) & (np.array(found) < high))
    assert inside == pytest.approx(0.95, abs=3.0 * math.sqrt(0.95 * 0.05 / count))


@pytest.mark.parametrize("uneven", [0.0, 0.05, 0.2])
@pytest.mark.parametrize("count", [1, 3])
def test_a_trainee_of_five_pairs_is_covered_about_as_often_as_should_be(uneven, count):
    """At a setting of its own. Close to two in three; where Student's factor of few settings is too wide, above."""
    rng, times, within, within_bias = np.random.default_rng(7), 2000, 0, 0
    true = np.repeat([0.33, 0.51, 0.46, 0.9, 0.7], 2) + 5.0
    for _ in range(times):
        own = np.repeat(rng.normal(0.1, uneven, 5), 2)
        watch = watch_of(true + own + rng.normal(0.0, 0.06, 10), true)
        stopped = 0.5 + rng.normal(0.1, uneven) + float(np.mean(rng.normal(0.0, 0.06, count)))
        within += abs(watch.corrected(stopped) - 0.5) <= watch.uncertainty(count)
        within_bias += abs(watch.bias - 0.1) <= watch.bias_uncertainty
    assert ONE - 0.035 < within / times < ONE + 0.12
    assert ONE - 0.035 < within_bias / times < ONE + 0.12


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


def test_repeats_of_several_trials_are_each_of_their_own_day(tmp_path):
    """Steady within a trial, later by 0.1 s in each: no scatter, but a lateness that differs; a file as before."""
    path, true = watch_path(tmp_path), [0.3, 0.5, 0.7, 0.3, 0.5, 0.7]
    for off in (0.1, 0.2, 0.3):
        watch = keep_trial(path, trial_of("Invented scooter", np.add(true, off).tolist(), true))
    assert read_watch(path) == watch
    assert watch.spread == pytest.approx(0.0, abs=1e-9)
    assert watch.uneven == pytest.approx(np.std(np.repeat([0.1, 0.2, 0.3], 3), ddof=1))
    held = json.loads(path.read_text())
    assert held["version"] == 1
    assert sorted(held["trials"][0]) == ["pressed_s", "settled_s", "vehicle", "when"]


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
    assert wild.uncertainty == pytest.approx(math.hypot(own, watch.bias_uncertainty), rel=1e-3)
    uneven = Watch(bias=0.12, spread=0.06, tries=10, uneven=0.2, settings=5)
    # Late by 0.2 s more or less at this setting, and by the mean of five such in the bias.
    open_ = math.hypot(0.06 / math.sqrt(10.0), 0.2 / math.sqrt(5.0), 0.2)
    of_setting = float(stats.t.ppf(0.5 + 0.5 * ONE, 4)) * open_
    found = by_stopwatch([0.3, 0.6, 0.9], watch=uneven)
    assert found.uncertainty == pytest.approx(math.hypot(own, of_setting), rel=1e-3)
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
    """A property: the wider the likelihood, the less a time says (entropy of the belief)."""
    station = lab.load_station("courier_scooter_rear")

    def entropy(spread):
        scatter = Watch(bias=0.0, spread=spread, tries=10).uncertainty(3)
        held = Belief(course(station), [Measured(5, 0.33, None)], scatter, target_time(station)).weight
        return -float(np.sum(held * np.log(np.maximum(held, 1e-300))))

    assert entropy(0.02) < entropy(0.1) < entropy(0.5)
