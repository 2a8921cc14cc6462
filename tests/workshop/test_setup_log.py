"""The setup log: nothing confirmed is lost, two write at once, undo, search, CSV there and back, other versions."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

import suspension_lab as lab
from suspension_lab.workshop.setup_log import SetupLog
from suspension_lab.workshop.setup_log_schema import APPLICATION, FIRST_VERSION, VERSION

WRITER = Path(__file__).with_name("setup_log_writer.py")


@pytest.fixture
def log(tmp_path):
    made = SetupLog(tmp_path / "log.sqlite")
    made.add_vehicle("Scooter 7, rear", file="scooter_7.toml")
    return made


def filled(log):
    session = log.start_session("Scooter 7, rear", date="2026-03-01", place="workshop", remark="cold day")
    log.add_run(session, clicks={"rebound": 12, "low_speed": 10}, preload_mm=9.5, tyre_pressure_bar=2.2,
                oil_temperature_C=18.0, load_kg=48.0, test="release", measured={"return time": (0.55, "s"),
                "swings": (2, "")}, remark="swings on")  # fmt: skip
    log.add_run(session, clicks=lab.Clicks(rebound=6), test="release", measured={"return time": (0.31, "s")})
    later = log.start_session("scooter 7,  REAR", date="2026-04-02", place="yard")
    log.add_run(later, clicks={"rebound": 5}, road="cobbles", remark='=a formula? "quoted", ünïcode;\nsecond line')
    return session, later


def test_what_was_written_is_there_again(log):
    filled(log)
    table = SetupLog(log.path).table
    assert table["rebound"].tolist() == [12, 6, 5]
    assert table["return time [s]"].tolist()[:2] == [0.55, 0.31]
    assert table["date"].tolist() == ["2026-03-01", "2026-03-01", "2026-04-02"]
    assert table.loc[0, "tyre_pressure_bar"] == 2.2
    history = log.history("scooter 7, rear")
    assert len(history) == 3
    assert "high_speed" not in history.columns
    assert log.vehicles() == ["Scooter 7, rear"]


def test_a_kill_at_200_random_moments_loses_nothing_confirmed(tmp_path):
    done = subprocess.run(
        [sys.executable, str(WRITER), "kill", str(tmp_path / "log.sqlite"), "200", "5"],
        capture_output=True, text=True, timeout=240, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-800:]
    waited_for, confirmed = map(int, done.stdout.split())
    assert confirmed >= waited_for > 200


def test_two_processes_write_1000_rows_each(tmp_path):
    # This is about locks and not about the disk, so it is done in memory where there is a file system for that.
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else tmp_path) as folder:
        two_write_at_once(SetupLog(Path(folder) / "log.sqlite"))


def two_write_at_once(log):
    log.add_vehicle("Scooter 7, rear")
    session = log.start_session("Scooter 7, rear")
    both = [
        subprocess.Popen([sys.executable, str(WRITER), "write", str(log.path), str(session), "1000", tag])
        for tag in ("one", "other")
    ]
    assert [process.wait(240) for process in both] == [0, 0]
    with sqlite3.connect(log.path) as connection:
        remarks = [row[0] for row in connection.execute("SELECT remark FROM runs")]
    connection.close()
    assert len(remarks) == 2000
    assert set(remarks) == {f"{tag}-{number}" for tag in ("one", "other") for number in range(1000)}


def test_undo_and_redo(log):
    filled(log)
    assert log.undo() == "Taken back: run 3."
    assert log.undo() == "Taken back: session 2."
    assert len(log.table) == 2
    log.redo()
    log.redo()
    assert len(log.table) == 3
    log.undo()
    log.start_session("Scooter 7, rear")
    with pytest.raises(lab.LabError, match="nothing to bring back"):
        log.redo()
    for _ in range(6):
        log.undo()
    with pytest.raises(lab.LabError, match="nothing to take back"):
        log.undo()
    assert log.vehicles() == []
    assert len(log.table) == 0


def test_search(log):
    filled(log)
    assert log.search("COBBLES yard")["run"].tolist() == [3]
    assert log.search("cobbles workshop").empty
    assert log.search(rebound=6)["run"].tolist() == [2]
    assert log.search(since="2026-03-15")["run"].tolist() == [3]
    assert log.search(until="2026-03-15", vehicle="Scooter 7, rear")["run"].tolist() == [1, 2]
    with pytest.raises(lab.LabError, match="no vehicle 'Scooter 8, rear'; did you mean 'Scooter 7, rear'"):
        log.search(vehicle="Scooter 8, rear")


def test_csv_there_and_back(log, tmp_path):
    filled(log)
    log.to_csv(tmp_path / "all.csv")
    other = SetupLog(tmp_path / "other.sqlite")
    assert other.import_csv(tmp_path / "all.csv") == 6
    assert other.import_csv(tmp_path / "all.csv") == 0
    assert other.table.drop(columns=["session", "run"]).equals(log.table.drop(columns=["session", "run"]))
    assert "'=a formula" in (tmp_path / "all.csv").read_text(encoding="utf-8-sig")
    other.to_csv(tmp_path / "again.csv")
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "all.csv").read_bytes()
    assert not list(tmp_path.glob("*.part"))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (",12,10,", ",12.5,10,", "line 5, column rebound: rebound is 12.5 clicks, where a whole number"),
        (",12,10,", ",twelve,10,", "line 5, column rebound: 'twelve' stands there, where a number"),
        ("2026-03-01", "first of March", "line 3, column date: The date is 'first of March'"),
        ("kind,uid", "sort,uid", "line 1: the columns 'kind' are missing"),
        ("vehicle,", "boat,", "line 2, column kind: 'boat' stands there"),
    ],
)
def test_a_wrong_csv_takes_in_nothing(log, tmp_path, old, new, says):
    filled(log)
    log.to_csv(tmp_path / "all.csv")
    text = (tmp_path / "all.csv").read_text(encoding="utf-8-sig")
    assert old in text
    (tmp_path / "bad.csv").write_text(text.replace(old, new, 1), encoding="utf-8")
    other = SetupLog(tmp_path / "other.sqlite")
    with pytest.raises(lab.LabError, match=says):
        other.import_csv(tmp_path / "bad.csv")
    assert other.vehicles() == []


def dumped(path):
    connection = sqlite3.connect(path)
    try:
        return [*connection.iterdump(), connection.execute("PRAGMA user_version").fetchone()]
    finally:
        connection.close()


def test_a_first_version_is_brought_up_to_date(tmp_path):
    path = tmp_path / "old.sqlite"
    connection = sqlite3.connect(path)
    connection.executescript(FIRST_VERSION)
    connection.execute("INSERT INTO vehicles (name, same, written) VALUES ('Old', 'old', '2025')")
    connection.execute("INSERT INTO sessions (vehicle, date, written) VALUES (1, '2025-05-05', '2025')")
    connection.execute("INSERT INTO runs (session, rebound, measured, written) VALUES (1, 7, '{}', '2025')")
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute("PRAGMA user_version = 1")
    connection.commit()
    connection.close()
    before = dumped(path)
    log = SetupLog(path)
    assert log.table["rebound"].tolist() == [7]
    log.add_run(1, tyre_pressure_bar=2.0)
    assert log.table["tyre_pressure_bar"].tolist()[1] == 2.0
    assert dumped(tmp_path / f"old.sqlite.before-version-{VERSION}") == before


def test_a_newer_or_another_file_is_left_alone(log, tmp_path):
    with sqlite3.connect(log.path) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    before = log.path.read_bytes()
    with pytest.raises(lab.LabError, match="written by a newer version"):
        SetupLog(log.path)
    assert log.path.read_bytes() == before
    (tmp_path / "text.sqlite").write_text("no database at all, but long enough to be one " * 20)
    with pytest.raises(lab.LabError, match="no setup log, or it is damaged"):
        SetupLog(tmp_path / "text.sqlite")
    foreign = sqlite3.connect(tmp_path / "foreign.sqlite")
    foreign.execute("CREATE TABLE something (x)")
    foreign.close()
    with pytest.raises(lab.LabError, match="is no setup log"):
        SetupLog(tmp_path / "foreign.sqlite")
    with pytest.raises(lab.LabError, match="is a folder"):
        SetupLog(tmp_path)
    with pytest.raises(lab.LabError, match="there is no folder"):
        SetupLog(tmp_path / "nowhere" / "log.sqlite")


def test_a_full_disk_writes_nothing_half(log, monkeypatch):
    """SQLite's own bound on pages stands for a full disk: it gives the same error."""
    from suspension_lab.workshop import setup_log_file

    session, real = log.start_session("Scooter 7, rear"), setup_log_file.opened

    def small(path, mode="rw"):
        connection = real(path, mode)
        connection.execute(f"PRAGMA max_page_count = {connection.execute('PRAGMA page_count').fetchone()[0]}")
        return connection

    monkeypatch.setattr(setup_log_file, "opened", small)

    def fill():
        for _ in range(500):
            log.add_run(session, remark="x" * 2000)

    with pytest.raises(lab.LabError, match="the disk is full, so nothing was written"):
        fill()
    monkeypatch.setattr(setup_log_file, "opened", real)
    count = len(log.table)
    log.add_run(session)
    assert len(log.table) == count + 1


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda log: log.add_vehicle(" scooter 7,   REAR "), "has a vehicle 'Scooter 7, rear' already"),
        (lambda log: log.add_vehicle("  "), "has no name"),
        (lambda log: log.add_vehicle(7), "name of the vehicle is 7, where words"),
        (lambda log: log.start_session("Scooter 9"), "no vehicle 'Scooter 9'"),
        (lambda log: log.start_session("Scooter 7, rear", date="1.3.26"), "date is '1.3.26'"),
        (lambda log: log.add_run(99), "no session 99"),
        (lambda log: log.add_run(1, clicks={"rebound": -1}), "rebound is -1 clicks"),
        (lambda log: log.add_run(1, clicks={"rebound": 1.5}), "rebound is 1.5 clicks"),
        (lambda log: log.add_run(1, clicks={"rebond": 1}), "no adjuster 'rebond'; did you mean 'rebound'"),
        (lambda log: log.add_run(1, tyre_pressure_bar=220.0), "tyre_pressure_bar is 220, where 0.1 to 20 bar"),
        (lambda log: log.add_run(1, pressure=2.0), "A run has no 'pressure'"),
        (lambda log: log.add_run(1, measured={"time": 0.5}), "where a number and its unit were expected"),
        (lambda log: log.add_run(1, measured={"time": (float("nan"), "s")}), "where a number and its unit"),
        (lambda log: log.import_csv("nowhere.csv"), "nowhere.csv: there is no such file"),
        (lambda log: log.to_csv("/nowhere/all.csv"), "could not be used"),
    ],
)
def test_bad_input_is_one_sentence_and_nothing_is_written(log, call, says):
    log.start_session("Scooter 7, rear")
    before = log.path.read_bytes()
    with pytest.raises(lab.LabError, match=says):
        call(log)
    assert log.path.read_bytes() == before
