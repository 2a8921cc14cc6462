"""Results of trainees: a file for each, nothing lost, nobody mixed, and the class's sheet."""

from __future__ import annotations

import csv
import datetime
import os
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from suspension_lab.common.errors import LabError
from suspension_lab.workshop import results, results_file, shared_folder
from suspension_lab.workshop.results import Reply, class_sheet, read_class, write_results


def reply(question: str = "open_by_four", **other: Any) -> Reply:
    given: dict[str, Any] = {"lesson": "01_rebound_release", "kind": "check", "answer": "later", "right": True}
    return Reply(question=question, **{**given, **other})


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def another_page(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Forgets which files this process wrote, as the Python of another page does not know them."""
    return results._OWN.clear


def test_file_has_a_row_for_each_question_and_the_first_answer_counts(tmp_path: Path) -> None:
    wrong = reply(answer="sooner", right=False, mistake="direction of turning")
    again = reply(answer="the same", right=False, mistake="size", tries=2)
    path = write_results(
        tmp_path, "Ana", [wrong, again, reply(tries=3), reply("clock", kind="prediction", answer="0.5 s")]
    )
    assert path == tmp_path / "results" / "Ana.csv"
    first, second = table(path)
    assert first["first answer"] == "sooner"
    assert first["right at the first try"] == "no"
    assert first["mistakes"] == "direction of turning; size"
    assert first["tries"] == "3"
    assert second["right at the first try"] == "yes"
    assert second["kind"] == "prediction"
    written = datetime.datetime.fromisoformat(first["when"])
    assert abs((datetime.datetime.now(datetime.UTC) - written).total_seconds()) < 60.0


def test_right_only_later_is_not_right_at_the_first_try(tmp_path: Path) -> None:
    path = write_results(tmp_path, "Ana", [reply(tries=2)])
    assert table(path)[0]["right at the first try"] == "no"


def test_writing_again_keeps_the_first_answer_and_adds_what_is_new(tmp_path: Path) -> None:
    write_results(tmp_path, "Ana", [reply(answer="sooner", right=False, mistake="size")])
    path = write_results(tmp_path, "Ana", [reply("other"), reply(right=False, mistake="unit", tries=2)])
    first, other = table(path)
    assert first["first answer"] == "sooner"
    assert first["mistakes"] == "size; unit"
    assert first["tries"] == "2"
    assert other["question"] == "other"
    before = path.read_text()
    write_results(tmp_path, "Ana", [reply("other")])
    assert path.read_text() == before


def test_another_page_asks_before_it_adds(tmp_path: Path, another_page: Any) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    before = path.read_bytes()
    another_page()
    with pytest.raises(LabError, match=r"results of 'Ana' already.*put a number behind your name, such as Ana 2"):
        write_results(tmp_path, "Ana", [reply("other")])
    assert path.read_bytes() == before
    write_results(tmp_path, "Ana", [reply("other")], join=True)
    write_results(tmp_path, "Ana", [reply("third")])
    assert [row["question"] for row in table(path)] == ["open_by_four", "other", "third"]


def test_names_that_differ_in_capital_letters_only_are_one_name(tmp_path: Path, another_page: Any) -> None:
    write_results(tmp_path, "Ana", [reply()])
    another_page()
    with pytest.raises(LabError, match="already"):
        write_results(tmp_path, "ANA", [reply()])
    assert len(list((tmp_path / "results").glob("*.csv"))) == 1


def test_names_that_differ_in_marks_only_are_not_mixed(tmp_path: Path) -> None:
    write_results(tmp_path, "Ana B", [reply()])
    with pytest.raises(LabError, match=r"belongs to 'Ana B'.*put a number behind"):
        write_results(tmp_path, "Ana/B", [reply()])


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("../../etc/passwd", "etc_passwd.csv"),
        ("Zoë Łuk", "Zoë_Łuk.csv"),
        ("con", "con_.csv"),
        ("a\x00b\n c", "a_b_c.csv"),
        ("王", "王.csv"),
        ("=SUM(A1)", "SUM_A1.csv"),
    ],
)
def test_odd_names_stay_in_the_folder(tmp_path: Path, name: str, file: str) -> None:
    path = write_results(tmp_path, name, [reply()])
    assert path.parent == tmp_path / "results"
    assert path.name == file
    assert read_class(tmp_path)[0].name == " ".join(name.replace("\x00", " ").split())


@pytest.mark.parametrize("name", ["", "   ", "..", "=-@", "\n"])
def test_name_without_a_letter_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(LabError, match="The name is empty"):
        write_results(tmp_path, name, [reply()])
    assert not (tmp_path / "results").exists()


def test_long_name_is_refused(tmp_path: Path) -> None:
    write_results(tmp_path, "王" * 60, [reply()])  # 180 bytes: systems take 255
    with pytest.raises(LabError, match="61 characters"):
        write_results(tmp_path, "a" * 61, [reply()])


def test_nothing_to_write_is_told(tmp_path: Path) -> None:
    with pytest.raises(LabError, match="no answer to write"):
        write_results(tmp_path, "Ana", [])


def test_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(LabError, match="no such folder"):
        write_results(tmp_path / "not there", "Ana", [reply()])


def test_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "results").write_text("a file stands where the folder should be")
    with pytest.raises(LabError, match="could not be written"):
        write_results(tmp_path, "Ana", [reply()])


def test_failed_write_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    before = path.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(LabError, match="No space left on device"):
        write_results(tmp_path, "Ana", [reply("other")])
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == ["Ana.csv"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("name,lesson", "who,lesson", "line 1"),
        (",check,", ",guess,", "line 2.*kind is 'guess'"),
        (",yes,", ",perhaps,", "line 2.*'perhaps', where yes or no"),
        (",yes,,1,", ",yes,,many,", "number of tries is 'many'"),
        (",yes,,1,", ",yes,,0,", "number of tries is '0'"),
        (",yes,,1,,2", ",yes,,1,nan,2", "score is 'nan'"),
        (",yes,,1,,2", ",yes,,1,,later 2", "time is"),
        ("01_rebound_release", "", "lesson is empty"),
        ("later,yes", '"later,yes', "no CSV|cells stand there"),
        (",yes,", ",yes,x,y,z,", "cells stand there|yes or no|number"),
    ],
)
def test_damaged_file_is_told_and_stays(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    text = path.read_text(encoding="utf-8-sig")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(LabError, match=said):
        write_results(tmp_path, "Ana", [reply("other")])
    assert path.read_bytes() == before


def test_empty_and_binary_files_are_told(tmp_path: Path) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    for content, said in ((b"", "is empty"), (b"\xff\x00\x01" * 9, "not plain text")):
        path.write_bytes(content)
        with pytest.raises(LabError, match=said):
            write_results(tmp_path, "Ana", [reply()])


def test_file_saved_again_by_a_spreadsheet_is_read(tmp_path: Path) -> None:
    path = write_results(tmp_path, "Ana", [reply("spread", kind="stopwatch", answer="0.05 s", score=0.05)])
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, delimiter=";", lineterminator="\r\n")
        writer.writerow(results_file.COLUMNS)
        writer.writerow(
            ["Ana", "01", "spread", "stopwatch", "0.05 s", "yes", "", "1", "0,05", "2026-02-03T10:00:00+01:00"]
        )
    assert read_class(tmp_path)[0].score == 0.05


def test_pages_that_write_at_once_lose_nothing(tmp_path: Path) -> None:
    write_results(tmp_path, "Ana", [reply("first")])
    with ThreadPoolExecutor(8) as eight:
        list(eight.map(lambda at: write_results(tmp_path, "Ana", [reply(f"question {at}")]), range(24)))
    assert {row.question for row in read_class(tmp_path)} == {"first", *(f"question {at}" for at in range(24))}


def test_mark_of_a_writer_that_died_does_not_block_for_ever(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    mark = path.with_name(".Ana.writing")
    mark.touch()
    monkeypatch.setattr(shared_folder, "WAITS", 0.1)
    with pytest.raises(LabError, match="being written by another page"):
        write_results(tmp_path, "Ana", [reply("other")])
    old = time.time() - 2.0 * shared_folder.STALE
    os.utime(mark, (old, old))
    write_results(tmp_path, "Ana", [reply("other")])
    assert len(read_class(tmp_path)) == 2


@pytest.mark.parametrize("text", ["=1+1", "+1", "-3 mm", "@cell", "'quoted", "\tindented"])
def test_no_text_is_a_formula_in_a_spreadsheet(tmp_path: Path, text: str) -> None:
    path = write_results(tmp_path, f"{text} Ana", [reply(answer=text, right=False, mistake=text)])
    row = table(path)[0]
    assert row["first answer"] == f"'{text}"
    assert all(not cell.startswith(("=", "+", "-", "@", "\t")) for cell in row.values())
    assert read_class(tmp_path)[0].first_answer == text
    class_sheet(tmp_path, tmp_path / "class.csv")
    for name in ("class.csv", "class_questions.csv"):
        assert all(not cell.startswith(("=", "+", "-", "@", "\t")) for cell in table(tmp_path / name)[0].values())


def test_class_sheet_counts_by_trainee_and_by_question(tmp_path: Path, another_page: Any) -> None:
    by_hand = {
        "Ana": [
            reply("guess", kind="prediction"),
            reply("other guess", kind="prediction", right=False, mistake="direction of turning"),
            reply("clock", right=False, mistake="direction of turning"),
            reply("clock", tries=2),
            reply("bias", kind="stopwatch", answer="-0.04 s", score=-0.04),
            reply("spread", kind="stopwatch", answer="0.06 s", score=0.06),
            reply("vehicle 1", lesson="09", kind="mystery", score=60.0),
            reply("vehicle 2", lesson="09", kind="mystery", score=81.0),
        ],
        "Bo": [reply("clock"), reply("guess", kind="prediction", right=False, mistake="size")],
        "Cem": [reply("clock", right=False, mistake="size"), reply("clock", right=False, mistake="unit", tries=2)],
    }
    for name, replies in by_hand.items():
        write_results(tmp_path, name, replies)
        another_page()
    sheet = class_sheet(tmp_path, tmp_path / "class.csv")
    assert sheet.told == ()
    rows = {(row["trainee"], row["lesson"]): row for row in table(sheet.paths[0])}
    ana = rows["Ana", "01_rebound_release"]
    assert (ana["predictions given"], ana["predictions right"]) == ("2", "1")
    assert (ana["checks answered"], ana["checks right at the first try"]) == ("1", "0")
    assert ana["mistakes"] == "direction of turning 2"
    assert (ana["stopwatch bias [s]"], ana["stopwatch spread [s]"]) == ("-0.04", "0.06")
    assert rows["Ana", "09"]["mystery score"] == "70.5"  # (60 + 81) / 2
    assert rows["Bo", "01_rebound_release"]["mystery score"] == ""
    questions = {(row["question"], row["kind"]): row for row in table(sheet.paths[1])}
    clock = questions["clock", "check"]
    assert (clock["answered"], clock["right at the first try"]) == ("3", "1")
    assert questions["guess", "prediction"]["commonest mistake"] == "size (1)"


def test_one_name_in_two_files_is_kept_apart_and_told(tmp_path: Path) -> None:
    path = write_results(tmp_path, "Ana", [reply()])
    (path.parent / "Ana (1).csv").write_bytes(path.read_bytes())
    sheet = class_sheet(tmp_path, tmp_path / "class.csv")
    assert {row[0] for row in sheet.trainees} == {"Ana [Ana.csv]", "Ana [Ana (1).csv]"}
    assert "more than one file" in sheet.told[0]


def test_damaged_file_does_not_stop_the_class_and_is_told(tmp_path: Path) -> None:
    write_results(tmp_path, "Ana", [reply()])
    (tmp_path / "results" / "Bo.csv").write_text("something else\n")
    with pytest.raises(LabError, match=r"Bo\.csv, line 1"):
        read_class(tmp_path)
    sheet = class_sheet(tmp_path, tmp_path / "class.csv")
    assert [row[0] for row in sheet.trainees] == ["Ana"]
    assert "Bo.csv, line 1" in sheet.told[0]


def test_what_lies_among_the_files_and_is_none_is_told(tmp_path: Path) -> None:
    folder = write_results(tmp_path, "Ana", [reply()]).parent
    heading = (folder / "Ana.csv").read_bytes().splitlines()[0]
    (folder / "Bo.CSV").write_bytes((folder / "Ana.csv").read_bytes().replace(b"Ana", b"Bo"))
    (folder / "empty.csv").write_bytes(heading + b"\n")
    (folder / "group 2").mkdir()
    (folder / "group 2" / "Cem.csv").write_bytes((folder / "Ana.csv").read_bytes())
    (folder / "Dan.xlsx").write_bytes(b"PK")
    (folder / ".Ana.writing").touch()
    sheet = class_sheet(tmp_path, tmp_path / "class.csv")
    assert [row[0] for row in sheet.trainees] == ["Ana", "Bo"]
    assert sheet.told == (
        f"{folder / 'empty.csv'}: there is no answer below the heading, so nobody was read from it.",
        f"Not read, because only CSV files that lie in {folder} itself are: Dan.xlsx, group 2 (a folder).",
    )
    for file in folder.glob("*.[cC]*"):
        file.unlink()
    with pytest.raises(LabError, match=r"there are no results.*Dan\.xlsx, group 2 \(a folder\)"):
        class_sheet(tmp_path, tmp_path / "class.csv")


@pytest.mark.parametrize("bad", ["class.csv", "class_questions.csv"])
@pytest.mark.parametrize("before", ["", "an older one"])
def test_both_tables_of_the_class_are_written_or_neither(tmp_path: Path, bad: str, before: str) -> None:
    write_results(tmp_path, "Ana", [reply()])
    good = tmp_path / ({"class.csv", "class_questions.csv"} - {bad}).pop()
    if before:
        good.write_text(before)
    (tmp_path / bad).mkdir()  # stands for a file that another program holds
    with pytest.raises(LabError, match=rf"{bad} could not be written.*neither table was changed; close it in the"):
        class_sheet(tmp_path, tmp_path / "class.csv")
    assert (good.read_text() if good.exists() else "") == before
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted(
        {"results", bad, *([good.name] if before else [])}
    )


def test_two_names_in_one_file_and_double_rows_are_refused(tmp_path: Path) -> None:
    path = write_results(tmp_path, "Ana", [reply(), reply("other")])
    text = path.read_text(encoding="utf-8-sig")
    path.write_text(text.replace("Ana", "Bo", 1), encoding="utf-8")
    with pytest.raises(LabError, match="more than one name"):
        read_class(tmp_path)
    path.write_text(text + text.splitlines()[1] + "\n", encoding="utf-8")
    with pytest.raises(LabError, match="stands there twice"):
        read_class(tmp_path)


def test_no_class_and_bad_places_are_told(tmp_path: Path) -> None:
    with pytest.raises(LabError, match="there are no results"):
        class_sheet(tmp_path, tmp_path / "class.csv")
    write_results(tmp_path, "Ana", [reply()])
    with pytest.raises(LabError, match=r"ends in \.csv"):
        class_sheet(tmp_path, tmp_path / "class.xlsx")
    with pytest.raises(LabError, match="among the trainees' files"):
        class_sheet(tmp_path, tmp_path / "results" / "class.csv")
    with pytest.raises(LabError, match="could not be written"):
        class_sheet(tmp_path, tmp_path / "not there" / "class.csv")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"kind": "guess"}, "kind of a reply is 'guess'"),
        ({"lesson": " "}, "no lesson or no question"),
        ({"tries": 0}, "number of tries is 0"),
        ({"score": float("nan")}, "score is nan"),
    ],
)
def test_bad_reply_is_refused(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(LabError, match=said):
        reply(**changed)
