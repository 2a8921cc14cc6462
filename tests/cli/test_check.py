"""`suspension-lab check`: what it prints, what it doubts, and its exit code."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from sentences import is_one_sentence
from vehicle_texts import DEMO as SOUND
from vehicle_texts import changed

import suspension_lab as lab
from suspension_lab.cli.main import main
from suspension_lab.workshop.soundness import doubts


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_demo_vehicles_are_sound(name: str, capsys):
    assert main(["check", name]) == 0
    out, err = capsys.readouterr()
    assert "Sound: nothing to look at again." in out
    assert err == ""


def test_it_prints_the_numbers_of_the_station(tmp_path: Path, capsys):
    """Analytic: a linear vehicle whose numbers can be had by hand, with a tyre too hard to matter."""
    file = tmp_path / "by_hand.toml"
    file.write_text(
        'format = 1\nname = "By hand"\n[masses]\nsprung_mass_kg = 60.0\nunsprung_mass_kg = 10.0\nrider_mass_kg = 40.0\n'
        "[spring]\nrate_N_per_mm = 20.0\n[tyre]\nstiffness_N_per_mm = 5000.0\n"
        '[damper]\nkind = "linear"\nrebound_N_s_per_m = 1200.0\ncompression_N_s_per_m = 400.0\n',
        encoding="utf-8",
    )
    assert main(["check", str(file)]) == 0
    out = capsys.readouterr().out
    sag = 1e3 * 100.0 * 9.80665 / 20_000.0
    assert f"Rider sag                    {sag:.1f} mm" in out
    assert f"Free sag                     {0.6 * sag:.1f} mm" in out
    frequency = math.sqrt(20_000.0 / 100.0) / (2.0 * math.pi)
    assert f"body {frequency:.2f} Hz" in out
    critical = 2.0 * math.sqrt(20_000.0 * 100.0)
    ratios = (800.0 / critical, 1200.0 / critical, 400.0 / critical)
    assert "body         mean {:.2f}, rebound {:.2f}, compression {:.2f}".format(*ratios) in out
    assert "none: this damper cannot be set" in out


# Common practice, as the bounds in workshop/soundness.py say.
DOUBTFUL = {
    "little sag": ("spring", "preload_mm = 25.0", "Rider sag is"),
    "much sag": ("spring", "preload_mm = 0.0", "Rider sag is"),
    "topped out": ("spring", "preload_mm = 120.0", "topped out at rest"),
    "on the bump stop": ("spring", "rate_N_per_mm = 14.0", "rests on its bump stop"),
    "no free sag": ("spring", "preload_mm = 22.0", "Without rider and load it tops out"),
    "hard spring": ("spring", "rate_N_per_mm = 300.0\npreload_mm = 0.0", "The body swings at"),
    "little room for gas": ("damper.gas", "gas_volume_cm3 = 12.0", "times its pressure at full extension"),
    "body in the bore": ("damper.body", "diameter_mm = 20.0", "The body of 20 mm must be wider than the piston"),
    "seat in the bore": ("damper.rebound.blow_off", "seat_diameter_mm = 60.0", "finds no room in the bore of 36 mm"),
    "wide leak": ("damper.rebound.leak", "diameter_mm = 120.0", "should be about as wide as the piston of 36 mm"),
    "little oil": ("damper.oil", "volume_cm3 = 5.0", "do not fit a piston that sweeps"),
    "much oil": ("damper.oil", "volume_cm3 = 870.0", "the rod leaves the gas no room at full travel"),
    "fixed high speed": ("damper.compression.blow_off", "cracking_pressure_bar = 30.0", "The high-speed clicks change"),
    "coarse thread": ("damper.rebound.needle", "lift_per_click_mm = 2.0", "The rebound needle has left its seat after"),
    "soft tyre": ("tyre", "stiffness_N_per_mm = 15.0", "The wheel hops at"),
    "heavy wheel": ("masses", "unsprung_mass_kg = 60.0", "The unsprung mass is 57 % of the sprung mass"),
}


def test_weak_gas_is_doubted():
    station = lab.load_station("courier_scooter_front")
    gas = replace(station.damper.gas, pressure=1.8e5)
    found = doubts(replace(station, damper=replace(station.damper, gas=gas)))
    assert any("cavitates in compression from" in sentence for sentence in found), found
    assert all(is_one_sentence(sentence) for sentence in found), found


@pytest.mark.parametrize("case", DOUBTFUL)
def test_a_doubtful_vehicle_is_said_to_be_and_gives_exit_code_1(case: str, tmp_path: Path, capsys):
    table, lines, wanted = DOUBTFUL[case]
    content = SOUND
    for line in lines.split("\n"):
        content = changed(content, table, line.split(" ")[0], line)
    file = tmp_path / "my_vehicle.toml"
    file.write_text(content, encoding="utf-8")
    assert main(["check", str(file)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "Look at again: - " in out
    assert wanted in out
    found = doubts(lab.load_station(file))
    assert all(is_one_sentence(sentence) for sentence in found), found
    assert any(wanted in sentence for sentence in found), found


@pytest.mark.parametrize(
    ("rebound", "compression", "wanted"),
    [
        (50.0, 30.0, "too weak for this vehicle"),
        (9000.0, 6000.0, "too strong for this vehicle"),
        (400.0, 1200.0, "is weaker than compression"),
    ],
)
def test_a_doubtful_damper_is_said(rebound: float, compression: float, wanted: str):
    station = lab.load_station("courier_scooter_rear")
    found = doubts(replace(station, damper=lab.LinearDamper(rebound=rebound, compression=compression)))
    assert len(found) == 1
    assert wanted in found[0]
    assert is_one_sentence(found[0])


def test_bad_input_gives_one_sentence_and_exit_code_2(tmp_path: Path, capsys):
    file = tmp_path / "my_vehicle.toml"
    file.write_text(SOUND.replace("sprung_mass_kg = 58.0", "sprung_mass_kg = nan"), encoding="utf-8")
    assert main(["check", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"suspension-lab: {file}, line ")
    assert is_one_sentence(err.removesuffix("\n"))
