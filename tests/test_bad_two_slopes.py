"""Faults in a vehicle file's damper of two slopes a side: one sentence with line, key and the way out."""

from __future__ import annotations

from pathlib import Path

import pytest
from vehicle_texts import TWO_SLOPE, TWO_SLOPE_FILE, changed, holds, told, value_of

import suspension_lab as lab

REBOUND = "damper.rebound"
SPAN = f"low_speed_slope_N_s_per_m = {value_of(TWO_SLOPE, REBOUND, 'low_speed_slope_N_s_per_m')}"

# The table, the line in place of that of its key, and what the sentence must hold: the key, what was expected or found,
# and the way out.
TWO_SLOPES = {
    "knee in mm/s": (REBOUND, "knee_speed_m_per_s = 200", ["if you measured 200 mm/s, write 0.2."]),
    "clicks out of range": (
        "damper.clicks",
        "rebound = 99",
        ["damper.clicks.rebound", "99", "0 (closed) to 24 (open)"],
    ),
    "clicks below closed": (
        "damper.clicks",
        "rebound = -1",
        ["'damper.clicks.rebound' is -1", "0 to 200 was expected"],
    ),
    "half a click": ("damper.clicks", "rebound = 11.5", ["'damper.clicks.rebound' is 11.5", "a whole number"]),
    "unknown kind": ("damper", 'kind = "two-slpe"', ["'damper.kind'", "did you mean 'two-slope'?"]),
    "kind of another kind": ("damper", "kind = [1]", ["'damper.kind' is a list"]),
    "text in a span": (
        REBOUND,
        SPAN.replace("6400.0", '"x"'),
        ["low_speed_slope_N_s_per_m.closed' is 'x'", "without quotes"],
    ),
    "mistyped key in a span": (REBOUND, SPAN.replace("closed", "close"), ["_m.close'", "did you mean 'closed'?"]),
    "half a span": (REBOUND, SPAN.replace(", open = 420.0", ""), ["_m.open' is missing", "add a line open ="]),
    "span in N s/mm": (
        REBOUND,
        SPAN.replace("420.0", "0.42"),
        ["_per_m.open' is 0.42 N s/m", "measured 0.42 N s/mm, write 420."],
    ),
    "list for a span": (REBOUND, SPAN.split("=")[0] + "= [1, 2]", ["_m' is a list", "a number was expected"]),
}


@pytest.mark.parametrize("case", TWO_SLOPES)
def test_a_fault_in_two_slopes_is_told(case: str, tmp_path: Path):
    table, line, wanted = TWO_SLOPES[case]
    holds(told(tmp_path, content := changed(TWO_SLOPE, table, line.split(" ")[0], line)), content, line, wanted)


def test_the_file_of_two_slopes_is_sound():
    assert isinstance(lab.load_station(TWO_SLOPE_FILE).damper, lab.TwoSlopeDamper)


@pytest.mark.parametrize(
    ("table", "key", "line", "wanted"),
    [
        (REBOUND, "knee_speed_m_per_s", "knee_m_per_s = 0.2", ["rebound.knee_m_per_s'", "mean 'knee_speed_m_per_s'?"]),
        ("damper.adjusters", "high_speed", "hihg_speed = 16", ["adjusters.hihg_speed'", "mean 'high_speed'?"]),
    ],
)
def test_a_mistyped_key_is_told(table: str, key: str, line: str, wanted: list[str], tmp_path: Path):
    content = changed(TWO_SLOPE, table, key, line)
    holds(told(tmp_path, content), content, line, wanted)


def test_a_missing_kind_is_told_with_all_there_are(tmp_path: Path):
    content = changed(TWO_SLOPE, "damper", "kind", "")
    wanted = ["'damper.kind' is missing", '"linear", "two-slope", "measured", "hydraulic"']
    holds(told(tmp_path, content), content, "[damper]", wanted)


def test_adjusters_that_belong_to_another_kind_are_told(tmp_path: Path):
    content = changed(TWO_SLOPE, "damper", "kind", 'kind = "linear"')
    message = told(tmp_path, content)
    assert "'damper.adjusters' does not belong to this kind" in message
    assert "[damper] of kind 'two-slope'" in message
