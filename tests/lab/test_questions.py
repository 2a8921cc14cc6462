"""Questions: judged by the kind of mistake; predictions given before a bench opens."""

from __future__ import annotations

import pytest

from suspension_lab.lab import result_sheet
from suspension_lab.lab.benches import release_bench
from suspension_lab.lab.checks import SHOWN, Checks, solve_all
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong, judge
from suspension_lab.workshop.mistakes import NOT_KNOWN, Mistake
from suspension_lab.workshop.results import Reply

SECONDS = Question(
    key="seconds", text="How long?", unit="s", truth=lambda: Truth(0.46, "it takes 0.46 s.", 0.02)
)  # fmt: skip
SIGNED = Question(key="drop", text="How far?", unit="mm", truth=lambda: Truth(-3.0, "it sinks.", 0.5))
CLICKS = Question(
    key="click", text="Which click?", unit="clicks", truth=lambda: Truth(5.0, "it passes."), between=lambda: (0, 24),
    whole=True, look="Turn one click on.",
)  # fmt: skip
SHARE = Question(
    key="share", text="By how much?", unit="%", truth=lambda: Truth(5.7, "it grows.", 0.3), between=lambda: (-100, 1000)
)
WAY = Question(
    key="way", text="Which way?", truth=lambda: Truth("close", "it swings on."),
    options={"close": Wrong(Mistake.DIRECTION, "Look."), "open": Wrong(Mistake.DIRECTION, "It swings on already.")},
)  # fmt: skip


@pytest.fixture(autouse=True)
def _no_replies(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(result_sheet, "_REPLIES", [])


@pytest.mark.parametrize(
    ("given", "kind"),
    [("460", Mistake.UNIT), ("0.0077", Mistake.UNIT), ("4.6", Mistake.SIZE), ("0.9", Mistake.SIZE),
     ("0.1", Mistake.SIZE), ("-0.46", Mistake.SIGN), ("0", Mistake.SIZE)],
)  # fmt: skip
def test_a_wrong_number_is_told_by_its_kind(given: str, kind: Mistake) -> None:
    judged = judge(SECONDS, given, tell=False)
    assert judged.right is False
    assert judged.mistake is kind
    assert "0.46" not in judged.said.replace(given, "")


@pytest.mark.parametrize("given", ["0.46", "0,46", " 0.45 ", "0.48"])
def test_a_right_number_may_be_off_by_what_is_allowed(given: str) -> None:
    assert judge(SECONDS, given, tell=False).right is True


def test_which_number_is_too_large_is_told_rightly() -> None:
    assert "too large" in judge(SECONDS, "0.9", tell=False).said
    assert "too small" in judge(SECONDS, "0.2", tell=False).said
    assert judge(SIGNED, "3", tell=False).mistake is Mistake.SIGN
    assert "decimal point" in judge(SECONDS, "4.6", tell=False).said
    assert judge(SECONDS, "0.9", tell=False).said.endswith("Read it off the bench's table.")
    assert judge(CLICKS, "8", tell=False).said == (
        "Not yet: the size is not judged right. Your number is too large. Turn one click on."
    )


@pytest.mark.parametrize("given", ["999999999999", "-3", "25", "5.5"])
def test_a_number_that_cannot_be_set_is_no_try(given: str) -> None:
    judged = judge(CLICKS, given, tell=True)
    assert judged.right is None
    assert judged.said == (
        "That number cannot be here: a whole number from 0 to 24 clicks can. It is not counted."
    )  # fmt: skip


def test_a_sign_turned_round_is_no_direction_of_turning() -> None:
    judged = judge(SHARE, "-5.7", tell=False)
    assert judged.said == "Not yet: mind the sign. The number is right, its sign is not."
    assert "direction" not in judge(SHARE, "-3", tell=False).said
    assert judge(SHARE, "-101", tell=False).right is None


@pytest.mark.parametrize(
    ("question", "given"),
    [(CLICKS, "5 clicks"), (CLICKS, "5clicks"), (CLICKS, "5 click"), (CLICKS, "5 Clicks out"), (SECONDS, "0.46 s"),
     (SECONDS, "0,46s"), (SHARE, "5.7%"), (SHARE, "+5.7 %"), (SHARE, "5.7 per  cent"), (SIGNED, "\N{MINUS SIGN}3 mm")],
)  # fmt: skip
def test_the_unit_may_stand_behind_a_number(question: Question, given: str) -> None:
    assert judge(question, given, tell=False).right is True


@pytest.mark.parametrize(("question", "given"), [(SECONDS, "460 ms"), (CLICKS, "5 turns"), (SHARE, "0.1 m/s²")])
def test_another_unit_is_asked_to_be_left_out(question: Question, given: str) -> None:
    judged = judge(question, given, tell=False)
    assert judged.right is None
    assert judged.said == f"Type the number in {question.unit}, without its unit."


def test_a_number_is_recorded_with_its_unit_once() -> None:
    checks = Checks("01_test", [CLICKS, WAY])
    checks.answer("click", "30 clicks")
    checks.answer("click", "7 clicks")
    checks.answer("click", "5")
    checks.answer("way", "close")
    assert [(reply.answer, reply.tries) for reply in result_sheet.replies()] == [
        ("7 clicks", 1), ("5 clicks", 2), ("close", 1),
    ]  # fmt: skip


@pytest.mark.parametrize("given", ["", "  ", "abc", "1.2.3", "nan", "inf", "1e999", "1 000", "3-4", "s"])
def test_what_is_no_number_is_asked_for_again_and_not_counted(given: str) -> None:
    judged = judge(SECONDS, given, tell=False)
    assert judged.right is None
    assert "number" in judged.said


def test_the_answer_is_told_at_the_second_mistake_only() -> None:
    checks = Checks("01_test", [WAY])
    assert checks.answer("way", "open") == (
        "Not yet: mind the direction of turning. Clicks are counted out from closed: more clicks are more open. It "
        "swings on already."
    )
    assert checks.answer("way", "open").endswith('The simulation says "close": it swings on.')
    assert checks.answer("way", "close") == "Right: it swings on."
    assert [(reply.right, reply.tries, reply.mistake) for reply in result_sheet.replies()] == [
        (False, 1, "direction of turning"), (False, 2, "direction of turning"), (True, 3, ""),
    ]  # fmt: skip


def test_a_button_in_the_browser_does_the_same() -> None:
    checks = Checks("01_test", [WAY])
    checks.widget.pressed = ["way", 1]
    assert checks.widget.replies["way"] == ["ask", "Choose an answer first."]
    checks.widget.answers = {"way": "close"}
    checks.widget.pressed = ["way", 2]
    assert checks.widget.replies["way"] == ["right", "Right: it swings on."]


def test_the_bench_opens_only_after_every_prediction_and_is_compared_only_after_a_try() -> None:
    first = PredictFirst("01_test", [WAY, WAY_TOO], release_bench())
    first.sheet.answers = {"way": "open"}
    first.sheet.pressed = ["", 1]
    assert not first.is_open
    assert "1 of 2 questions" in first.sheet.said
    assert first.bench.widget not in first.widget.children
    first.predict(too=NOT_KNOWN)
    assert first.is_open
    assert first.bench.widget in first.widget.children
    assert first.compare() == {}
    first.bench.set(rebound=12)
    said = first.compare()
    assert said["way"].startswith("not as you predicted: it swings on. Mind the direction of turning.")
    assert said["too"] == "now you know: it swings on."
    assert [reply.mistake for reply in result_sheet.replies()] == ["direction of turning", "not known yet"]
    first.compare()
    assert len(result_sheet.replies()) == 2


WAY_TOO = Question(key="too", text="And here?", truth=WAY.truth, options=WAY.options)


def test_a_prediction_counts_from_the_moment_the_bench_opens(monkeypatch: pytest.MonkeyPatch) -> None:
    """Written without a comparison, too; and nothing is simulated before the bench is there."""
    asked: list[str] = []

    def truth() -> Truth:
        asked.append("truth")
        return Truth("close", "it swings on.")

    way = Question(key="way", text="Which way?", truth=truth, options=WAY.options)
    first = PredictFirst("01_test", [way], release_bench())
    assert result_sheet.replies() == []
    first.predict(way="open")
    assert first.is_open
    assert asked == []
    (reply,) = result_sheet.replies()
    assert (reply.kind, reply.answer, reply.right, reply.mistake) == (
        "prediction", "open", False, "direction of turning",
    )  # fmt: skip
    first.solve()
    assert asked.count("truth") == 2  # once for reply and comparison, and once to solve
    assert len(result_sheet.replies()) == 1


def test_all_of_a_page_can_be_solved() -> None:
    SHOWN.clear()
    first, checks = PredictFirst("01_test", [WAY], release_bench()), Checks("01_test", [SECONDS, WAY])
    assert solve_all() == 2
    assert first.compared == {"way": "as you predicted: it swings on."}
    assert {kind for kind, _ in checks.widget.replies.values()} == {"right"}
    assert all(
        isinstance(reply, Reply) and reply.right for reply in result_sheet.replies() if reply.lesson == "01_test"
    )
