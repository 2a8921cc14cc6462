"""A trainee's answers of this page, written to a file by a button; and the class gathered from such files."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from pathlib import Path

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.click_fields import WIDE, WIDTH
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.tables import table
from suspension_lab.workshop.results import (
    QUESTION_HEADS,
    TRAINEE_HEADS,
    AnotherPagesFileError,
    Reply,
    class_sheet,
    write_results,
)

_REPLIES: list[Reply] = []
"""Of this kernel, in the order given."""
STAYS = "Nothing leaves this machine: the file lies beside the page, and you may read or delete it."


def record(reply: Reply) -> None:
    """Keep an answer until the trainee writes the results of this page."""
    _REPLIES.append(reply)


def replies() -> list[Reply]:
    """The answers given on this page since it was run."""
    return list(_REPLIES)


class ResultForm:
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
        buttons = widgets.HBox([self.button, self.joins], layout=widgets.Layout(flex_flow="row wrap"))
        self.widget = named(widgets.VBox([self.name, buttons, self.said]))

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.widget)

    def write(self, *, join: bool = False) -> None:
        """Write the answers, and say where they are, or why not."""
        self.joins.layout.display = "none"
        try:
            path = write_results(self._folder, self.name.value, _REPLIES, join=join)
        except LabError as error:
            if isinstance(error, AnotherPagesFileError):
                self.joins.layout.display = ""
            self._say(str(error))
            return
        right = sum(reply.right for reply in _REPLIES if reply.tries == 1)
        asked = len({(reply.lesson, reply.question, reply.kind) for reply in _REPLIES})
        self._say(f"Written to {path}: {asked} answered on this page, {right} right at the first try. {STAYS}")

    def _renamed(self, _: object) -> None:
        self.joins.layout.display = "none"

    def _say(self, sentence: str) -> None:
        self.words = sentence
        self.said.value = f"<p>{html.escape(sentence)}</p>"


class ClassSheetForm:
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

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.widget)

    def gather(self) -> None:
        """Show and write the class's sheet, or say why not."""
        try:
            sheet = class_sheet(self._folder, self._folder / "class_sheet.csv")
        except LabError as error:
            self.tables.children = ()
            self._say([str(error)])
            return
        count = len({row[0] for row in sheet.trainees})
        trainees = "1 trainee" if count == 1 else f"{count} trainees"
        self._say([f"{trainees}. Written to {sheet.paths[0]} and {sheet.paths[1].name}.", *sheet.told])
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


def _button(text: str, action: Callable[[], None]) -> widgets.Button:
    made = widgets.Button(description=text, layout=widgets.Layout(width="240px"))
    made.on_click(lambda _: action())
    return made


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[object]]) -> widgets.VBox:
    shown = [[f"{cell:g}" if isinstance(cell, float) else str(cell) for cell in row] for row in rows]
    return widgets.VBox(
        [widgets.HTML(f"<p><strong>{html.escape(title)}</strong></p>"), table(heads, shown, wraps=True)]
    )
