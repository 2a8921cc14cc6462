"""The setup log: the workshop's record of vehicles, sessions and runs, in one SQLite file."""

from __future__ import annotations

import datetime
import json
import math
import sqlite3
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.setup_log_file import RUN_COLUMNS, prepare, reading, writing
from suspension_lab.workshop.setup_log_values import (
    Measured,
    checked_clicks,
    checked_date,
    checked_measured,
    checked_state,
    words,
)

if TYPE_CHECKING:
    import pandas as pd


class SetupLog:
    """A setup log. Whatever a call has returned from is on the disk; a kill or a full disk takes nothing of it.

    Every call opens the file for itself: two notebooks, threads or processes can write at once.

    Args:
        path: of the file; it is made if it is not there, and brought up to date if it is old.

    Raises:
        LabError: no log, one from a newer version, or a place that cannot be written.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path).expanduser()
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
        name = _name(name)
        with writing(self.path) as connection:
            known = connection.execute(
                "SELECT name FROM vehicles WHERE same = ? AND gone = 0", (name.casefold(),)
            ).fetchone()
            if known:
                raise LabError(f"The log has a vehicle {known[0]!r} already; give this one another name, or use that.")
            return _insert(connection, "vehicles", {
                "name": name, "same": name.casefold(), "file": words("file", file), "remark": words("remark", remark),
            })  # fmt: skip

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
        with writing(self.path) as connection:
            values = {"vehicle": _vehicle(connection, vehicle), "date": checked_date(date),
                      "place": words("place", place), "remark": words("remark", remark)}  # fmt: skip
            return _insert(connection, "sessions", values)

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
            known = connection.execute("SELECT 1 FROM sessions WHERE id = ? AND gone = 0", (session,)).fetchone()
            if not known:
                raise LabError(
                    f"The log has no session {shown(session)}; start one with start_session, and use its number."
                )
            return _insert(connection, "runs", {"session": session, **values})

    def write_run_today(self, vehicle: str, **run: Any) -> int:
        """A run in today's last session of a vehicle; vehicle and session are made where they are not there.

        Args:
            vehicle: its name.
            run: as `add_run`.

        Raises:
            LabError: as `add_run`; then neither vehicle nor session is left behind.
        """
        name, today, values = _name(vehicle), checked_date(None), _run_values(**run)
        with writing(self.path) as connection:
            known = connection.execute(
                "SELECT id FROM vehicles WHERE same = ? AND gone = 0", (name.casefold(),)
            ).fetchone()
            owner = known[0] if known else _insert(connection, "vehicles", {"name": name, "same": name.casefold()})
            found = connection.execute(
                "SELECT id FROM sessions WHERE vehicle = ? AND date = ? AND gone = 0 ORDER BY id DESC LIMIT 1",
                (owner, today),
            ).fetchone()
            session = found[0] if found else _insert(connection, "sessions", {"vehicle": owner, "date": today})
            return _insert(connection, "runs", {"session": session, **values})

    def undo(self) -> str:
        """Take the last change back; it stays in the file, and `redo` brings it again.

        Raises:
            LabError: there is none.
        """
        return self._turn("done", "undone", "DESC", 1, "There is nothing to take back: the log has no change left.")

    def redo(self) -> str:
        """Bring back what `undo` took last.

        Raises:
            LabError: there is nothing, or something new was written since.
        """
        return self._turn("undone", "done", "ASC", 0, "There is nothing to bring back.")

    def _turn(self, was: str, becomes: str, order: str, gone: int, none: str) -> str:
        with writing(self.path) as connection:
            found = connection.execute(
                f"SELECT id, kind, row FROM changes WHERE state = ? ORDER BY id {order} LIMIT 1", (was,)
            ).fetchone()
            if found is None:
                raise LabError(none)
            number, kind, row = found
            if not gone and kind == "vehicles":
                _vehicle_is_free(connection, row)
            connection.execute(f"UPDATE {kind} SET gone = ? WHERE id = ?", (gone, row))
            connection.execute("UPDATE changes SET state = ? WHERE id = ?", (becomes, number))
        return f"{'Taken back' if gone else 'Brought again'}: {kind.removesuffix('s')} {row}."

    @property
    def table(self) -> pd.DataFrame:
        """All runs, one row each: vehicle, session, date, place, the run's columns, what was measured, when written."""
        import pandas as pd

        columns = [*RUN_COLUMNS, "remark", "written"]
        with reading(self.path) as connection:
            rows = connection.execute(
                "SELECT v.name, s.id, s.date, s.place, r.id, "
                + ", ".join(f"r.{name}" for name in columns)
                + " FROM runs r JOIN sessions s ON s.id = r.session JOIN vehicles v ON v.id = s.vehicle"
                " WHERE r.gone = 0 AND s.gone = 0 AND v.gone = 0 ORDER BY s.date, r.id"
            ).fetchall()
        made = pd.DataFrame(rows, columns=["vehicle", "session", "date", "place", "run", *columns])
        measured = [json.loads(text) for text in made.pop("measured")]
        for name in dict.fromkeys(name for each in measured for name in each):
            unit = next(each[name][1] for each in measured if name in each)
            made[f"{name} [{unit}]" if unit else name] = [each.get(name, (math.nan, ""))[0] for each in measured]
        for name, kind in RUN_COLUMNS.items():
            if kind != "TEXT":
                made[name] = made[name].astype("Int64" if kind == "INTEGER" else "float64")
        return made

    def history(self, vehicle: str) -> pd.DataFrame:
        """The runs of one vehicle, in order; columns as `table`, but those without any value.

        Raises:
            LabError: no such vehicle.
        """
        with reading(self.path) as connection:
            _vehicle(connection, vehicle)
        same = self.table[self.table["vehicle"].str.casefold() == " ".join(vehicle.split()).casefold()]
        return same.dropna(axis="columns", how="all").reset_index(drop=True)

    def search(
        self,
        text: str = "",
        *,
        vehicle: str | None = None,
        since: str | None = None,
        until: str | None = None,
        **clicks: int,
    ) -> pd.DataFrame:
        """Runs that hold all of some words in vehicle, place, road, test or remark, and lie between two dates.

        Args:
            text: words, any capitals, in any order.
            vehicle: of this one alone.
            since, until: dates, as 2026-11-26.
            clicks: `rebound=6` and the like.

        Raises:
            LabError: no such vehicle, no date, or an adjuster that is none.
        """
        found = self.table if vehicle is None else self.table.merge(self.history(vehicle)[["run"]], on="run")
        said = found[["vehicle", "place", "road", "test", "remark"]].agg(" ".join, axis="columns").str.casefold()
        for word in text.casefold().split():
            found = found[said.loc[found.index].str.contains(word, regex=False)]
        for date, keep in ((since, found["date"].ge), (until, found["date"].le)):
            if date is not None:
                found = found[keep(checked_date(date)).reindex(found.index)]
        for name, click in checked_clicks(clicks).items():
            found = found[(found[name] == click).fillna(False)]
        return found.reset_index(drop=True)

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


def _name(given: str) -> str:
    name = " ".join(words("name of the vehicle", given).split())
    if not name:
        raise LabError("The vehicle has no name; give one by which the workshop knows it.")
    return name


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
    kept = json.dumps(checked_measured(measured or {}), ensure_ascii=False)
    said = {"road": words("road", road), "test": words("test", test), "remark": words("remark", remark)}
    return {**checked_clicks(clicks or {}), **checked_state(state), "measured": kept, **said}


def _insert(connection: sqlite3.Connection, kind: str, values: Mapping[str, Any]) -> int:
    now = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    values = {"written": now, "uid": uuid.uuid4().hex, **values}
    marks = ", ".join("?" * len(values))
    cursor = connection.execute(f"INSERT INTO {kind} ({', '.join(values)}) VALUES ({marks})", tuple(values.values()))
    row = int(cursor.lastrowid or 0)
    # What was taken back before can no longer be brought again.
    connection.execute("UPDATE changes SET state = 'dropped' WHERE state = 'undone'")
    connection.execute("INSERT INTO changes (kind, row, state) VALUES (?, ?, 'done')", (kind, row))
    return row


def _vehicle(connection: sqlite3.Connection, name: str) -> int:
    same = " ".join(words("name of the vehicle", name).split()).casefold()
    known = {row[1]: row[0] for row in connection.execute("SELECT id, same FROM vehicles WHERE gone = 0")}
    if same not in known:
        names = [row[0] for row in connection.execute("SELECT name FROM vehicles WHERE gone = 0")]
        raise LabError(
            f"The log has no vehicle {shown(name)}; {nearest_name(name, names) if names else 'add it first.'}"
        )
    return int(known[same])


def _vehicle_is_free(connection: sqlite3.Connection, row: int) -> None:
    (same,) = connection.execute("SELECT same FROM vehicles WHERE id = ?", (row,)).fetchone()
    if connection.execute("SELECT 1 FROM vehicles WHERE same = ? AND gone = 0", (same,)).fetchone():
        raise LabError("The vehicle cannot be brought again: the log has another of its name meanwhile.")
