"""Published and closed-form values with their tolerances and sources, from data/reference: one reader for all."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from pathlib import Path

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.common.text_files import read_text

COLUMNS = ["quantity", "value", "unit", "tolerance", "source"]
WHAT = "a table of reference values"
ROUNDING = 1e-12
"""An exact value may differ by this share of itself: binary fractions."""


@dataclass(frozen=True, kw_only=True)
class Reference:
    """One value that was not made here.

    Attributes:
        quantity: what it is, in words; unique within its file.
        value: in `unit`.
        unit: as the file writes it; '1' for a plain number.
        tolerance: how far ours may lie off, in `unit`; 0: exact.
        source: how it was come by (published, analytic, measured), then where it stands.
    """

    quantity: str
    value: float
    unit: str
    tolerance: float
    source: str

    def allows(self, ours: float) -> bool:
        """Whether a value, in the same unit, lies within the tolerance; nothing that is not finite does."""
        return abs(ours - self.value) <= self.tolerance + ROUNDING * abs(self.value)


class ReferenceTable(dict[str, Reference]):
    """Quantity -> its value, of one file."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.name = name

    def __missing__(self, quantity: str) -> Reference:
        raise LabError(f"{self.name}.csv has no quantity '{quantity}'; {nearest_name(quantity, self)}")


def reference_folder() -> Path:
    """Where the files lie that come with the lab."""
    return shipped_folder("data") / "reference"


def reference(name: str, folder: Path | None = None) -> ReferenceTable:
    """All values of one file.

    Args:
        name: the file's, without its ending.
        folder: where it lies; None: with the lab.

    Raises:
        LabError: no such file, other columns, a quantity named twice, a value or tolerance that is no number, or a
            value without unit or source.
    """
    file = (folder or reference_folder()) / f"{name}.csv"
    reader = csv.DictReader(io.StringIO(read_text(file, WHAT)))
    if reader.fieldnames != COLUMNS:
        raise LabError(
            f"{file} has the columns {shown(', '.join(reader.fieldnames or []))}, where {', '.join(COLUMNS)} were "
            "expected."
        )
    table = ReferenceTable(name)
    for row in reader:
        where = f"{file}, line {reader.line_num}"
        if None in row:
            raise LabError(f"{where} has more cells than the columns; put quotes around a text that holds commas.")
        made = Reference(
            quantity=_text(where, row, "quantity"), value=_number(where, row, "value"), unit=_text(where, row, "unit"),
            tolerance=_number(where, row, "tolerance"), source=_text(where, row, "source"),
        )  # fmt: skip
        if made.tolerance < 0.0:
            raise LabError(f"{where}: the tolerance is {made.tolerance:g}, where 0 or more was expected.")
        if made.quantity in table:
            raise LabError(f"{where} names the quantity '{made.quantity}' a second time; keep one of the two.")
        table[made.quantity] = made
    return table


def _text(where: str, row: dict[str, str], column: str) -> str:
    text = (row[column] or "").strip()
    if not text:
        raise LabError(f"{where} gives no {column}; every value needs one.")
    return text


def _number(where: str, row: dict[str, str], column: str) -> float:
    text = _text(where, row, column)
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise LabError(f"{where}: the {column} is {shown(text)}, where a finite number was expected.")
    return number
