"""Answers that several lessons offer."""

from __future__ import annotations

from collections.abc import Callable

from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.workshop.mistakes import Mistake

EVEN_AND_HARSH = "more even, but harsher"
UNEVEN_AND_HARSH = "less even, and harsher"
ALL_BETTER = "more even, and more comfortable"
UNEVEN_AND_SOFT = "less even, but more comfortable"


def ride_question(key: str, text: str, change: Callable[[], tuple[bool, bool, str]]) -> Question:
    """What a ride becomes.

    Args:
        key, text: of the question.
        change: whether the tyre load gets more even, whether the body is shaken less, and the numbers in a sentence.
    """

    def truth() -> Truth:
        even, soft, because = change()
        if even:
            return Truth(ALL_BETTER if soft else EVEN_AND_HARSH, because)
        return Truth(UNEVEN_AND_SOFT if soft else UNEVEN_AND_HARSH, because)

    one = "Of tyre and body you have judged one rightly at most: read both numbers."
    return Question(
        key=key, text=text, truth=truth,
        options={
            EVEN_AND_HARSH: Wrong(Mistake.ONE_TEST, one),
            UNEVEN_AND_HARSH: Wrong(Mistake.ONE_TEST, one),
            ALL_BETTER: Wrong(Mistake.HARD, "Ask for the price: is there one?"),
            UNEVEN_AND_SOFT: Wrong(Mistake.DIRECTION, "Which way was it turned, and which way does the body feel it?"),
        },
    )  # fmt: skip
