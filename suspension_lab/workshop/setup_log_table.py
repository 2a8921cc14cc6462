"""The runs of a setup log as a labelled table, and searching it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from suspension_lab.workshop.setup_log_file import reading
from suspension_lab.workshop.setup_log_schema import RUN_COLUMNS
from suspension_lab.workshop.setup_log_values import same_name

if TYPE_CHECKING:
    import pandas as pd

REMARKS = ["session_remark", "vehicle_remark"]


def table(path: Path, *, with_remarks: bool = False) -> pd.DataFrame:
    """As `SetupLog.table`; on wish with the remarks of session and vehicle.

    Raises:
        LabError: it could not be read.
    """
    import pandas as pd

    own = [*RUN_COLUMNS, "remark", "written"]
    with reading(path) as connection:
        rows = connection.execute(
            "SELECT v.name, s.id, s.date, s.place, r.id, "
            + ", ".join(f"r.{name}" for name in own)
            + ", s.remark, v.remark FROM runs r JOIN sessions s ON s.id = r.session JOIN vehicles v ON v.id = s.vehicle"
            " WHERE r.gone = 0 AND s.gone = 0 AND v.gone = 0 ORDER BY s.date, r.id"
        ).fetchall()
    made = pd.DataFrame(rows, columns=["vehicle", "session", "date", "place", "run", *own, *REMARKS])
    measured = [json.loads(text) for text in made.pop("measured")]
    for name, kind in RUN_COLUMNS.items():
        if kind != "TEXT":
            made[name] = made[name].astype("Int64" if kind == "INTEGER" else "float64")
    if not with_remarks:
        made = made.drop(columns=REMARKS)
    for name, unit in dict.fromkeys((name, each[name][1]) for each in measured for name in each):
        made[f"{name} [{unit}]" if unit else name] = [
            each[name][0] if name in each and each[name][1] == unit else math.nan for each in measured
        ]
    return made


def of_vehicle(made: pd.DataFrame, vehicle: str) -> pd.DataFrame:
    """The rows of one vehicle."""
    own = [same_name(name) == same_name(vehicle) for name in made["vehicle"]]
    return made[np.array(own, dtype=bool)].reset_index(drop=True)


def searched(
    made: pd.DataFrame, text: str, since: str | None, until: str | None, clicks: Mapping[str, int]
) -> pd.DataFrame:
    """The rows that fit, without the other remarks."""
    said = made[["vehicle", "place", "road", "test", "remark", *REMARKS]]
    folded = [same_name(" ".join(row)) for row in said.itertuples(index=False)]
    fits = [all(word in row for word in same_name(text).split()) for row in folded]
    if since is not None:
        fits = [fit and date >= since for fit, date in zip(fits, made["date"], strict=True)]
    if until is not None:
        fits = [fit and date <= until for fit, date in zip(fits, made["date"], strict=True)]
    for name, click in clicks.items():
        fits = [fit and equal for fit, equal in zip(fits, made[name].eq(click).fillna(False), strict=True)]
    return made[np.array(fits, dtype=bool)].drop(columns=REMARKS).reset_index(drop=True)
