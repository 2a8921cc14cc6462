"""Check yourself: questions that a trainee answers after the bench, one by one."""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from typing import Any

from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.question_sheet import QuestionSheet
from suspension_lab.lab.questions import Question, as_recorded, judge, right_answer
from suspension_lab.lab.result_sheet import record
from suspension_lab.workshop.results import Reply

SHOWN: weakref.WeakSet[Any] = weakref.WeakSet()
"""All questions and predictions on pages of this kernel."""
TELL_AFTER = 2
"""With so many wrong answers the right one is told."""


def as_asked(question: Question, more: Sequence[str] = ()) -> dict[str, Any]:
    """A question as the sheet takes it, with more options."""
    options = [*question.options, *more] if question.options else []
    return {"key": question.key, "text": question.text, "options": options, "unit": question.unit}


class Checks(Displayed):
    """Questions with a button each; a reply says what kind of mistake was made, and at the second one the answer.

    Args:
        lesson: file name of the page, without its ending.
        questions: to ask.
    """

    def __init__(self, lesson: str, questions: Sequence[Question]) -> None:
        self.lesson = lesson
        self.questions = {question.key: question for question in questions}
        self._tries = dict.fromkeys(self.questions, 0)
        self.widget = QuestionSheet(questions=[as_asked(question) for question in questions])
        self.widget.observe(self._pressed, "pressed")
        SHOWN.add(self)

    def answer(self, key: str, given: str) -> str:
        """Answer a question as a hand would; returns the reply."""
        self.widget.answers = self.widget.answers | {key: given}
        return self._check(key)

    def solve(self) -> None:
        """Answer all of them right."""
        for key, question in self.questions.items():
            self.answer(key, right_answer(question))

    def _pressed(self, change: dict[str, Any]) -> None:
        self._check(change["new"][0])

    def _check(self, key: str) -> str:
        given = self.widget.answers.get(key, "")
        judged = judge(self.questions[key], given, tell=self._tries[key] + 1 >= TELL_AFTER)
        kind = "ask" if judged.right is None else "right" if judged.right else "wrong"
        self.widget.replies = self.widget.replies | {key: [kind, judged.said]}
        if judged.right is not None:
            self._tries[key] += 1
            record(
                Reply(
                    lesson=self.lesson, question=key, kind="check", answer=as_recorded(self.questions[key], given),
                    right=judged.right, mistake=str(judged.mistake or ""), tries=self._tries[key],
                )
            )  # fmt: skip
        return judged.said


def solve_all() -> int:
    """Answer everything on the pages of this kernel right; returns how many sheets there were."""
    sheets = list(SHOWN)
    for sheet in sheets:
        sheet.solve()
    return len(sheets)
