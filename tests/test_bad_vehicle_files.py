"""Faults of vehicle files: one sentence with file, line, key, what was expected and how to mend it.

Those of the damper's own tables are in `test_bad_damper_parts.py` and `test_bad_two_slopes.py`.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from sentences import is_one_sentence
from vehicle_texts import DEMO as SOUND
from vehicle_texts import changed, line_of, told, value_of

import suspension_lab as lab

PRELOAD = f"preload_mm = {value_of(SOUND, 'spring', 'preload_mm')}"


# What stands in the sound file, what replaces it, and what the sentence must hold: the key, what was expected or found,
# and the way out. The line is that of the fault, or of the table in which something is missing.
CASES = {
    "mistyped key": (
        "sprung_mass_kg =",
        "sprung_mas_kg =",
        ["'masses.sprung_mas_kg'", "did you mean 'sprung_mass_kg'?"],
    ),
    "mistyped table": ("[masses]", "[mases]", ["'mases'", "did you mean 'masses'?"]),
    "mistyped key at the top": ("format = 1", "formt = 1", ["'formt'", "did you mean 'format'?"]),
    "key in the wrong table": (
        "[linkage]",
        "[linkage]\npreload_mm = 3.0",
        ["'linkage.preload_mm'", "belongs in [spring]"],
    ),
    "1000 times too hard": (
        "rate_N_per_mm = 30.0",
        "rate_N_per_mm = 17_000",
        [
            "'spring.rate_N_per_mm' is 17000 N/mm",
            "0.3 to 2000 N/mm was expected",
            "if you measured 17000 N/m, write 17.",
        ],
    ),
    "millimetres in metres": (
        "wheel_travel_mm = 80.0",
        "wheel_travel_mm = 0.08",
        ["'travel.wheel_travel_mm' is 0.08 mm", "if you measured 0.08 m, write 80."],
    ),
    "out of range, not by 1000": ("rate_N_per_mm = 30.0", "rate_N_per_mm = 1e9", ["0.3 to 2000", "check the number"]),
    "not a number": (
        "rate_N_per_mm = 30.0",
        "rate_N_per_mm = nan",
        ["rate_N_per_mm' is nan", "0.3 to 2000 N/mm", "put a number"],
    ),
    "infinite": (PRELOAD, "preload_mm = inf", ["'spring.preload_mm' is inf", "put a number there"]),
    "too many digits": ("rate_N_per_mm = 30.0", f"rate_N_per_mm = {'9' * 400}", ["too large", "put a number there"]),
    "text for a number": ("sprung_mass_kg = 58.0", 'sprung_mass_kg = "58"', ["is '58'", "a number", "without quotes"]),
    "list for a number": (
        "sprung_mass_kg = 58.0",
        "sprung_mass_kg = [58.0]",
        ["a list", "a number", "without brackets"],
    ),
    "table for a number": ("sprung_mass_kg = 58.0", "sprung_mass_kg = {}", ["a table", "a plain number such as"]),
    "true for a number": ("sprung_mass_kg = 58.0", "sprung_mass_kg = true", ["is true", "a plain number such as"]),
    "number for text": ('"Courier scooter, rear"', "4", ["'name' is 4", 'between two "quotes"']),
    "no name": ('"Courier scooter, rear"', '""', ["'name'", "at least one letter was expected"]),
    "word for true": ("invented = true", 'invented = "yes"', ["'invented' is 'yes'", "true or false was expected"]),
    "another format": ("format = 1", "format = 2", ["'format' is 2", "where 1 was expected"]),
    "table with another name": ("[wheel]", "[wheel_]", ["'wheel_'", "did you mean 'wheel'?"]),
    "two brackets": ("[masses]", "[[masses]]", ["'masses' is a list", "write [masses] on a line of its own"]),
    "ratios without travel": (
        "motion_ratio = 0.90",
        "motion_ratio = [0.8, 0.9]",
        ["linkage.motion_ratio", "'linkage.wheel_travel_mm' is missing"],
    ),
    "ratio far too large": (
        "motion_ratio = 0.90",
        "motion_ratio = [0.9, 900]\nwheel_travel_mm = [0.0, 80.0]",
        ["motion_ratio, entry 2' is 900", "0.05 to 5"],
    ),
    "text among ratios": (
        "motion_ratio = 0.90",
        'motion_ratio = ["x", 0.9]\nwheel_travel_mm = [0.0, 80.0]',
        ["motion_ratio, entry 1' is 'x'", "without quotes"],
    ),
    "ratio that falls too fast": (
        "motion_ratio = 0.90",
        "motion_ratio = [2.0, 0.1]\nwheel_travel_mm = [0.0, 80.0]",
        ["'linkage.motion_ratio' falls so fast", "check"],
    ),
    "decimal comma": (
        "rate_N_per_mm = 30.0",
        "rate_N_per_mm = 30,0",
        ["not valid TOML", "write a decimal number with a point"],
    ),
    "text without quotes": ('"Courier scooter, rear"', "Courier", ["not valid TOML", 'text between two "quotes"']),
    "quote left open": ('"Courier scooter, rear"', '"Courier', ["not valid TOML", 'text between two "quotes"']),
    "bump stop longer than the travel": (
        "length_mm = 14.0",
        "length_mm = 90.0",
        ["'travel.bump_stop'", "90 mm fill all", "80 mm"],
    ),
}

ELSEWHERE = {
    "key in the wrong table": "preload_mm = 3.0",
    "bump stop longer than the travel": "[travel.bump_stop]",
}
"""The line of these is not that of the replaced text."""


@pytest.mark.parametrize("case", CASES)
def test_a_fault_is_told_with_its_line_its_key_and_the_way_out(case: str, tmp_path: Path):
    good, bad, wanted = CASES[case]
    assert SOUND.count(good) >= 1
    content = SOUND.replace(good, bad, 1)
    message = told(tmp_path, content)
    line = line_of(content, ELSEWHERE.get(case, bad))
    assert message.startswith(f", line {line}: "), message
    for part in wanted:
        assert part in message


MISSING = {
    "a value": (
        "unsprung_mass_kg = 24.0",
        "[masses]",
        ["'masses.unsprung_mass_kg' is missing", "add a line unsprung_mass_kg ="],
    ),
    "the spring's rate": ("rate_N_per_mm = 30.0", "[spring]", ["'spring.rate_N_per_mm' is missing", "or a table"]),
}


@pytest.mark.parametrize("case", MISSING)
def test_what_is_missing_is_told_with_the_line_of_its_table(case: str, tmp_path: Path):
    gone, at, wanted = MISSING[case]
    content = SOUND.replace(gone, "", 1)
    message = told(tmp_path, content)
    assert message.startswith(f", line {line_of(content, at)}: "), message
    for part in wanted:
        assert part in message


def test_a_missing_table_is_told_with_the_keys_it_needs(tmp_path: Path):
    start, end = SOUND.index("[tyre]"), SOUND.index("[wheel]")
    assert "the table [tyre] is missing; add it, with stiffness_N_per_mm." in told(
        tmp_path, SOUND[:start] + SOUND[end:]
    )


def test_a_number_where_a_table_belongs_is_told(tmp_path: Path):
    message = told(tmp_path, "wheel = 3\n" + SOUND.replace("[wheel]", "# ").replace("radius_mm", "# "))
    assert message.startswith(", line 1: 'wheel' is 3, where a table was expected; write [wheel] on a line of its own")


def test_a_table_that_stands_twice_is_told(tmp_path: Path):
    content = SOUND + "\n[masses]\n"
    assert f", line {content.count(chr(10))}: " in told(tmp_path, content)
    assert "stands twice, so delete one" in told(tmp_path, content)


@pytest.mark.parametrize(
    ("spring", "wanted"),
    [
        ("rate_N_per_mm = 3.0\ntable_force_N = [0.0, 9.0]\ntable_compression_mm = [0.0, 9.0]", "a rate and a table"),
        ("table_force_N = [0.0, 9.0]", "'spring.table_compression_mm' is missing"),
        ("table_compression_mm = [0.0, 9.0]", "'spring.table_force_N' is missing"),
        ("table_force_N = [0.0, 9.0]\ntable_compression_mm = [9.0, 0.0]", "goes backward at entry 2"),
        ("table_force_N = [0.0, 9.0, 9.0]\ntable_compression_mm = [0.0, 5.0, 9.0]", "repeats at entry 3"),
        ("table_force_N = [0.0, 9.0, 12.0]\ntable_compression_mm = [0.0, 9.0]", "2 compressions but 3 forces"),
    ],
)
def test_a_spring_that_cannot_be_is_told_in_its_table(spring: str, wanted: str, tmp_path: Path):
    content = SOUND.replace("rate_N_per_mm = 30.0", spring, 1)
    message = told(tmp_path, content)
    assert wanted in message
    assert message.startswith(f", line {line_of(content, '[spring]')}: "), message


def test_a_name_that_is_no_demo_vehicle_is_told_the_nearest():
    with pytest.raises(lab.LabError) as caught:
        lab.load_station("courier_scoter_rear")
    assert is_one_sentence(str(caught.value))
    assert "'courier_scoter_rear'" in str(caught.value)
    assert "did you mean 'courier_scooter_rear'?" in str(caught.value)


@pytest.mark.parametrize(
    ("table", "line", "wanted"),
    [
        ("spring", "preload_mm = 120.0", "topped out at rest"),
        ("masses", "sprung_mass_kg = 580.0", "bottomed out at rest"),
        ("spring", "rate_N_per_mm = 14.0", "rests on its bump stop"),
    ],
)
def test_a_setting_that_rests_on_a_stop_is_said(table: str, line: str, wanted: str, tmp_path: Path):
    file = tmp_path / "my_vehicle.toml"
    file.write_text(changed(SOUND, table, line.split(" ")[0], line), encoding="utf-8")
    said = lab.load_station(file).rests_on_a_stop
    assert said is not None
    assert is_one_sentence(said)
    assert wanted in said
