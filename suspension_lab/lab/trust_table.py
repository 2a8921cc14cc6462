"""How far to trust it: our numbers beside published ones, and beside what differs from day to day."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

import ipywidgets as widgets
import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.lab.tables import paragraphs, table
from suspension_lab.measures.measure import Measure
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.day_to_day import day_to_day
from suspension_lab.workshop.trust import ONLY_IN_TESTS, TrustRow, read_trust, trust_rows

FROM_A_RECORD = "Measured"
"""The topic that is not folded away."""
WIDTHS = {"What it is": 33, "Reference": 13, "Ours": 13, "Difference": 13, "Tolerance": 15, "Ours lies": 13}
"""Columns of every topic alike [% of the table]."""
WORDED = ("What it is", "Ours lies")
"""Columns of words; the others are numbers."""
UNITS = {
    "1": "", "1/1000": "thousandths", "1/natural frequency": "1 / natural frequency", "1e-6 m^3": "millionths of 1 m³"
}  # fmt: skip
MOST_DIGITS = 6
"""Behind the point, of a value; a difference smaller than that shows as 0."""
CELL = "text-align:left;vertical-align:top;padding:3px 12px 3px 0"
NUMBER = "text-align:right;vertical-align:top;padding:3px 12px 3px 0;font-variant-numeric:tabular-nums"


def trust_table(folder: str | Path | None = None) -> widgets.Widget:
    """Our numbers beside published ones, read or computed now, with tolerance and source; it takes a second or two.

    A reference file that cannot be read is told in a sentence in place of the table.

    Args:
        folder: where the reference files lie; None: those that come with the lab.
    """
    try:
        rows = trust_rows(None if folder is None else Path(folder))
    except LabError as error:
        return paragraphs([str(error)])
    parts = {topic: _topic(topic, list(members)) for topic, members in groupby(rows, key=lambda row: row.topic)}
    measured = "".join(part for topic, part in parts.items() if topic == FROM_A_RECORD)
    others = "".join(part for topic, part in parts.items() if topic != FROM_A_RECORD)
    folded = f"<details><summary>All rows, by what they belong to</summary>{others}</details>"
    return widgets.VBox([paragraphs(read_trust(rows)), widgets.HTML(measured + folded), _more()])


def day_table(vehicle: str = "courier_scooter_rear") -> widgets.Widget:
    """What load, tyre pressure, oil, friction and one click of rebound each move, one at a time.

    A vehicle that cannot be simulated so is told in a sentence in place of the table.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.
    """
    try:
        station = load_station(vehicle)
        days = day_to_day(station)
    except LabError as error:
        return paragraphs([str(error)])
    heads = (station.name, *(measure.label for measure in days.usual))
    rows = [("as it stands in its file", *(measure.text for measure in days.usual))]
    rows += [(row.varied, *map(_from_to, row.low, row.high)) for row in days.rows]
    return table(heads, rows, wraps=True)


def _from_to(low: Measure, high: Measure) -> str:
    return low.text if low.text == high.text else f"{low.shown} to {high.text}"


def _topic(topic: str, rows: Sequence[TrustRow]) -> str:
    """A table of its own, its rows under their sources."""
    heads = "".join(
        f'<th scope="col" style="{CELL if head in WORDED else NUMBER};width:{width}%">{head}</th>'
        for head, width in WIDTHS.items()
    )
    bodies = []
    for source, members in groupby(rows, key=lambda row: row.reference.source):
        said = html.escape(source)
        over = (
            f'<tr><th scope="rowgroup" colspan="{len(WIDTHS)}" style="{CELL};font-weight:400"><em>{said}</em></th></tr>'
        )
        bodies.append(f"<tbody>{over}{''.join(map(_row, members))}</tbody>")
    caption = f"<caption style='{CELL};font-weight:600;font-size:115%;padding-top:14px'>{html.escape(topic)}</caption>"
    style = "line-height:1.4;border-collapse:collapse;table-layout:fixed;width:100%;max-width:1060px"
    return f"<table style='{style}'>{caption}<thead><tr>{heads}</tr></thead>{''.join(bodies)}</table>"


def _row(row: TrustRow) -> str:
    reference = row.reference
    digits, exact = _digits(reference.tolerance), reference.tolerance == 0.0
    values = (_shown(value, digits, exact=exact) for value in (reference.value, row.ours, row.difference))
    numbers = (*values, _tolerance(reference.tolerance))
    verdict = row.verdict if row.within else f"<strong>{row.verdict}</strong>"
    return (
        f'<tr><th scope="row" style="{CELL};font-weight:400">{html.escape(row.words + _unit(reference.unit))}</th>'
        + "".join(f'<td style="{NUMBER}">{text}</td>' for text in numbers)
        + f'<td style="{CELL}">{verdict}</td></tr>'
    )


def _tolerance(tolerance: float) -> str:
    if tolerance == 0.0:
        return "exact"
    least = 10.0**-MOST_DIGITS
    shown = np.format_float_positional(max(tolerance, least), trim="-")
    return f"±\N{NO-BREAK SPACE}{shown}{' or less' if tolerance < least else ''}"


def _digits(tolerance: float) -> int:
    """Behind the point: one more than the tolerance has."""
    if tolerance == 0.0:
        return MOST_DIGITS
    return min(MOST_DIGITS, max(0, 1 - math.floor(math.log10(tolerance))))


def _shown(value: float, digits: int, *, exact: bool = False) -> str:
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        return "0"
    return (text.rstrip("0").rstrip(".") if exact else text).replace("-", "\N{MINUS SIGN}")


def _unit(unit: str) -> str:
    """As it stands behind a quantity."""
    shown = UNITS.get(unit, unit).replace("^2", "²").replace("^3", "³")
    return f" [{shown}]" if shown else ""


def _more() -> widgets.HTML:
    """What else the tests hold."""
    items = "".join(f"<li><code>{name}</code>: {html.escape(what)}</li>" for name, what in ONLY_IN_TESTS.items())
    return widgets.HTML(
        "<details style='max-width:860px;line-height:1.45'><summary>What else the lab's own tests hold, file by file"
        f"</summary><ul>{items}</ul></details>"
    )
