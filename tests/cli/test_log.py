"""`log`: runs written, shown, found, taken back, exported and imported, and bad input."""

from __future__ import annotations

import pytest

from suspension_lab.cli.main import main
from suspension_lab.workshop.setup_log import SetupLog


def said(capsys, *argv):
    assert main(["log", *map(str, argv)]) == 0
    return " ".join(capsys.readouterr().out.split())


def test_a_day_in_the_workshop(capsys, tmp_path):
    file, out = tmp_path / "log.sqlite", tmp_path / "all.csv"
    assert "run 1" in said(capsys, file, "write", "Scooter 7", "--rebound", 12, "--seconds", "0,55", "--swings", 2)
    said(capsys, file, "write", "Scooter", "7", "--rebound", 6, "--seconds", 0.31, "--load", 48, "--remark", "calm now")
    table = SetupLog(file).table
    assert table["return time [s]"].tolist() == [0.55, 0.31]
    assert table["vehicle"].unique().tolist() == ["Scooter 7"]
    assert "0.55" in said(capsys, file, "show", "scooter 7")
    found = said(capsys, file, "search", "calm")
    assert "0.31" in found
    assert "0.55" not in found
    assert said(capsys, file, "undo") == "Taken back: run 2."
    assert said(capsys, file, "redo") == "Brought again: run 2."
    assert said(capsys, file, "export", out).startswith("Written: ")
    assert said(capsys, tmp_path / "other.sqlite", "import", out) == "Taken in: 4 new rows."
    assert said(capsys, file, "search", "snow") == "No run."


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["wite", "x"], "no action 'wite'; did you mean 'write'"),
        (["write"], "write needs VEHICLE"),
        (["write", "x", "--tyre-pressure", "220"], "tyre_pressure_bar is 220"),
        (["write", "x", "--rebound", "-3"], "rebound is -3 clicks"),
        (["show", "Scooter 8"], "no vehicle 'Scooter 8'"),
        (["import", "nowhere.csv"], "nowhere.csv: there is no such file"),
        (["undo", "--rebound", "x"], "a whole number was expected"),
    ],
)
def test_bad_input_is_one_sentence(capsys, tmp_path, argv, says):
    file = tmp_path / "log.sqlite"
    SetupLog(file)
    assert main(["log", str(file), *argv]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert len(err.strip().splitlines()) == 1


def test_the_log_itself_is_not_exported_over(capsys, tmp_path):
    file = tmp_path / "log.sqlite"
    said(capsys, file, "write", "Scooter 7", "--rebound", 6)
    before = file.read_bytes()
    assert main(["log", str(file), "export", str(file)]) == 2
    assert "is the log itself" in capsys.readouterr().err
    assert file.read_bytes() == before


def test_what_is_shown_comes_with_cautions(capsys, tmp_path):
    file = tmp_path / "log.sqlite"
    said(capsys, file, "write", "Scooter 7", "--rebound", 6)
    assert "the maker's manual comes first" in said(capsys, file, "show", "Scooter 7")


def test_a_log_that_cannot_be_written_has_its_exit_code(capsys, tmp_path):
    assert main(["log", str(tmp_path / "none" / "log.sqlite"), "write", "x"]) == 3
    assert "there is no folder" in capsys.readouterr().err


def test_a_log_that_is_not_there_is_not_made_by_looking(capsys, tmp_path):
    assert main(["log", str(tmp_path / "no.sqlite"), "show", "x"]) == 2
    assert "There is no log" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
