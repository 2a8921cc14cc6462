"""Predict, then try: a bench opens once a trainee has said what it will show, and compares the two afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import ipywidgets as widgets

from suspension_lab.lab.checks import SHOWN, as_asked
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.question_sheet import QuestionSheet
from suspension_lab.lab.questions import OPENINGS, Question, Truth, Wrong, right_answer
from suspension_lab.lab.result_sheet import record_later
from suspension_lab.lab.tables import table
from suspension_lab.workshop.mistakes import NOT_KNOWN, Mistake
from suspension_lab.workshop.results import Reply

NOT_YET = Wrong(Mistake.UNSURE, "")
OPEN = "That is my prediction: open the bench"
COMPARE = "Compare my prediction with what happens"
HEADS = ("Asked", "You predicted", "What happens")
CAPTION = "Your prediction and what happens in the simulation"
TRY_FIRST = "Try it on the bench first: move a control and watch. Then compare."


@dataclass(frozen=True)
class _Judged:
    """A prediction beside what happens; `wrong` is None where it is right."""

    question: Question
    given: str
    truth: Truth
    wrong: Wrong | None


class PredictFirst(Displayed):
    """Questions, then the bench, then both compared.

    Args:
        lesson: file name of the page, without its ending.
        questions: with answers to choose from; "I do not know yet" is added to each.
        bench: anything with a `widget`; where it has `controls`, one must have been moved before the comparison. Where
            a move is no try, it has `tried`, whether it was, and `try_first`, what has to be done, in a sentence.
    """

    def __init__(self, lesson: str, questions: Sequence[Question], bench: Any) -> None:
        self.lesson, self.bench = lesson, bench
        self.questions = {question.key: question for question in questions}
        self.compared: dict[str, str] = {}
        self._tried = not getattr(bench, "controls", None)
        self.sheet = QuestionSheet(
            questions=[as_asked(question, (NOT_KNOWN,)) for question in questions], one_button=True, button=OPEN
        )
        self.sheet.observe(lambda _: self.open(), "pressed")
        for control in (getattr(bench, "controls", None) or {}).values():
            control.model.observe(self._moved, "value")
        button = widgets.Button(description=COMPARE, layout=widgets.Layout(width="340px", margin="8px 0"))
        button.on_click(lambda _: self.compare())
        self._said = Told()
        self._after = named(widgets.VBox([button, self._said]))
        self.widget = widgets.VBox([self.sheet])
        SHOWN.add(self)

    @property
    def is_open(self) -> bool:
        """Whether the bench is shown."""
        return self.sheet.locked

    def predict(self, **answers: str) -> None:
        """Choose answers as a hand would, and open the bench."""
        self.sheet.answers = self.sheet.answers | answers
        self.open()

    def open(self) -> None:
        """Show the bench, if every question has an answer."""
        if self.is_open:
            return
        missing = [key for key in self.questions if not self.sheet.answers.get(key)]
        if missing:
            left = f"{len(missing)} of {len(self.questions)} questions are still without an answer"
            self.sheet.said = f'Predict first: {left}. "{NOT_KNOWN}" is an answer too.'
            return
        self.sheet.locked = True
        record_later(self._replies)
        self.sheet.said = "Your prediction is kept. The bench is open below; compare when you have tried it."
        self.widget.children = (self.sheet, self.bench.widget, self._after)

    def compare(self) -> dict[str, str]:
        """Set prediction and simulation side by side; returns what is said of each question."""
        if not (self._tried or getattr(self.bench, "tried", False)):
            self._said.value = f"<p>{getattr(self.bench, 'try_first', TRY_FIRST)}</p>"
            return {}
        rows = []
        for each in self._judged:
            self.compared[each.question.key] = said = _compared(each.truth, each.wrong)
            rows.append((each.question.text, each.given, f"{each.truth.right}: {said}"))
        self._said.value = table(HEADS, rows, wraps=True, caption=CAPTION).value
        return self.compared

    def solve(self) -> None:
        """Predict right, move on, and compare."""
        self.predict(**{key: right_answer(question) for key, question in self.questions.items()})
        self._tried = True
        self.compare()

    @cached_property
    def _judged(self) -> list[_Judged]:
        """Worked out when it is first asked for, so that the bench opens at once; predictions are locked by then."""
        found = []
        for key, question in self.questions.items():
            given, truth = self.sheet.answers[key], question.truth()
            wrong = None if given == truth.right else question.options.get(given, NOT_YET)
            found.append(_Judged(question, given, truth, wrong))
        return found

    def _replies(self) -> list[Reply]:
        """The predictions, as the trainee's results take them."""
        return [
            Reply(
                lesson=self.lesson, question=each.question.key, kind="prediction", answer=each.given,
                right=each.wrong is None, mistake=str(each.wrong.kind) if each.wrong else "",
            )
            for each in self._judged
        ]  # fmt: skip

    def _moved(self, _: Any) -> None:
        if self.is_open and not hasattr(self.bench, "tried"):
            self._tried = True


def _compared(truth: Truth, wrong: Wrong | None) -> str:
    if wrong is None:
        return f"as you predicted: {truth.because}"
    if wrong is NOT_YET:
        return f"now you know: {truth.because}"
    opening = OPENINGS[wrong.kind]
    return f"not as you predicted: {truth.because} {opening[0].upper()}{opening[1:]} {wrong.hint}"
