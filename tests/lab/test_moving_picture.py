"""What the moving picture is handed, without a browser."""

from __future__ import annotations

import asyncio

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.excitation.bump_ride import bump
from suspension_lab.lab import bump_bench, push_bench, release_bench
from suspension_lab.lab.later import PAUSE
from suspension_lab.lab.moving_picture import MAGNIFIED, MovingPicture
from suspension_lab.measures.contact import off_road
from suspension_lab.workshop.reading import read_run


def rows(picture, signals="signals"):
    """Column -> what the picture plays."""
    table = np.frombuffer(getattr(picture, signals), dtype="<f4").reshape(-1, len(picture.columns))
    return dict(zip(picture.columns, table.T.astype(float), strict=True))


def profile(geometry, heights):
    """Distance and height of a drawn road [m]."""
    return np.frombuffer(geometry["roads"][str(heights)], dtype="<f4").reshape(-1, 2).T.astype(float)


def reach(profile_of, x):
    return np.interp(x, *profile_of)


@pytest.mark.parametrize("make", [release_bench, push_bench, bump_bench])
def test_the_picture_plays_the_run_of_the_bench(make):
    bench = make()
    run, picture = bench.result, bench.screen.player
    shown = rows(picture)
    assert 250.0 <= 1.0 / picture.step <= 500.0
    assert shown["time"] == pytest.approx(picture.step * np.arange(shown["time"].size), abs=1e-6)
    assert shown["time"][-1] == pytest.approx(run.time[-1], abs=picture.step)
    for name in ("body", "wheel", "road"):
        assert shown[name] == pytest.approx(np.interp(shown["time"], run.time, getattr(run, name)), abs=1e-5)
    # Load over load at rest: at rest it is 1 by definition.
    assert shown["tyre_load"][-1] == pytest.approx(1.0, abs=0.02)
    assert picture.geometry["radius"] == run.station.wheel_radius
    assert picture.kept_signals == b""
    assert picture.kept_geometry == {}


def test_the_hand_holds_until_it_lets_go():
    held = release_bench().screen.player.geometry
    assert (held["hand"], held["hand_until"]) == ("release", 0.0)
    assert held["held_for"] > 0.0
    bench = push_bench()
    bench.set(force=300, rise=100)
    pushes, shown = bench.screen.player.geometry, rows(bench.screen.player)
    # Rise, 0.2 s at the peak, 0.03 s to let go: as the push is made.
    assert pushes["hand_until"] == pytest.approx(0.1 + 0.2 + 0.03)
    assert not shown["hand_force"][shown["time"] > pushes["hand_until"]].any()
    assert shown["hand_force"].min() == pytest.approx(-300.0)
    assert bump_bench().screen.player.geometry["hand"] == ""


def test_the_tyre_is_drawn_pressed_as_hard_as_it_is():
    """Squash from the drawn heights, against the load that the trace itself has (tyre without its damping)."""
    run = lab.simulate(lab.load_station("trail_bike_rear"), lab.Release(depth=0.03))
    picture = MovingPicture()
    picture.show(run)
    shown, tyre = rows(picture), run.station.tyre
    squash = picture.geometry["tyre_squash"] - shown["wheel"] + shown["road"]
    load = shown["tyre_load"] * run.static_tyre_load
    damping = tyre.damping * np.abs(run.wheel_velocity).max()
    assert np.abs(tyre.stiffness * squash - load).max() <= damping + 1.0


@pytest.mark.parametrize(("shape", "height"), [("pothole", 0.04), ("kerb", 0.06), ("washboard", 0.05)])
def test_the_wheel_touches_the_drawn_road_and_never_cuts_into_it(shape, height):
    """A circle of the true radius on the axle's way, unpressed: its lowest distance to either drawn road is nothing.

    The circle is made here, with Pythagoras, not with the morphology the picture is made with.
    """
    station, speed = lab.load_station("courier_scooter_rear"), 30.0 / 3.6
    run = lab.simulate(station, lab.Ride(bump(shape, height, speed), speed))
    picture = MovingPicture()
    picture.show(run)
    shown, radius = rows(picture), station.wheel_radius
    beside = np.linspace(-radius, radius, 401)
    under = radius - np.sqrt(radius**2 - beside**2)
    for heights in (1, MAGNIFIED):
        road = profile(picture.geometry, heights)
        gaps = [
            (heights * axle + under - reach(road, speed * t + beside)).min()
            for t, axle in zip(shown["time"][::20], shown["road"][::20], strict=True)
        ]
        # The arc meets steep edges between two of its points.
        assert min(gaps) >= -0.004 * heights
        assert max(gaps) <= 0.004 * heights


def test_the_true_road_is_the_profile_itself():
    bench = bump_bench()
    bench.set(shape="kerb", height=70)
    distance, height = profile(bench.screen.player.geometry, 1)
    road = bench.result.excitation.road
    assert distance == pytest.approx(np.asarray(road.distance) - road.distance[0], abs=1e-5)
    assert height == pytest.approx(np.asarray(road.height), abs=1e-6)
    assert height.max() == pytest.approx(0.070)
    assert bench.screen.player.geometry["speed"] == pytest.approx(30.0 / 3.6)


def test_lost_contact_is_flagged_where_the_tyre_load_is_nothing():
    bench = bump_bench()
    bench.set(shape="washboard", height=60)
    shown, run = rows(bench.screen.player), bench.result
    lost = off_road(run)
    assert lost
    inside = np.any([(shown["time"] >= a) & (shown["time"] <= b) for a, b in lost], axis=0)
    near = np.any([(shown["time"] >= a - bench.screen.player.step) & (shown["time"] <= b) for a, b in lost], axis=0)
    flagged = shown["off_road"] > 0.5
    assert flagged[inside].all()
    assert near[flagged].all()
    assert not rows(release_bench().screen.player)["off_road"].any()


def test_a_loss_shorter_than_two_rows_is_still_shown():
    station = lab.load_station("courier_scooter_rear")
    run = lab.simulate(station, lab.Release(depth=0.03))
    load = run.tyre_load.copy()
    load[101] = 0.0
    from dataclasses import replace

    picture = MovingPicture()
    picture.show(replace(run, tyre_load=load))
    assert rows(picture)["off_road"].sum() == 1.0


def test_both_runs_go_in_step():
    bench = release_bench()
    bench.keep()
    before = rows(bench.screen.player)
    bench.set(rebound=0)
    picture = bench.screen.player
    now, kept = rows(picture), rows(picture, "kept_signals")
    assert kept["body"] == pytest.approx(before["body"])
    assert kept["time"] == pytest.approx(now["time"])
    assert not np.allclose(kept["body"], now["body"], atol=1e-3)
    assert picture.geometry["setting"] == "rebound 0, low-speed 10, high-speed 8 clicks out"
    assert picture.kept_geometry["setting"] == "rebound 9, low-speed 10, high-speed 8 clicks out"
    bench.set(vehicle="classroom_rig", depth=20)
    assert picture.geometry["setting"].startswith("Classroom rig, ")
    assert picture.kept_geometry["setting"].startswith("Courier scooter, rear, ")
    # Runs of unlike length have one step all the same.
    now, kept = rows(picture), rows(picture, "kept_signals")
    assert now["time"][:50] == pytest.approx(kept["time"][:50])
    bench.clear()
    assert picture.kept_signals == b""
    assert picture.kept_alt == ""


def test_the_words_are_those_of_the_run():
    bench = push_bench()
    assert bench.screen.player.alt == "Courier scooter, rear in motion. " + " ".join(read_run(bench.result))


def test_a_rig_without_a_wheel_is_no_circle():
    drawn = release_bench("classroom_rig").screen.player.geometry
    assert not drawn["round"]
    assert drawn["radius"] > 0.0


def test_a_setting_that_cannot_be_run_leaves_the_last_run_playing():
    bench = release_bench()
    before = bench.screen.player.serial, bench.screen.player.signals
    bench.set(rider=96, depth=60)
    assert bench.screen.refused
    assert (bench.screen.player.serial, bench.screen.player.signals) == before


def test_nothing_is_handed_over_before_the_hand_rests():
    async def moved() -> tuple[int, int, int]:
        bench = release_bench()
        first = bench.screen.player.serial
        for clicks in (3, 4, 5):
            bench.set(rebound=clicks)
        still = bench.screen.player.serial
        await asyncio.sleep(PAUSE + 0.2)
        assert bench.screen.player.geometry["setting"].startswith("rebound 5")
        return first, still, bench.screen.player.serial

    assert asyncio.run(moved()) == (1, 1, 2)


def test_the_line_of_the_moment_lies_on_both_diagrams():
    bench = bump_bench()
    above, below = bench.screen.marks
    for mark in (above, below):
        assert mark["look"] == "line"
        assert mark["columns"] == ["time"]
        left, top, width, height = mark["box"]
        assert 0.0 < left < left + width < 0.65
        assert 0.0 < top < top + height < 1.0
        assert mark["x"] == pytest.approx([0.0, bench.result.time[-1]])
    assert above["box"][1] + above["box"][3] < below["box"][1]
    assert above["box"][0] == pytest.approx(below["box"][0])
