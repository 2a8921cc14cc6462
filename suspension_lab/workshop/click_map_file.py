"""Reading a map of clicks from the CSV that was written of it."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.text_files import read_text
from suspension_lab.workshop.click_map import CASE, ClickMap, adjusters_in_order

MOST_CLICKS = 200


def read_click_map(path: str | Path) -> ClickMap:
    """A map that `ClickMap.to_csv` wrote; rows may have been sorted otherwise or left out since.

    Raises:
        LabError: file and line of what is missing, doubled or not a number.
    """
    file = Path(path)
    lines = read_text(path, "a click map").splitlines()
    vehicle = lines[0].lstrip("# ").strip() if lines[0].startswith("#") else file.stem
    begin = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), len(lines))
    rows = list(csv.reader(lines[begin:]))
    heading = [cell.strip() for cell in rows[0]] if rows else []
    adjusters = adjusters_in_order(dict.fromkeys(heading))
    measures = [name for name in heading if name not in adjusters and name != CASE]
    if not adjusters or CASE not in heading or not measures or len(set(heading)) < len(heading):
        raise LabError(
            f"{file}, line {begin + 1}: the heading reads {shown(', '.join(heading))}, where the adjusters (rebound, "
            f"low_speed, high_speed), '{CASE}' and the measures were expected, each once; write the map again."
        )
    if len(rows) < 2:
        raise LabError(f"{file} has a heading but no rows below it; a click map was expected.")
    found: dict[tuple[str, ...], list[float]] = {}
    for line, cells in enumerate(rows[1:], begin + 2):
        if not any(cell.strip() for cell in cells):
            continue
        row = dict(zip(heading, cells, strict=False))
        if len(cells) != len(heading):
            raise LabError(f"{file}, line {line}: {len(cells)} cells, where {len(heading)} were expected.")
        place = (*(str(_whole(file, line, name, row[name])) for name in adjusters), row[CASE])
        if place in found:
            raise LabError(
                f"{file}, line {line}: these clicks and this case stand in the file twice; drop one of them."
            )
        found[place] = [_value(file, line, name, row[name]) for name in measures]
    axes = [sorted({int(place[i]) for place in found}) for i in range(len(adjusters))]
    cases = list(dict.fromkeys(place[-1] for place in found))
    values = np.full((*(len(axis) for axis in axes), len(cases), len(measures)), np.nan)
    for place, numbers in found.items():
        at = (*(axis.index(int(clicks)) for axis, clicks in zip(axes, place, strict=False)), cases.index(place[-1]))
        values[at] = numbers
    return ClickMap(
        vehicle=vehicle, clicks={name: tuple(axis) for name, axis in zip(adjusters, axes, strict=True)},
        cases=tuple(cases), measures=tuple(measures), values=values,
    )  # fmt: skip


def _whole(file: Path, line: int, name: str, cell: str) -> int:
    if not cell.strip().isdecimal() or int(cell) > MOST_CLICKS:
        raise LabError(
            f"{file}, line {line}: {name} is {shown(cell)}, where whole clicks from 0 to {MOST_CLICKS} were expected."
        )
    return int(cell)


def _value(file: Path, line: int, name: str, cell: str) -> float:
    if not cell.strip():
        return float("nan")
    try:
        value = float(cell)
    except ValueError:
        value = math.inf
    if math.isinf(value):
        raise LabError(f"{file}, line {line}: {name} is {shown(cell)}, where a number was expected.")
    return value
