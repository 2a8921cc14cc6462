"""The setup log as one CSV: a row for each vehicle, session and run."""

from __future__ import annotations

import csv
import datetime
import json
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.text_files import read_text
from suspension_lab.common.whole_file import whole_file
from suspension_lab.common.word_sheets import BrokenSheetError, as_written, guarded, separator, sheet_rows
from suspension_lab.workshop.setup_log_changes import insert, now, whole_import
from suspension_lab.workshop.setup_log_file import reading, told, writing
from suspension_lab.workshop.setup_log_schema import RUN_COLUMNS
from suspension_lab.workshop.setup_log_values import (
    RANGES,
    checked_clicks,
    checked_date,
    checked_measured,
    checked_state,
    one_line,
    same_name,
    vehicle_name,
    words,
)

KINDS = {"vehicle": "vehicles", "session": "sessions", "run": "runs"}
ABOVE = {"session": "vehicle", "run": "session"}
COLUMNS = ["kind", "uid", "of", "name", "file", "date", "place", *RUN_COLUMNS, "remark", "written"]


def export(log: Path, path: Path) -> None:
    """As `SetupLog.to_csv`."""
    with told(path):
        if path.exists() and path.samefile(log):
            raise LabError(f"{path} is the log itself and would be written over; give another name.")
    with reading(log) as connection:
        connection.row_factory = sqlite3.Row
        rows = [row for kind in KINDS for row in _rows(connection, kind)]
    with told(path), whole_file(path) as part, part.open("w", encoding="utf-8-sig", newline="") as out:
        writer = csv.DictWriter(out, COLUMNS, restval="")
        writer.writeheader()
        writer.writerows(rows)


def _rows(connection: sqlite3.Connection, kind: str) -> Iterator[dict[str, Any]]:
    above = ABOVE.get(kind)
    of = f", a.uid AS of FROM {KINDS[kind]} t JOIN {KINDS[above]} a ON a.id = t.{above}" if above else ""
    of = of or f" FROM {KINDS[kind]} t"
    for row in connection.execute(f"SELECT t.*{of} WHERE t.gone = 0 ORDER BY t.id"):
        yield {"kind": kind, **{name: guarded(row[name]) for name in row.keys() if name in COLUMNS}}  # noqa: SIM118


def take_in(log: Path, path: Path) -> int:
    """As `SetupLog.import_csv`."""
    rows = _read(path)
    new = 0
    with writing(log) as connection:
        known = {
            kind: dict(connection.execute(f"SELECT uid, id FROM {table} WHERE gone = 0").fetchall())
            for kind, table in KINDS.items()
        }
        for where, row in rows:
            new += _take_row(connection, known, row, where)
        whole_import(connection, new)
    return new


def _read(path: Path) -> list[tuple[str, dict[str, str]]]:
    """Where each row stands, and its cells by column."""
    text = read_text(path, "a CSV of a setup log")
    try:
        (begins, heading), *below = sheet_rows(text)
    except BrokenSheetError as error:
        raise LabError(
            f"{path}, line {error.line}: {error.reason}; look for a quote that is not closed, or take a file that "
            "to_csv wrote."
        ) from None
    heading = [cell.strip() for cell in heading]
    missing = [name for name in COLUMNS if name not in heading]
    if missing or len(set(heading)) < len(heading):
        raise LabError(
            f"{path}, line {begins}: the columns {shown(', '.join(missing))} are missing, or one stands there twice; "
            "take a file that to_csv wrote."
        )
    rows = []
    for begins, cells in below:
        if len(cells) < len(heading) or any(cell.strip() for cell in cells[len(heading) :]):
            raise LabError(
                f"{path}, line {begins}: {len(cells)} cells, where {len(heading)} were expected; put text that holds "
                f"{shown(separator(text))} in quotes."
            )
        rows.append((f"{path}, line {begins}", dict(zip(heading, cells, strict=False))))
    return rows


def _take_row(connection: sqlite3.Connection, known: dict[str, dict[str, int]], row: dict[str, str], where: str) -> int:
    """Take in a row that is new; how many were."""
    kind, uid = row["kind"].strip(), row["uid"].strip()
    if kind not in KINDS:
        raise LabError(f"{where}, column kind: {shown(kind)} stands there, where vehicle, session or run was expected.")
    if not uid:
        raise LabError(f"{where}, column uid: it is empty; take the row as to_csv wrote it.")
    values = {name: _value(where, name, row[name]) for name in _columns(kind)}
    above = ABOVE.get(kind)
    if above:
        of = row["of"].strip()
        if of not in known[above]:
            raise LabError(
                f"{where}, column of: this {kind} belongs to the {above} {shown(of)}, which stands nowhere above; keep "
                "all rows."
            )
        values[above] = known[above][of]
    values = {name: value for name, value in values.items() if value is not None}
    if kind == "vehicle":
        values["same"] = same_name(values["name"])
    table = KINDS[kind]
    held = known[kind].get(uid)
    if held is None and kind == "vehicle":
        # Two logs may have come to know one vehicle each for itself.
        query = "SELECT id FROM vehicles WHERE same = ? AND gone = 0"
        held = next((found[0] for found in connection.execute(query, (values["same"],))), None)
    if held is not None:
        _same_content(connection, table, held, {name: values.get(name) for name in (*_columns(kind), above) if name},
                      where)  # fmt: skip
        known[kind][uid] = held
        return 0
    # A row that was taken back keeps its place in the file under another uid.
    connection.execute(f"UPDATE {table} SET uid = uid || '-gone-' || id WHERE uid = ?", (uid,))
    known[kind][uid] = insert(connection, table, {**values, "uid": uid}, state="part")
    return 1


def _columns(kind: str) -> tuple[str, ...]:
    own = {"vehicle": ("name", "file"), "session": ("date", "place"), "run": tuple(RUN_COLUMNS)}
    return (*own[kind], "remark", "written")


def _same_content(connection: sqlite3.Connection, table: str, held: int, values: dict[str, Any], where: str) -> None:
    """Hold that a row of the file says what the log says already.

    Raises:
        LabError: names the first column where it does not.
    """
    names = [name for name in values if name != "written"]
    row = connection.execute(f"SELECT {', '.join(names)} FROM {table} WHERE id = ?", (held,)).fetchone()
    for name, log_says in zip(names, row, strict=True):
        same = same_name if table == "vehicles" and name == "name" else (lambda value: value)
        if same(values[name]) != same(log_says):
            raise LabError(
                f"{where}, column {name}: {shown(values[name])} stands there, where the log has {shown(log_says)} for "
                "the same row; make them equal, or write what is new as a run of its own."
            )


def _value(where: str, name: str, cell: str) -> Any:
    try:
        return CHECKS[name](as_written(cell))
    except LabError as error:
        raise LabError(f"{where}, column {name}: {error}") from None


def _number(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise LabError(f"{shown(text)} stands there, where a number was expected.") from None


def _clicks(name: str) -> Callable[[str], int | None]:
    def check(text: str) -> int | None:
        value = _number(text)
        if value is None:
            return None
        # What is not whole is left to be refused.
        return checked_clicks({name: int(value) if value.is_integer() else value})[name]  # type: ignore[dict-item]

    return check


def _state(name: str) -> Callable[[str], float | None]:
    return lambda text: checked_state({name: _number(text)}).get(name)


def _measured(text: str) -> str:
    try:
        found: Any = json.loads(text or "{}")
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise LabError(f"{shown(text)} is not as to_csv writes it.")
    return json.dumps(checked_measured(found), ensure_ascii=False)


def _written(text: str) -> str:
    if not text.strip():
        return now()
    try:
        datetime.datetime.fromisoformat(text.strip())
    except ValueError:
        raise LabError(f"{shown(text)} stands there, where a time such as {now()} was expected.") from None
    return text.strip()


CHECKS: dict[str, Callable[[str], Any]] = {
    "name": vehicle_name,
    "date": checked_date,
    "measured": _measured,
    "written": _written,
    "remark": lambda text: words("remark", text),
    **{name: lambda text, name=name: one_line(name, text) for name in ("file", "place", "road", "test")},  # type: ignore[misc]
    **{name: _clicks(name) for name, kind in RUN_COLUMNS.items() if kind == "INTEGER"},
    **{name: _state(name) for name in RANGES},
}
"""Column -> the checked value of a cell."""
