"""A trainee's results as a CSV file: reading, and writing whole or not at all."""

from __future__ import annotations

import contextlib
import csv
import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.text_files import read_text
from suspension_lab.common.whole_file import whole_file
from suspension_lab.common.word_sheets import BrokenSheetError, as_written, guarded, sheet_rows
from suspension_lab.workshop.shared_folder import now, told

KINDS = ("prediction", "check", "mystery", "stopwatch")
COLUMNS = (
    "name", "lesson", "question", "kind", "first answer", "right at the first try", "mistakes", "tries", "score",
    "when",
)  # fmt: skip
BETWEEN_MISTAKES = "; "


@dataclass(frozen=True, kw_only=True)
class ResultRow:
    """A question as a trainee answered it.

    Attributes:
        name: of the trainee.
        lesson, question, kind: as of a `Reply`.
        first_answer: the one that counts.
        right: whether the first answer was right.
        mistakes: kinds of mistake, each once, in the order made.
        tries: the most in one run of the page.
        score: the first there was; None: none.
        when: the row was first written, ISO 8601.
    """

    name: str
    lesson: str
    question: str
    kind: str
    first_answer: str
    right: bool
    mistakes: tuple[str, ...] = ()
    tries: int = 1
    score: float | None = None
    when: str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """What there is one row of."""
        return self.lesson, self.question, self.kind

    @property
    def cells(self) -> list[object]:
        """As a file's row; numbers stay numbers."""
        return [
            self.name, self.lesson, self.question, self.kind, self.first_answer, "yes" if self.right else "no",
            BETWEEN_MISTAKES.join(self.mistakes), self.tries, "" if self.score is None else self.score, self.when
        ]  # fmt: skip


def read_rows(path: Path) -> list[ResultRow]:
    """The rows of a trainee's file, also of one that a spreadsheet has saved again.

    Raises:
        LabError: names the line that is not as it was written.
    """
    text = read_text(path, "a file of a trainee's results")
    try:
        (begins, heading), *below = sheet_rows(text)
    except BrokenSheetError as error:
        raise _damaged(path, error.line, error.reason) from None
    if tuple(cell.strip() for cell in heading) != COLUMNS:
        raise _damaged(path, begins, f"the heading is {shown(','.join(heading))}")
    rows = [_row(path, line, cells) for line, cells in below]
    if len({row.name.casefold() for row in rows}) > 1:
        raise LabError(
            f"{path}: more than one name stands in the first column, where each trainee has a file; part them."
        )
    if len({row.key for row in rows}) < len(rows):
        raise LabError(f"{path}: a question stands there twice, where each has one row; delete the later row.")
    return rows


def write_rows(path: Path, heads: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Write a table as CSV, whole or not at all; what stood there is replaced.

    Raises:
        LabError: a place that cannot be written.
    """
    with told(path), whole_file(path) as part:
        _write(part, Table(heads, rows))


@dataclass(frozen=True)
class Table:
    """Column heads and rows."""

    heads: Sequence[str]
    rows: Sequence[Sequence[object]]


def write_both(first: Path, one: Table, second: Path, other: Table) -> None:
    """Write two tables as CSV, both or neither; what stood there is replaced.

    Raises:
        LabError: a place that cannot be written; then both stand as they did.
    """
    try:
        with _as_before(second), whole_file(first) as part, whole_file(second) as other_part:
            _write(part, one)
            _write(other_part, other)
    except OSError as error:
        fault = error.filename2 or first  # the second name is that of a file that could not be replaced
        raise LabError(
            f"{fault} could not be written ({error.strerror or error}), so neither table was changed; close it in the "
            "spreadsheet program, choose a folder of your own, or make room."
        ) from None


@contextlib.contextmanager
def _as_before(path: Path) -> Iterator[None]:
    """After a fault a file stands as it did, even if it was replaced meanwhile."""
    held = path.read_bytes() if path.is_file() else None
    try:
        yield
    except OSError:
        if held is None and path.is_file():
            path.unlink()
        elif held is not None and path.read_bytes() != held:
            path.write_bytes(held)
        raise


def _write(path: Path, table: Table) -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(table.heads)
        writer.writerows([guarded(cell) for cell in row] for row in table.rows)


def _row(path: Path, line: int, cells: list[str]) -> ResultRow:
    if len(cells) < len(COLUMNS) or any(cell.strip() for cell in cells[len(COLUMNS) :]):
        raise _damaged(path, line, f"{len(cells)} cells stand there in place of {len(COLUMNS)}")
    held = dict(zip(COLUMNS, map(as_written, cells), strict=False))
    right, kind = held["right at the first try"].strip().casefold(), held["kind"].strip()
    if kind not in KINDS:
        raise _damaged(path, line, f"the kind is {shown(kind)}, where {', '.join(KINDS)} were expected")
    if right not in ("yes", "no"):
        raise _damaged(path, line, f"'right at the first try' is {shown(right)}, where yes or no was expected")
    for name in ("name", "lesson", "question"):
        if not held[name].strip():
            raise _damaged(path, line, f"the {name} is empty")
    tries = _number(path, line, "number of tries", held["tries"])
    if tries is None or tries < 1 or tries != int(tries):
        raise _damaged(path, line, f"the number of tries is {shown(held['tries'])}, where 1 or more was expected")
    try:
        datetime.datetime.fromisoformat(held["when"].strip())
    except ValueError:
        raise _damaged(
            path, line, f"the time is {shown(held['when'])}, where one such as {now()} was expected"
        ) from None
    return ResultRow(
        name=held["name"].strip(), lesson=held["lesson"].strip(), question=held["question"].strip(), kind=kind,
        first_answer=held["first answer"], right=right == "yes",
        mistakes=tuple(each.strip() for each in held["mistakes"].split(";") if each.strip()),
        tries=int(tries), score=_number(path, line, "score", held["score"]), when=held["when"].strip(),
    )  # fmt: skip


def _number(path: Path, line: int, what: str, cell: str) -> float | None:
    if not cell.strip():
        return None
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise _damaged(path, line, f"the {what} is {shown(cell)}, where a number was expected")
    return value


def _damaged(path: Path, line: int, what: str) -> LabError:
    return LabError(
        f"{path}, line {line}: {what}, so the file is not as the lab wrote it and stays as it is; mend the line, or "
        "move the file to another folder and write again."
    )
