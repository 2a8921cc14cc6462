"""The setup log: the workshop's record of vehicles, sessions and runs, in one SQLite file."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from numbers import Integral
from pathlib import Path
from typing import TYPE_CHECKING, Any

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.setup_log_changes import insert, redo, undo
from suspension_lab.workshop.setup_log_file import log_path, prepare, reading, writing
from suspension_lab.workshop.setup_log_values import (
    Measured,
    checked_clicks,
    checked_date,
    checked_measured,
    checked_state,
    one_line,
    same_name,
    vehicle_name,
    words,
)

if TYPE_CHECKING:
    import pandas as pd

MOST_ROWS = 2**63
"""SQLite counts no further."""


class SetupLog:
    """A setup log. Whatever a call has returned from is on the disk; a kill or a full disk takes nothing of it.

    Every call opens the file for itself: two notebooks, threads or processes can write at once.

    Args:
        path: of the file; it is made if it is not there, and brought up to date if it is old.

    Raises:
        LabError: no log, a damaged one, one from a newer version, or a place that cannot be written.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = log_path(path)
        prepare(self.path)

    def __enter__(self) -> SetupLog:
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing is left open."""

    def add_vehicle(self, name: str, *, file: str = "", remark: str = "") -> int:
        """A vehicle.

        Raises:
            LabError: no name, or one that the log has already, but for capitals and blanks.
        """
        name = vehicle_name(name)
        values = {
            "name": name, "same": same_name(name), "file": one_line("file", file), "remark": words("remark", remark),
        }  # fmt: skip
        with writing(self.path) as connection:
            known = connection.execute(
                "SELECT name FROM vehicles WHERE same = ? AND gone = 0", (values["same"],)
            ).fetchone()
            if known:
                raise LabError(
                    f"The log has a vehicle {shown(known[0])} already; give this one another name, or use that."
                )
            return insert(connection, "vehicles", values)

    def vehicles(self) -> list[str]:
        """Names of the vehicles, in the order they came."""
        with reading(self.path) as connection:
            return [row[0] for row in connection.execute("SELECT name FROM vehicles WHERE gone = 0 ORDER BY id")]

    def start_session(self, vehicle: str, *, date: str | None = None, place: str = "", remark: str = "") -> int:
        """A day's work on a vehicle.

        Args:
            vehicle: its name.
            date: as 2026-11-26; None: today.
            place, remark: words.

        Returns:
            Its number, for `add_run`.

        Raises:
            LabError: no such vehicle, or no date.
        """
        values = {"date": checked_date(date), "place": one_line("place", place), "remark": words("remark", remark)}
        with writing(self.path) as connection:
            return insert(connection, "sessions", {"vehicle": find_vehicle(connection, vehicle), **values})

    def add_run(
        self,
        session: int,
        *,
        clicks: Clicks | Mapping[str, int] | None = None,
        measured: Measured | None = None,
        road: str = "",
        test: str = "",
        remark: str = "",
        **state: float | None,
    ) -> int:
        """A run of a session.

        Args:
            session: its number.
            clicks: of the adjusters.
            measured: what was measured.
            road, test, remark: words.
            state: `preload_mm`, `tyre_pressure_bar`, `air_temperature_C`, `oil_temperature_C`, `load_kg`.

        Raises:
            LabError: no such session, or a value that cannot be.
        """
        values = _run_values(clicks=clicks, measured=measured, road=road, test=test, remark=remark, **state)
        with writing(self.path) as connection:
            is_number = isinstance(session, Integral) and not isinstance(session, bool) and 0 < session < MOST_ROWS
            if (
                not is_number
                or not connection.execute(
                    "SELECT 1 FROM sessions WHERE id = ? AND gone = 0", (int(session),)
                ).fetchone()
            ):
                raise LabError(
                    f"The log has no session {shown(session)}; start one with start_session, and use its number."
                )
            return insert(connection, "runs", {"session": int(session), **values})

    def write_run_today(self, vehicle: str, **run: Any) -> int:
        """A run in today's last session of a vehicle; vehicle and session are made where they are not there.

        Args:
            vehicle: its name.
            run: as `add_run`.

        Raises:
            LabError: as `add_run`; then neither vehicle nor session is left behind.
        """
        name, today, values = vehicle_name(vehicle), checked_date(None), _run_values(**run)
        with writing(self.path) as connection:
            known = connection.execute(
                "SELECT id FROM vehicles WHERE same = ? AND gone = 0", (same_name(name),)
            ).fetchone()
            owner = known[0] if known else insert(connection, "vehicles", {"name": name, "same": same_name(name)})
            found = connection.execute(
                "SELECT id FROM sessions WHERE vehicle = ? AND date = ? AND gone = 0 ORDER BY id DESC LIMIT 1",
                (owner, today),
            ).fetchone()
            session = found[0] if found else insert(connection, "sessions", {"vehicle": owner, "date": today})
            return insert(connection, "runs", {"session": session, **values})

    def undo(self, steps: int = 1) -> str:
        """Take the last changes back; they stay in the file, and `redo` brings them again. An import is one change.

        Args:
            steps: how many.

        Returns:
            What was taken back, in words.

        Raises:
            LabError: there are not so many; then none is taken back.
        """
        with writing(self.path) as connection:
            return undo(connection, steps)

    def redo(self, steps: int = 1) -> str:
        """Bring back what `undo` took last.

        Raises:
            LabError: there is not so much, or something new was written since.
        """
        with writing(self.path) as connection:
            return redo(connection, steps)

    @property
    def table(self) -> pd.DataFrame:
        """All runs, one row each: vehicle, session, date, place, the run's columns, what was measured, when written.

        What was measured is headed by its name and unit, as `return time [s]`; one name in two units gives two columns.
        """
        from suspension_lab.workshop.setup_log_table import table

        return table(self.path)

    def history(self, vehicle: str) -> pd.DataFrame:
        """The runs of one vehicle, in order; columns as `table`, but those without any value.

        Raises:
            LabError: no such vehicle.
        """
        from suspension_lab.workshop.setup_log_table import of_vehicle, table

        with reading(self.path) as connection:
            find_vehicle(connection, vehicle)
        return of_vehicle(table(self.path), vehicle).dropna(axis="columns", how="all")

    def search(
        self,
        text: str = "",
        *,
        vehicle: str | None = None,
        since: str | None = None,
        until: str | None = None,
        **clicks: int,
    ) -> pd.DataFrame:
        """Runs that hold all of some words in vehicle, place, road, test or a remark, and lie between two dates.

        Args:
            text: words, any capitals, in any order.
            vehicle: of this one alone.
            since, until: dates, as 2026-11-26.
            clicks: `rebound=6` and the like.

        Raises:
            LabError: no such vehicle, no date, or an adjuster that is none.
        """
        from suspension_lab.workshop.setup_log_table import of_vehicle, searched, table

        if vehicle is not None:
            with reading(self.path) as connection:
                find_vehicle(connection, vehicle)
        made = table(self.path, with_remarks=True)
        made = made if vehicle is None else of_vehicle(made, vehicle)
        first, last = (None if date is None else checked_date(date) for date in (since, until))
        return searched(made, words("text to look for", text), first, last, checked_clicks(clicks))

    def to_csv(self, path: str | Path) -> None:
        """Write all of it as one CSV, which `import_csv` reads again; complete or not there.

        Raises:
            LabError: a place that cannot be written.
        """
        from suspension_lab.workshop.setup_log_csv import export

        export(self.path, Path(path))

    def import_csv(self, path: str | Path) -> int:
        """Take what another log has exported; what this one has already is not doubled. All of it or nothing.

        Returns:
            How many rows were new.

        Raises:
            LabError: file, line and column of what is wrong.
        """
        from suspension_lab.workshop.setup_log_csv import take_in

        return take_in(self.path, Path(path))


def find_vehicle(connection: sqlite3.Connection, name: str) -> int:
    """The row of a vehicle.

    Raises:
        LabError: no such vehicle, with the nearest name.
    """
    same = same_name(words("name of the vehicle", name))
    known = {row[0]: row[1:] for row in connection.execute("SELECT same, id, name FROM vehicles WHERE gone = 0")}
    if same not in known:
        names = [row[1] for row in known.values()]
        raise LabError(
            f"The log has no vehicle {shown(name)}; {nearest_name(name, names) if names else 'add it first.'}"
        )
    return int(known[same][0])


def _run_values(
    *,
    clicks: Clicks | Mapping[str, int] | None = None,
    measured: Measured | None = None,
    road: str = "",
    test: str = "",
    remark: str = "",
    **state: float | None,
) -> dict[str, Any]:
    """The columns of a run, checked."""
    kept = json.dumps(checked_measured({} if measured is None else measured), ensure_ascii=False)
    said = {"road": one_line("road", road), "test": one_line("test", test), "remark": words("remark", remark)}
    return {**checked_clicks({} if clicks is None else clicks), **checked_state(state), "measured": kept, **said}
