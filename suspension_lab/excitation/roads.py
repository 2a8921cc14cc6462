"""Roads by shape, and a road read from a file.

Every shape stands between a level run-in and run-out, so that a ride begins at rest and can settle.
"""

from __future__ import annotations

from pathlib import Path as FilePath

import numpy as np

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.common.text_files import Column, read_number_table
from suspension_lab.excitation.road import Road

EDGE = 0.005
"""How far a broken edge leans [m]; an upright edge would be two heights at one distance."""

LONGEST = 50_000.0
"""The longest road that is read [m]; a longer one is most likely in millimetres."""

_UNITS = {"m": 1.0, "cm": 1e-2, "mm": 1e-3}
_COLUMNS = [
    Column(name="distance", unit="m", units=_UNITS, most=1e7),
    Column(name="height", unit="m", units=_UNITS, most=1e4),
]


def pothole(*, length: float = 0.4, depth: float = 0.04, run_in: float = 2.0, run_out: float = 10.0) -> Road:
    """A hole with broken edges: short and sharp.

    Args:
        length: at the top [m].
        depth: [m].
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero, or a hole shorter than its two edges.
    """
    positive("pothole depth", depth, "m")
    if number("pothole length", length, "m") <= 2.0 * EDGE:
        raise LabError(f"pothole length is {length:g} m, where more than {2 * EDGE:g} m was expected.")
    return _between([0.0, EDGE, length - EDGE, length], [0.0, -depth, -depth, 0.0], run_in, run_out, "pothole")


def kerb(*, height: float = 0.05, length: float | None = None, run_in: float = 2.0, run_out: float = 10.0) -> Road:
    """A step up with a broken edge; with a length, down again after it.

    Args:
        height: [m].
        length: of the raised part [m]; None: it stays up.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero.
    """
    positive("kerb height", height, "m")
    if length is None:
        return _between([0.0, EDGE], [0.0, height], run_in, run_out, "kerb")
    if number("kerb length", length, "m") <= 2.0 * EDGE:
        raise LabError(f"kerb length is {length:g} m, where more than {2 * EDGE:g} m was expected.")
    return _between([0.0, EDGE, length - EDGE, length], [0.0, height, height, 0.0], run_in, run_out, "kerb")


def long_hump(*, length: float = 5.0, height: float = 0.08, run_in: float = 2.0, run_out: float = 15.0) -> Road:
    """One whole wave (1 - cos)/2 of a hump: long and smooth, without an edge.

    Args:
        length: from foot to foot [m].
        height: at the middle [m].
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero.
    """
    positive("hump length", length, "m")
    positive("hump height", height, "m")
    x = np.linspace(0.0, length, 201)
    return _between(x, 0.5 * height * (1.0 - np.cos(2.0 * np.pi * x / length)), run_in, run_out, "long hump")


def washboard(
    *, wavelength: float = 0.6, height: float = 0.02, bumps: int = 20, run_in: float = 2.0, run_out: float = 10.0
) -> Road:
    """A run of equal bumps, each a wave (1 - cos)/2.

    Args:
        wavelength: from bump to bump [m].
        height: from trough to crest [m].
        bumps: how many.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero, or a number of bumps that is not whole.
    """
    positive("washboard wavelength", wavelength, "m")
    positive("washboard height", height, "m")
    if int(bumps) != bumps or bumps < 1:
        raise LabError(f"washboard bumps are {bumps!r}, where a whole number from 1 was expected.")
    x = np.linspace(0.0, bumps * wavelength, 40 * int(bumps) + 1)
    return _between(x, 0.5 * height * (1.0 - np.cos(2.0 * np.pi * x / wavelength)), run_in, run_out, "washboard")


def read_csv(path: str | FilePath) -> Road:
    """A measured profile: distance and height, one point a line, heading or none.

    Without a heading the columns are distance and height in metres. Decimal commas and semicolons are read.

    Raises:
        LabError: file and line of what is missing, repeated, backward or not a number.
    """
    table = read_number_table(path, _COLUMNS, "a road profile with distance and height")
    if len(table.lines) < 2:
        raise LabError(
            f"{table.path}, line {table.lines[0]}: this is the only point of the road, where at least 2 were expected; "
            "give one point a line."
        )
    distance = table["distance"]
    bad = np.flatnonzero(np.diff(distance) <= 0.0)
    if bad.size:
        at = int(bad[0]) + 1
        how = "repeats" if distance[at] == distance[at - 1] else "goes backward"
        raise LabError(
            f"{table.path}, line {table.lines[at]}: the distance {how} ({distance[at - 1]:.9g} m, then "
            f"{distance[at]:.9g} m), where it should grow from line to line; sort the rows by distance and drop "
            "doubled ones."
        )
    length = float(distance[-1] - distance[0])
    if length > LONGEST:
        raise LabError(
            f"{table.path}: this road is {length:.6g} m long, where at most {LONGEST:g} m was expected; cut it, or "
            "head the column 'distance [mm]' if it is in mm."
        )
    return Road(distance, table["height"], name=FilePath(path).stem)


def _between(x: list[float] | Array, height: list[float] | Array, run_in: float, run_out: float, name: str) -> Road:
    positive("run-in", run_in, "m")
    positive("run-out", run_out, "m")
    inside = run_in + np.asarray(x, dtype=np.float64)
    level_end = float(np.asarray(height)[-1])
    return Road(
        np.concatenate([[0.0], inside, [inside[-1] + run_out]]),
        np.concatenate([[0.0], height, [level_end]]),
        name=name,
    )
