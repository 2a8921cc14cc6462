"""Vehicle files: TOML in the trade's units, checked, and turned into a station."""

from __future__ import annotations

import re
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.common.text_files import read_text
from suspension_lab.vehicle.station import Station


def data_folder() -> Path:
    """The folder `data/`, beside the package in a checkout and inside it once installed."""
    package = Path(str(resources.files("suspension_lab")))
    shipped = package / "_shipped" / "data"
    return shipped if shipped.is_dir() else package.parent / "data"


def demo_vehicles() -> dict[str, Path]:
    """Name -> file of the invented demo vehicles."""
    return {file.stem: file for file in sorted((data_folder() / "vehicles").glob("*.toml"))}


def load_station(name_or_path: str | Path) -> Station:
    """A station from a demo vehicle's name or a path to a vehicle file.

    Raises:
        LabError: no such vehicle or file, or the file's first fault with its line and key.
    """
    text = str(name_or_path)
    demos = demo_vehicles()
    if text in demos:
        return read_vehicle(demos[text])
    if isinstance(name_or_path, str) and not re.search(r"[./\\]", text):
        raise LabError(
            f"There is no demo vehicle '{text}'; {nearest_name(text, demos)} A path to a .toml file works too."
        )
    return read_vehicle(Path(name_or_path))


def read_vehicle(path: str | Path) -> Station:
    """A station from a vehicle file.

    Raises:
        LabError: names the file, the line and the key of the first fault, and what was expected.
    """
    from suspension_lab.vehicle.vehicle_model import station_from

    file = Path(path)
    text = read_text(file, "a vehicle file (.toml)")
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        hint = " (a decimal number takes a point)" if re.search(r"=\s*-?\d+,\d", text) else ""
        raise LabError(f"{file} is not valid TOML: {error}{hint}.") from None
    return station_from(content, file, text)


def line_of(text: str, keys: tuple[Any, ...]) -> int | None:
    """The line on which a key of a TOML text stands, or the nearest table above it."""
    table: list[str] = []
    wanted = [str(key) for key in keys if not isinstance(key, int)]
    best: int | None = None
    for number, line in enumerate(text.splitlines(), 1):
        heading = re.match(r"\s*\[([^\[\]]+)\]", line)
        if heading:
            table = [part.strip().strip('"') for part in heading.group(1).split(".")]
            if table == wanted[: len(table)]:
                best = number
        key = re.match(r"\s*([A-Za-z0-9_\-.]+)\s*=", line)
        if key and [*table, *key.group(1).split(".")] == wanted[: len(table) + key.group(1).count(".") + 1]:
            return number
    return best
