"""CSV of words and numbers that a spreadsheet program may open and save again."""

from __future__ import annotations

import csv
import io
from typing import Any

from suspension_lab.common.text_files import NAMES_ITS_MARK, Row

FORMULA = tuple("=+-@'\t\r")
"""A text that begins so could be a formula in a spreadsheet; a ' before it makes it words."""


class BrokenSheetError(Exception):
    """Text that is no CSV.

    Args:
        line: its number.
        reason: why.
    """

    def __init__(self, line: int, reason: str) -> None:
        super().__init__(f"line {line}: {reason}")
        self.line, self.reason = line, reason


def guarded(cell: Any) -> Any:
    """A cell as it goes to a file: no text of it is a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA) else cell


def as_written(cell: str) -> str:
    """A cell of a file as it was before `guarded`."""
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(FORMULA) else cell


def separator(text: str) -> str:
    """What stands between the cells of the heading: a comma, semicolon or tab, as spreadsheets of any country write."""
    lines = (line for line in text.splitlines() if line.strip() and not NAMES_ITS_MARK.fullmatch(line))
    return max(",;\t", key=next(lines, "").count)


def sheet_rows(text: str) -> list[Row]:
    """The number of the line where a row begins, and its cells; first the heading, without what is empty at its end.

    Rows without an entry are left out, and so is a line that only names the mark between the cells.

    Raises:
        BrokenSheetError: no row, a quote that is not closed, or the like.
    """
    mark = separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    rows: list[Row] = []
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells) and not (not rows and NAMES_ITS_MARK.fullmatch(mark.join(cells))):
                rows.append((begins, cells))
            begins = reader.line_num + 1
    except csv.Error as error:
        raise BrokenSheetError(reader.line_num, f"this is no CSV ({error})") from None
    if not rows:
        raise BrokenSheetError(1, "no row holds an entry")
    heading = rows[0][1]
    while not heading[-1].strip():
        heading.pop()
    return rows
