"""The forms that write a trainee's answers and gather a class."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from suspension_lab.lab import class_sheet_form, result_form, result_sheet
from suspension_lab.lab.result_sheet import record, replies
from suspension_lab.workshop import results
from suspension_lab.workshop.results import Reply, read_class


@pytest.fixture(autouse=True)
def new_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the Python of a page that was just opened."""
    monkeypatch.setattr(result_sheet, "_REPLIES", [])
    monkeypatch.setattr(result_sheet, "_WRITTEN", result_sheet._Written())
    monkeypatch.setattr(results, "_OWN", set())


def written_by(name: str, tmp_path: Path) -> str:
    """Press the button under a name; returns what is said."""
    form = result_form(tmp_path)
    form.name.value = name
    form.button.click()
    return form.words


def reply(question: str = "clock", **other: Any) -> Reply:
    given: dict[str, Any] = {"lesson": "01_rebound_release", "kind": "check", "answer": "0.5 s", "right": True}
    return Reply(question=question, **{**given, **other})


def test_answers_are_kept_in_their_order_and_not_for_others_to_change() -> None:
    for name in ("first", "second"):
        record(reply(name))
    replies().clear()
    assert [each.question for each in replies()] == ["first", "second"]


def test_form_writes_and_says_where(tmp_path: Path) -> None:
    record(reply(right=False, mistake="unit"))
    record(reply(tries=2))
    record(reply("swings"))
    form = result_form(tmp_path)
    form.name.value = "Ana"
    form.button.click()
    assert str(tmp_path / "results" / "Ana.csv") in form.said.value
    assert "2 answered on this page, 1 right at the first try" in form.words
    assert "Nothing leaves this machine" in form.words
    assert [row.question for row in read_class(tmp_path)] == ["clock", "swings"]


def test_form_tells_what_is_missing(tmp_path: Path) -> None:
    form = result_form(tmp_path)
    form.button.click()
    assert "name is empty" in form.words
    form.name.value = "Ana"
    form.button.click()
    assert "no answer to write" in form.words
    assert not list(tmp_path.glob("results/*.csv"))


def test_name_that_is_taken_is_only_joined_when_said_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    results.write_results(tmp_path, "Ana", [reply()])
    monkeypatch.setattr(results, "_OWN", set())
    record(reply("swings"))
    form = result_form(tmp_path)
    form.name.value = "Ana"
    assert form.joins.layout.display == "none"
    form.button.click()
    assert "already" in form.words
    assert form.joins.layout.display != "none"
    assert len(read_class(tmp_path)) == 1
    form.name.value = "Ana 2"
    assert form.joins.layout.display == "none"
    form.button.click()
    assert {row.name for row in read_class(tmp_path)} == {"Ana", "Ana 2"}
    record(reply("swings"))
    form.name.value = "Ana"
    form.button.click()
    form.joins.click()
    assert [row.question for row in read_class(tmp_path) if row.name == "Ana"] == ["clock", "swings"]
    assert form.joins.layout.display == "none"


def test_what_a_trainee_typed_is_shown_as_text(tmp_path: Path) -> None:
    record(reply(answer="<b>9</b>"))
    form = result_form(tmp_path)
    form.name.value = "<script>alert(1)</script>"
    form.button.click()
    assert "Written" in form.words
    record(reply())
    form.name.value = "<script>alert/1/</script>"
    form.button.click()
    assert "<script" not in form.said.value
    gathered = class_sheet_form(tmp_path)
    gathered.gather()
    assert all("<script" not in box.children[1].value for box in gathered.tables.children)


def test_class_is_gathered_shown_and_written(tmp_path: Path) -> None:
    for name in ("Ana", "Bo"):
        results.write_results(tmp_path, name, [reply(right=name == "Bo", mistake="" if name == "Bo" else "unit")])
    form = class_sheet_form(tmp_path)
    form.button.click()
    assert form.words.startswith("2 trainees. Written to")
    assert (tmp_path / "class_sheet.csv").is_file()
    assert (tmp_path / "class_sheet_questions.csv").is_file()
    by_trainee, by_question = (box.children[1].value for box in form.tables.children)
    assert "Ana" in by_trainee
    assert "Bo" in by_trainee
    assert "unit (1)" in by_question


def test_class_that_cannot_be_written_is_shown_all_the_same(tmp_path: Path) -> None:
    results.write_results(tmp_path, "Ana", [reply()])
    (tmp_path / "class_sheet_questions.csv").mkdir()  # stands for one that a spreadsheet program holds
    form = class_sheet_form(tmp_path)
    form.button.click()
    assert form.words.startswith("1 trainee. They are shown below.")
    assert "close it in the spreadsheet program" in form.words
    assert "Written" not in form.words
    assert "Ana" in form.tables.children[0].children[1].value
    assert not (tmp_path / "class_sheet.csv").exists()


def test_no_class_is_told_and_no_old_table_stays(tmp_path: Path) -> None:
    path = results.write_results(tmp_path, "Ana", [reply()])
    form = class_sheet_form(tmp_path)
    form.button.click()
    path.unlink()
    form.button.click()
    assert "there are no results" in form.words
    assert form.tables.children == ()


def test_who_writes_after_another_starts_afresh(tmp_path: Path) -> None:
    """A pair at one machine: ten tries of the stopwatch and a check each."""
    for name, seconds, answer in (("Anna", 0.2, "0.9 s"), ("Ben", -0.1, "0.5 s")):
        record(reply("bias", kind="stopwatch", score=seconds))
        record(reply(answer=answer, right=name == "Ben", mistake="" if name == "Ben" else "size",
                     tries=1 if name == "Anna" else 2))  # fmt: skip
        said = written_by(name, tmp_path)
    assert "Only what was answered since Anna wrote is in it." in said
    assert "1 answered on this page, 1 right at the first try" in said
    held = {(row.name, row.question): (row.first_answer, row.score, row.right, row.mistakes, row.tries)
            for row in read_class(tmp_path)}  # fmt: skip
    assert held == {
        ("Anna", "bias"): ("0.5 s", 0.2, True, (), 1), ("Anna", "clock"): ("0.9 s", None, False, ("size",), 1),
        ("Ben", "bias"): ("0.5 s", -0.1, True, (), 1), ("Ben", "clock"): ("0.5 s", None, True, (), 1),
    }  # fmt: skip


def test_who_goes_on_under_the_same_name_keeps_all_and_another_name_alone_gets_nothing(tmp_path: Path) -> None:
    record(reply())
    written_by("Anna", tmp_path)
    record(reply("swings"))
    assert "2 answered" in written_by("anna", tmp_path)
    said = written_by("Ben", tmp_path)
    assert "was written for 'anna', and another name starts afresh" in said
    assert [row.question for row in read_class(tmp_path)] == ["clock", "swings"]
    record(reply("third"))
    assert "1 answered" in written_by("Ben", tmp_path)
    record(reply("fourth"))
    assert "2 answered" in written_by("Ben", tmp_path)
    assert {row.question for row in read_class(tmp_path) if row.name == "Ben"} == {"third", "fourth"}


def test_a_name_that_was_refused_takes_nothing_from_who_writes_next(tmp_path: Path) -> None:
    record(reply())
    written_by("  ", tmp_path)
    assert "Written" in written_by("Anna", tmp_path)


def test_each_question_is_counted_once_and_the_stopwatch_is_none(tmp_path: Path) -> None:
    """A page that was run three times, and ten tries by hand."""
    for _ in range(3):
        record(reply())
        record(reply("swings", right=False, mistake="size"))
    for question in ("bias", "spread"):
        record(reply(question, kind="stopwatch", score=0.1))
    assert "2 answered on this page, 1 right at the first try, and the stopwatch. " in written_by("Ana", tmp_path)


def test_what_takes_time_to_judge_is_worked_out_once_at_writing(tmp_path: Path) -> None:
    asked = []

    def work_out() -> list[Reply]:
        asked.append(1)
        return [reply("later")]

    result_sheet.record_later(work_out)
    assert asked == []
    for _ in range(2):
        assert "1 answered" in written_by("Ana", tmp_path)
    assert asked == [1]


def test_page_is_marked_while_answers_are_unwritten(tmp_path: Path) -> None:
    form = result_form(tmp_path)
    assert not form.guard.unwritten
    record(reply())
    assert form.guard.unwritten
    form.button.click()
    assert form.guard.unwritten
    form.name.value = "Ana"
    form.button.click()
    assert not form.guard.unwritten
    assert form.guard in form.widget.children


def test_fields_and_news_can_be_found_by_a_screen_reader(tmp_path: Path) -> None:
    form = result_form(tmp_path)
    assert form.name.description == "Your name"
    assert form.button.description == "Write my results"
    told = form.widget.children[-1].told
    assert list(told) == [form.said]
