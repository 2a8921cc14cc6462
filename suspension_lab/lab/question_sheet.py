"""Questions as native fieldsets in the browser, shown and answered; it knows no truth."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from suspension_lab.lab.page import joined


class QuestionSheet(anywidget.AnyWidget):
    """Asks questions and shows what is replied.

    Attributes:
        questions: each with its key, text, options (none: a number is asked for) and unit.
        one_button: one button below all of them; else one for each.
        button: what it says.
        answers: key -> what is chosen or typed.
        pressed: key of the button that was pressed last (nothing for the one below), and a number that counts.
        replies: key -> kind ("right", "wrong" or "ask") and sentence.
        said: a sentence below all.
        locked: answers can no longer be changed.
    """

    _esm = joined("page.js", "question_sheet.js")
    _css = joined("question_sheet.css")

    questions: traitlets.List[Any] = traitlets.List().tag(sync=True)
    one_button = traitlets.Bool(False).tag(sync=True)
    button = traitlets.Unicode("Check my answer").tag(sync=True)
    answers: traitlets.Dict[str, str] = traitlets.Dict().tag(sync=True)
    pressed = traitlets.List(["", 0]).tag(sync=True)
    replies: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    said = traitlets.Unicode().tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
