"""The benches that look into the damper, without a browser."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.lab import cutaway_bench, warm_up_bench
from suspension_lab.lab.inside import EVERY
from suspension_lab.measures.warming import drifts

TWO_SLOPE = Path(__file__).parents[1] / "vehicle_files" / "two_slope.toml"


def played(bench):
    """Column -> what the section was handed."""
    player = bench.screen.player
    rows = np.frombuffer(player.signals, dtype="<f4").reshape(-1, len(player.columns))
    return dict(zip(player.columns, rows.T, strict=True))


def test_the_section_plays_the_run_of_the_bench():
    bench = cutaway_bench()
    bench.set(test="pothole", rebound=5)
    run, shown = bench.result, played(bench)
    assert shown["speed"] == pytest.approx(run.shaft_speed[::EVERY], abs=1e-6)
    assert shown["force"] == pytest.approx(run.damper_force[::EVERY], rel=1e-5, abs=1e-3)
    assert bench.screen.player.step == pytest.approx(EVERY * run.time[1])
    damper = run.station.damper
    together = shown["rebound_bleed"] + shown["rebound_blow_off"] + shown["rebound_leak"]
    assert together == pytest.approx(damper.ring_area * np.maximum(-shown["speed"], 0.0), rel=2e-3, abs=1e-9)
    together = shown["compression_bleed"] + shown["compression_blow_off"] + shown["compression_leak"]
    assert together == pytest.approx(damper.rod_area * np.maximum(shown["speed"], 0.0), rel=2e-3, abs=1e-9)
    assert not shown["cavitation_rebound_side"].any()
    assert not shown["idle"].any()


def test_the_needle_follows_the_clicks():
    bench = cutaway_bench()
    gaps = []
    for clicks in (0, 12, 24):
        bench.set(rebound=clicks)
        drawn = bench.screen.player.geometry
        gaps.append(drawn["rebound"]["gap"])
        assert drawn["rebound_words"] == f"{clicks} clicks out"
    assert gaps == sorted(gaps)
    assert gaps[-1] == pytest.approx(bench.screen.player.geometry["rebound"]["gap_open"])


def test_faults_are_seen_and_said():
    bench = cutaway_bench("courier_scooter_front")
    bench.set(test="pothole")
    assert not any("cavitates in compression" in sentence for sentence in bench.screen.words)
    bench.keep()
    bench.set(fault="lost_gas")
    assert bench.screen.words[0] == lab.FAULTS["lost_gas"]
    assert any("cavitates in compression" in sentence for sentence in bench.screen.words)
    assert played(bench)["cavitation_rebound_side"].any()
    assert "lost gas" in bench.screen.table_caption
    assert any(sentence.startswith("Against the kept run") for sentence in bench.screen.words)
    bench.set(fault="low_oil")
    assert played(bench)["idle"].any()
    assert any("oil that is not there" in sentence for sentence in bench.screen.words)


def test_warm_oil_is_said_in_clicks():
    bench = cutaway_bench()
    bench.set(oil=80)
    drift = lab.drift_in_clicks(bench.result.station.damper, lab.load_station("courier_scooter_rear").damper)
    assert any(f"rebound acts {drift:.1f} clicks more open than at 20 °C" in words for words in bench.screen.words)


def test_marks_lie_on_the_curves():
    bench = cutaway_bench()
    bench.set(test="release")
    signals = played(bench)
    for mark in bench.screen.marks:
        x, y = signals[mark["columns"][0]], mark["unit"] * signals[mark["columns"][1]]
        for values, limits in ((x, mark["x"]), (y, mark["y"])):
            assert limits[0] <= values.min() < values.max() <= limits[1]
        left, top, width, height = mark["box"]
        assert 0.0 < left < left + width < 1.0
        assert 0.0 < top < top + height < 1.0


def test_a_rig_without_a_wheel_cannot_drive():
    bench = cutaway_bench("classroom_rig")
    bench.set(test="pothole")
    assert bench.screen.refused
    assert "no wheel to drive with; choose the push or the release" in bench.screen.words[0]


@pytest.mark.parametrize("make", [cutaway_bench, warm_up_bench])
def test_a_damper_by_its_curves_is_refused_in_words(make):
    bench = make(str(TWO_SLOPE))
    assert bench.screen.refused
    assert "described by its curves" in bench.screen.words[0]
    bench.set(vehicle="courier_scooter_rear")
    assert not bench.screen.refused
    assert bench.screen.png


def test_warming_with_and_without_the_reservoir():
    bench = warm_up_bench()
    ride = bench.result
    assert ride.run.temperature[-1] < ride.other.temperature[-1]
    bench.set(reservoir="without")
    other = bench.result
    assert other.run.temperature == pytest.approx(ride.other.temperature)
    assert other.other.temperature == pytest.approx(ride.run.temperature)
    assert "with a reservoir ends at" in " ".join(bench.screen.words)


def test_a_longer_rougher_ride_is_hotter_and_more_open():
    bench = warm_up_bench()
    before = bench.result
    bench.keep()
    bench.set(height=10)
    after = bench.result
    assert after.run.temperature[-1] > before.run.temperature[-1]
    assert drifts(after.run)[-1] > drifts(before.run)[-1] > 0.5
    assert any("worse" in sentence and "drift of rebound" in sentence for sentence in bench.screen.words)


def test_a_ride_that_burns_the_oil_is_refused_in_words():
    bench = warm_up_bench()
    bench.set(height=15, speed=25, minutes=60, air=45, reservoir="without")
    assert bench.screen.refused, bench.screen.words
    assert "the oil would pass 160 °C" in bench.screen.words[0]
