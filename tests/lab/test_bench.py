"""A bench without a browser: its controls, its answers, and what it refuses."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from PIL import Image

import suspension_lab as lab
from suspension_lab.lab import bump_bench, cutaway_bench, evenness_bench, push_bench, release_bench, warm_up_bench

BENCHES = [release_bench, push_bench, bump_bench, cutaway_bench, warm_up_bench, evenness_bench]


def pixels(bench: Any) -> np.ndarray[Any, Any]:
    return np.asarray(Image.open(io.BytesIO(bench.screen.png)))


@pytest.mark.parametrize("make", BENCHES)
def test_each_number_changes_the_answer_and_the_words_follow(make: Any) -> None:
    bench = make()
    for name, control in bench.controls.items():
        if not hasattr(control, "slider"):
            continue
        serial, before = bench.screen.serial, bench.result
        control.slider.value += 2
        assert bench.screen.serial == serial + 1
        assert bench.result is not before
        assert bench.screen.shown_for[name] == control.slider.value
        assert control.number.value == control.slider.value
        assert bench.screen.alt.endswith(bench.screen.words[-1])


def test_picture_is_the_same_drawn_in_one_go_or_by_its_lines_alone() -> None:
    moved = release_bench()
    for clicks in (9, 12, 10):
        moved.set(rebound=clicks)
    fresh = release_bench()
    fresh.set(rebound=10)
    # Axes may keep the limits of a run in between, so compare where both have drawn anew.
    for bench in (moved, fresh):
        bench.screen.room = [900, 1.0]
    assert np.array_equal(pixels(moved), pixels(fresh))


def test_same_run_from_code_as_from_the_bench() -> None:
    bench = bump_bench("trail_bike_rear")
    bench.set(low_speed=3, high_speed=12, rebound=9, rider=60, shape="long_hump", height=50, speed=40)
    station = lab.load_station("trail_bike_rear").with_rider(60.0).with_clicks(low_speed=3, high_speed=12, rebound=9)
    speed = 40 / 3.6
    road = lab.roads.long_hump(height=0.05, run_in=0.3 * speed, run_out=1.5 * speed)
    trace = lab.simulate(station, lab.Ride(road, speed))
    assert np.array_equal(bench.result.tyre_load, trace.tyre_load)


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"rebound": 99}, "0 to 24"),
        ({"rebound": 3.5}, "whole number"),
        ({"depth": 0}, "20 to 60 mm"),
        ({"rebond": 3}, "did you mean 'rebound'?"),
        ({"vehicle": "no_such_one"}, "courier_scooter_rear"),
        ({"rider": 20, "depth": 1000}, "20 to 60 mm"),
        ({"vehicle": "courier_scooter_front", "rebound": 22}, "0 to 20"),
    ],
)
def test_preset_out_of_range_raises_and_moves_nothing(settings: dict[str, Any], says: str) -> None:
    bench = release_bench()
    bench.set(rebound=7, depth=20)
    before, serial = bench.settings, bench.screen.serial
    with pytest.raises(lab.LabError, match=says.replace("?", r"\?")):
        bench.set(**settings)
    assert bench.settings == before
    assert bench.screen.serial == serial


def test_adjuster_that_the_damper_does_not_have() -> None:
    bench = push_bench("courier_scooter_front")
    assert bench.controls["high_speed"].slider.disabled
    assert "not on this damper" in bench.controls["high_speed"].name.value
    with pytest.raises(lab.LabError, match="not on this damper"):
        bench.set(high_speed=1)
    bench.set(vehicle="courier_scooter_rear", high_speed=1)
    assert not bench.controls["high_speed"].slider.disabled
    assert bench.station.clicks.high_speed == 1


def test_typed_number_out_of_range_is_said_and_not_clamped() -> None:
    bench = release_bench()
    control, before = bench.controls["rebound"], bench.result
    control.number.value = 40
    assert "40 is not within 0 to 24 clicks out; 9 stays in force." in control.note.value
    assert (control.value, bench.result) == (9, before)
    control.number.value = 12
    assert control.value == 12
    assert "40" not in control.note.value


def test_setting_that_cannot_be_run_keeps_the_picture_and_says_so() -> None:
    bench = release_bench()
    bench.set(rider=96)
    picture = bench.screen.png
    bench.set(depth=60)
    assert bench.screen.refused
    assert "more preload" in bench.screen.words[0]
    assert bench.screen.png == picture
    bench.set(depth=20)
    assert not bench.screen.refused


def test_kept_run_stands_beside_this_one_until_cleared() -> None:
    bench = release_bench()
    assert bench.screen.table[0] == ["Measure", "This run"]
    bench.keep()
    kept = [row[1] for row in bench.screen.table[1:]]
    bench.set(rebound=4)
    assert bench.screen.table[0][2] == "Kept run"
    assert "kept run: Courier scooter, rear, rebound 9" in bench.screen.table_caption
    assert [row[2] for row in bench.screen.table[1:]] == kept
    assert any("Against the kept run" in sentence for sentence in bench.screen.words)
    bench.reset()
    assert bench.settings["rebound"] == 9
    assert bench.kept is not None
    bench.clear()
    assert bench.screen.table[0] == ["Measure", "This run"]


def test_a_station_that_rests_on_its_stop_is_said() -> None:
    bench = release_bench("courier_scooter_front")
    bench.set(rider=0, depth=20)
    light = bench.screen.words
    bench = release_bench()
    bench.set(rider=96, depth=20)
    assert not any("rests on its bump stop" in sentence for sentence in light)
    resting = bench.station.rests_on_a_stop
    assert any("Mind the setting" in sentence for sentence in bench.screen.words) == (resting is not None)


@pytest.mark.parametrize("make", BENCHES)
def test_cautions_are_on_every_bench(make: Any) -> None:
    cautions = " ".join(make().screen.cautions)
    assert "maker's manual" in cautions
    assert "gas-charged" in cautions
