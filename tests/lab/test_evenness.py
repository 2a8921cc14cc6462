"""The bench of evenness, and work that goes on behind a bench, without a browser."""

from __future__ import annotations

import asyncio
import threading

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.lab import evenness_bench
from suspension_lab.lab.evenness_panels import STRETCH, stretch_of
from suspension_lab.lab.later import Later
from suspension_lab.lab.road_choice import DURATION, SURFACES, surface
from suspension_lab.workshop.reading_evenness import ALIKE_ONLY, COMING


@pytest.fixture(scope="module")
def bench():
    return evenness_bench()


@pytest.fixture(autouse=True)
def as_it_began(request):
    if "bench" in request.fixturenames:
        made = request.getfixturevalue("bench")
        made.clear()
        made.reset()
        made.wait()


async def until_shown(bench):
    while bench.screen.more_coming:
        await asyncio.sleep(0.01)


def test_each_control_changes_the_answer(bench):
    for name, value in {"rebound": 7, "low_speed": 8, "high_speed": 6, "rider": 40, "speed": 40, "road": "cobbles",
                        "harder": "rebound", "vehicle": "courier_scooter_front"}.items():  # fmt: skip
        picture, result = bench.screen.png, bench.result
        bench.set(**{name: value})
        bench.wait()
        assert bench.result is not result, name
        assert bench.screen.png != picture, name
        assert bench.screen.shown_for[name] == bench.controls[name].shown


@pytest.mark.parametrize("road", SURFACES.values())
def test_every_road_is_ridden_for_the_same_time_and_reaches_its_end(bench, road):
    bench.set(road=road, speed=80)
    assert not bench.screen.refused
    assert bench.result.trace.time[-1] == pytest.approx(DURATION)
    assert surface(road).length >= 80 / 3.6 * DURATION


@pytest.mark.parametrize("harder", ["alike", "rebound"])
def test_valley_agrees_with_single_runs(bench, harder):
    bench.set(harder=harder)
    bench.wait()
    run = bench.result
    for at in (0, len(run.valley.settings) // 2, -1):
        trace = lab.simulate(bench.station.with_clicks(**run.valley.settings[at]), run.trace.excitation, DURATION)
        variation, shaking = run.valley.values[at]
        assert variation == pytest.approx(lab.tyre_load_variation(trace), rel=0.01)
        assert shaking == pytest.approx(lab.weighted_acceleration(trace), rel=0.01)


def test_valley_goes_from_all_open_to_all_closed_and_is_lowest_between(bench):
    valley, ranges = bench.result.valley, bench.station.damper.adjusters
    assert dict(zip(ranges, (valley.settings[0][name] for name in ranges), strict=True)) == dict(ranges)
    assert [valley.settings[-1][name] for name in ranges] == [0, 0, 0]
    assert np.all(np.diff(valley.closed) > 0.0)
    # practice: neither fully open nor fully closed is right
    assert 0.2 < valley.closed[valley.everywhere.lowest(0)] < 0.9
    road = valley.everywhere
    assert valley.closed[road.lowest(1)] < valley.closed[road.lowest(0)]
    first, last = valley.good(0)
    assert valley.values[first : last + 1, 0].max() <= 1.05 * valley.values[valley.passes, 0].min()
    # Of the road alone the good ones go on to the softer side; there the release test ends them.
    assert not valley.passes[first - 1]


def test_words_on_both_sides_and_in_the_valley(bench):
    def first(**clicks):
        bench.set(**clicks)
        bench.wait()
        return bench.screen.words[0]

    assert "good valley" in first(rebound=11, low_speed=9, high_speed=7)
    assert "too hard side" in first(rebound=1, low_speed=1, high_speed=1)
    assert "too soft side" in first(rebound=24, low_speed=20, high_speed=16)
    assert "too far apart (rebound 100 % closed, low-speed 0 %)" in first(rebound=0, low_speed=20, high_speed=8)
    assert ALIKE_ONLY in bench.screen.words
    assert "too hard side" in first(harder="rebound", rebound=1, low_speed=10)
    assert ALIKE_ONLY not in bench.screen.words


def test_a_setting_of_an_adjusters_own_row_lies_on_its_curve_at_once(bench):
    bench.set(harder="rebound")
    bench.wait()
    bench.set(rebound=5)
    run = bench.result
    assert not run.missing
    at = [clicks.rebound for clicks in run.valley.settings].index(5)
    assert run.valley.values[at, 0] == pytest.approx(lab.tyre_load_variation(run.trace), rel=0.01)
    bench.set(low_speed=4)
    assert bench.result.valley is None
    assert COMING in bench.screen.words


def test_all_alike_the_valley_stays_while_adjusters_move_and_goes_with_the_road(bench):
    values = bench.result.valley.values
    bench.set(rebound=3, low_speed=2)
    assert np.array_equal(bench.result.valley.values, values)
    bench.set(speed=50)
    assert bench.result.valley is None


def test_kept_run_is_compared(bench):
    bench.keep()
    bench.set(rebound=2)
    bench.wait()
    assert any(
        "Against the kept run, worse" in words and "tyre load variation" in words for words in bench.screen.words
    )


def test_an_adjuster_that_is_not_there_is_refused_in_words(bench):
    bench.set(vehicle="courier_scooter_front", harder="high_speed")
    assert bench.screen.refused
    assert "no high-speed adjuster to close (it has rebound, low-speed)" in bench.screen.words[0]
    bench.set(harder="low_speed")
    bench.wait()
    assert not bench.screen.refused


def test_the_stretch_drawn_is_a_part_of_the_ride(bench):
    trace = bench.result.trace
    part = stretch_of(trace)
    inside = (trace.time >= STRETCH[0]) & (trace.time < STRETCH[1])
    assert np.array_equal(part.tyre_load, trace.tyre_load[inside])
    assert np.array_equal(part.time, trace.time[inside])


def test_where_a_loop_runs_the_valley_comes_by_itself():
    async def session():
        bench = evenness_bench()
        serial = bench.screen.serial
        assert bench.screen.words[0] == COMING
        await until_shown(bench)
        assert bench.screen.serial == serial + 1
        assert "good valley" in bench.screen.words[0]

    asyncio.run(session())


def test_settings_that_moved_on_make_the_answer_worthless(monkeypatch):
    begun, go_on = threading.Event(), threading.Event()
    stopped = []

    async def session():
        bench = evenness_bench()
        bench.wait()
        slow, later = [True], bench._trial.later

        def held(run):
            work = later(run)
            if work is None or not slow[0]:
                return work

            def wait_first(stop):
                begun.set()
                go_on.wait(5.0)
                stopped.append(stop.is_set())
                return work(threading.Event())

            return wait_first

        monkeypatch.setattr(bench._trial, "later", held)
        bench.set(speed=20)
        while not begun.is_set():
            await asyncio.sleep(0.01)
        slow[0] = False
        bench.set(speed=60)
        go_on.set()
        await until_shown(bench)
        await asyncio.sleep(0.3)
        return bench

    bench = asyncio.run(session())
    assert stopped == [True]
    fresh = evenness_bench()
    fresh.set(speed=60)
    fresh.wait()
    assert np.array_equal(bench.result.valley.values, fresh.result.valley.values)
    assert bench.screen.words == fresh.screen.words


def test_a_fault_in_the_background_is_not_swallowed():
    def broken(stop):
        raise ZeroDivisionError

    later = Later()
    later.ask(broken, print)
    with pytest.raises(ZeroDivisionError):
        later.wait()
    assert not later.busy


def test_an_error_in_the_background_is_said_in_words(bench, monkeypatch):
    def refuse(stop):
        raise lab.LabError("It cannot be.")

    monkeypatch.setattr(bench._trial, "later", lambda run: refuse)
    bench.set(speed=33)
    bench.wait()
    assert bench.screen.refused
    assert bench.screen.words[0] == "It cannot be."


def test_the_ring_says_whether_its_own_rebound_passes() -> None:
    bench = evenness_bench()
    said = []
    for rebound in (9, 24):
        bench.set(rebound=rebound)
        bench.wait()
        panel = bench._trial.picture.valleys[0]
        said.append(panel.now_name.get_text())
    assert said == ["this setting passes", "this setting fails"]
