"""The reference files themselves: readable, each value with a unit, a tolerance and a source."""

import numpy as np
import pytest
from reference_values import FOLDER, reference
from sentences import is_one_sentence

from suspension_lab.common import reference as shipped
from suspension_lab.common.errors import LabError

FILES = sorted(file.stem for file in FOLDER.glob("*.csv"))


def test_there_are_reference_files():
    assert {"golden_car", "one_mass_decay", "textbook_examples"} <= set(FILES)


@pytest.mark.parametrize("name", FILES)
def test_each_value_says_where_it_comes_from(name):
    for row in reference(name).values():
        assert np.isfinite(row.value)
        assert row.unit
        assert row.tolerance >= 0.0
        assert row.tolerance <= 0.05 * abs(row.value) or row.quantity.startswith(("PR", "dry friction end")), row
        assert row.source.split(":")[0].split(" after")[0] in ("published", "analytic", "practice", "measured"), row


HEAD = "quantity,value,unit,tolerance,source\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (None, ["there is no such file"]),
        ("", ["is empty"]),
        ("quantity,value,unit,source\nq,1,mm,published: s\n", ["'quantity, value, unit, source'", "tolerance"]),
        (HEAD + "q,about 1,mm,0.1,published: s\n", ["line 2", "value is 'about 1'", "finite number"]),
        (HEAD + "q,nan,mm,0.1,published: s\n", ["value is 'nan'"]),
        (HEAD + "q,1,mm,inf,published: s\n", ["tolerance is 'inf'"]),
        (HEAD + "q,1,mm,-0.1,published: s\n", ["tolerance is -0.1", "0 or more"]),
        (HEAD + "q,1,,0.1,published: s\n", ["line 2 gives no unit"]),
        (HEAD + "q,1,mm,0.1,\n", ["line 2 gives no source"]),
        (HEAD + "q,1,mm\n", ["line 2 gives no tolerance"]),
        (HEAD + "q,1,mm,0.1,published: one, two\n", ["line 2 has more cells"]),
        (HEAD + "q,1,mm,0.1,published: s\nq,2,mm,0.1,published: s\n", ["line 3", "'q' a second time"]),
    ],
)
def test_a_file_at_fault_is_told_in_a_sentence(text, says, tmp_path):
    if text is not None:
        (tmp_path / "made.csv").write_text(text, encoding="utf-8")
    with pytest.raises(LabError) as caught:
        shipped.reference("made", tmp_path)
    assert is_one_sentence(str(caught.value)), str(caught.value)
    for part in ("made.csv", *says):
        assert part in str(caught.value)


@pytest.mark.parametrize(
    ("ours", "lies"), [(1.0, True), (1.1, True), (0.9, True), (1.101, False), (0.899, False), (float("nan"), False)]
)
def test_a_tolerance_is_absolute_and_counts_both_ways(ours, lies):
    made = shipped.Reference(quantity="q", value=1.0, unit="mm", tolerance=0.1, source="published: s")
    assert made.allows(ours) is lies


def test_a_quantity_that_a_file_lacks_is_told():
    with pytest.raises(LabError, match=r"oil\.csv has no quantity 'ISO VG 10 midpont'; did you mean") as caught:
        shipped.reference("oil")["ISO VG 10 midpont"]
    assert is_one_sentence(str(caught.value))
