"""The file of the setup log: making it, safe writing, and SQLite's faults in one sentence each."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.setup_log_schema import APPLICATION, VERSION, make, migrate

WAITS = 30.0
"""So long a writer waits for another [s] (our choice)."""


class LogNotWrittenError(LabError):
    """A log that is sound but cannot be written: no room, no permission, no folder, or another one is writing."""


def opened(path: Path, mode: str = "rw") -> sqlite3.Connection:
    """A connection that writes nothing before it is asked to, and everything before it says so.

    Args:
        path: of the file.
        mode: 'rw'; or 'rwc', which makes the file.

    Raises:
        sqlite3.Error: a place that cannot be opened.
    """
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=WAITS, isolation_level=None
    )
    # A plain rollback journal leaves one file to carry away; EXTRA, since with it FULL can lose the last change in a
    # power cut (sqlite.org/pragma.html#pragma_synchronous).
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
        raise _fault(path, error) from None
    except OSError as error:
        raise LogNotWrittenError(
            f"{path} could not be used ({error.strerror or error}); choose another place."
        ) from None


def _fault(path: Path, error: sqlite3.Error) -> LabError:
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return LogNotWrittenError(f"{path}: the disk is full, so nothing was written; make room and write it again.")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return LogNotWrittenError(
            f"{path} cannot be written to; give yourself permission, or take a copy in a folder of your own."
        )
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogNotWrittenError(
            f"{path} is being written by someone else for more than {WAITS:g} s; close the other, and try again."
        )
    if code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return LabError(f"{path} is no setup log, or it is damaged; take another file, or its backup.")
    if code == sqlite3.SQLITE_CANTOPEN:
        return LogNotWrittenError(
            f"{path} could not be opened; check that file and folder are there, and that you may write in them."
        )
    return LogNotWrittenError(f"{path} could not be used ({error}); nothing was written.")


@contextlib.contextmanager
def writing(path: Path, mode: str = "rw") -> Iterator[sqlite3.Connection]:
    """One change, whole or not at all; on the disk once this ends.

    Raises:
        LabError: it could not be written, and nothing was.
    """
    with told(path), contextlib.closing(opened(path, mode)) as connection:
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
    """A connection that sees the log as it is at one moment, whatever others write meanwhile.

    Raises:
        LabError: it could not be read.
    """
    with told(path), contextlib.closing(opened(path)) as connection:
        connection.execute("BEGIN")
        yield connection


def log_path(path: str | Path) -> Path:
    """Where a log lies, or shall.

    Raises:
        LabError: no path, a folder, or no folder around it.
    """
    try:
        file = Path(path).expanduser()
        if "\0" in str(file):
            raise ValueError
    except (TypeError, ValueError, RuntimeError):
        raise LabError(f"The setup log is {shown(path)}, where the path of a file was expected.") from None
    with told(file):
        if file.is_dir():
            raise LabError(f"{file} is a folder, where the file of a setup log was expected; name a file in it.")
        if not file.parent.is_dir():
            raise LogNotWrittenError(f"{file}: there is no folder {file.parent}; make it first, or name another place.")
    return file


def prepare(path: Path) -> None:
    """Make a new log, or bring an old one up to date; its old file stays beside it, named `.before-version-...`.

    Raises:
        LabError: no log, a damaged one, one from a newer version, or a place that cannot be written.
    """
    with told(path):
        new = not path.exists()
        if new and not os.access(path.parent, os.W_OK):
            raise LogNotWrittenError(
                f"{path}: you have no permission to write in {path.parent}; name a folder of your own."
            )
    if new or _is_blank(path):
        with writing(path, "rwc") as connection:
            # Another may have made it meanwhile.
            if _blank(connection):
                make(connection)
    with reading(path) as connection:
        application, version = _number(connection, "application_id"), _number(connection, "user_version")
        sound = connection.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
    if application != APPLICATION:
        raise LabError(f"{path} is no setup log; take the file of one, or a new name.")
    if not sound:
        raise LabError(f"{path} is damaged; take its backup, or import what was exported last into a new log.")
    if version > VERSION:
        raise LabError(
            f"{path} was written by a newer version (its schema is {version}, this lab knows {VERSION}); update the "
            "lab."
        )
    if version < VERSION:
        _bring_up_to_date(path)


def _is_blank(path: Path) -> bool:
    """Whether a file is what a log is before its making was confirmed, or a kill left of it."""
    with reading(path) as connection:
        return _blank(connection)


def _blank(connection: sqlite3.Connection) -> bool:
    empty = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    return empty and _number(connection, "application_id") == 0 and _number(connection, "user_version") == 0


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])


def _bring_up_to_date(path: Path) -> None:
    with writing(path) as connection:
        # Another may have done it meanwhile.
        version = _number(connection, "user_version")
        if version < VERSION:
            # Nobody else writes while this holds the lock, so the copy is whole.
            _copied(path, path.with_name(f"{path.name}.before-version-{VERSION}"))
            migrate(connection, version)


def _copied(path: Path, place: Path) -> None:
    """A copy of the log as it was last confirmed; an older copy in its place is kept."""
    part = place.with_name(f"{place.name}.part")
    number = 1
    while place.exists():
        number += 1
        place = place.with_name(f"{path.name}.before-version-{VERSION}-{number}")
    try:
        with contextlib.closing(opened(path)) as source, contextlib.closing(sqlite3.connect(part)) as target:
            source.backup(target)
        part.replace(place)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
