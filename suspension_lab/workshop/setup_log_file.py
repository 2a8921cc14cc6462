"""The file of the setup log: its schema and its migrations, safe writing, and SQLite's faults in one sentence each."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import uuid
from collections.abc import Iterator
from pathlib import Path

from suspension_lab.common.errors import LabError

APPLICATION = 0x53554C47
"""Marks the file as a setup log."""
VERSION = 2
WAITS = 30.0
"""So long a writer waits for another [s]."""
RUN_COLUMNS = {
    "rebound": "INTEGER", "low_speed": "INTEGER", "high_speed": "INTEGER", "preload_mm": "REAL",
    "tyre_pressure_bar": "REAL", "air_temperature_C": "REAL", "oil_temperature_C": "REAL", "load_kg": "REAL",
    "road": "TEXT", "test": "TEXT", "measured": "TEXT",
}  # fmt: skip
FIRST_VERSION = """
CREATE TABLE vehicles (id INTEGER PRIMARY KEY, name TEXT NOT NULL, same TEXT NOT NULL, file TEXT NOT NULL DEFAULT '',
    remark TEXT NOT NULL DEFAULT '', written TEXT NOT NULL, gone INTEGER NOT NULL DEFAULT 0);
CREATE TABLE sessions (id INTEGER PRIMARY KEY, vehicle INTEGER NOT NULL REFERENCES vehicles, date TEXT NOT NULL,
    place TEXT NOT NULL DEFAULT '', remark TEXT NOT NULL DEFAULT '', written TEXT NOT NULL,
    gone INTEGER NOT NULL DEFAULT 0);
CREATE TABLE runs (id INTEGER PRIMARY KEY, session INTEGER NOT NULL REFERENCES sessions, rebound INTEGER,
    low_speed INTEGER, high_speed INTEGER, preload_mm REAL, air_temperature_C REAL, load_kg REAL,
    road TEXT NOT NULL DEFAULT '', test TEXT NOT NULL DEFAULT '', measured TEXT NOT NULL DEFAULT '{}',
    remark TEXT NOT NULL DEFAULT '', written TEXT NOT NULL, gone INTEGER NOT NULL DEFAULT 0);
CREATE TABLE changes (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, row INTEGER NOT NULL, state TEXT NOT NULL);
"""
"""The schema as it was first; later ones are made from it, step by step."""
TABLES = ("vehicles", "sessions", "runs")


def _to_second(connection: sqlite3.Connection) -> None:
    """Tyre pressure and oil temperature; a name for each row that no other log has, for import."""
    connection.execute("ALTER TABLE runs ADD COLUMN tyre_pressure_bar REAL")
    connection.execute("ALTER TABLE runs ADD COLUMN oil_temperature_C REAL")
    for table in TABLES:
        connection.execute(f"ALTER TABLE {table} ADD COLUMN uid TEXT")
        for (row,) in connection.execute(f"SELECT id FROM {table}").fetchall():
            connection.execute(f"UPDATE {table} SET uid = ? WHERE id = ?", (uuid.uuid4().hex, row))
        connection.execute(f"CREATE UNIQUE INDEX {table}_uid ON {table} (uid)")
    connection.execute("CREATE UNIQUE INDEX one_name ON vehicles (same) WHERE gone = 0")


MIGRATIONS = {1: _to_second}
"""Version -> what makes the next one of it."""


def opened(path: Path) -> sqlite3.Connection:
    """A connection that writes nothing before it is asked to, and everything before it says so.

    Raises:
        LabError: a place that cannot be opened.
    """
    connection = sqlite3.connect(path, timeout=WAITS, isolation_level=None)
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


@contextlib.contextmanager
def told(path: Path) -> Iterator[None]:
    """SQLite's and the system's faults as one sentence.

    Raises:
        LabError: instead of them.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise LabError(_sentence(path, str(error))) from None
    except OSError as error:
        raise LabError(f"{path} could not be used ({error.strerror or error}); choose another place.") from None


def _sentence(path: Path, fault: str) -> str:
    if "full" in fault:
        return f"{path}: the disk is full, so nothing was written; make room and write it again."
    if "readonly" in fault or "read-only" in fault:
        return f"{path} cannot be written to; give yourself permission, or take a copy in a folder of your own."
    if "locked" in fault or "busy" in fault:
        return f"{path} is being written by someone else for more than {WAITS:.0f} s; close the other, and try again."
    if "not a database" in fault or "malformed" in fault:
        return f"{path} is no setup log, or it is damaged; take another file, or its backup."
    if "unable to open" in fault:
        return f"{path} could not be opened; check that its folder is there, and that you may write in it."
    return f"{path} could not be used ({fault}); nothing was written."


@contextlib.contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """One change, whole or not at all; on the disk once this ends.

    Raises:
        LabError: it could not be written, and nothing was.
    """
    with told(path), contextlib.closing(opened(path)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield connection
            connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
            raise


@contextlib.contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection to read from.

    Raises:
        LabError: it could not be read.
    """
    with told(path), contextlib.closing(opened(path)) as connection:
        yield connection


def prepare(path: Path) -> None:
    """Make a new log, or bring an old one up to date; its old file stays beside it, named `.before-version-...`.

    Raises:
        LabError: no log, a log from a newer version, or a place that cannot be written.
    """
    if path.is_dir():
        raise LabError(f"{path} is a folder, where the file of a setup log was expected; name a file in it.")
    if not path.parent.is_dir():
        raise LabError(f"{path}: there is no folder {path.parent}; make it first, or name another place.")
    if not path.exists() or path.stat().st_size == 0:
        if not os.access(path.parent, os.W_OK):
            raise LabError(f"{path}: you have no permission to write in {path.parent}; name a folder of your own.")
        with writing(path) as connection:
            if connection.execute("PRAGMA user_version").fetchone()[0] == 0:
                _make(connection)
    with reading(path) as connection:
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
    if application != APPLICATION:
        raise LabError(f"{path} is no setup log; take the file of one, or a new name.")
    if version > VERSION:
        raise LabError(
            f"{path} was written by a newer version (its schema is {version}, this lab knows {VERSION}); update the "
            "lab."
        )
    if version < VERSION:
        _bring_up_to_date(path, version)


def _make(connection: sqlite3.Connection) -> None:
    for statement in FIRST_VERSION.split(";"):
        if statement.strip():
            connection.execute(statement)
    for version in sorted(MIGRATIONS):
        MIGRATIONS[version](connection)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute(f"PRAGMA user_version = {VERSION}")


def _bring_up_to_date(path: Path, version: int) -> None:
    with told(path):
        shutil.copy2(path, path.with_name(f"{path.name}.before-version-{VERSION}"))
    with writing(path) as connection:
        # Another may have done it meanwhile.
        for step in range(connection.execute("PRAGMA user_version").fetchone()[0], VERSION):
            MIGRATIONS[step](connection)
            connection.execute(f"PRAGMA user_version = {step + 1}")
