"""Files of a recording: columns found and chosen, units and time told, every error in one sentence."""

from __future__ import annotations

import numpy as np
import pytest

from suspension_lab.common.checks import GRAVITY
from suspension_lab.common.errors import LabError
from suspension_lab.workshop.measured.recording import read_recording
from tests.made_recordings import TILTED, lines, motion, three_axes, times
from tests.sentences import is_one_sentence

TIME = times(100.0)
BODY = motion("position", TIME)

FILES = {
    "s and g": ("Time (s),Acceleration x (g),Acceleration y (g),Acceleration z (g)", ",", False, 1.0, GRAVITY),
    "ms": ("t [ms];ax [m/s^2];ay [m/s^2];az [m/s^2]", ";", True, 1e3, 1.0),
    "order and more": ("seconds_elapsed\tz (m/s²)\ty (m/s²)\tx (m/s²)", "\t", False, 1.0, 1.0),
    "suffixes": ("time_s,acc_x_m_per_s2,acc_y_m_per_s2,acc_z_m_per_s2", ",", False, 1.0, 1.0),
    "no units": ("time,ax,ay,az", ",", False, 1e3, GRAVITY),
    "quoted": ('"Time (s)","Linear Acceleration x (m/s^2)","Linear Acceleration y (m/s^2)",'
               '"Linear Acceleration z (m/s^2)"', ",", False, 1.0, 1.0),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_columns_are_found_by_their_headings(name, tmp_path):
    heading, mark, comma, per_second, unit = FILES[name]
    time = times(100.0)
    upward = motion("acceleration", time)
    axes = three_axes(upward, 0.0 if "Linear" in heading else GRAVITY, TILTED).T / unit
    file = tmp_path / "phone.csv"
    file.write_text("\n".join([heading, *lines((time + 5.0) * per_second, axes, mark, comma)]) + "\n", encoding="utf-8")
    recording = read_recording(file)
    assert recording.kind == "acceleration"
    assert recording.values == pytest.approx(upward, abs=0.03)
    assert recording.time[-1] == pytest.approx(time[-1] - time[0], abs=1e-4)
    assert any("time has no unit" in note for note in recording.notes) == (name == "no units")


@pytest.mark.parametrize(
    ("heading", "chosen"),
    [
        ("time [s];position_mm", {}),
        ("t;z [mm]", {}),
        ("Time (s);height [mm]", {}),
        ("clock;mark", {"columns": {"time": "clock", "value": "mark"}, "kind": "position", "unit": "mm"}),
        (None, {"columns": {"time": 1, "value": 2}, "kind": "position", "unit": "mm"}),
    ],
)
def test_a_position_file(heading, chosen, tmp_path):
    time = times(100.0)
    body = motion("position", time)
    file = tmp_path / "trace.csv"
    rows = lines(time, [1e3 * body], ";", True)
    file.write_text("\n".join(rows if heading is None else [heading, *rows]))
    recording = read_recording(file, **chosen)
    assert recording.kind == "position"
    assert recording.values == pytest.approx(body, abs=1e-4)


def test_a_clocks_nanoseconds_keep_their_digits(tmp_path):
    time = times(100.0)
    stamps = 1_700_000_000_000_000_000 + np.round((time - time[0]) * 1e9).astype(np.int64)
    file = tmp_path / "phone.csv"
    rows = [f"{stamp},{value + GRAVITY:.6f}" for stamp, value in zip(stamps, motion("acceleration", time), strict=True)]
    file.write_text("\n".join(["timestamp,az [m/s^2]", *rows]))
    recording = read_recording(file)
    # A double holds such a count to 256 ns (IEEE 754: 53 bits).
    assert recording.time == pytest.approx(time - time[0], abs=1e-6)
    assert any("taken as ns" in note for note in recording.notes)


GOOD_ROWS = lines(TIME, [1e3 * BODY], ";", False)
BAD_FILES = {
    "is empty": ("", {}),
    "holds no rows": ("time [s];position [mm]\n", {}),
    "2 columns of numbers without a heading": ("\n".join(GOOD_ROWS), {}),
    "line 12: .*goes backward": (
        "\n".join(["time [s];position [mm]", *GOOD_ROWS[:10], GOOD_ROWS[3], *GOOD_ROWS[11:]]), {}),
    "line 7: 'position .mm.' is 'n/a'": (
        "\n".join(["time [s];position [mm]", *GOOD_ROWS[:5], "-0.95;n/a", *GOOD_ROWS[6:]]), {}),
    "line 7: 'position .mm.' is 'nan'": (
        "\n".join(["time [s];position [mm]", *GOOD_ROWS[:5], "-0.95;nan", *GOOD_ROWS[6:]]), {}),
    "line 7: 'position .mm.' is empty": (
        "\n".join(["time [s];position [mm]", *GOOD_ROWS[:5], "-0.95;", *GOOD_ROWS[6:]]), {}),
    "no column of time": ("\n".join(["when;position [mm]", *GOOD_ROWS]), {}),
    "no column of position or acceleration": ("\n".join(["time [s];roll", *GOOD_ROWS]), {}),
    "no column of acceleration": ("\n".join(["time [s];position [mm]", *GOOD_ROWS]), {"kind": "acceleration"}),
    "unit of column 'position .ft.'": ("\n".join(["time [s];position [ft]", *GOOD_ROWS]), {}),
    "but unit='m' was given": ("\n".join(["time [s];position [mm]", *GOOD_ROWS]), {"unit": "m"}),
    "head it 'time .ms.'": ("\n".join(["time [s];position [mm]", *lines(1e3 * TIME, [1e3 * BODY], ";", False)]), {}),
    "where 'time' and 'value' were expected": ("\n".join(GOOD_ROWS), {"columns": {"t": 1, "value": 2}}),
    "column 3 was chosen": ("\n".join(GOOD_ROWS), {"columns": {"time": 1, "value": 3}}),
    "choose by number": ("\n".join(GOOD_ROWS), {"columns": {"time": "t", "value": 2}}),
    "did you mean 'time .s.'": (
        "\n".join(["time [s];position [mm]", *GOOD_ROWS]), {"columns": {"time": "time [ms]", "value": 2}}),
    "chosen twice": ("\n".join(GOOD_ROWS), {"columns": {"time": 1, "value": 1}}),
    "2 columns of motion": ("\n".join(GOOD_ROWS), {"columns": {"time": 1, "value": [1, 2]}}),
    "one name or number": ("\n".join(GOOD_ROWS), {"columns": {"time": [1], "value": 2}}),
    "not said what the column holds": ("\n".join(GOOD_ROWS), {"columns": {"time": 1, "value": 2}}),
    "both position and acceleration": ("time [s];z [mm];az [g]\n0;1;1\n0.01;1;1\n", {}),
    "2 columns of position": ("time [s];x [mm];y [mm]\n0;1;1\n0.01;1;1\n", {}),
    "different units": ("time [s];ax [g];ay [g];az [m/s^2]\n0;1;1;1\n0.01;1;1;1\n", {}),
    "three axes were chosen for a position": (
        "time [s];x [mm];y [mm];z [mm]\n0;1;1;1\n", {"columns": {"time": 1, "value": [2, 3, 4]}, "kind": "position"}),
}  # fmt: skip


@pytest.mark.parametrize("says", BAD_FILES)
def test_bad_files_are_told_in_one_sentence(says, tmp_path):
    text, chosen = BAD_FILES[says]
    file = tmp_path / "record.csv"
    file.write_text(text)
    with pytest.raises(LabError, match=says) as caught:
        read_recording(file, **chosen)
    message = str(caught.value).replace(str(file), "record.csv")
    assert is_one_sentence(message), message
