"""Faults in a vehicle file's damper by its parts: one sentence with line, key, what was expected and the way out."""

from __future__ import annotations

from pathlib import Path

import pytest
from vehicle_texts import DEMO, TWO_SLOPE, added, changed, holds, told, value_of, without

REBOUND, COMPRESSION = "damper.rebound", "damper.compression"
NEEDLE, BLOW_OFF, LEAK = f"{REBOUND}.needle", f"{REBOUND}.blow_off", f"{REBOUND}.leak"
SET_BLOW_OFF = f"{COMPRESSION}.blow_off"
PRESSURES = f"cracking_pressure_bar = {value_of(DEMO, SET_BLOW_OFF, 'cracking_pressure_bar')}"
SEAT = value_of(DEMO, NEEDLE, "seat_diameter_mm")

# The table, the line in place of that of its key, and what the sentence must hold: the key, what was expected or found,
# and the way out.
PARTS = {
    "needle as wide as its seat": (
        NEEDLE,
        f"needle_diameter_mm = {SEAT}",
        ["'damper.rebound.needle.needle_diameter_mm'", f"{SEAT} mm wide in a seat of {SEAT} mm", "narrower", "check"],
    ),
    "compression needle wider than its seat": (
        f"{COMPRESSION}.needle",
        "needle_diameter_mm = 12.0",
        ["'damper.compression.needle.needle_diameter_mm'", "12 mm wide", "a needle narrower than its seat", "check"],
    ),
    "taper that is none": (NEEDLE, "taper_deg = 90", ["needle.taper_deg' is 90 °", "0.5 to 60 °", "check the number"]),
    "rod as wide as the piston": (
        "damper",
        f"rod_diameter_mm = {value_of(DEMO, 'damper', 'piston_diameter_mm')}",
        ["'damper.rod_diameter_mm'", "a rod thinner than the piston was expected", "check the two diameters"],
    ),
    "piston in metres": (
        "damper",
        "piston_diameter_mm = 0.036",
        ["'damper.piston_diameter_mm' is 0.036 mm", "if you measured 0.036 m, write 36."],
    ),
    "text for a number": (
        "damper",
        'piston_diameter_mm = "36"',
        ["is '36'", "a number was expected", "without quotes"],
    ),
    "list for a number": ("damper", "piston_diameter_mm = [36]", ["a list", "a number", "write it without brackets"]),
    "circuit nowhere": ("damper", 'compression_at = "tank"', ["is 'tank'", "'piston' or 'reservoir' was expected"]),
    "no viscosity": (
        "damper.oil",
        "viscosity_40C_mm2_per_s = 0",
        ["'damper.oil.viscosity_40C_mm2_per_s' is 0 mm²/s", "0.5 to 1000 mm²/s was expected", "check the number"],
    ),
    "viscosity below zero": (
        "damper.oil",
        "viscosity_100C_mm2_per_s = -3.5",
        ["'damper.oil.viscosity_100C_mm2_per_s' is -3.5 mm²/s", "0.5 to 1000 mm²/s was expected", "check the number"],
    ),
    "viscosity in m²/s": (
        "damper.oil",
        "viscosity_40C_mm2_per_s = 15e-6",
        ["is 1.5e-05 mm²/s", "if you measured 1.5e-05 m²/s, write 15."],
    ),
    "oil that thickens as it warms": (
        "damper.oil",
        "viscosity_100C_mm2_per_s = 900",
        ["'damper.oil.viscosity_100C_mm2_per_s'", "at 100 °C (900 mm²/s) is not below that at 40 °C", "are swapped"],
    ),
    "gas pressure in Pa": (
        "damper.gas",
        "gas_pressure_bar = 1e6",
        ["'damper.gas.gas_pressure_bar' is 1000000 bar", "0 to 100 bar", "if you measured 1000000 Pa, write 10."],
    ),
    "gas sucked out": ("damper.gas", "gas_pressure_bar = -1", ["is -1 bar", "0 to 100 bar was expected", "check"]),
    "text for the gas": ("damper.gas", 'gas_volume_cm3 = "60"', ["is '60'", "a number was expected", "without quotes"]),
    "less gas than rod": (
        "damper.gas",
        "gas_volume_cm3 = 4",
        ["'damper.gas.gas_volume_cm3', at full travel the shaft is", "no room beyond", "give the gas more volume"],
    ),
    "blow-off in Pa": (
        BLOW_OFF,
        "cracking_pressure_bar = 450000",
        ["'damper.rebound.blow_off.cracking_pressure_bar' is 450000 bar", "if you measured 450000 Pa, write 4.5."],
    ),
    "blow-off's spring in N/m": (
        BLOW_OFF,
        "spring_rate_N_per_mm = 100_000",
        ["'damper.rebound.blow_off.spring_rate_N_per_mm'", "if you measured 100000 N/m, write 100."],
    ),
    "end of a span in Pa": (
        SET_BLOW_OFF,
        "cracking_pressure_bar = { closed = 100, open = 600_000 }",
        ["blow_off.cracking_pressure_bar.open' is 600000 bar", "if you measured 600000 Pa, write 6."],
    ),
    "text in a span": (
        SET_BLOW_OFF,
        'cracking_pressure_bar = { closed = "100", open = 6 }',
        ["cracking_pressure_bar.closed' is '100'", "without quotes"],
    ),
    "mistyped key in a span": (
        SET_BLOW_OFF,
        PRESSURES.replace("closed", "close"),
        ["cracking_pressure_bar.close'", "did you mean 'closed'?"],
    ),
    "half a span": (
        SET_BLOW_OFF,
        "cracking_pressure_bar = { closed = 100 }",
        ["cracking_pressure_bar.open' is missing", "add a line open ="],
    ),
    "list for a span": (
        SET_BLOW_OFF,
        "cracking_pressure_bar = [100, 6]",
        ["'damper.compression.blow_off.cracking_pressure_bar' is a list", "a number was expected", "without brackets"],
    ),
    "unknown metal": ("damper.body", 'metal = "brass"', ["is 'brass'", "'steel' or 'aluminium' was expected", "write"]),
    "adjuster without clicks": (
        "damper.adjusters",
        "high_speed = 0",
        ["1 to 200 was expected", "leave out an adjuster"],
    ),
    "clicks out of range": (
        "damper.clicks",
        "high_speed = 99",
        ["'damper.clicks.high_speed', high-speed clicks are 99", "0 (closed) to 16 (open) was expected"],
    ),
}


@pytest.mark.parametrize("case", PARTS)
def test_a_fault_in_a_part_is_told(case: str, tmp_path: Path):
    table, line, wanted = PARTS[case]
    content = changed(DEMO, table, line.split(" ")[0], line)
    holds(told(tmp_path, content), content, line, wanted)


# The table, a line more in it, and what the sentence must hold.
MORE = {
    "mistyped key": (NEEDLE, "land_lenght_mm = 6", ["key 'damper.rebound.needle.land_lenght_mm'", "'land_length_mm'?"]),
    "oil far too hot": ("damper", "oil_temperature_C = 200", ["'damper.oil_temperature_C' is 200 °C", "-30 to 160 °C"]),
    "oil far too cold": ("damper", "oil_temperature_C = -60", ["is -60 °C", "-30 to 160 °C was expected", "check"]),
    "oil in kelvin": ("damper", "oil_temperature_C = 293.15", ["if you measured 293.15 K, write 20."]),
    "density in g/cm³": (
        "damper.oil",
        "density_15C_kg_per_m3 = 0.86",
        ["'damper.oil.density_15C_kg_per_m3' is 0.86 kg/m³", "if you measured 0.86 g/cm³, write 860."],
    ),
    "one-way valve that never opens": ("damper", "one_way_opening_mm2 = 0", ["is 0 mm²", "1 to 5000 mm²", "check"]),
    "needle off centre by more than its gap": (
        NEEDLE,
        "eccentricity = 1.5",
        ["is 1.5", "0 to 1 was expected", "check"],
    ),
    "the oil's key beside its table": (
        "damper",
        "viscosity_40C_mm2_per_s = 15",
        ["belongs in [damper.oil]", "move it"],
    ),
    "the gas's key in the reservoir": ("damper.reservoir", "gas_volume_cm3 = 61", ["belongs in [damper.gas]", "move"]),
    "key of another kind": (
        "damper",
        'file = "bench.csv"',
        ["'damper.file' does not belong to this kind", "in [damper] of kind 'measured'", "take the key out"],
    ),
}


@pytest.mark.parametrize("case", MORE)
def test_a_line_too_many_is_told(case: str, tmp_path: Path):
    table, line, wanted = MORE[case]
    holds(told(tmp_path, content := added(DEMO, table, line)), content, line, wanted)


# The tables taken out, where the sentence points, and what it must hold.
GONE = {
    "a needle": (
        [NEEDLE],
        f"[{BLOW_OFF}]",
        [
            "the table [damper.rebound.needle] is missing",
            "add it, with seat_diameter_mm, needle",
            " and land_length_mm.",
        ],
    ),
    "a side": ([NEEDLE, BLOW_OFF, LEAK], "[damper]", ["[damper.rebound] is missing", "with [damper.rebound.needle]."]),
    "the oil": (
        ["damper.oil"],
        "[damper]",
        ["the table [damper.oil] is missing; add it, with viscosity_40C", "volume"],
    ),
    "the body": (["damper.body"], "[damper]", ["[damper.body] is missing; add it, with mass_kg, diameter_mm and len"]),
    "the gas of a reservoir": (
        ["damper.gas"],
        "[damper.reservoir]",
        ["'damper.reservoir'", "has no gas", "give the gas its pressure and volume, or leave the reservoir out"],
    ),
    "the reservoir of a valve": (
        ["damper.reservoir"],
        "compression_at",
        ["'damper.compression_at'", "is at the reservoir, but there is none", "give one, or take 'piston'"],
    ),
}


@pytest.mark.parametrize("case", GONE)
def test_a_table_that_is_missing_is_told(case: str, tmp_path: Path):
    tables, at, wanted = GONE[case]
    holds(told(tmp_path, content := without(DEMO, *tables)), content, at, wanted)


@pytest.mark.parametrize(("side", "adjuster"), [(REBOUND, "rebound"), (COMPRESSION, "low_speed")])
def test_a_pressure_with_two_ends_and_no_adjuster_is_told(side: str, adjuster: str, tmp_path: Path):
    line = "cracking_pressure_bar = { closed = 90, open = 4 }"
    content = changed(DEMO, f"{side}.blow_off", "cracking_pressure_bar", line)
    for table in ("damper.adjusters", "damper.clicks"):
        for name in (adjuster, "high_speed"):
            content = changed(content, table, name, "")
    wanted = [
        f"'{side}.blow_off.cracking_pressure_bar'",
        "no adjuster sets it",
        f"add {adjuster}",
        "or give one pressure",
    ]
    holds(told(tmp_path, content), content, line, wanted)


def test_a_high_speed_adjuster_alone_is_told(tmp_path: Path):
    content = changed(changed(DEMO, "damper.adjusters", "low_speed", ""), "damper.clicks", "low_speed", "")
    wanted = ["'damper.adjusters'", "a single compression adjuster is called low_speed", "name it so, or add low_speed"]
    holds(told(tmp_path, content), content, "[damper.adjusters]", wanted)


def test_a_leak_that_is_no_gap_is_told(tmp_path: Path):
    content = changed(changed(DEMO, LEAK, "diameter_mm", "diameter_mm = 1"), LEAK, "clearance_mm", "clearance_mm = 0.5")
    wanted = ["'damper.rebound.leak.clearance_mm'", "0.5 mm is no thin gap on a diameter of 1 mm", "check the two"]
    holds(told(tmp_path, content), content, "clearance_mm = 0.5", wanted)


def test_hot_oil_that_leaves_the_gas_no_room_is_told(tmp_path: Path):
    content = changed(
        added(DEMO, "damper", "oil_temperature_C = 150"), "damper.gas", "gas_volume_cm3", "gas_volume_cm3 = 9"
    )
    wanted = ["'damper.oil_temperature_C'", "leaves the gas nothing of its 9 cm³", "or a lower oil temperature"]
    holds(told(tmp_path, content), content, "oil_temperature_C", wanted)


def test_parts_under_the_name_of_another_kind_are_told(tmp_path: Path):
    content = changed(DEMO, "damper", "kind", 'kind = "two-slope"')
    wanted = ["does not belong to this kind of damper but in [damper] of kind 'hydraulic'", "change the kind"]
    holds(told(tmp_path, content), content, f"[{NEEDLE}]", wanted)


@pytest.mark.parametrize("sound", [TWO_SLOPE, DEMO], ids=["two slopes", "parts"])
def test_clicks_of_an_adjuster_that_is_not_there_are_told(sound: str, tmp_path: Path):
    content = changed(sound, "damper.adjusters", "rebound", "")
    clicks = f"rebound = {value_of(sound, 'damper.clicks', 'rebound')}"
    holds(told(tmp_path, content), content, clicks, ["'damper.clicks.rebound'", "no rebound adjuster", "leave rebound"])
