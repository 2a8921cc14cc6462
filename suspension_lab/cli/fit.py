"""`suspension-lab fit VEHICLE RECORD.csv`: what of a vehicle is not as its file says."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from suspension_lab.cli.arguments import Parser, number
from suspension_lab.cli.text import listed, table
from suspension_lab.cli.vehicle_options import add_clicks, add_state, add_vehicle, vehicle_as_set
from suspension_lab.cli.writing import writable, written_bytes
from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.fit_release import UNKNOWNS, fit_release
from suspension_lab.workshop.measured.recording import read_recording
from suspension_lab.workshop.reading_fit import in_words, read_fit

USUAL = "rebound-damping,friction"


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    known = ", ".join(name.replace("_", "-") for name in UNKNOWNS)
    parser: Parser = commands.add_parser(
        "fit",
        help="fit a vehicle to a recorded release",
        description="Find what of a vehicle is not as its file says, from a release recorded at it.",
        epilog=(
            "Examples:  suspension-lab fit my_vehicle.toml release.csv --rebound 9 --rider 60\n"
            "           suspension-lab fit my_vehicle.toml release.csv --free friction --picture fit.png\n\n"
            "The record is a CSV of a position or an acceleration over time, with a heading that names both and their\n"
            "units, as `time [s],position [mm]`.\n\nExit codes: 0 done; 2 bad input; 3 could not write."
        ),
    )
    add_vehicle(parser)
    parser.add_argument("record", metavar="RECORD", help="a CSV of the release, from a video or a phone")
    parser.add_argument("--free", default=USUAL, metavar="NAMES", help=f"some of {known} (default: {USUAL})")
    parser.add_argument("--depth", type=number, metavar="MM", help="how far the body was held down, if measured")
    parser.add_argument("--kind", metavar="KIND", help="position or acceleration, where the heading does not say")
    parser.add_argument("--time", metavar="COLUMN", help="the column of the time, by name or number from 1")
    parser.add_argument("--values", metavar="COLUMNS", help="that of the values, or three, with commas between")
    parser.add_argument("--unit", metavar="UNIT", help="m, cm, mm, m/s^2 or g, where the heading does not say")
    parser.add_argument("--picture", metavar="OUT.png", help="write a picture of the fit and what is left over")
    add_clicks(parser, "its clicks when it was recorded, where they differ from its file")
    add_state(parser)
    return {"fit": parser}


def fit(arguments: argparse.Namespace) -> int:
    """Print what was found, and write the picture asked for.

    Returns:
        0.

    Raises:
        LabError: a vehicle, record or name that cannot be, or a place that cannot be written.
    """
    picture = _place(arguments)
    station = vehicle_as_set(arguments)
    record = read_recording(arguments.record, kind=arguments.kind, columns=_columns(arguments), unit=arguments.unit)
    names = [name.strip().replace("-", "_") for name in arguments.free.split(",") if name.strip()]
    depth = None if arguments.depth is None else 1e-3 * arguments.depth
    inside = record.time <= record.until
    signal: dict[str, Any] = {record.kind: record.values[inside]}
    found = fit_release(record.time[inside], station=station, free=names, depth=depth, **signal)
    print(f"{station.name}, fitted to {arguments.record}")
    rows = [(UNKNOWNS[name].label, f"{in_words(each)} (about 95 % sure)") for name, each in found.found.items()]
    print(table([*rows, ("Held down by", f"{1e3 * found.depth:.1f} mm"), ("Let go at", f"{found.let_go:.3f} s")]))
    print("\n" + listed("In words", [*read_fit(found), *record.notes]))
    print("\n" + listed("Cautions", STANDING_TEST))
    if picture:
        from suspension_lab.lab.fit_picture import fit_picture

        content = fit_picture(found)
        word = written_bytes(picture, content)
        print(f"\n{word}: {picture}")
    return 0


def _place(arguments: argparse.Namespace) -> Path | None:
    if arguments.picture is None:
        return None
    out = Path(arguments.picture)
    if out.suffix.lower() != ".png":
        raise LabError(f"--picture is {shown(arguments.picture)}, where a name ending in .png was expected.")
    if writable(out) in (Path(arguments.record).resolve(), Path(arguments.vehicle).resolve()):
        raise LabError(f"{out} would be read and written over; give the picture another name.")
    return out


def _columns(arguments: argparse.Namespace) -> dict[str, Any] | None:
    if arguments.time is None and arguments.values is None:
        return None
    if arguments.time is None or arguments.values is None:
        raise LabError("Columns are chosen by --time and --values together; give both.")
    values = [_column(text) for text in arguments.values.split(",")]
    return {"time": _column(arguments.time), "value": values[0] if len(values) == 1 else values}


def _column(text: str) -> int | str:
    return int(text) if text.strip().isdigit() else text.strip()
