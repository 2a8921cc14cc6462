"""`suspension-lab card`: its file, its words, and its refusals."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.cli import card as command
from suspension_lab.cli.arguments import Parser
from suspension_lab.cli.writing import CannotWriteError
from suspension_lab.lab.setup_card import encoded
from suspension_lab.workshop.cautions import OPENING, RIDING, STANDING, TURNING
from suspension_lab.workshop.setup_card import setup_card

VEHICLE = "courier_scooter_rear"


def run(*argv: str) -> int:
    whole = Parser(prog="suspension-lab")
    command.add_to(whole.add_subparsers())
    return command.card(whole.parse_args(["card", *argv]))


def test_the_card_is_that_of_the_settings_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "card.pdf"
    given = ["--rebound", "6", "--low-speed", "12", "--high-speed", "3", "--rider", "50", "--date", "2026-03-09"]
    assert run(VEHICLE, str(out), *given, "--tyre-pressure", "2,4", "--remark", "Old town") == 0
    station = lab.load_station(VEHICLE).with_rider(50.0).with_clicks(rebound=6, low_speed=12, high_speed=3)
    card = setup_card(station, date="2026-03-09", tyre_pressure_bar=2.4, remark="Old town")
    assert out.read_bytes() == encoded(card, ".pdf")
    words = " ".join(capsys.readouterr().out.split())
    for part in (TURNING, STANDING, RIDING, OPENING, "(invented)", "2026-03-09", "2.4 bar", f"Written: {out}"):
        assert part in words


def test_a_png_and_a_card_that_was_there_is_said_to_be_replaced(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "card.png"
    out.write_text("old", encoding="utf-8")
    assert run(VEHICLE, str(out)) == 0
    assert f"Replaced: {out}" in capsys.readouterr().out
    assert out.read_bytes().startswith(b"\x89PNG\r\n")
    assert [file.name for file in tmp_path.iterdir()] == ["card.png"]


WRONG = {
    "rebound that fails": (["--rebound", "24"], "swings on.*would pass, so set it there first"),
    "clicks out of range": (["--rebound", "99"], "rebound clicks are 99"),
    "negative load": (["--rider", "-5"], "--rider is -5 kg, where 0 to 5000 kg"),
    "no date": (["--date", "today"], "date is 'today'"),
    "pressure in kPa": (["--tyre-pressure", "220"], "tyre pressure is 220 bar"),
    "half a click": (["--low-speed", "1.5"], "a whole number was expected"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_setting_is_one_sentence_and_no_file(case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    given, says = WRONG[case]
    with pytest.raises(lab.LabError, match=says) as told:
        run(VEHICLE, str(tmp_path / "card.pdf"), *given)
    assert is_one_sentence(str(told.value))
    assert capsys.readouterr().out == ""
    assert list(tmp_path.iterdir()) == []


def test_a_wrong_place_is_told_before_anything_is_worked_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(command, "setup_card", lambda *_, **__: pytest.fail("the card was begun"))
    (tmp_path / "folder.pdf").mkdir()
    for place, kind, says in (
        ("card.txt", lab.LabError, "where a name ending in .pdf or .png was expected"),
        ("folder.pdf", CannotWriteError, "is a folder"),
        ("none/card.pdf", CannotWriteError, "there is no folder"),
    ):
        with pytest.raises(kind, match=says) as told:
            run(VEHICLE, str(tmp_path / place))
        assert is_one_sentence(str(told.value))
    vehicle = tmp_path / "mine.pdf"
    with pytest.raises(lab.LabError, match="would be read and written over"):
        run(str(vehicle), str(vehicle))


def test_a_full_disk_leaves_the_old_card_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    out = tmp_path / "card.pdf"
    out.write_text("old", encoding="utf-8")

    def full(path: Path, content: bytes) -> None:
        path.write_text("half", encoding="utf-8")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(CannotWriteError, match="No space left on device") as told:
        run(VEHICLE, str(out))
    assert is_one_sentence(str(told.value))
    assert out.read_text(encoding="utf-8") == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["card.pdf"]
