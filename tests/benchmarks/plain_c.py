"""The march in plain C, to measure the compiled one against, and how durations are taken."""

import ctypes
import shutil
import statistics
import subprocess
import time
from pathlib import Path
from unittest import mock

import numpy as np
import pytest
from ten_seconds_of_road import DURATION

import suspension_lab as lab
from suspension_lab.simulation import kernel


def timed(call, times):
    """The median of the durations [s], in processor time, which others on the machine do not lengthen."""
    took = []
    for _ in range(times):
        start = time.process_time()
        call()
        took.append(time.process_time() - start)
    return statistics.median(took)


def built(tmp_path_factory):
    """The march in plain C, or a skip where there is no gcc."""
    gcc = shutil.which("gcc")
    if gcc is None:
        pytest.skip("no gcc here")
    library = tmp_path_factory.mktemp("c") / "loop.so"
    source = Path(__file__).with_name("loop.c")
    subprocess.run(
        [gcc, "-O3", "-march=native", "-shared", "-fPIC", "-o", str(library), str(source), "-lm"], check=True
    )
    function = ctypes.CDLL(str(library)).march
    function.restype = None
    return function


def arguments(run):
    """What `simulate` hands to the kernel."""
    with mock.patch.object(kernel, "march", wraps=kernel.march) as march:
        lab.simulate(*run, DURATION)
    return march.call_args.args


def call_c(function, arguments):
    samples, step, substeps, state, constants, suspension, damper, road, hand, breaks, play = arguments
    assert play is None
    out = np.empty((samples, kernel.OUT_COLUMNS))

    def pointer(array):
        return array.ctypes.data_as(ctypes.POINTER(ctypes.c_double))

    constants = np.array(constants)
    function(
        ctypes.c_long(samples), ctypes.c_double(step), ctypes.c_long(substeps), pointer(state), pointer(constants),
        pointer(suspension), ctypes.c_long(suspension.shape[0]), pointer(damper), ctypes.c_long(damper.shape[1]),
        pointer(road), pointer(hand), pointer(breaks), pointer(out),
    )  # fmt: skip
    return out
