"""The bench of unknown vehicles: what is shown, asked, refused and told, without a browser."""

from __future__ import annotations

import re
from typing import Any

import pytest
from sentences import is_one_sentence

from suspension_lab.common.errors import LabError
from suspension_lab.lab import mystery_bench, mystery_procedure
from suspension_lab.lab.mystery_bench import MysteryBench
from suspension_lab.workshop.cautions import OPENING, STANDING, TURNING
from suspension_lab.workshop.mystery import CAUSES, LARGEST_NUMBER, NOTHING, mystery
from suspension_lab.workshop.mystery_procedure import PROCEDURE, REMEDIES, price_list, solve
from suspension_lab.workshop.mystery_tests import REPEATED, perform


def press(bench: MysteryBench, what: str, argument: str = "") -> None:
    """As the browser does it."""
    bench.screen.asked = [what, argument, bench.screen.asked[2] + 1]


def play_carefully(bench: MysteryBench) -> None:
    told = solve(bench.vehicle)
    for step in told.steps:
        if step.answer is not None:
            press(bench, "test", step.answer.test.key)
    bench.decide(told.diagnosis, remedies=told.remedies, **dict(told.clicks))


def everything_sent(bench: MysteryBench) -> str:
    return repr(bench.screen.get_state())


def test_nothing_that_is_sent_tells_the_fault_before_it_is_handed_over() -> None:
    shown: dict[str, set[str]] = {}
    for seed in range(60):
        bench = mystery_bench(seed)
        same = {name: value for name, value in bench.screen.get_state().items() if not name.startswith("_")}
        for name in ("number", "layout", "card"):
            same.pop(name, None)
        shown.setdefault(bench.vehicle.vehicle, set()).add(repr(same))
        assert bench.screen.careful == bench.screen.result == []
    # What is shown of two vehicles of a kind is the same but for number and card, whatever is wrong with them.
    assert all(len(each) == 1 for each in shown.values())


def test_the_sheet_grows_and_the_minutes_add_up() -> None:
    bench = mystery_bench(1)
    assert bench.screen.minutes == 0
    press(bench, "test", "gauge")
    press(bench, "test", "sag")
    prices = dict(price_list())
    assert bench.screen.minutes == prices["Tyre gauge"] + prices["Sag by tape"]
    told = [row[:4] for row in bench.screen.rows]
    first, second = perform(mystery(1), "gauge"), perform(mystery(1), "sag")
    wanted = [[answer.test.name, row.what, row.measured, row.sound]
              for answer in (first, second) for row in answer.rows]  # fmt: skip
    assert told == wanted
    assert sum(int(row[5]) for row in bench.screen.rows if row[5]) == bench.screen.minutes
    assert "Sag by tape, 8 minutes, 10 in all" in bench.screen.news


def test_a_test_that_is_repeated_says_what_it_costs() -> None:
    bench = mystery_bench(1)
    press(bench, "test", "gauge")
    assert REPEATED not in bench.screen.news
    press(bench, "test", "gauge")
    assert REPEATED in bench.screen.news
    assert bench.screen.rows[-1][0] == "Tyre gauge (time 2)"
    assert bench.screen.minutes == 2 * dict(price_list())["Tyre gauge"]


def test_a_careful_hand_is_told_that_it_is_right() -> None:
    calls: list[tuple[Any, ...]] = []
    bench = mystery_bench(4, on_handed_over=lambda *told: calls.append(told))
    play_carefully(bench)
    press(bench, "hand_over")
    made = bench.score
    assert made is not None
    assert made.right
    assert calls == [(4, bench.vehicle.fault, made)]
    assert bench.screen.handed_over
    assert bench.screen.result[0] == f"{made.points} of 100 points."
    assert CAUSES[bench.vehicle.fault] in bench.screen.result[1]
    assert len(bench.screen.careful) >= 3
    assert f"{solve(bench.vehicle).minutes} minutes in all" in bench.screen.careful[-1]


def test_a_wrong_diagnosis_is_answered_by_its_kind() -> None:
    seed = next(seed for seed in range(100) if mystery(seed).fault == "wrong_spring")
    bench = mystery_bench(seed)
    press(bench, "test", "sag")
    press(bench, "test", "count_rebound")
    bench.decide("soft_rebound")
    press(bench, "hand_over")
    assert bench.score is not None
    assert not bench.score.right
    assert "You blamed rebound, but rebound stands at" in bench.screen.result[1]
    assert "that is the spring" in bench.screen.result[1]


@pytest.mark.parametrize(
    ("typed", "part"), [("x", "'x'"), ("99", "'99'"), ("-1", "'-1'"), ("1.5", "'1.5'"), ("1 2", "'1 2'")]
)
def test_bad_clicks_are_refused_in_one_sentence_and_nothing_is_handed_over(typed: str, part: str) -> None:
    bench = mystery_bench(1)
    bench.decide(NOTHING)
    bench.screen.clicks = {"rebound": typed}
    press(bench, "hand_over")
    assert part in bench.screen.refusal
    assert "0 (closed) to 24 (open)" in bench.screen.refusal
    assert is_one_sentence(bench.screen.refusal)
    assert not bench.screen.handed_over
    assert bench.score is None


@pytest.mark.parametrize("typed", ["", "x", "-3", "2.5", "1000000", "99999999999999999999"])
def test_bad_numbers_are_refused_in_one_sentence_and_the_vehicle_stays(typed: str) -> None:
    bench = mystery_bench(2)
    press(bench, "test", "gauge")
    press(bench, "bring", typed)
    assert bench.screen.number == 2
    assert str(LARGEST_NUMBER) in bench.screen.refusal
    assert is_one_sentence(bench.screen.refusal)
    assert bench.screen.minutes == 2


def test_no_diagnosis_is_refused() -> None:
    bench = mystery_bench(1)
    press(bench, "hand_over")
    assert "No diagnosis was chosen" in bench.screen.refusal
    assert is_one_sentence(bench.screen.refusal)
    bench.decide(NOTHING)
    press(bench, "hand_over")
    assert bench.screen.refusal == ""
    assert bench.screen.handed_over


def test_after_it_is_handed_over_nothing_more_is_done_to_it() -> None:
    bench = mystery_bench(1)
    bench.decide(NOTHING)
    press(bench, "hand_over")
    before = bench.score
    for what, argument in (("test", "gauge"), ("hand_over", "")):
        press(bench, what, argument)
        assert "has been handed over" in bench.screen.refusal
        assert bench.screen.rows == []
    assert bench.score is before
    press(bench, "another")
    assert bench.screen.number == 2
    assert not bench.screen.handed_over
    assert (bench.screen.result, bench.screen.careful, bench.screen.diagnosis) == ([], [], "")


def test_another_after_the_last_is_the_first() -> None:
    bench = mystery_bench(LARGEST_NUMBER)
    press(bench, "another")
    assert bench.screen.number == 0


def test_tests_clicks_and_work_on_offer_are_those_of_the_vehicle() -> None:
    for seed in range(12):
        bench = mystery_bench(seed)
        has = bench.vehicle.sound.damper.adjusters
        assert {each["key"]: each["most"] for each in bench.screen.adjusters} == dict(has)
        counted = [each["key"] for each in bench.screen.tests if each["key"].startswith("count_")]
        assert counted == [f"count_{name}" for name in has]
        assert [key for key, _ in bench.screen.causes] == list(CAUSES)
        assert [each["key"] for each in bench.screen.remedies] == list(REMEDIES)


def test_cautions_are_shown() -> None:
    bench = mystery_bench(1)
    assert {TURNING, STANDING, OPENING} <= set(bench.screen.cautions)
    assert "licensed workshop" in " ".join(bench.words)


@pytest.mark.parametrize("seed", [-1, 1.5, "x", LARGEST_NUMBER + 1, True])
def test_a_bench_needs_a_number(seed: Any) -> None:
    with pytest.raises(LabError) as told:
        mystery_bench(seed)
    assert is_one_sentence(str(told.value))


@pytest.mark.parametrize("chosen", [{"diagnosis": "rust"}, {"diagnosis": NOTHING, "remedies": ("oil",)}])
def test_what_cannot_be_decided_is_refused(chosen: dict[str, Any]) -> None:
    with pytest.raises(LabError) as told:
        mystery_bench(1).decide(**chosen)
    assert is_one_sentence(str(told.value))


def test_an_adjuster_it_does_not_have_is_refused() -> None:
    seed = next(seed for seed in range(100) if mystery(seed).vehicle == "courier_scooter_front")
    bench = mystery_bench(seed)
    bench.decide(NOTHING, high_speed=3)
    press(bench, "hand_over")
    assert "high_speed" in bench.screen.refusal


def test_the_procedure_and_its_prices_are_printed() -> None:
    shown = re.sub(r"<[^>]+>", "\n", mystery_procedure().value)
    lines = [line for line in shown.replace("&#x27;", "'").splitlines() if line]
    assert tuple(lines[: len(PROCEDURE)]) == PROCEDURE
    assert all(f"{name} {minutes}" in lines[-1] for name, minutes in price_list())
