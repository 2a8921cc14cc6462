"""A road read from a file."""

from __future__ import annotations

from pathlib import Path as FilePath

import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.common.text_files import Column, read_number_table
from suspension_lab.excitation.road import Road

LONGEST = 50_000.0
"""The longest road that is read [m]; a longer one is most likely in millimetres."""

_UNITS = {"m": 1.0, "cm": 1e-2, "mm": 1e-3}
_COLUMNS = [
    Column(name="distance", unit="m", units=_UNITS, most=1e7),
    Column(name="height", unit="m", units=_UNITS, most=1e4),
]


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
