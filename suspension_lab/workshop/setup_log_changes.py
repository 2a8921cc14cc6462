"""Writing rows of the setup log so that each change can be taken back and brought again."""

from __future__ import annotations

import datetime
import sqlite3
import uuid
from collections.abc import Mapping
from typing import Any

from suspension_lab.common.checks import whole
from suspension_lab.common.errors import LabError

IMPORT = "import"
MOST_STEPS = 1_000_000


def insert(connection: sqlite3.Connection, table: str, values: Mapping[str, Any], *, state: str = "done") -> int:
    """A new row, recorded as a change.

    Args:
        connection: with a transaction begun.
        table: 'vehicles', 'sessions' or 'runs'.
        values: by column; `written` and `uid` are made where they are not given.
        state: 'part' where `whole_import` follows.

    Returns:
        Its id.
    """
    values = {"written": now(), "uid": uuid.uuid4().hex, **values}
    marks = ", ".join("?" * len(values))
    cursor = connection.execute(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})", tuple(values.values()))
    row = int(cursor.lastrowid or 0)
    _record(connection, table, row, state)
    return row


def whole_import(connection: sqlite3.Connection, rows: int) -> None:
    """Make one change of the rows that were inserted last."""
    if rows:
        _record(connection, IMPORT, rows, "done")


def now() -> str:
    """The time in UTC, to the second."""
    return datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")


def undo(connection: sqlite3.Connection, steps: int) -> str:
    """As `SetupLog.undo`."""
    query = "SELECT id, kind, row FROM changes WHERE state = 'done' ORDER BY id DESC LIMIT ?"
    found = _changes(connection, query, steps, "taken back", "take back: the log has no change left")
    said = [_turn(connection, change, gone=1) for change in found]
    return f"Taken back: {', '.join(said)}."


def redo(connection: sqlite3.Connection, steps: int) -> str:
    """As `SetupLog.redo`."""
    query = "SELECT id, kind, row FROM changes WHERE state = 'undone' ORDER BY id LIMIT ?"
    found = _changes(connection, query, steps, "brought back", "bring back")
    said = [_turn(connection, change, gone=0) for change in found]
    return f"Brought again: {', '.join(said)}."


def _changes(
    connection: sqlite3.Connection, query: str, steps: int, done: str, none: str
) -> list[tuple[int, str, int]]:
    steps = whole("number of steps", steps, low=1, high=MOST_STEPS)
    found = connection.execute(query, (steps,)).fetchall()
    if not found:
        raise LabError(f"There is nothing to {none}.")
    if len(found) < steps:
        raise LabError(f"Only {len(found)} of {steps} changes can be {done}, so none was; ask for fewer.")
    return found


def _turn(connection: sqlite3.Connection, change: tuple[int, str, int], *, gone: int) -> str:
    """Take one change back, or bring it again; what it was, in words."""
    number, kind, row = change
    connection.execute("UPDATE changes SET state = ? WHERE id = ?", ("undone" if gone else "done", number))
    if kind != IMPORT:
        connection.execute(f"UPDATE {kind} SET gone = ? WHERE id = ?", (gone, row))
        return f"{kind.removesuffix('s')} {row}"
    parts = connection.execute("SELECT kind, row FROM changes WHERE id >= ? AND id < ?", (number - row, number))
    for table, part in parts.fetchall():
        connection.execute(f"UPDATE {table} SET gone = ? WHERE id = ?", (gone, part))
    return f"an import of {row} {'row' if row == 1 else 'rows'}"


def _record(connection: sqlite3.Connection, kind: str, row: int, state: str) -> None:
    # What was taken back before can no longer be brought again.
    connection.execute("UPDATE changes SET state = 'dropped' WHERE state = 'undone'")
    connection.execute("INSERT INTO changes (kind, row, state) VALUES (?, ?, ?)", (kind, row, state))
