"""Vehicle files: TOML in the trade's units, checked, and turned into a station."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.common.text_files import read_text
from suspension_lab.vehicle.station import Station


def demo_vehicles() -> dict[str, Path]:
    """Name -> file of the invented demo vehicles."""
    return {file.stem: file for file in sorted((shipped_folder("data") / "vehicles").glob("*.toml"))}


def load_station(name_or_path: str | Path) -> Station:
    """A station from a demo vehicle's name or a path to a vehicle file.

    Raises:
        LabError: no such vehicle or file, or the file's first fault with its line and key.
    """
    text = str(name_or_path)
    demos = demo_vehicles()
    if text in demos:
        return read_vehicle(demos[text])
    if isinstance(name_or_path, str) and not re.search(r"[./\\]", text) and not os.path.exists(text):
        raise LabError(
            f"There is no demo vehicle {shown(text)} and no file of that name (a path ends in .toml); "
            f"{nearest_name(text, demos)}"
        )
    return read_vehicle(Path(name_or_path))


def read_vehicle(path: str | Path) -> Station:
    """A station from a vehicle file.

    Raises:
        LabError: names the file, the line and the key of the first fault, and what was expected.
    """
    from suspension_lab.vehicle.vehicle_builder import station_from

    file = Path(path)
    text = read_text(file, "a vehicle file (.toml)")
    try:
        content = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise LabError(_not_toml(file, text, error)) from None
    return station_from(content, file, text)


def _not_toml(file: Path, text: str, error: Exception) -> str:
    fault = str(error) if isinstance(error, tomllib.TOMLDecodeError) else "too deep or too long"
    place = re.search(r" \(at line (\d+), column \d+\)$", fault)
    line = int(place.group(1)) if place else None
    lines = text.split("\n")
    there = lines[line - 1] if line and line <= len(lines) else ""
    what = fault[: place.start()] if place else re.sub(r" \(at end of document\)$", ", at the end of the file", fault)
    if re.search(r"=\s*[-+]?\d+,\d", there):
        mend = "write a decimal number with a point"
    elif what.startswith(("Cannot overwrite", "Cannot declare")):
        mend = "a key or a [table] stands twice, so delete one of them"
    elif re.search(r"=\s*[A-Za-z]", there) or there.count('"') % 2:
        mend = 'put text between two "quotes"'
    else:
        mend = 'each line is a [table], key = number or key = "text", and # begins a comment'
    return f"{file}{f', line {line}' if line else ''}: this is not valid TOML ({what}); {mend}."
