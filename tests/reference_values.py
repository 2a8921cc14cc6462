"""Reads the published and analytic values in data/reference."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[1] / "data" / "reference"
COLUMNS = ["quantity", "value", "unit", "tolerance", "source"]


@dataclass(frozen=True)
class Reference:
    quantity: str
    value: float
    unit: str
    tolerance: float
    source: str

    @property
    def near(self):
        """What a measured value must equal, within the tolerance; the tolerance is absolute."""
        return pytest.approx(self.value, rel=0.0, abs=self.tolerance)


def reference(name: str) -> dict[str, Reference]:
    """Quantity -> value of data/reference/<name>.csv."""
    with open(FOLDER / f"{name}.csv", encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        assert reader.fieldnames == COLUMNS
        rows = [
            Reference(row["quantity"], float(row["value"]), row["unit"], float(row["tolerance"]), row["source"])
            for row in reader
        ]
    found = {row.quantity: row for row in rows}
    assert len(found) == len(rows), f"{name}.csv names a quantity twice"
    return found
