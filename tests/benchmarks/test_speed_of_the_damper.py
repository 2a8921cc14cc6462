"""How fast a damper described by its parts follows a click, and minutes of riding with heat. On request."""

import time
from statistics import median

import pytest

import suspension_lab as lab
from suspension_lab.simulation.tables import tables

pytestmark = pytest.mark.benchmark

TABLES_MS = 3.0
TEN_MINUTES_S = 3.0


@pytest.mark.parametrize("name", sorted(lab.demo_vehicles()))
def test_a_changed_click_rebuilds_the_tables(name):
    """With a click not asked for before, so that nothing of it is kept; the station stands at rest already."""
    took = []
    for adjuster, most in lab.load_station(name).damper.adjusters.items():
        for clicks in range(most + 1):
            station = lab.load_station(name).with_clicks(**{adjuster: clicks})
            start = time.perf_counter()
            tables(station)
            took.append(1e3 * (time.perf_counter() - start))
    print(f"\n{name}: tables in {median(took):.2f} ms (median), {sorted(took)[int(0.95 * len(took))]:.2f} ms (95 %)")
    assert median(took) <= TABLES_MS


@pytest.mark.parametrize("name", ["courier_scooter_rear", "trail_bike_rear"])
def test_ten_minutes_of_riding_with_heat(name):
    ride = lab.Ride(lab.roads.washboard(height=0.008, bumps=20, run_in=1.0, run_out=3.0), 7.0)
    lab.warm_up(lab.load_station(name), ride, 60.0)
    start = time.perf_counter()
    run = lab.warm_up(lab.load_station(name), ride, 600.0)
    took = time.perf_counter() - start
    print(f"\n{name}: ten minutes in {took:.2f} s, {run.time.size} instants")
    assert took <= TEN_MINUTES_S
