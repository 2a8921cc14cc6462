"""Maps of clicks: values, questions, files, executors and bad input."""

import os
import threading
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.mapping import Progress
from suspension_lab.workshop.plan import different

RIDE = lab.Ride(lab.roads.iso8608("C", length=40.0, seed=2), 10.0)
OTHER = lab.Ride(lab.roads.washboard(bumps=8, run_out=3.0), 7.0)


def scooter():
    return lab.load_station("courier_scooter_rear")


def mean_body(trace):
    return float(trace.body.mean())


@pytest.fixture(scope="module")
def made():
    return lab.click_map(scooter(), [RIDE, OTHER], rebound=range(0, 25, 4), low_speed=range(0, 21, 5))


def test_every_cell_is_what_simulate_gives(made):
    assert made.complete
    assert made.note == ""
    assert made.values.shape == (7, 5, 2, 2)
    for r, c, case in ((0, 0, 0), (3, 2, 1), (6, 4, 0)):
        station = scooter().with_clicks(rebound=4 * r, low_speed=5 * c)
        trace = lab.simulate(station, (RIDE, OTHER)[case])
        assert made["tyre_load_variation"][r, c, case] == pytest.approx(lab.tyre_load_variation(trace), rel=0.01)
        assert made["weighted_acceleration"][r, c, case] == pytest.approx(lab.weighted_acceleration(trace), rel=0.01)


def test_the_table_is_labelled(made):
    table = made.table
    assert list(table.columns) == ["rebound", "low_speed", "case", "tyre_load_variation", "weighted_acceleration"]
    assert len(table) == 7 * 5 * 2
    row = table[(table.rebound == 8) & (table.low_speed == 15) & (table.case == made.cases[1])]
    assert row.weighted_acceleration.item() == made["weighted_acceleration"][2, 3, 1]
    assert made.cases == ("random road of class C, 36 km/h", "washboard, 25.2 km/h")


def by_hand(values, clicks=None, measure="tyre_load_variation"):
    """A map with given values, one measure, axes rebound and low_speed."""
    values = np.asarray(values, dtype=float)
    clicks = clicks or {"rebound": tuple(range(values.shape[0])), "low_speed": tuple(range(values.shape[1]))}
    cases = tuple(f"case {i}" for i in range(values.shape[2]))
    return ClickMap(vehicle="made", clicks=clicks, cases=cases, measures=(measure,), values=values[..., None])


def test_best_and_worst_by_hand():
    values = [[[4.0, 1.0], [2.0, 2.0]], [[1.0, 9.0], [3.0, 2.5]]]
    made = by_hand(values)
    assert made.over_cases("tyre_load_variation").tolist() == [[2.5, 2.0], [5.0, 2.75]]
    assert dict(made.best("tyre_load_variation")) == {"rebound": 0, "low_speed": 1}
    assert made.over_cases("tyre_load_variation", "worst").tolist() == [[4.0, 2.0], [9.0, 3.0]]
    more = by_hand(values, measure="smallest_tyre_load")
    assert more.over_cases("smallest_tyre_load", "worst").tolist() == [[1.0, 2.0], [1.0, 2.5]]
    assert dict(more.best("smallest_tyre_load")) == {"rebound": 1, "low_speed": 0}


def test_the_valley_by_hand():
    floor = np.array([1.2, 1.04, 1.0, 1.03, 1.3, 1.01])
    made = by_hand((floor[:, None] * np.array([1.0, 1.2]))[..., None])
    assert made.valley("tyre_load_variation", 0.05) == {"rebound": (1, 3), "low_speed": (0, 0)}
    assert made.valley("tyre_load_variation", 0.5)["rebound"] == (0, 5)


def test_it_saves_and_loads_again(made, tmp_path):
    made.to_csv(tmp_path / "map.csv")
    again = ClickMap.from_csv(tmp_path / "map.csv")
    assert np.array_equal(again.values, made.values)
    assert (again.vehicle, again.cases, again.measures) == (made.vehicle, made.cases, made.measures)
    assert dict(again.clicks) == dict(made.clicks)
    assert not list(tmp_path.glob("*.part"))


def test_a_stopped_map_saves_its_gaps(tmp_path):
    made = by_hand([[[1.0], [np.nan]], [[2.0], [3.0]]])
    assert not made.complete
    made.to_csv(tmp_path / "map.csv")
    assert np.isnan(ClickMap.from_csv(tmp_path / "map.csv")["tyre_load_variation"][0, 1, 0])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda text: text.replace("case,", "where,"), "line 2: the heading reads"),
        (lambda text: text.replace("\n0,1,", "\n0,x,"), "line 4: low_speed is 'x', where whole clicks"),
        (lambda text: text.replace("2.0", "two"), "line 5: tyre_load_variation is 'two', where a number"),
        (
            lambda text: text + text.splitlines()[-1] + "\n",
            "line 7: these clicks and this case stand",
        ),
        (lambda text: text.replace(",2.0", ",2.0,7"), "line 5: 5 cells, where 4 were expected"),
        (lambda text: "\n".join(text.splitlines()[:2]), "no rows below"),
        (lambda text: text.replace("2.0", "1e999"), "line 5: tyre_load_variation is '1e999', where a number"),
        (
            lambda text: text.replace("\n0,1,", "\n0,999,"),
            "line 4: low_speed is '999', where whole clicks from 0 to 200",
        ),
    ],
)
def test_a_file_that_is_no_map(change, says, tmp_path):
    file = tmp_path / "map.csv"
    by_hand([[[1.0], [4.0]], [[2.0], [3.0]]]).to_csv(file)
    file.write_text(change(file.read_text()))
    with pytest.raises(lab.LabError, match=says):
        ClickMap.from_csv(file)


def test_a_place_that_cannot_be_written(made, tmp_path):
    with pytest.raises(lab.LabError, match=r"could not be written .* choose another place"):
        made.to_csv(tmp_path / "none" / "map.csv")


@pytest.mark.parametrize("pool", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_any_executor_gives_the_same_numbers(pool, made):
    with pool(2) as executor:
        other = lab.click_map(
            scooter(), [RIDE, OTHER], rebound=range(0, 25, 4), low_speed=range(0, 21, 5), executor=executor
        )
    assert np.array_equal(other.values, made.values)
    assert other.note == ""


class DyingPool(ThreadPoolExecutor):
    """Its second part is lost with its worker, and after that it takes nothing more."""

    taken = 0

    def submit(self, function, /, *args):
        self.taken += 1
        if self.taken > 2:
            raise BrokenProcessPool("a worker died")
        if self.taken == 2:
            lost = Future()
            lost.set_exception(BrokenProcessPool("a worker died"))
            return lost
        return super().submit(function, *args)


def test_a_dead_worker_loses_nothing(made):
    with DyingPool(1) as executor:
        other = lab.click_map(
            scooter(), [RIDE, OTHER], rebound=range(0, 25, 4), low_speed=range(0, 21, 5), executor=executor
        )
    assert np.array_equal(other.values, made.values)
    assert "computed again here" in other.note


def dies_elsewhere(trace):
    """A measure that kills every other process that works it out."""
    if os.environ["MAP_IS_MADE_BY"] != str(os.getpid()):
        os._exit(1)
    return mean_body(trace)


def test_a_worker_process_that_really_dies(monkeypatch):
    monkeypatch.setenv("MAP_IS_MADE_BY", str(os.getpid()))
    asked = {"rebound": range(25), "low_speed": [3, 12], "duration": 0.5}
    with ProcessPoolExecutor(2) as executor:
        made = lab.click_map(scooter(), RIDE, **asked, measures=[dies_elsewhere], executor=executor)
    here = lab.click_map(scooter(), RIDE, **asked, measures=[mean_body])
    assert np.array_equal(made["dies_elsewhere"], here["mean_body"])
    assert "A worker died" in made.note


def test_stop_keeps_what_is_done():
    stop, seen = threading.Event(), []

    def progress(now: Progress):
        seen.append(now)
        if now.done >= 64:
            stop.set()

    with ThreadPoolExecutor(1) as executor:
        made = lab.click_map(
            scooter(), RIDE, rebound=range(25), low_speed=range(21), executor=executor, progress=progress, stop=stop
        )
    done = int(np.isfinite(made["tyre_load_variation"]).sum())
    assert seen[0].total == 525
    assert all(now.seconds_left >= 0.0 for now in seen)
    assert 64 <= done < 525
    assert not made.complete
    assert "stopped" in made.note
    assert made.best("tyre_load_variation").rebound is not None


def test_an_interrupt_keeps_what_is_done():
    def progress(now: Progress):
        raise KeyboardInterrupt

    made = lab.click_map(scooter(), RIDE, rebound=range(25), low_speed=range(21), progress=progress)
    assert np.isfinite(made["tyre_load_variation"]).sum() >= 13
    assert "interrupted" in made.note


def test_measures_may_be_any_function_of_a_run():
    made = lab.click_map(scooter(), RIDE, rebound=[3, 20], measures=["damper_power", mean_body], duration=1.0)
    assert made.measures == ("damper_power", "mean_body")
    trace = lab.simulate(scooter().with_clicks(rebound=20), RIDE, 1.0)
    assert made["mean_body"][1, 0] == pytest.approx(trace.body.mean(), rel=0.02)
    assert made["damper_power"][1, 0] == pytest.approx(lab.damper_power(trace), rel=0.02)


def test_a_local_function_cannot_go_to_other_processes():
    with ProcessPoolExecutor(1) as executor, pytest.raises(lab.LabError, match="cannot be sent to other processes"):
        lab.click_map(scooter(), RIDE, rebound=[3], measures=[lambda trace: 1.0], executor=executor, duration=0.5)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "needs the clicks to try of at least one adjuster"),
        ({"rebound": range(0)}, "rebound has no clicks to try"),
        ({"rebound": [1, 1]}, "same clicks twice"),
        ({"rebound": [1, 99]}, "rebound clicks is 99, where a whole number from 0 to 24"),
        ({"rebound": [1.5]}, "rebound clicks is 1.5, where a whole number"),
        ({"rebound": [1], "measures": []}, "list of measures is empty"),
        ({"rebound": [1], "measures": ["grip"]}, "no measure 'grip'"),
        ({"rebound": [1], "measures": ["damper_power", "damper_power"]}, "one name"),
        ({"rebound": [1], "duration": -1.0}, "duration is -1 s"),
    ],
)
def test_bad_input(given, says):
    with pytest.raises(lab.LabError, match=says):
        lab.click_map(scooter(), RIDE, **given)


def failing(trace):
    raise ZeroDivisionError("nothing to divide by")


def a_list(trace):
    return [1.0, 2.0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"rebound": 5}, "rebound is 5, where a list of clicks"),
        ({"rebound": [3], "measures": None}, "measures are None, where a list"),
        ({"rebound": [3], "measures": [3]}, "measure of this map is 3, where the key"),
        ({"rebound": [3], "measures": [failing]}, r"measure failing gave no number at rebound 3.*nothing to divide"),
        ({"rebound": [3], "measures": [a_list]}, "measure a_list gave no number at rebound 3"),
        ({"rebound": [3], "progress": 2}, "progress is 2, where a function"),
        ({"rebound": [3], "stop": 2}, "stop is 2, where something with is_set"),
        ({"rebound": [3], "executor": 2}, "executor is 2, where one of concurrent.futures"),
        ({"rebound": [3], "excitation": RIDE.road}, r"a speed is missing; give lab.Ride"),
        ({"rebound": [3], "excitation": [None]}, "None is no excitation"),
        ({"rebound": [3], "excitation": "road"}, "'r' is no excitation"),
        ({"rebound": [3], "station": "scooter"}, "station is 'scooter', where a Station"),
        ({"rebound": [3], "step": 0.01}, "samples at most 2 ms apart"),
    ],
)
def test_wrong_kinds_of_things(given, says):
    asked = {"station": scooter(), "excitation": RIDE} | given
    with pytest.raises(lab.LabError, match=says):
        lab.click_map(asked.pop("station"), asked.pop("excitation"), **asked)


def test_one_measure_needs_no_list_and_is_found_by_its_function():
    made = lab.click_map(scooter(), RIDE, rebound=[20, 3], measures=mean_body, duration=0.5)
    assert made.clicks["rebound"] == (3, 20)
    assert np.array_equal(made[mean_body], made["mean_body"])
    assert lab.click_map(scooter(), RIDE, rebound=[3], measures="damper_power", duration=0.5).measures == (
        "damper_power",
    )


def test_a_stopped_map_of_many_rides_holds_whole_settings():
    stop = threading.Event()
    with ThreadPoolExecutor(1) as executor:
        made = lab.click_map(
            scooter(), [RIDE, OTHER], rebound=range(25), low_speed=range(21), duration=1.0, executor=executor,
            stop=stop, progress=lambda now: stop.set() if now.done > 500 else None,
        )  # fmt: skip
    assert not made.complete
    assert np.isfinite(made.over_cases("tyre_load_variation")).sum() > 200
    assert made.best("tyre_load_variation").rebound is not None


def test_a_linkage_of_many_waves_is_simulated_setting_by_setting():
    travel = np.linspace(0.0, 0.08, 30)
    wavy = lab.MotionRatio(wheel_travel=travel, ratio=0.8 + 0.1 * np.sin(500.0 * travel))
    station = replace(scooter(), motion_ratio=wavy)
    made = lab.click_map(station, RIDE, rebound=[4], measures=[mean_body], duration=1.0)
    assert made["mean_body"][0, 0] == mean_body(lab.simulate(station.with_clicks(rebound=4), RIDE, 1.0))


def test_an_adjuster_the_damper_does_not_have():
    with pytest.raises(lab.LabError, match="no high-speed adjuster"):
        lab.click_map(lab.load_station("classroom_rig"), RIDE, high_speed=range(3))


def test_no_ride_at_all():
    with pytest.raises(lab.LabError, match="list of excitations is empty"):
        lab.click_map(scooter(), [], rebound=range(3))


def test_a_billion_cells_are_asked_about_first():
    rides = [RIDE] * 500_000
    with pytest.raises(lab.LabError, match=r"1,050,000,000 runs.*(hours|days).* GB of memory.*large=True"):
        lab.click_map(scooter(), rides, rebound=range(25), low_speed=range(21), high_speed=range(4), duration=4.0)


def test_names_are_told_apart():
    assert different(["a", "b", "a", "a"]) == ["a", "b", "a (2)", "a (3)"]
