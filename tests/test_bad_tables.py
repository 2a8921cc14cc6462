"""Faults of files of numbers, and of files as such; and what spreadsheets of other countries write, which is read."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from sentences import is_one_sentence

import suspension_lab as lab

DAMPER = "clicks,shaft speed [m/s],force [N]\n" + "".join(
    f"{clicks},{speed},{round(speed * slope)}\n"
    for clicks, slope in ((0, 3000), (10, 1000), (20, 400))
    for speed in (-1.0, -0.3, -0.05, 0.0, 0.05, 0.3, 1.0)
)
ROAD = "distance,height\n" + "".join(f"{i * 0.25},{0.01 * (i % 3)}\n" for i in range(12))
READ = {"damper": lab.MeasuredDamper.from_csv, "road": lab.roads.read_csv}


def told(file: Path, reader: str) -> str:
    """What reading this file says, behind the file's name."""
    with pytest.raises(lab.LabError) as caught:
        READ[reader](file)
    message = str(caught.value)
    assert is_one_sentence(message), message
    assert message.startswith(str(file)), message
    return message.removeprefix(str(file))


def lines(text: str, **changed: str) -> str:
    """The text with some lines changed: `line_3="..."`."""
    rows = text.splitlines()
    for key, row in changed.items():
        rows[int(key.removeprefix("line_")) - 1] = row
    return "\n".join(rows) + "\n"


# Reader, content, line, and what the sentence must hold: what was found, what was expected, and the way out.
CASES = {
    "damper unsorted": (
        "damper",
        lines(DAMPER, line_3="0,-0.01,-30"),
        4,
        ["-0.01 to -0.05 m/s", "should rise", "sort these rows"],
    ),
    "damper doubled": ("damper", lines(DAMPER, line_3="0,-1.0,-3000"), 3, ["-1 to -1 m/s", "drop doubled ones"]),
    "damper upside down": ("damper", "\n".join(reversed(DAMPER.splitlines()[1:])), 2, ["1 to 0.3 m/s", "should rise"]),
    "damper clicks again": (
        "damper",
        DAMPER + "0,-1,-9\n0,0,0\n0,1,9\n",
        23,
        ["0 clicks begin a second time", "sort the rows by clicks"],
    ),
    "damper without rebound": (
        "damper",
        "0,0,0\n0,0.1,30\n0,0.2,60\n",
        1,
        ["a gap", "negative shaft speed (rebound)", "add what is missing"],
    ),
    "damper with two rows": ("damper", "0,-0.1,-30\n0,0.2,60\n", 1, ["2 rows", "at least 3 rows"]),
    "damper without slow rows": (
        "damper",
        "0,-1,-90\n0,-0.9,-80\n0,0.9,80\n0,1,90\n",
        3,
        ["gap from -0.9 to 0.9 m/s", "add these rows"],
    ),
    "damper empty cell": ("damper", lines(DAMPER, line_4="0,-0.05,"), 4, ["the cell of force is empty", "fill it in"]),
    "damper empty cell within": (
        "damper",
        lines(DAMPER, line_4="0,,-150"),
        4,
        ["the cell of shaft speed is empty", "fill it in"],
    ),
    "damper missing cell": (
        "damper",
        lines(DAMPER, line_4="0,-0.05"),
        4,
        ["2 cells found", "3 columns", "fill in what is missing"],
    ),
    "damper wrong sign": (
        "damper",
        lines(DAMPER, line_7="0,0.3,-900"),
        7,
        ["-900 N", "against it was expected", "positive in compression"],
    ),
    "damper half a click": (
        "damper",
        lines(DAMPER, line_2="0.5,-1.0,-9"),
        2,
        ["clicks are 0.5", "a whole number from 0"],
    ),
    "damper in mm/s": (
        "damper",
        "0,-500,-90\n0,0,0\n0,500,90\n",
        1,
        ["-500 m/s", "at most 20 m/s", "'shaft speed [mm/s]'"],
    ),
    "damper with text": (
        "damper",
        lines(DAMPER, line_4="0,-0.05,weak"),
        4,
        ["force is 'weak'", "a number was expected"],
    ),
    "damper not a number": (
        "damper",
        lines(DAMPER, line_4="0,-0.05,nan"),
        4,
        ["force is 'nan'", "a number was expected"],
    ),
    "damper without force": (
        "damper",
        "clicks,shaft speed\n0,1\n",
        1,
        ["no column of this heading begins with 'force'", "force [N]"],
    ),
    "damper other unit": (
        "damper",
        lines(DAMPER, line_1="clicks,shaft speed [km/h],force"),
        1,
        ["the unit of column", "[m/s] or [mm/s]"],
    ),
    "damper thousands": ("damper", "0;-0,3;-1.234,5\n0;0;0\n0;0,3;9", 1, ["'-1.234,5'", "without marks for thousands"]),
    "damper of 1e300 clicks": ("damper", "1e300,-1,-9\n1e300,0,0\n1e300,1,9\n", 1, ["at most 200", "check the unit"]),
    "road to the stars": ("road", "0,0\n1e300,0\n", 2, ["distance is 1e+300 m", "at most 1e+07 m was expected"]),
    "road repeats": (
        "road",
        lines(ROAD, line_5="0.5,0.0"),
        5,
        ["the distance repeats (0.5 m, then 0.5 m)", "drop doubled ones"],
    ),
    "road goes back": (
        "road",
        lines(ROAD, line_5="0.4,0.0"),
        5,
        ["goes backward (0.5 m, then 0.4 m)", "sort the rows"],
    ),
    "road of one point": ("road", "0.0,0.0\n", 1, ["the only point", "at least 2 were expected"]),
    "road with three columns": ("road", "0,0,0\n1,0,0\n", 1, ["3 cells found", "2 columns", "head the columns"]),
    "road with decimal and other commas": ("road", "0,0,0,0\n0,5,0,1\n", 1, ["4 cells found", "save with semicolons"]),
    "road without height": (
        "road",
        "distance,level\n0,0\n",
        1,
        ["begins with 'height'", "'distance, level'", "height [m]"],
    ),
    "road height in mm": (
        "road",
        "0,0\n1,20000\n",
        2,
        ["height is 20000 m", "at most 10000 m", "head the column 'height [mm]'"],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_fault_is_told_with_its_line_and_the_way_out(case: str, tmp_path: Path):
    reader, content, line, wanted = CASES[case]
    file = tmp_path / "bench.csv"
    file.write_text(content, encoding="utf-8")
    message = told(file, reader)
    assert message.startswith(f", line {line}: "), message
    for part in wanted:
        assert part in message, message


@pytest.mark.parametrize(
    ("reader", "content", "wanted"),
    [
        ("damper", "0,-1,-9\n0,0,0\n0,1,9\n5,-0.3,-3\n5,0,0\n5,0.3,3\n", ["5 clicks has a gap", "measure it as far"]),
        ("road", "0,0\n600000,0\n", ["600000 m long", "at most 50000 m", "'distance [mm]'"]),
        ("road", "distance;height\n", ["a heading but no rows of numbers", "a road profile"]),
        ("road", "# only a remark\n;;\n", ["holds no rows", "a road profile"]),
    ],
)  # fmt: skip
def test_a_fault_of_the_whole_file_is_told(reader: str, content: str, wanted: list[str], tmp_path: Path):
    file = tmp_path / "bench.csv"
    file.write_text(content, encoding="utf-8")
    message = told(file, reader)
    for part in wanted:
        assert part in message, message


def european(text: str) -> str:
    return text.replace(",", ";").replace(".", ",")


@pytest.mark.parametrize(
    "dressed",
    [
        european,
        lambda text: "sep=;\r\n" + european(text).replace("\n", "\r\n"),
        lambda text: "\ufeff" + european(text) + ";;\n;;\n",
        lambda text: text.replace(",", "\t"),
        lambda text: text.replace(",", ", "),
        lambda text: text.replace("\n", "\r"),
        lambda text: "# measured on a bench\n\n" + text,
        lambda text: "\n".join(",".join(f'"{cell}"' for cell in row.split(",")) for row in text.splitlines()),
        lambda text: "\n".join(text.splitlines()[1:]),
    ],
    ids=["decimal commas", "named separator", "marks and empty rows", "tabs", "blanks", "old line ends", "remarks",
         "quotes", "no heading"],
)  # fmt: skip
def test_other_ways_of_writing_give_the_same_numbers(dressed, tmp_path: Path):
    plain, other = tmp_path / "plain.csv", tmp_path / "other.csv"
    speed = np.linspace(-1.2, 1.2, 49)
    for text, reader in ((DAMPER, "damper"), (ROAD, "road")):
        plain.write_bytes(text.encode())
        other.write_bytes(dressed(text).encode())
        if reader == "damper":
            first, second = lab.MeasuredDamper.from_csv(plain), lab.MeasuredDamper.from_csv(other)
            assert first.adjusters == second.adjusters == {"rebound": 20, "low_speed": 20}
            np.testing.assert_array_equal(first.force(speed), second.force(speed))
        else:
            first_road, second_road = lab.roads.read_csv(plain), lab.roads.read_csv(other)
            np.testing.assert_array_equal(first_road.distance, second_road.distance)
            np.testing.assert_array_equal(first_road.height, second_road.height)


def test_decimal_commas_with_blanks_between_columns_are_read(tmp_path: Path):
    file = tmp_path / "road.txt"
    file.write_text("0,0 0,01\n0,5 -0,02\n", encoding="utf-8")
    np.testing.assert_array_equal(lab.roads.read_csv(file).height, [0.01, -0.02])


def test_a_heading_gives_the_unit_and_the_order(tmp_path: Path):
    file = tmp_path / "road.csv"
    file.write_text("remark;height_mm;distance [cm]\nstart;1,5;0\n;20;100\n", encoding="utf-8")
    road = lab.roads.read_csv(file)
    np.testing.assert_allclose(road.distance, [0.0, 1.0], rtol=1e-12)
    np.testing.assert_allclose(road.height, [0.0015, 0.02], rtol=1e-12)


@pytest.mark.parametrize("reader", [lab.load_station, lab.MeasuredDamper.from_csv, lab.roads.read_csv])
@pytest.mark.parametrize(
    ("kind", "wanted"),
    [
        ("nothing", ["there is no such file", "check the spelling"]),
        ("folder", ["is a folder", "give the path of"]),
        ("below a file", ["is a file, not a folder", "give the path of"]),
        ("empty", ["is empty", "was expected"]),
        ("binary", ["is not plain text", "saved as plain text"]),
        ("forbidden", ["no permission to read", "ask its owner"]),
    ],
)
def test_a_file_that_cannot_be_read_is_told(reader, kind: str, wanted: list[str], tmp_path: Path, monkeypatch):
    file = tmp_path / "given.toml"
    if kind == "folder":
        file.mkdir()
    elif kind == "below a file":
        (tmp_path / "text").write_text("x", encoding="utf-8")
        file = tmp_path / "text" / "given.toml"
    elif kind == "forbidden":
        file.write_text("x", encoding="utf-8")

        def forbid(self: Path) -> bytes:
            raise PermissionError(13, "Permission denied", str(self))

        monkeypatch.setattr(Path, "read_bytes", forbid)
    elif kind != "nothing":
        file.write_bytes(b" \n" if kind == "empty" else bytes(range(256)))
    with pytest.raises(lab.LabError) as caught:
        reader(file)
    message = str(caught.value)
    assert is_one_sentence(message), message
    assert message.startswith(str(file))
    for part in wanted:
        assert part in message


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_permission_is_told(tmp_path: Path):
    file = tmp_path / "secret.csv"
    file.write_text(ROAD, encoding="utf-8")
    file.chmod(0)
    assert "no permission to read" in told(file, "road")


def test_a_damper_file_is_looked_for_beside_its_vehicle_and_told_with_both(tmp_path: Path):
    sound = lab.demo_vehicles()["courier_scooter_rear"].read_text(encoding="utf-8")
    vehicle = tmp_path / "my_vehicle.toml"
    head = sound[: sound.index("[damper]")]
    vehicle.write_text(head + '[damper]\nkind = "measured"\nfile = "bench.csv"\n', encoding="utf-8")
    with pytest.raises(lab.LabError) as caught:
        lab.load_station(vehicle)
    message = str(caught.value)
    assert is_one_sentence(message)
    assert message.startswith(
        f"{vehicle}, line {head.count(chr(10)) + 3}: in 'damper.file', {tmp_path / 'bench.csv'}: "
    )
    (tmp_path / "bench.csv").write_text(DAMPER, encoding="utf-8")
    assert lab.load_station(vehicle).clicks["rebound"] == 10
    vehicle.write_text(vehicle.read_text(encoding="utf-8") + "[damper.clicks]\nhigh_speed = 3\n", encoding="utf-8")
    with pytest.raises(lab.LabError, match="this damper has no high-speed adjuster"):
        lab.load_station(vehicle)
