"""The schema of the setup log, and its migrations."""

from __future__ import annotations

import sqlite3
import uuid

APPLICATION = 0x53554C47
"""Marks the file as a setup log."""
VERSION = 2
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
"""The schema as it was first; later ones are made from it, step by step.

A change says what was written: `kind` is a table and `row` its row; or, after an import, 'import' and how many changes
before it, each in state 'part', belong to it. `state` is 'done', 'undone' (can be brought again) or 'dropped'.
"""
TABLES = ("vehicles", "sessions", "runs")


def make(connection: sqlite3.Connection) -> None:
    """All tables in an empty file, within the caller's transaction."""
    _run(connection, FIRST_VERSION)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    migrate(connection, 1)


def migrate(connection: sqlite3.Connection, version: int) -> None:
    """From a version to the present one, within the caller's transaction."""
    for step in range(version, VERSION):
        MIGRATIONS[step](connection)
        connection.execute(f"PRAGMA user_version = {step + 1}")


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


def _run(connection: sqlite3.Connection, statements: str) -> None:
    # executescript would end the caller's transaction.
    for statement in statements.split(";"):
        if statement.strip():
            connection.execute(statement)
