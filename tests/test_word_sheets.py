"""CSV of words: whatever a spreadsheet makes of it is read as it was written."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspension_lab.common.word_sheets import FORMULA, BrokenSheetError, as_written, guarded, separator, sheet_rows


@given(st.text())
def test_no_text_is_a_formula_and_every_text_comes_back(text):
    assert not guarded(text).startswith(tuple("=+-@\t\r"))
    assert as_written(guarded(text)) == text


def test_numbers_stay_numbers():
    assert [guarded(cell) for cell in (-3, -2.5, None)] == [-3, -2.5, None]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_rows_come_back_with_the_line_where_they_begin(mark, end):
    out = io.StringIO(newline="")
    rows = [["a", "b"], ["", ""], ["two\nlines", "x"], ["y", f"has {mark} in it"]]
    csv.writer(out, delimiter=mark, lineterminator=end, quoting=csv.QUOTE_ALL).writerows(rows)
    assert sheet_rows(end + out.getvalue()) == [(2, rows[0]), (4, rows[2]), (6, rows[3])]


@pytest.mark.parametrize("first", ["sep=;\n", "\n", "\ufeff".strip("\ufeff")])
def test_what_spreadsheets_add_is_left_out(first):
    """A line that names the mark, blank lines, and cells that are empty at the end of the heading."""
    rows = sheet_rows(f"{first}a;b;;\n1;2;;\n;;;\n")
    assert [cells for _, cells in rows] == [["a", "b"], ["1", "2", "", ""]]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('a,b\n1,"2\n', 2, "no CSV"),
        ('a,b\n"1"x,2\n', 2, "no CSV"),
        (",,\n", 1, "no row holds an entry"),
        ("\n", 1, "no row holds an entry"),
    ],
)
def test_what_is_no_csv_is_told_with_its_line(text, line, says):
    with pytest.raises(BrokenSheetError, match=says) as caught:
        sheet_rows(text)
    assert caught.value.line == line


def test_the_heading_tells_the_separator():
    assert separator("a;b;c\n1,5;2,5;3,5\n") == ";"
    assert set(FORMULA) >= set("=+-@")
