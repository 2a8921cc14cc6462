"""A map on a real Dask cluster of two worker processes on this machine."""

import numpy as np
import pytest

import suspension_lab as lab

distributed = pytest.importorskip("distributed")


@pytest.mark.filterwarnings("ignore")
def test_two_worker_processes_give_the_same_numbers():
    ride = lab.Ride(lab.roads.iso8608("C", length=40.0, seed=2), 10.0)
    station = lab.load_station("courier_scooter_rear")
    asked = {"rebound": range(0, 25, 3), "low_speed": range(0, 21, 4)}
    here = lab.click_map(station, ride, **asked)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        workers = client.run(lambda: __import__("os").getpid())
        assert len(set(workers.values())) == 2
        there = lab.click_map(station, ride, **asked, executor=client.get_executor())
    assert np.array_equal(there.values, here.values)
    assert there.note == ""
