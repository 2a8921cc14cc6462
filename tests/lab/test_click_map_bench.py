"""The bench of the map of clicks, without a browser."""

from __future__ import annotations

import asyncio
import io
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import suspension_lab as lab
from suspension_lab.lab import bump_bench, click_map, click_map_bench, evenness_bench, road_choice
from suspension_lab.lab.click_map import MEASURES
from suspension_lab.workshop.landscape import Landscape
from suspension_lab.workshop.reading_click_map import COMING, NOT_COMPLETE
from suspension_lab.workshop.release_test import passing


@pytest.fixture(scope="module")
def shared():
    # Rides of four seconds show all of it, and the tests stay quick.
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(road_choice, "DURATION", 4.0)
        yield click_map_bench()


@pytest.fixture
def bench(shared):
    shared.clear()
    shared.reset()
    shared.wait()
    return shared


def row(bench: Any) -> Any:
    return bench._trial.row


def stop_after_the_first_part(bench: Any) -> None:
    bar = row(bench).bar

    def told(change: dict[str, Any]) -> None:
        if change["new"] > 0.0:
            row(bench).stop.click()
            bar.unobserve(told, "value")

    bar.observe(told, "value")


def test_every_control_changes_the_answer(bench):
    for name, value in {"rebound": 7, "low_speed": 8, "high_speed": 6, "rider": 40, "speed": 40, "road": "cobbles",
                        "measure": "weighted_acceleration", "axes": "rebound+high_speed",
                        "vehicle": "courier_scooter_front"}.items():  # fmt: skip
        picture, result = bench.screen.png, bench.result
        bench.set(**{name: value})
        bench.wait()
        assert not bench.screen.refused, name
        assert bench.result is not result, name
        assert bench.screen.png != picture, name
        assert bench.screen.shown_for[name] == bench.controls[name].shown
    bench.set(vehicle="courier_scooter_rear", axes="low_speed+high_speed", road="pothole")
    bench.wait()
    assert bench.result.made.complete


@pytest.mark.parametrize("measure", MEASURES.values())
def test_every_measure_is_drawn_and_told_without_a_new_map(bench, measure):
    made = bench.result.made
    bench.set(measure=measure)
    assert bench.result.made is made
    assert bench.screen.alt.endswith(bench.screen.words[-1])


def test_picking_a_cell_moves_the_sliders_and_tells_it(bench):
    made, count = bench.result.made, bench.screen.serial
    bench.screen.picked = [15.3, 3.8, 1]
    assert (bench.settings["rebound"], bench.settings["low_speed"]) == (15, 4)
    assert bench.screen.words[0].startswith("This cell, rebound 15, low-speed compression 4: ")
    assert bench.screen.serial == count + 1
    assert bench.result.made is made
    bench.screen.picked = [24.5, -0.5, 2]
    assert (bench.settings["rebound"], bench.settings["low_speed"]) == (24, 0)


def test_the_area_that_can_be_picked_holds_every_cell(bench):
    area = bench.screen.area
    assert area["x"] == [-0.5, 24.5]
    assert area["y"] == [-0.5, 20.5]
    left, top, width, height = area["box"]
    assert 0.0 < left < left + width < 1.0
    assert 0.0 < top < top + height < 1.0


def test_words_name_the_turn_that_the_map_bears_out(bench):
    bench.set(rebound=4, low_speed=20, road="C", speed=40)
    bench.wait()
    good = passing(bench.result.verdicts)
    line = bench.result.made.over_cases("tyre_load_variation")[:, 20]
    to = good[int(line[good].argmin())]
    assert to > 5
    slowly = ", two at a time and tested between" if to - 4 > 2 else ""
    assert bench.screen.words[1].startswith(f"Open rebound (counter-clockwise) by {to - 4} clicks{slowly}, to {to}")
    assert f"{100 * line[4]:.1f} → {100 * line[to]:.1f} %" in bench.screen.words[1]
    assert line[to] < line[2]


def test_map_agrees_with_single_runs(bench):
    bench.set(rebound=4, low_speed=15, road="C", speed=40)
    bench.wait()
    trace = lab.simulate(bench.station, bench.result.ride, 4.0)
    shown = {measure.key: measure.value for measure in bench.result.cell(None)}
    # analytic: the same equations, once with the laws in straight pieces
    assert shown["tyre_load_variation"] == pytest.approx(100 * lab.tyre_load_variation(trace), rel=0.01)
    assert shown["weighted_acceleration"] == pytest.approx(lab.weighted_acceleration(trace), rel=0.01)


def test_the_floor_line_is_the_best_of_each_column(bench):
    land = Landscape(made=bench.result.made, measure="tyre_load_variation")
    lines = [line.get_xydata() for line in bench._trial.picture.axes.lines if line.get_linestyle() == "--"]
    (drawn,) = [xy for xy in lines if len(xy) == 25]
    assert drawn[~np.isnan(drawn[:, 1]), 0].tolist() == passing(bench.result.verdicts)
    for rebound, low_speed in drawn[~np.isnan(drawn[:, 1])]:
        line = land.values[int(rebound)]
        assert line[int(low_speed)] == line.min()


def test_only_the_pairs_that_the_vehicle_has(bench):
    assert len(bench.controls["axes"].dropdown.options) == 3
    bench.set(vehicle="courier_scooter_front")
    assert [pair for _, pair in bench.controls["axes"].dropdown.options] == ["rebound+low_speed"]
    with pytest.raises(lab.LabError, match="one of rebound"):
        bench.set(axes="rebound+high_speed")
    bench.set(vehicle="courier_scooter_rear", axes="rebound+high_speed")
    assert bench.result.axes == ("rebound", "high_speed")


def test_a_map_is_kept_and_going_back_is_immediate(bench):
    first = bench.result.made
    bench.set(speed=35)
    assert bench.result.made is None
    assert bench.screen.words[0] == COMING
    bench.wait()
    bench.set(speed=30)
    assert bench.result.made is first
    bench.set(rebound=20)
    assert bench.result.made is first


def test_stop_keeps_what_is_done_and_says_so(bench):
    bench.set(speed=57)
    stop_after_the_first_part(bench)
    bench.wait()
    made = bench.result.made
    assert not made.complete
    assert np.isfinite(made.values).any()
    assert NOT_COMPLETE in bench.screen.words
    assert row(bench).widget.layout.visibility == "hidden"
    bench.set(rebound=3)
    assert bench.result.made is made
    bench.set(speed=58)
    bench.set(speed=57)
    assert bench.result.made is None


def test_stopped_before_anything_was_measured(bench):
    bench.set(speed=61)
    row(bench).stop.click()
    bench.wait()
    assert "before anything was measured" in bench.screen.words[0]
    assert bench.screen.png


def test_sliders_move_while_the_map_is_made_and_it_is_made_once(bench, monkeypatch):
    calls, real = [], click_map.click_map
    monkeypatch.setattr(click_map, "click_map", lambda *given, **named: calls.append(1) or real(*given, **named))

    async def play() -> None:
        bench.set(speed=63)
        visible = []
        while bench.screen.more_coming:
            visible.append(row(bench).widget.layout.visibility)
            if row(bench).bar.value > 0.0 and bench.settings["rebound"] == 9:
                bench.set(rebound=11)
            await asyncio.sleep(0.005)
        assert set(visible) == {"visible"}
        await asyncio.sleep(0.01)

    asyncio.run(play())
    assert bench.result.made.complete
    assert bench.screen.words[0].startswith("This cell, rebound ")
    assert len(calls) == 1
    assert row(bench).widget.layout.visibility == "hidden"


def test_the_table_sets_this_cell_beside_the_best_and_the_kept(bench):
    bench.keep()
    kept = bench.screen.table[1][1]
    bench.set(rebound=1)
    heading, first = bench.screen.table[:2]
    assert heading[:2] == ["Measure", "This cell"]
    assert heading[2].startswith("Best cell (rebound ")
    assert heading[3] == "Kept run"
    assert first[3] == kept
    assert float(first[2].split()[0]) <= float(kept.split()[0]) < float(first[1].split()[0])
    (worse,) = [sentence for sentence in bench.screen.words if sentence.startswith("Against the kept run, worse: ")]
    assert f"tyre load variation {kept.split()[0]} → {first[1]}" in worse


def test_only_the_marks_are_drawn_anew_and_the_picture_is_the_same(bench):
    bench.set(rebound=20)
    bench.set(rebound=9)
    moved = np.asarray(Image.open(io.BytesIO(bench.screen.png)))
    bench.screen.room = [860, 1.0]
    bench._trial.picture.resize(bench.screen.picture_width)
    bench.refresh()
    assert np.array_equal(moved, np.asarray(Image.open(io.BytesIO(bench.screen.png))))


def test_it_opens_the_setting_on_another_bench():
    for other, road in ((evenness_bench(), "road"), (bump_bench(), "shape")):
        bench = click_map_bench(opens=other)
        bench.set(vehicle="trail_bike_rear", rebound=5, low_speed=6, high_speed=7, rider=40, speed=45, road="washboard")
        bench._trial.open_button.click()
        assert "Trail bike, rear at rebound 5, low-speed 6, high-speed 7." in bench._trial.opened.value
        moved = {"vehicle": "trail_bike_rear", "rebound": 5, "low_speed": 6, "high_speed": 7, "rider": 40, "speed": 45}
        assert {name: other.settings[name] for name in moved} == moved
        assert other.settings[road] == "washboard"
    bench.set(speed=75, road="cobbles")
    assert bench._trial.opened.value == ""
    bench._trial.open_button.click()
    assert "It keeps its speed and its road, since this one is not among its roads." in bench._trial.opened.value
    assert (other.settings["speed"], other.settings["shape"]) == (45, "washboard")


def test_a_vehicle_without_a_wheel_is_not_offered_and_refused_in_words():
    bench = click_map_bench("classroom_rig")
    assert bench.screen.refused
    assert "no wheel to ride with" in bench.screen.words[0]
    assert "Classroom rig" not in [text for text, _ in click_map_bench().controls["vehicle"].dropdown.options]
    bench.reset()
    bench.set(vehicle="trail_bike_rear")
    assert not bench.screen.refused


def test_a_damper_with_a_single_adjuster_is_refused_in_words(tmp_path):
    text = (Path(lab.__file__).parents[1] / "data/vehicles/delivery_van_corner.toml").read_text()
    single = re.sub(r"(?m)^low_speed = .*$", "", text)
    assert single != text
    file = tmp_path / "single.toml"
    file.write_text(single)
    assert list(lab.load_station(file).damper.adjusters) == ["rebound"]
    bench = click_map_bench(str(file))
    assert bench.screen.refused
    assert "fewer than two adjusters" in bench.screen.words[0]
