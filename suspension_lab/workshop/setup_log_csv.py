"""The setup log as one CSV: a row for each vehicle, session and run."""

from __future__ import annotations

import csv
import json
import sqlite3
from pathlib import Path
from typing import Any

from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.setup_log_file import RUN_COLUMNS, TABLES, reading, told, writing
from suspension_lab.workshop.setup_log_values import checked_clicks, checked_date, checked_measured, checked_state

KINDS = {"vehicle": "vehicles", "session": "sessions", "run": "runs"}
COLUMNS = ["kind", "uid", "of", "name", "file", "date", "place", *RUN_COLUMNS, "remark", "written"]


def export(log: Path, path: Path) -> None:
    """As `SetupLog.to_csv`."""
    with reading(log) as connection:
        connection.row_factory = sqlite3.Row
        rows = [_row(connection, kind, row) for kind, table in KINDS.items()
                for row in connection.execute(f"SELECT * FROM {table} WHERE gone = 0 ORDER BY id")]  # fmt: skip
    part = path.with_name(path.name + ".part")
    with told(path):
        try:
            with part.open("w", encoding="utf-8-sig", newline="") as out:
                writer = csv.DictWriter(out, COLUMNS, restval="")
                writer.writeheader()
                writer.writerows(rows)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)


def _row(connection: sqlite3.Connection, kind: str, row: sqlite3.Row) -> dict[str, Any]:
    found = {name: row[name] for name in row.keys() if name in COLUMNS and row[name] is not None}  # noqa: SIM118
    above = {"session": ("vehicles", "vehicle"), "run": ("sessions", "session")}.get(kind)
    if above:
        (found["of"],) = connection.execute(f"SELECT uid FROM {above[0]} WHERE id = ?", (row[above[1]],)).fetchone()
    # A cell that begins like a formula would be one in a spreadsheet.
    return {"kind": kind, **{name: _plain(value) for name, value in found.items()}}


def _plain(value: Any) -> Any:
    return f"'{value}" if isinstance(value, str) and value[:1] in "=+-@'" and value else value


def _as_written(text: str) -> str:
    return text[1:] if text[:1] == "'" and text[1:2] in tuple("=+-@'") else text


def take_in(log: Path, path: Path) -> int:
    """As `SetupLog.import_csv`."""
    with told(path):
        text = path.read_text(encoding="utf-8-sig", errors="strict") if path.is_file() else None
    if text is None:
        raise LabError(f"There is no file {path}; check the name and the folder.")
    reader = csv.DictReader(text.splitlines(keepends=True))
    missing = [name for name in COLUMNS if name not in (reader.fieldnames or [])]
    if missing:
        raise LabError(f"{path}, line 1: the columns {', '.join(missing)} are missing; take a file that to_csv wrote.")
    new = 0
    with writing(log) as connection:
        known: dict[str, int] = {}
        for table in TABLES:
            known |= {row[0]: row[1] for row in connection.execute(f"SELECT uid, id FROM {table}")}
        for row in reader:
            new += _take_row(connection, known, row, f"{path}, line {reader.line_num}")
    return new


def _take_row(connection: sqlite3.Connection, known: dict[str, int], row: dict[str, str], where: str) -> int:
    kind, uid = row["kind"], row["uid"]
    if kind not in KINDS or not uid:
        raise LabError(f"{where}: the kind is {shown(kind)}, where vehicle, session or run with a uid was expected.")
    if uid in known:
        return 0
    text = {name: _as_written(row[name] or "") for name in COLUMNS}
    values: dict[str, Any] = {"uid": uid, "remark": text["remark"], "written": text["written"]}
    if kind != "vehicle" and row["of"] not in known:
        raise LabError(
            f"{where}: this {kind} belongs to {shown(row['of'])}, which stands nowhere above; keep all rows."
        )
    try:
        if kind == "vehicle":
            values |= {"name": text["name"], "same": text["name"].casefold(), "file": text["file"]}
            if connection.execute("SELECT 1 FROM vehicles WHERE same = ? AND gone = 0", (values["same"],)).fetchone():
                raise LabError(f"the log has another vehicle {text['name']!r} already; rename one of the two.")
        elif kind == "session":
            values |= {"vehicle": known[row["of"]], "date": checked_date(text["date"]), "place": text["place"]}
        else:
            values |= {"session": known[row["of"]], **_run_values(text)}
    except LabError as error:
        raise LabError(f"{where}: {error}") from None
    marks = ", ".join("?" * len(values))
    cursor = connection.execute(
        f"INSERT INTO {KINDS[kind]} ({', '.join(values)}) VALUES ({marks})", tuple(values.values())
    )
    known[uid] = int(cursor.lastrowid or 0)
    return 1


def _run_values(text: dict[str, str]) -> dict[str, Any]:
    clicks: dict[str, int] = {}
    state: dict[str, float | None] = {}
    for name, kind in RUN_COLUMNS.items():
        if kind == "TEXT" or not text[name]:
            continue
        try:
            number = float(text[name].replace(",", "."))
        except ValueError:
            raise LabError(f"column {name} is {shown(text[name])}, where a number was expected.") from None
        if kind == "INTEGER":
            if number != int(number):
                raise LabError(f"column {name} is {shown(text[name])}, where a whole number was expected.")
            clicks[name] = int(number)
        else:
            state[name] = number
    try:
        measured = json.loads(text["measured"] or "{}")
        if not isinstance(measured, dict):
            raise ValueError
    except ValueError:
        raise LabError(f"column measured is {shown(text['measured'])}, which is not as to_csv writes it.") from None
    kept = json.dumps(checked_measured(measured), ensure_ascii=False)
    return {
        **checked_clicks(clicks),
        **checked_state(state),
        "measured": kept,
        "road": text["road"],
        "test": text["test"],
    }
