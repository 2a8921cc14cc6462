"""A map of clicks in plain words: checked on maps made by hand, whose answers can be read off."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.vehicle.vehicle_file import demo_vehicles
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.landscape import Landscape
from suspension_lab.workshop.reading_click_map import NOT_COMPLETE, NOTHING, read_click_map
from suspension_lab.workshop.release_test import Verdict, rebound_verdicts, target_time

VARIATION, COMFORT = "tyre_load_variation", "weighted_acceleration"


def made(variation: Sequence[Sequence[float]], comfort: Sequence[Sequence[float]] | None = None) -> lab.ClickMap:
    """A map with rebound down the rows and low-speed compression along them."""
    layers = [np.array(variation, dtype=float), *([np.array(comfort, dtype=float)] if comfort is not None else [])]
    rows, columns = layers[0].shape
    return lab.ClickMap(
        vehicle="by hand", clicks={"rebound": tuple(range(rows)), "low_speed": tuple(range(columns))},
        cases=("road",), measures=(VARIATION, COMFORT)[: len(layers)], values=np.stack(layers, axis=-1)[:, :, None, :],
    )  # fmt: skip


VALLEY = made(
    [[0.30, 0.26, 0.24], [0.22, 0.20, 0.21], [0.28, 0.25, 0.23]], [[2.0, 1.8, 1.6], [1.8, 1.5, 1.2], [1.4, 1.2, 1.0]]
)


def words(rebound: int, low_speed: int, source: lab.ClickMap = VALLEY, measure: str = VARIATION) -> list[str]:
    return read_click_map(Landscape(made=source, measure=measure), lab.Clicks(rebound=rebound, low_speed=low_speed))


def test_each_adjuster_is_turned_towards_the_best_of_its_line() -> None:
    said = words(0, 0)
    assert "tyre load variation 30.0 % of the load at rest, 50.0 % worse than the best" in said[0]
    assert said[1].startswith("Open rebound (counter-clockwise) by 1 click, to 1: tyre load variation 30.0 → 22.0 %")
    assert said[2].startswith(
        "Open low-speed compression (counter-clockwise) by 2 clicks, to 2 (the open end of the map): "
    )
    assert "30.0 → 24.0 %" in said[2]
    assert "weighted body acceleration 2.00 → 1.60 m/s²" in said[2]
    said = words(2, 2)
    assert said[1].startswith("Close rebound (clockwise) by 1 click, to 1: tyre load variation 23.0 → 21.0 %")
    assert said[2].startswith("Low-speed compression can stay")


def test_best_cell_and_how_wide_its_valley_is() -> None:
    said = " ".join(words(1, 1))
    assert "it is the best cell of the map" in said
    assert "The best cell of the map is rebound 1, low-speed compression 1: 20.0 % of the load at rest." in said
    assert "rebound from 1 to 1 and low-speed compression from 1 to 2, each turned alone; 2 of 9 cells" in said


def test_comfort_lies_elsewhere_and_what_it_gives_up() -> None:
    last = words(1, 1)[-2]
    assert "Comfort is best elsewhere, at rebound 2, low-speed compression 2" in last
    assert "gains weighted body acceleration 1.50 → 1.00 m/s²" in last
    assert "gives up tyre load variation 20.0 → 23.0 % of the load at rest" in last
    other = words(1, 1, measure=COMFORT)[-2]
    assert "evenness of the tyre load is best elsewhere, at rebound 1, low-speed compression 1" in other


def test_a_map_on_which_all_is_the_same() -> None:
    said = words(0, 1, made([[0.2, 0.2005], [0.2, 0.2]]))
    assert "the same in every cell" in said[0]
    assert not any("Open" in sentence or "best cell is" in sentence for sentence in said)


def test_a_map_that_was_stopped() -> None:
    nan = float("nan")
    said = words(1, 1, made([[0.3, 0.2, 0.25], [nan, nan, nan]]))
    assert said[0] == NOT_COMPLETE
    assert "was not measured" in said[1]
    assert "The best cell of the map is rebound 0 (fully closed), low-speed compression 1: 20.0 %" in said[2]
    assert words(0, 0, made([[nan, nan]])) == [NOTHING]


def test_where_more_is_better_the_largest_is_the_best() -> None:
    source = lab.ClickMap(
        vehicle="by hand", clicks={"rebound": (0, 1), "low_speed": (0, 1)}, cases=("road",),
        measures=("smallest_tyre_load",), values=np.array([[0.1, 0.4], [0.2, 0.3]]).reshape(2, 2, 1, 1),
    )  # fmt: skip
    land = Landscape(made=source, measure="smallest_tyre_load")
    assert land.best == (0, 1)
    assert list(land.floor) == [1.0, 1.0]
    assert land.near.tolist() == [[False, True], [False, False]]
    assert words(0, 0, source, "smallest_tyre_load")[1].startswith("Open rebound (counter-clockwise) by 1 click")


def test_floor_is_the_best_of_each_row_and_empty_where_nothing_was_measured() -> None:
    nan = float("nan")
    land = Landscape(made=made([[0.3, 0.1, 0.2], [0.1, 0.2, 0.3], [nan, nan, nan], [0.3, nan, 0.2]]), measure=VARIATION)
    assert land.floor == pytest.approx([1.0, 0.0, nan, 2.0], nan_ok=True)


FIRST_TOO_CLOSED = {0: Verdict.TOO_CLOSED, 1: Verdict.PASSES, 2: Verdict.PASSES}


def test_only_rebound_that_passes_the_release_test_is_offered() -> None:
    """By hand: the lowest of all is in the first row, which creeps; of the others it is row 2, column 1."""
    source = made([[0.10, 0.11, 0.12], [0.30, 0.28, 0.29], [0.26, 0.20, 0.27]])
    land = Landscape(made=source, measure=VARIATION, verdicts=FIRST_TOO_CLOSED)
    assert land.best == (2, 1)
    assert land.near.tolist() == [[False] * 3, [False] * 3, [False, True, False]]
    assert land.floor == pytest.approx([np.nan, 1.0, 1.0], nan_ok=True)
    assert land.reach == {"rebound": (2, 2), "low_speed": (1, 1)}
    said = read_click_map(land, lab.Clicks(rebound=2, low_speed=1))
    assert "best cell of those that pass the release test" in said[0]
    assert not any("to 0" in sentence for sentence in said)
    said = read_click_map(land, lab.Clicks(rebound=1, low_speed=0))
    assert said[1].startswith("Open rebound (counter-clockwise) by 1 click, to 2 (the open end of the map): ")


def test_a_rebound_at_the_edge_of_the_release_test_is_called_so() -> None:
    source = made([[0.10, 0.11], [0.20, 0.21], [0.30, 0.31]])
    land = Landscape(made=source, measure=VARIATION, verdicts=FIRST_TOO_CLOSED)
    said = read_click_map(land, lab.Clicks(rebound=2, low_speed=0))
    assert "by 1 click, to 1 (one click further it creeps back in the release test): " in said[1]


def test_a_refused_cell_is_sent_to_the_release_test_and_turned_nowhere() -> None:
    said = read_click_map(
        Landscape(made=VALLEY, measure=VARIATION, verdicts=FIRST_TOO_CLOSED), lab.Clicks(rebound=0, low_speed=0)
    )
    assert "rebound 0 creeps back: too closed: set it there first (clicks 1 to 2 pass at this load" in said[1]
    assert not any(sentence.startswith(("Open", "Close")) for sentence in said)
    assert said[-1] == REBOUND_FIRST
    swings = Landscape(made=VALLEY, measure=VARIATION, verdicts=dict.fromkeys(range(3), Verdict.TOO_OPEN))
    said = read_click_map(swings, lab.Clicks(rebound=1, low_speed=1))
    assert "swings on: too open: no click of this adjuster passes" in said[1]
    assert not any("best" in sentence for sentence in said)


@pytest.mark.parametrize("name", demo_vehicles())
@pytest.mark.parametrize("measure", [VARIATION, COMFORT])
def test_no_word_on_a_demo_vehicle_leads_out_of_the_release_test(name: str, measure: str) -> None:
    """Every click that a sentence leads to is put to the release test itself, simulated anew."""
    station = lab.load_station(name)
    tried = range(0, station.damper.adjusters["rebound"] + 1, 2)
    ride = lab.Ride(lab.roads.iso8608("C", length=22.0, seed=1), 10.0)
    source = lab.click_map(station, ride, rebound=tried, low_speed=range(0, 9, 4))
    verdicts = rebound_verdicts(station)
    land = Landscape(made=source, measure=measure, verdicts=verdicts)
    for rebound in tried:
        said = read_click_map(land, station.with_clicks(rebound=rebound, low_speed=4).clicks)
        for found in re.findall(r"ebound(?: \([a-z-]+\) by \d+ clicks?, to)? (\d+)", " ".join(said[2:])):
            turned = station.with_clicks(rebound=int(found), low_speed=8)
            trace = lab.simulate(turned, lab.Release(depth=0.025))
            assert lab.swings(trace) <= 1
            assert lab.settling_time(trace) <= 1.2 * target_time(turned)


def test_other_maps_and_clicks_are_refused() -> None:
    alone = lab.ClickMap(
        vehicle="by hand", clicks={"rebound": (0,)}, cases=("road",), measures=(COMFORT,), values=np.ones((1, 1, 1))
    )
    with pytest.raises(lab.LabError, match="over two adjusters, but got one over 1"):
        Landscape(made=alone, measure=COMFORT)
    with pytest.raises(lab.LabError, match="no rebound 7"):
        words(7, 0)
