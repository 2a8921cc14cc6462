"""How fast a run is, against a general solver and against plain C. On request: pytest -m benchmark."""

import statistics
import subprocess
import sys
import time

import numpy as np
import pytest
from plain_c import arguments, built, call_c, timed
from scipy.integrate import solve_ivp
from ten_seconds_of_road import DURATION, equations_in_floats, equations_of_its_parts, ride, station

import suspension_lab as lab
from suspension_lab.simulation import kernel

pytestmark = pytest.mark.benchmark

FASTER_THAN_LSODA = 1000.0
FASTER_THAN_LSODA_ON_HAND_WRITTEN_FLOATS = 300.0
"""Of equations nobody would write for every vehicle; measured so that the larger number is not taken for more."""
SLOWER_THAN_C = 2.0
IMPORT_SECONDS = 0.6


@pytest.fixture(scope="module")
def run():
    vehicle, excitation = station(), ride()
    lab.simulate(vehicle, excitation, DURATION)  # compiles, and rolls the wheel over the road once
    return vehicle, excitation


def test_simulate(benchmark, run):
    trace = benchmark(lab.simulate, *run, DURATION)
    assert trace.time[-1] == pytest.approx(DURATION)


@pytest.mark.parametrize(
    ("equations", "at_least"),
    [
        (equations_of_its_parts, FASTER_THAN_LSODA),
        (equations_in_floats, FASTER_THAN_LSODA_ON_HAND_WRITTEN_FLOATS),
    ],
)
def test_faster_than_lsoda_and_within_a_hundredth_of_a_millimetre(run, equations, at_least):
    vehicle, excitation = run
    trace = lab.simulate(vehicle, excitation, DURATION)
    before = timed(lambda: lab.simulate(vehicle, excitation, DURATION), 100)
    start = time.process_time()
    answer = solve_ivp(
        equations(vehicle, excitation), (0.0, DURATION), np.zeros(4), method="LSODA", rtol=1e-6, t_eval=trace.time
    )
    lsoda = time.process_time() - start
    after = timed(lambda: lab.simulate(vehicle, excitation, DURATION), 100)
    ratio = lsoda / (0.5 * (before + after))
    apart = max(np.abs(trace.body - answer.y[0]).max(), np.abs(trace.wheel - answer.y[1]).max())
    print(
        f"\n{equations.__name__}: simulate {before * 1e3:.2f} ms before and {after * 1e3:.2f} ms after, "
        f"LSODA {lsoda:.2f} s: {ratio:.0f} times; {apart * 1e3:.5f} mm apart"
    )
    assert np.ptp(answer.y[0]) > 0.03
    assert apart < 1e-5
    assert ratio >= at_least


@pytest.fixture(scope="module")
def in_c(tmp_path_factory):
    return built(tmp_path_factory)


def test_at_most_twice_the_time_of_plain_c_and_the_same_answer(run, in_c):
    given = arguments(run)
    ours, theirs = kernel.march(*given), call_c(in_c, given)
    scale = np.abs(theirs).max(axis=0) + 1e-12
    assert (np.abs(ours - theirs).max(axis=0) < 1e-9 * scale).all()
    pairs = [(timed(lambda: kernel.march(*given), 5), timed(lambda: call_c(in_c, given), 5)) for _ in range(20)]
    ratio = statistics.median(a / b for a, b in pairs)
    ours, plain = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(f"\nkernel {ours * 1e3:.3f} ms, plain C {plain * 1e3:.3f} ms: {ratio:.2f} times")
    assert ratio <= SLOWER_THAN_C


def test_importing_the_lab():
    """In fresh processes, by the clock, without the interpreter's own start; the fastest, as others may be at work."""
    script = "import time; start = time.perf_counter(); import suspension_lab; print(time.perf_counter() - start)"
    took = [
        float(subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout)
        for _ in range(7)
    ]
    print(f"\nimport: fastest {min(took):.3f} s, median {statistics.median(took):.3f} s")
    assert min(took) <= IMPORT_SECONDS


def test_time_grows_with_the_length_of_the_run(run):
    """Ten times the time simulated costs about ten times the time, not a hundred."""
    vehicle, excitation = run
    short, long = (timed(lambda d=duration: lab.simulate(vehicle, excitation, d), 20) for duration in (2.0, 20.0))
    assert long / short < 12.0
