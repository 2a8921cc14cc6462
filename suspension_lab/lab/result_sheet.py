"""A trainee's answers of this page, written to a file by a button; and the class gathered from such files."""

from __future__ import annotations

import html
import weakref
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import ipywidgets as widgets

from suspension_lab.common.errors import LabError, shown
from suspension_lab.lab.click_fields import WIDE, WIDTH
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.leave_guard import LeaveGuard
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.tables import table
from suspension_lab.workshop.results import (
    QUESTION_HEADS,
    TRAINEE_HEADS,
    AnotherPagesFileError,
    Reply,
    gathered,
    write_results,
)
from suspension_lab.workshop.shared_folder import names_are_one, plain_name

_Replies = Callable[[], Sequence[Reply]]
_REPLIES: list[Reply | _Replies] = []
"""Of this kernel, in the order given; some are worked out when they are asked for."""


@dataclass
class _Written:
    """What was written on this page last.

    Attributes:
        name: of the trainee; empty: nobody has written.
        begin, end: which of the replies are theirs; what comes after was not yet written.
    """

    name: str = ""
    begin: int = 0
    end: int = 0


_WRITTEN = _Written()
_FORMS: weakref.WeakSet[ResultForm] = weakref.WeakSet()
"""All forms on pages of this kernel."""
STAYS = "Nothing leaves this machine: the file lies beside the page, and you may read or delete it."


def record(reply: Reply) -> None:
    """Keep an answer until the trainee writes the results of this page."""
    _keep(reply)


def record_later(work_out: Callable[[], Sequence[Reply]]) -> None:
    """Keep answers whose right ones take time to simulate: they are worked out when the results are written."""
    _keep(work_out)


def replies() -> list[Reply]:
    """The answers given on this page since it was run."""
    made = [reply for each in _REPLIES for reply in ([each] if isinstance(each, Reply) else each())]
    _REPLIES[:] = made
    return made


def _keep(given: Reply | _Replies) -> None:
    _REPLIES.append(given)
    for form in _FORMS:
        form.guard.unwritten = True


class ResultForm(Displayed):
    """A name, and a button that writes this page's answers.

    Args:
        folder: `results` lies in it, or is made there.
    """

    def __init__(self, folder: str | Path = ".") -> None:
        self._folder = Path(folder)
        self.words = ""
        self.name = widgets.Text(
            description="Your name", placeholder="as the class's sheet shall show it", style=WIDE,
            layout=widgets.Layout(width=WIDTH),
        )  # fmt: skip
        self.button = _button("Write my results", lambda: self.write(join=False))
        self.joins = _button("They are mine: add to them", lambda: self.write(join=True))
        self.joins.layout.display = "none"
        self.name.observe(self._renamed, "value")
        self.said = Told(f"<p>{STAYS}</p>")
        self.guard = LeaveGuard(unwritten=len(_REPLIES) > _WRITTEN.end)
        buttons = widgets.HBox([self.button, self.joins], layout=widgets.Layout(flex_flow="row wrap"))
        self.widget = named(widgets.VBox([self.name, buttons, self.said, self.guard]))
        _FORMS.add(self)

    def write(self, *, join: bool = False) -> None:
        """Write the answers, and say where they are, or why not."""
        self.joins.layout.display = "none"
        try:
            name = plain_name(self.name.value)
            mine, begin = _of(name)
            path = write_results(self._folder, name, mine, join=join)
        except LabError as error:
            if isinstance(error, AnotherPagesFileError):
                self.joins.layout.display = ""
            self._say(str(error))
            return
        afresh = f" Only what was answered since {_WRITTEN.name} wrote is in it." if begin > _WRITTEN.begin else ""
        _WRITTEN.name, _WRITTEN.begin, _WRITTEN.end = name, begin, begin + len(mine)
        for form in _FORMS:
            form.guard.unwritten = False
        self._say(f"Written to {path}: {_counted(mine)}.{afresh} {STAYS}")

    def _renamed(self, _: object) -> None:
        self.joins.layout.display = "none"

    def _say(self, sentence: str) -> None:
        self.words = sentence
        self.said.value = f"<p>{html.escape(sentence)}</p>"


class ClassSheetForm(Displayed):
    """A button that gathers a class, shows its tables and writes them.

    Args:
        folder: `results` lies in it; the CSV files are written there.
    """

    def __init__(self, folder: str | Path = ".") -> None:
        self._folder = Path(folder)
        self.words = ""
        self.button = _button("Gather the class", self.gather)
        self.said = Told("<p>Put the trainees' files into the folder <em>results</em> beside this page.</p>")
        self.tables = widgets.VBox([])
        self.widget = named(widgets.VBox([self.button, self.said, self.tables]))

    def gather(self) -> None:
        """Show and write the class's sheet, or say why not; what cannot be written is shown all the same."""
        try:
            sheet = gathered(self._folder, self._folder / "class_sheet.csv")
        except LabError as error:
            self.tables.children = ()
            self._say([str(error)])
            return
        count = len({row[0] for row in sheet.trainees})
        trainees = "1 trainee" if count == 1 else f"{count} trainees"
        written = f"Written to {sheet.paths[0]} and {sheet.paths[1].name}."
        try:
            sheet.write()
        except LabError as error:
            written = f"They are shown below. {error}"
        self._say([f"{trainees}. {written}", *sheet.told])
        self.tables.children = (
            _table("By trainee and lesson", TRAINEE_HEADS, sheet.trainees),
            _table("By question", QUESTION_HEADS, sheet.questions),
        )

    def _say(self, sentences: Sequence[str]) -> None:
        self.words = " ".join(sentences)
        self.said.value = "".join(f"<p>{html.escape(each)}</p>" for each in sentences)


def result_form(folder: str | Path = ".") -> ResultForm:
    """A name, and a button that writes this page's answers to `results/<name>.csv`.

    Args:
        folder: `results` lies in it, or is made there.
    """
    return ResultForm(folder)


def class_sheet_form(folder: str | Path = ".") -> ClassSheetForm:
    """A button that gathers the files of a class and writes `class_sheet.csv`.

    Args:
        folder: `results` lies in it; the CSV files are written there.
    """
    return ClassSheetForm(folder)


def _of(name: str) -> tuple[list[Reply], int]:
    """The replies of whoever writes now, and the place of the first: after another name one starts afresh.

    Raises:
        LabError: all there is was written under another name.
    """
    given = replies()
    same = not _WRITTEN.name or names_are_one(name, _WRITTEN.name)
    if not same and given and len(given) <= _WRITTEN.end:
        raise LabError(
            f"What was answered on this page was written for {shown(_WRITTEN.name)}, and another name starts afresh: "
            "answer a question first. A name that was mistyped is mended in the first column of its file."
        )
    begin = _WRITTEN.begin if same else _WRITTEN.end
    return (_counted_anew(given[begin:]) if begin else given), begin


def _counted_anew(given: Sequence[Reply]) -> list[Reply]:
    """As if the first of them were the first try: tries before it were another's."""
    tries: Counter[tuple[str, str, str]] = Counter()
    made = []
    for reply in given:
        key = (reply.lesson, reply.question, reply.kind)
        tries[key] += 1
        made.append(replace(reply, tries=tries[key]))
    return made


def _counted(given: Sequence[Reply]) -> str:
    """How many questions were answered and how many at once, each counted once; a stopwatch asks none."""
    first: dict[tuple[str, str, str], Reply] = {}
    for reply in given:
        if reply.kind != "stopwatch":
            first.setdefault((reply.lesson, reply.question, reply.kind), reply)
    right = sum(reply.right and reply.tries == 1 for reply in first.values())
    timed = ", and the stopwatch" if any(reply.kind == "stopwatch" for reply in given) else ""
    return f"{len(first)} answered on this page, {right} right at the first try{timed}"


def _button(text: str, action: Callable[[], None]) -> widgets.Button:
    made = widgets.Button(description=text, layout=widgets.Layout(width="240px"))
    made.on_click(lambda _: action())
    return made


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[object]]) -> widgets.VBox:
    shown = [[f"{cell:g}" if isinstance(cell, float) else str(cell) for cell in row] for row in rows]
    return widgets.VBox(
        [widgets.HTML(f"<p><strong>{html.escape(title)}</strong></p>"), table(heads, shown, wraps=True)]
    )
