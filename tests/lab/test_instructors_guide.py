"""The instructor's guide: its numbers, its plans, and its answers."""

from __future__ import annotations

import itertools
import json
import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from suspension_lab.cli.class_pages.settings import IDLE
from suspension_lab.lab.benches import release_bench
from suspension_lab.lab.lessons import instructors_guide as guide
from suspension_lab.lab.lessons import mystery_vehicles
from suspension_lab.lab.predict_first import COMPARE
from suspension_lab.lab.questions import judge
from suspension_lab.workshop.handouts import PREDICTIONS
from suspension_lab.workshop.mystery import CAUSES, NOTHING, mystery

PAGE = Path(__file__).parents[2] / "notebooks" / "instructors_guide.ipynb"
NUMBER = re.compile(r"\d+(?:\.\d+)?")


@cache
def cells() -> list[dict[str, str]]:
    content = json.loads(PAGE.read_text(encoding="utf-8"))
    return [
        {
            "kind": cell["cell_type"],
            "text": "".join(cell["source"]),
            "shown": "".join(line for out in cell.get("outputs", ()) for line in out["data"]["text/plain"]),
        }
        for cell in content["cells"]
    ]


def prose() -> str:
    text = "\n".join(cell["text"] for cell in cells() if cell["kind"] == "markdown")
    text = re.sub(r"```.*?```|`[^`]*`", "", text, flags=re.DOTALL)
    text = re.sub(r"\[[^\]]*\]\([^)]*\)", "", text)  # links
    text = re.sub(r"^\d+\. ", "", text, flags=re.MULTILINE)  # of a list
    return re.sub(r"[Ll]esson \d\d", "", text)


def test_stored_numbers_are_those_of_the_simulation_and_no_other_output_is_stored() -> None:
    stored = [cell for cell in cells() if cell["shown"]]
    assert [cell["text"].splitlines()[0] for cell in stored] == ["# NBVAL_CHECK_OUTPUT"]
    assert stored[0]["shown"] == repr(guide.numbers())


def test_each_number_in_the_text_stands_in_the_stored_table() -> None:
    known = set(NUMBER.findall(next(cell["shown"] for cell in cells() if cell["shown"])))
    assert set(NUMBER.findall(prose())) <= known


def test_each_quoted_time_and_percentage_stands_there_with_its_unit() -> None:
    """Stricter than the number alone: 0.52 s must not be held by a 0.52 of something else."""
    shown = next(cell["shown"] for cell in cells() if cell["shown"])
    for quoted in re.findall(r"\d+(?:\.\d+)? (?:s|%|mm|m/s²?|N/mm|ms|km/h|kg|°C|N)(?!\w)", prose()):
        assert re.search(rf"(?<![\d.]){re.escape(quoted)}(?!\w)", shown), quoted


@pytest.mark.parametrize("minutes", guide.PLANS)
def test_plan_has_no_gap_and_ends_on_time(minutes: int) -> None:
    text = next(cell["text"] for cell in cells() if f"## A plan for {minutes} minutes" in cell["text"])
    parts = [(int(start), int(end)) for start, end in re.findall(r"^\| (\d+) to (\d+) \|", text, flags=re.MULTILINE)]
    assert parts[0][0] == 0
    assert parts[-1][1] == minutes
    assert all(before[1] == after[0] for before, after in pairwise(parts))
    assert (*(start for start, _ in parts), minutes) == guide.PLANS[minutes]


def test_each_prediction_on_paper_has_one_of_its_answers() -> None:
    asked = [question for questions in PREDICTIONS.values() for question in questions]
    for (_, text, answer, numbers), question in zip(guide.answers_on_paper(), asked, strict=True):
        assert text == f"{question.text} ..."
        assert answer in question.options
        assert NUMBER.search(numbers)
        assert answer in guide.paper_answers().value


def test_lessons_own_questions_are_answered_in_their_order() -> None:
    """Each answer is right by the lesson's own judge."""
    modules = guide._lessons()
    names = [module.LESSON for module in modules]
    assert names == sorted(names)
    assert names[0] == "01_rebound_release"
    first = modules[0]
    asked = {question.text: question for question in (
        *first.predict_and_try().questions.values(), *first.check(first.predict_and_try().bench).questions.values()
    )}  # fmt: skip
    rows = list(guide._asked_in(first))
    assert {text for _, text, _, _ in rows} == set(asked)
    for lesson, text, answer, numbers in rows:
        assert lesson == "01"
        assert judge(asked[text], answer.removesuffix(f" {asked[text].unit}"), tell=False).right
        assert NUMBER.search(numbers)


def test_misconceptions_each_have_a_run_what_is_seen_and_what_to_say() -> None:
    text = "\n".join(cell["text"] for cell in cells() if cell["kind"] == "markdown")
    part = text.split("## What people believe")[1].split("\n## ")[0]
    beliefs = part.split("\n### ")[1:]
    assert len(beliefs) >= 9
    for belief in beliefs:
        assert re.findall(r"\*\*(Run|Seen|Say):\*\*", belief) == ["Run", "Seen", "Say"], belief


def test_class_at_real_vehicles_is_cautioned() -> None:
    text = next(cell["text"] for cell in cells() if cell["text"].startswith("## At the vehicle"))
    for word in ("maker's manual", "local rules", "supervise", "Gas-charged", "closed ground", "licensed workshop",
                 "One vehicle, one pair", "present clicks"):  # fmt: skip
        assert word in text


def test_demonstration_goes_through_the_settings_it_is_said_to() -> None:
    steps = next(cell["text"] for cell in cells() if cell["text"].startswith("1. **Rebound 20.**"))
    heads = re.findall(r"\*\*(?:Rebound|Close to) ([\d, then to]+)\.\*\*", steps)
    clicks = [int(number) for head in heads for number in NUMBER.findall(head)]
    assert clicks == [*guide.DEMONSTRATED, 0]


def cell_under(heading: str) -> str:
    return next(cell["text"] for cell in cells() if cell["text"].startswith(heading))


def test_demonstrated_closed_side_is_judged_as_the_bench_judges_it() -> None:
    """Rebound 3 creeps from 25 mm and just passes from 35 mm; rebound 2 creeps from each depth named."""
    bench = release_bench("courier_scooter_rear")
    creeps = {}
    for rebound, depth in itertools.product((2, 3), (20, 25, 35)):
        bench.set(rebound=rebound, depth=depth)
        creeps[rebound, depth] = any("At the vehicle it creeps back: too closed" in said for said in bench.screen.words)
    assert creeps == {(2, 20): True, (2, 25): True, (2, 35): True, (3, 20): True, (3, 25): True, (3, 35): False}
    bench.set(rebound=13, depth=25)
    assert any("too open" in said for said in bench.screen.words)
    assert "25 mm, rebound 13; keep; then rebound 3" in cell_under("### The clock alone tells")


@pytest.mark.parametrize("minutes", guide.PLANS)
def test_plan_lets_nobody_leave_a_page_before_it_is_compared_and_written(minutes: int) -> None:
    rows = [line for line in cell_under(f"## A plan for {minutes} minutes").splitlines() if re.match(r"\| \d", line)]
    pages = [found[0] if (found := re.findall(r"lesson (\d\d)", row.split("|")[2])) else "" for row in rows]
    for lesson in set(pages) - {""}:
        of_it = [row for row, page in zip(rows, pages, strict=True) if page == lesson]
        at_end = rows[-1] if pages[-1] == "" and lesson == [page for page in pages if page][-1] else ""
        assert "*Write my results*" in of_it[-1] + at_end, lesson
        assert lesson in ("06", "08") or f"*{COMPARE}*" in " ".join(of_it), lesson


def test_class_view_names_the_time_after_which_a_page_is_put_away() -> None:
    assert f"{IDLE // 60} minutes" in cell_under("## The class view")


def test_answer_key_has_every_fault_and_none_that_a_lesson_tells_of() -> None:
    shown = guide.mystery_answers().value
    made = [mystery(number) for number in guide.MYSTERIES]
    assert {each.fault for each in made} == set(CAUSES) - {NOTHING}
    for each in made:
        assert f">{each.seed}<" in shown
        assert CAUSES[each.fault] in shown
    told = {mystery_vehicles.an_example(cause) for cause in mystery_vehicles.ASKED_FOR}
    assert not told & set(guide.MYSTERIES)
    for number in told:
        assert re.search(rf"tell of two others,[^.]*\b{number}\b", cell_under("## Answers"))
