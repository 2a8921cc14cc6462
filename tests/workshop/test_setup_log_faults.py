"""The setup log where something is odd: names, units, files of others, kills and copies at the wrong moment."""

from __future__ import annotations

import csv
import os
import signal
import sqlite3
import tempfile
from pathlib import Path

import numpy as np
import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.workshop import setup_log_file, setup_log_schema
from suspension_lab.workshop.setup_log import SetupLog
from suspension_lab.workshop.setup_log_file import LogNotWrittenError


@pytest.fixture
def log(tmp_path):
    made = SetupLog(tmp_path / "log.sqlite")
    made.add_vehicle("Rear", remark="Öl new")
    session = made.start_session("Rear", date="2026-03-01", place="yard", remark="cold")
    made.add_run(session, clicks={"rebound": 12}, remark="one")
    return made


@pytest.fixture
def exported(log, tmp_path):
    log.to_csv(tmp_path / "all.csv")
    return tmp_path / "all.csv"


def test_one_name_in_two_units_is_two_columns(log):
    for value, unit in ((0.5, "s"), (520.0, "ms")):
        log.add_run(1, measured={"return time": (value, unit)})
    table = log.table
    assert np.array_equal(table["return time [s]"], [np.nan, 0.5, np.nan], equal_nan=True)
    assert np.array_equal(table["return time [ms]"], [np.nan, np.nan, 520.0], equal_nan=True)


def test_numbers_of_numpy_are_numbers(log):
    log.add_run(1, clicks={"rebound": np.int64(3)}, load_kg=np.float64(48.0), measured={"g": (np.float32(0.5), "")})
    last = log.table.iloc[-1]
    assert (last["rebound"], last["load_kg"], last["g"]) == (3, 48.0, 0.5)


def test_search_in_an_empty_log_and_in_all_remarks(log, tmp_path):
    assert SetupLog(tmp_path / "empty.sqlite").search("x").empty
    assert log.search("öl COLD one")["run"].tolist() == [1]


def test_what_was_typed_in_another_unicode_form_is_the_same_name(log):
    log.add_vehicle("V\u00e9lo")
    with pytest.raises(lab.LabError, match="has a vehicle 'V\u00e9lo' already"):
        log.add_vehicle("Ve\u0301lo")


def test_signs_that_no_file_holds_become_blanks(log):
    """A command line in another encoding gives lone surrogates, which UTF-8 cannot write."""
    log.add_vehicle("a\udcffb\x00c\u2028d")
    assert log.vehicles()[-1] == "a b c d"


def test_an_import_is_one_change(log, exported, tmp_path):
    other = SetupLog(tmp_path / "other.sqlite")
    other.add_vehicle("Other")
    assert other.import_csv(exported) == 3
    assert other.undo() == "Taken back: an import of 3 rows."
    assert (other.vehicles(), len(other.table)) == (["Other"], 0)
    other.redo()
    assert (other.vehicles(), len(other.table)) == (["Other", "Rear"], 1)
    other.undo(2)
    assert other.vehicles() == []
    assert other.import_csv(exported) == 3
    assert other.table["remark"].tolist() == ["one"]


def test_several_steps_are_all_or_none(log):
    with pytest.raises(lab.LabError, match="Only 3 of 4 changes can be taken back, so none was"):
        log.undo(4)
    assert len(log.table) == 1
    log.undo(3)
    assert log.vehicles() == []
    log.redo(3)
    assert log.table["remark"].tolist() == ["one"]


def test_two_logs_that_know_one_vehicle_each_for_itself_go_together(exported, tmp_path):
    other = SetupLog(tmp_path / "other.sqlite")
    other.add_vehicle("REAR", remark="Öl new")
    assert other.import_csv(exported) == 2
    assert other.vehicles() == ["REAR"]
    assert other.table["vehicle"].tolist() == ["REAR"]


def test_a_spreadsheet_with_semicolons_decimal_commas_and_another_encoding_is_read(log, tmp_path):
    log.add_run(1, tyre_pressure_bar=2.25)
    log.to_csv(tmp_path / "all.csv")
    rows = list(csv.reader((tmp_path / "all.csv").read_text(encoding="utf-8-sig").splitlines()))
    at = rows[0].index("tyre_pressure_bar")
    rows[-1][at] = rows[-1][at].replace(".", ",")
    with (tmp_path / "mine.csv").open("w", encoding="latin-1", newline="") as out:
        csv.writer(out, delimiter=";").writerows([*rows, [""] * len(rows[0])])
    other = SetupLog(tmp_path / "other.sqlite")
    assert other.import_csv(tmp_path / "mine.csv") == 4
    assert other.table["tyre_pressure_bar"].tolist()[-1] == 2.25
    assert other.search("öl")["run"].tolist() == [1, 2]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (",12,", ",inf,", "line 4, column rebound"),
        (",12,", ",nan,", "line 4, column rebound"),
        (",12,", ",900,", "line 4, column rebound"),
        (",Rear,", ", ,", "line 2, column name"),
        (",one,", ",o,ne,", "line 4: 21 cells, where 20"),
        (",one,", ',"one,', "this is no CSV"),
        (",one,", ",two,", "line 4, column remark: 'two' stands there, where the log has 'one'"),
        (",{},", ",[],", "line 4, column measured"),
        (",cold,2", ",cold,x2", "line 3, column written"),
    ],
)
def test_a_wrong_line_is_told_with_its_column_and_nothing_is_taken_in(log, exported, old, new, says):
    text = exported.read_text(encoding="utf-8-sig")
    assert old in text
    exported.write_text(text.replace(old, new, 1), encoding="utf-8")
    before = log.path.read_bytes()
    with pytest.raises(lab.LabError, match=says) as told:
        log.import_csv(exported)
    assert is_one_sentence(str(told.value))
    assert log.path.read_bytes() == before


def test_a_run_that_belongs_to_no_session_is_refused(exported, tmp_path):
    rows = list(csv.reader(exported.read_text(encoding="utf-8-sig").splitlines()))
    rows[3][2] = rows[1][1]
    with exported.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    with pytest.raises(lab.LabError, match="line 4, column of: this run belongs to the session"):
        SetupLog(tmp_path / "other.sqlite").import_csv(exported)


def test_the_log_is_not_written_over_by_its_own_export(log):
    before = log.path.read_bytes()
    with pytest.raises(lab.LabError, match="is the log itself"):
        log.to_csv(log.path.parent / "." / log.path.name)
    assert log.path.read_bytes() == before


def test_a_log_that_was_moved_away_is_not_made_anew(log):
    log.path.rename(log.path.with_name("elsewhere.sqlite"))
    with pytest.raises(LogNotWrittenError, match="could not be opened"):
        log.add_vehicle("Front")
    assert not log.path.exists()


def test_a_log_that_another_holds_for_too_long(log, monkeypatch):
    monkeypatch.setattr(setup_log_file, "WAITS", 0.1)
    other = sqlite3.connect(log.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with pytest.raises(LogNotWrittenError, match=r"by someone else for more than 0.1 s"):
            log.add_vehicle("Front")
    finally:
        other.close()
    assert log.vehicles() == ["Rear"]


def test_a_damaged_log_is_told(log):
    raw = bytearray(log.path.read_bytes())
    raw[4096:8192] = bytes(4096)
    log.path.write_bytes(raw)
    with pytest.raises(lab.LabError, match="damaged"):
        SetupLog(log.path)


def test_who_comes_second_keeps_the_copy_of_who_came_first(tmp_path):
    """Both saw the first version before either had the lock."""
    path = tmp_path / "old.sqlite"
    connection = sqlite3.connect(path)
    connection.executescript(setup_log_schema.FIRST_VERSION)
    connection.execute(f"PRAGMA application_id = {setup_log_schema.APPLICATION}")
    connection.execute("PRAGMA user_version = 1")
    connection.close()
    setup_log_file._bring_up_to_date(path)
    setup_log_file._bring_up_to_date(path)
    copy = sqlite3.connect(tmp_path / "old.sqlite.before-version-2")
    assert copy.execute("PRAGMA user_version").fetchone() == (1,)
    copy.close()
    assert sorted(file.name for file in tmp_path.iterdir()) == ["old.sqlite", "old.sqlite.before-version-2"]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_kill_while_the_log_is_made_leaves_a_place_for_one(tmp_path):
    path = tmp_path / "log.sqlite"
    back, to = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            connection = sqlite3.connect(path, isolation_level=None)
            # With so little memory SQLite writes into the file before the change is complete.
            connection.execute("PRAGMA cache_size = 1")
            connection.execute("BEGIN IMMEDIATE")
            setup_log_schema.make(connection)
            connection.execute("CREATE TABLE large (x)")
            for _ in range(200):
                connection.execute("INSERT INTO large VALUES (zeroblob(4000))")
            os.write(to, b"x")
            signal.pause()
        finally:
            os._exit(1)
    os.close(to)
    assert os.read(back, 1) == b"x"
    os.close(back)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    assert path.stat().st_size > 0
    SetupLog(path).add_vehicle("Rear")
    assert SetupLog(path).vehicles() == ["Rear"]


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs rights as on Unix")
def test_a_log_and_a_folder_that_may_only_be_read():
    """As somebody else where this runs as root, who may write anywhere."""
    nobody, me = 65534, os.geteuid()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        log = SetupLog(folder / "log.sqlite")
        log.add_vehicle("Rear")
        log.path.chmod(0o444)
        folder.chmod(0o555)
        if me == 0:
            os.seteuid(nobody)
        try:
            assert log.vehicles() == SetupLog(log.path).vehicles() == ["Rear"]
            for call, says in (
                (lambda: log.add_vehicle("Front"), "cannot be written to"),
                (lambda: SetupLog(folder / "new.sqlite"), "could not be opened|no permission"),
                (lambda: log.to_csv(folder / "all.csv"), "Permission denied"),
            ):
                with pytest.raises(LogNotWrittenError, match=says) as told:
                    call()
                assert is_one_sentence(str(told.value))
        finally:
            os.seteuid(me)
            folder.chmod(0o755)
        assert [file.name for file in folder.iterdir()] == ["log.sqlite"]


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda log: log.add_run(1, measured={"rebound": (3.0, "")}), "'rebound' is a column of the log itself"),
        (lambda log: log.add_run(1, measured={"time [s]": (3.0, "")}), r"holds \[ or \]"),
        (lambda log: log.add_run(1, measured={"t": (1.0, ""), "T ": (2.0, "")}), "'T ' was measured twice"),
        (lambda log: log.add_run(1, measured={"t": (10**400, "s")}), "where a number and its unit"),
        (lambda log: log.add_run(1, measured=[1.0]), "What was measured is a list"),
        (lambda log: log.add_run(1, clicks=[1]), "The clicks are a list"),
        (lambda log: log.add_run([1]), "no session a list"),
        (lambda log: log.add_run(2**70), "no session"),
        (lambda log: log.add_vehicle("x" * 10_001), "has 10001 characters, where at most 10000"),
        (lambda log: log.start_session("Rear", date="20260301"), "date is '20260301'"),
        (lambda log: log.undo(0), "number of steps is 0"),
        (lambda _: SetupLog("a\0b"), "where the path of a file was expected"),
        (lambda _: SetupLog(None), "The setup log is None"),
    ],
)
def test_bad_input_is_one_sentence(log, call, says):
    before = log.path.read_bytes()
    with pytest.raises(lab.LabError, match=says) as told:
        call(log)
    assert is_one_sentence(str(told.value))
    assert log.path.read_bytes() == before
