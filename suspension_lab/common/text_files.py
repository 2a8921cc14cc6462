"""Reading text files and tables of numbers, as spreadsheets of any country write them."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError


def read_text(path: str | Path, what: str) -> str:
    """The text of a file.

    Args:
        path: the file.
        what: what it should be, for the message ("a vehicle file").

    Raises:
        LabError: no such file, a folder, no permission, empty, or not text.
    """
    file = Path(path)
    try:
        raw = file.read_bytes()
    except FileNotFoundError:
        raise LabError(f"{file}: there is no such file; give the path of {what}.") from None
    except (IsADirectoryError, NotADirectoryError):
        raise LabError(f"{file} is a folder or lies under a file; give the path of {what}.") from None
    except PermissionError:
        raise LabError(f"{file} may not be read; ask its owner for permission or copy {what} elsewhere.") from None
    except (OSError, ValueError) as error:
        raise LabError(f"{str(file)!r} could not be read ({error}); give the path of {what}.") from None
    if not raw.strip():
        raise LabError(f"{file} is empty; {what} was expected.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    if b"\0" in raw:
        raise LabError(f"{file} is not a text file; {what} was expected (export it as CSV text).")
    return raw.decode("latin-1")


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a table: its plain name and the factors of the units its heading may carry."""

    name: str
    unit: str
    units: dict[str, float] = field(default_factory=dict)
    """Unit as written in a heading (`mm/s` or `mm_per_s`) -> factor to SI."""


@dataclass(frozen=True, kw_only=True)
class NumberTable:
    """Numbers read from a file, with the line each row stood on."""

    path: Path
    columns: dict[str, Array]
    lines: tuple[int, ...]

    def __getitem__(self, name: str) -> Array:
        return self.columns[name]


def read_number_table(path: str | Path, columns: list[Column], what: str) -> NumberTable:
    """A table of numbers from CSV text.

    Commas, semicolons, tabs or blanks may stand between the columns; decimal commas are read where commas do
    not separate. A heading may name the columns in any order, each with its unit (`speed [mm/s]`,
    `speed_mm_per_s`); without a heading the columns stand in the given order, in SI units. Lines that begin
    with `#` are skipped.

    Raises:
        LabError: names the file and the line that is not understood.
    """
    text = read_text(path, what)
    file = Path(path)
    numbered = [(i, line) for i, line in enumerate(text.splitlines(), 1) if line.strip() and not line.startswith("#")]
    if not numbered:
        raise LabError(f"{file} holds no rows; {what} was expected.")
    mark = _separator([line for _, line in numbered])
    rows = [(i, _split(line, mark)) for i, line in numbered]
    order, factors = list(range(len(columns))), [1.0] * len(columns)
    if not any(_looks_like_number(cell) for cell in rows[0][1]):
        order, factors = _heading(file, rows[0][0], rows[0][1], columns)
        rows = rows[1:]
    if not rows:
        raise LabError(f"{file} has a heading but no rows; {what} was expected.")
    found = np.empty((len(rows), len(columns)))
    for r, (line, cells) in enumerate(rows):
        if len(cells) <= max(order) or (len(cells) > len(columns) and order == list(range(len(columns)))):
            raise LabError(
                f"{file}, line {line}: {len(cells)} cells, where {_names(columns)} were expected; if your "
                "spreadsheet writes decimal commas, save with semicolons between the columns."
            )
        for c, column in enumerate(columns):
            found[r, c] = factors[c] * _number(file, line, column, cells[order[c]])
    data = {column.name: found[:, c].copy() for c, column in enumerate(columns)}
    return NumberTable(path=file, columns=data, lines=tuple(line for line, _ in rows))


def _separator(lines: list[str]) -> str:
    for mark in (";", "\t"):
        if mark in lines[-1]:
            return mark
    if "," in lines[-1] and not re.search(r"\d,\d+\s+[-+]?\d", lines[-1]):
        return ","
    return " "


def _split(line: str, mark: str) -> list[str]:
    if mark == " ":
        return line.split()
    cells = [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def _decimal(cell: str) -> str:
    if "," in cell and "." in cell:
        return cell
    return cell.replace(",", ".")


def _looks_like_number(cell: str) -> bool:
    try:
        float(_decimal(cell))
    except ValueError:
        return False
    return True


def _number(file: Path, line: int, column: Column, cell: str) -> float:
    try:
        value = float(_decimal(cell))
    except ValueError:
        value = float("nan")
    if not np.isfinite(value):
        shown = f"'{cell}'" if cell else "an empty cell"
        raise LabError(f"{file}, line {line}: {column.name} is {shown}, where a number was expected.")
    return value


def _heading(file: Path, line: int, cells: list[str], columns: list[Column]) -> tuple[list[int], list[float]]:
    plain = [_plain(cell) for cell in cells]
    order, factors = [], []
    for column in columns:
        name = _plain(column.name)
        at = next((i for i, cell in enumerate(plain) if cell == name or cell.startswith(name + "_")), None)
        if at is None:
            raise LabError(
                f"{file}, line {line}: the heading names {', '.join(repr(cell) for cell in cells)} but no column "
                f"'{column.name}'; {_names(columns)} were expected."
            )
        unit = plain[at][len(name) :].strip("_")
        known = {_plain(key): factor for key, factor in column.units.items()} | {"": 1.0}
        if unit not in known:
            raise LabError(
                f"{file}, line {line}: column '{cells[at]}' has a unit that is not known here; "
                f"write one of {', '.join(column.units) or column.unit}."
            )
        order.append(at)
        factors.append(known[unit])
    return order, factors


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", text.lower().replace("/", "_per_")).strip("_")


def _names(columns: list[Column]) -> str:
    return f"{len(columns)} columns ({', '.join(f'{c.name} [{c.unit}]' for c in columns)})"
