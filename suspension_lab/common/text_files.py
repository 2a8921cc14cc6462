"""Reading text files and tables of numbers, as spreadsheets of any country write them."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, shown

Row = tuple[int, list[str]]
"""The number of a line and its cells."""
NAMES_ITS_MARK = re.compile(r"sep=.\s*")
"""A line of its own in which some spreadsheets name their separator."""


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
        raise LabError(f"{file}: there is no such file; check the spelling and give the path of {what}.") from None
    except IsADirectoryError:
        raise LabError(f"{file} is a folder; give the path of {what} in it.") from None
    except NotADirectoryError:
        raise LabError(f"{file}: a part of this path is a file, not a folder; give the path of {what}.") from None
    except PermissionError:
        raise LabError(
            f"{file}: you have no permission to read this file; ask its owner, or copy {what} to a folder of your own."
        ) from None
    except (OSError, ValueError) as error:
        raise LabError(f"{shown(str(file))} could not be read ({error}); give the path of {what}.") from None
    if not raw.strip():
        raise LabError(f"{file} is empty; {what} was expected.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    if b"\0" in raw:
        raise LabError(f"{file} is not plain text; {what} was expected, saved as plain text (UTF-8).")
    return raw.decode("latin-1")


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes:
        name: in plain words; a heading must begin with it.
        unit: of the numbers where the heading gives none.
        units: unit as a heading may write it (`mm/s` is also found as `mm_per_s`) -> factor to `unit`.
        most: the largest number that can be meant, without sign, in `unit`.
    """

    name: str
    unit: str
    units: dict[str, float] = field(default_factory=dict)
    most: float = 1e9

    @property
    def title(self) -> str:
        """Name and unit, as a heading could write them."""
        return f"{self.name} [{self.unit}]"


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
    with `#`, and rows without a single entry, are skipped.

    Raises:
        LabError: names the file and the line that is not understood.
    """
    text = read_text(path, what)
    file = Path(path)
    rows = rows_of(text)
    if not rows:
        raise LabError(f"{file} holds no rows; {what} was expected.")
    order, factors, headed = list(range(len(columns))), [1.0] * len(columns), False
    if not any(looks_like_number(cell) for cell in rows[0][1]):
        order, factors = _heading(file, rows[0][0], rows[0][1], columns)
        rows, headed = rows[1:], True
    if not rows:
        raise LabError(f"{file} has a heading but no rows of numbers below it; {what} was expected.")
    found = np.empty((len(rows), len(columns)))
    for r, (line, cells) in enumerate(rows):
        while len(cells) > max(order) + 1 and not cells[-1]:
            cells.pop()
        if len(cells) <= max(order) or (len(cells) > len(columns) and not headed):
            raise LabError(_wrong_count(file, line, cells, columns))
        for c, column in enumerate(columns):
            found[r, c] = factors[c] * _number(file, line, column, factors[c], cells[order[c]])
    data = {column.name: found[:, c].copy() for c, column in enumerate(columns)}
    return NumberTable(path=file, columns=data, lines=tuple(line for line, _ in rows))


def rows_of(text: str) -> list[Row]:
    """The rows that hold something, each with its line's number."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    kept = [(i, line) for i, line in enumerate(lines, 1) if line.strip() and not line.lstrip().startswith("#")]
    kept = [(i, line) for i, line in kept if not NAMES_ITS_MARK.fullmatch(line)]
    if not kept:
        return []
    mark = _separator([line for _, line in kept])
    rows = [(i, _split(line, mark)) for i, line in kept]
    return [(i, cells) for i, cells in rows if any(cells)]


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
    # A quote that is never closed would swallow the marks behind it.
    quoted = '"' in line and line.count('"') % 2 == 0 and len(line) < csv.field_size_limit()
    cells = next(csv.reader([line], delimiter=mark)) if quoted else line.split(mark)
    return [cell.strip() for cell in cells]


def decimal_point(cell: str) -> str:
    """A cell with a decimal point where it has a decimal comma."""
    if "," in cell and "." in cell:
        return cell
    return cell.replace(",", ".")


def looks_like_number(cell: str) -> bool:
    """Whether a cell is a number, with either mark."""
    try:
        float(decimal_point(cell))
    except ValueError:
        return False
    return True


def _number(file: Path, line: int, column: Column, factor: float, cell: str) -> float:
    try:
        value = float(decimal_point(cell))
    except ValueError:
        value = float("nan")
    if not np.isfinite(value):
        if not cell:
            raise LabError(
                f"{file}, line {line}: the cell of {column.name} is empty, where a number was expected; "
                "fill it in, or delete the line."
            )
        mend = "write 1234.5 without marks for thousands" if "," in cell and "." in cell else "put a number there"
        raise LabError(
            f"{file}, line {line}: {column.name} is {shown(cell)}, where a number was expected; "
            f"{mend}, or delete the line."
        )
    if abs(factor * value) > column.most:
        small = next((unit for unit, other in column.units.items() if other == 1e-3 * factor), None)
        mend = f"if it is in {small}, head the column '{column.name} [{small}]'" if small else "check the unit"
        raise LabError(
            f"{file}, line {line}: {column.name} is {factor * value:g} {column.unit}, where at most {column.most:g} "
            f"{column.unit} was expected; {mend}."
        )
    return value


def _wrong_count(file: Path, line: int, cells: list[str], columns: list[Column]) -> str:
    many = f"{len(cells)} cell" + ("s" if len(cells) != 1 else "")
    mend = "fill in what is missing, or delete the line"
    if len(cells) == 2 * len(columns):
        mend = "if your spreadsheet writes decimal commas, save with semicolons between the columns"
    elif len(cells) > len(columns):
        mend = "head the columns with their names, or take out what is too much"
    return f"{file}, line {line}: {many} found, where {_names(columns)} were expected; {mend}."


def _heading(file: Path, line: int, cells: list[str], columns: list[Column]) -> tuple[list[int], list[float]]:
    plain = [_plain(cell) for cell in cells]
    order, factors = [], []
    for column in columns:
        name = _plain(column.name)
        at = next((i for i, cell in enumerate(plain) if cell == name or cell.startswith(name + "_")), None)
        if at is None:
            raise LabError(
                f"{file}, line {line}: no column of this heading begins with '{column.name}' (it reads "
                f"{shown(', '.join(cells))}); {_names(columns)} were expected."
            )
        unit = plain[at][len(name) :].strip("_")
        known = {_plain(key): factor for key, factor in column.units.items()} | {"": 1.0, _plain(column.unit): 1.0}
        if unit not in known:
            raise LabError(
                f"{file}, line {line}: the unit of column {shown(cells[at])} is not known here; "
                f"write {_or(column.units) or column.unit}."
            )
        order.append(at)
        factors.append(known[unit])
    return order, factors


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", text.lower().replace("/", "_per_")).strip("_")


def _or(units: dict[str, float]) -> str:
    *most, last = [f"[{unit}]" for unit in units] or [""]
    return f"{', '.join(most)} or {last}" if most else last


def _names(columns: list[Column]) -> str:
    return f"{len(columns)} columns ({', '.join(column.title for column in columns)})"
