"""`suspension-lab run`: its measures, its files, and its refusals."""

from __future__ import annotations

import errno
from pathlib import Path

import numpy as np
import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.cli import run as command
from suspension_lab.cli.main import main
from suspension_lab.cli.trials import DEFAULTS, SETTINGS, TESTS
from suspension_lab.measures.summary import summary
from suspension_lab.workshop.reading import read_run

VEHICLE = "courier_scooter_rear"


@pytest.fixture
def road(tmp_path: Path) -> Path:
    file = tmp_path / "road.csv"
    distance = np.arange(0.0, 20.0, 0.25)
    rows = "".join(f"{x:.2f};{0.01 * np.sin(x):.5f}\n" for x in distance).replace(".", ",")
    file.write_text("distance;height\n" + rows, encoding="utf-8")
    return file


@pytest.mark.parametrize("test", TESTS)
def test_each_test_prints_its_measures_sentences_and_cautions(test: str, road: Path, capsys):
    extra = ["--profile", str(road)] if test == "road" else []
    assert main(["run", VEHICLE, test, *extra]) == 0
    out = capsys.readouterr().out
    words = " ".join(out.split())
    assert "What this says: - " in words
    assert "Before you turn anything" in words
    caution = "Push and let go only on level ground" if test in ("release", "push", "plate") else "closed ground"
    assert caution in words
    measure = {
        "release": "Settled: stays within 5 %",
        "push": "Settled: stays within 5 %",
        "plate": "Minimum contact force (smallest tyre load)",
    }.get(test, "Tyre load variation")
    assert f"  {measure}  " in out


# What the settings mean, written out once more in SI.
SAME = {
    "release": (["--depth", "30"], lab.Release(depth=0.030)),
    "push": (
        ["--force", "300", "--rise", "0,5", "--hold", "0.1"],
        lab.Push(peak_force=300.0, rise_time=0.5, hold_time=0.1),
    ),
    "pothole": (
        ["--speed", "36", "--depth", "50", "--length", "0.5"],
        lab.Ride(lab.roads.pothole(length=0.5, depth=0.05, run_in=3.0, run_out=15.0), 10.0),
    ),
    "kerb": (
        ["--speed", "18", "--height", "60", "--length", "1.0"],
        lab.Ride(lab.roads.kerb(height=0.06, length=1.0, run_in=1.5, run_out=7.5), 5.0),
    ),
    "long-hump": (
        ["--speed", "36", "--height", "90", "--length", "6"],
        lab.Ride(lab.roads.long_hump(height=0.09, length=6.0, run_in=3.0, run_out=15.0), 10.0),
    ),
    "washboard": (
        ["--speed", "36", "--height", "15", "--length", "0.8"],
        lab.Ride(lab.roads.washboard(height=0.015, wavelength=0.8, bumps=12, run_in=3.0, run_out=15.0), 10.0),
    ),
    "round-top-hump": (
        ["--speed", "36", "--height", "100", "--length", "3.7"],
        lab.Ride(lab.roads.round_top_hump(run_in=3.0, run_out=15.0), 10.0),
    ),
    "cobbles": (
        ["--speed", "18", "--length", "12", "--seed", "4"],
        lab.Ride(lab.roads.cobbles(length=12.0, seed=4, run_in=1.5, run_out=7.5), 5.0),
    ),
    "patched-asphalt": (
        ["--speed", "36", "--height", "6", "--length", "48", "--seed", "2"],
        lab.Ride(
            lab.roads.patched_asphalt(length=48.0, patches=8, height=0.006, seed=2, run_in=3.0, run_out=15.0), 10.0
        ),
    ),
    "expansion-joints": (
        ["--speed", "36", "--height", "8", "--length", "6"],
        lab.Ride(lab.roads.expansion_joints(spacing=6.0, step=0.008, joints=12, run_in=3.0, run_out=15.0), 10.0),
    ),
    "random-road": (
        ["--speed", "36", "--class", "b", "--length", "60", "--seed", "5"],
        lab.Ride(lab.roads.iso8608("B", length=60.0, seed=5), 10.0),
    ),
    "plate": (
        ["--stroke", "5", "--from", "22", "--to", "8"],
        lab.ShakerPlate(stroke=0.005, start_frequency=22.0, end_frequency=8.0),
    ),
}


@pytest.mark.parametrize("test", SAME)
def test_settings_in_the_trades_units_are_those_of_the_lab(test: str, capsys):
    settings, excitation = SAME[test]
    clicks = {"rebound": 4, "low_speed": 6, "high_speed": 3}
    argv = [part for name, value in clicks.items() for part in (f"--{name.replace('_', '-')}", str(value))]
    assert main(["run", VEHICLE, test, *settings, *argv, "--rider", "40"]) == 0
    out = capsys.readouterr().out
    trace = lab.simulate(lab.load_station(VEHICLE).with_rider(40.0).with_clicks(**clicks), excitation)
    for measure in summary(trace):
        assert any(
            row.split("  ")[1] == measure.label and row.endswith(f"  {measure.text}")
            for row in out.splitlines()
            if row.startswith("  ") and not row.startswith("   ") and len(row.split("  ")) > 1
        ), measure
    words = " ".join(out.split())
    for sentence in read_run(trace):
        assert sentence in words


def test_a_profile_is_driven_over_behind_its_run_in(road: Path, capsys, tmp_path: Path):
    out = tmp_path / "out.csv"
    assert main(["run", VEHICLE, "road", "--profile", str(road), "--speed", "36", "--csv", str(out)]) == 0
    profile = lab.roads.read_csv(road)
    trace = lab.simulate(lab.load_station(VEHICLE), lab.Ride(profile.with_run_in(), 10.0))
    written = np.genfromtxt(out, delimiter=",", names=True)
    np.testing.assert_allclose(written["tyre_load_N"], trace.tyre_load, rtol=1e-6)
    assert written["time_s"][-1] == pytest.approx((profile.length + 5.0) / 10.0, abs=1e-3)


def test_a_profile_is_told_its_roughness_and_class(capsys, tmp_path: Path):
    road = lab.roads.iso8608("D", length=250.0, seed=6)
    file = tmp_path / "road.csv"
    np.savetxt(file, np.column_stack([road.distance, road.height]), delimiter=",")
    assert main(["run", VEHICLE, "road", "--profile", str(file), "--duration", "1"]) == 0
    words = " ".join(capsys.readouterr().out.split())
    index = lab.international_roughness_index(road).mean()
    assert (
        f"The road has an International Roughness Index of {index:.2f} m/km, the mean of 2 stretches of 100 m" in words
    )
    assert "by its spectrum it is of class D in ISO 8608" in words
    file.write_text("0,0\n3,0.01\n", encoding="utf-8")
    assert main(["run", VEHICLE, "road", "--profile", str(file)]) == 0
    words = " ".join(capsys.readouterr().out.split())
    assert "it is too short, or its points lie too far apart, to tell its class in ISO 8608" in words


def test_the_csv_has_a_unit_in_each_heading_and_the_signals_of_the_run(tmp_path: Path, capsys):
    out = tmp_path / "out.csv"
    assert main(["run", VEHICLE, "release", "--csv", str(out), "--duration", "1.5"]) == 0
    assert f"Written: {out}" in capsys.readouterr().out
    heading = out.read_text(encoding="utf-8").splitlines()[0].split(",")
    assert heading[:4] == ["time_s", "body_mm", "wheel_mm", "road_mm"]
    units = ("_s", "_mm", "_m_per_s", "_N", "_m_per_s2")
    assert all(name.endswith(units) for name in heading)
    written = np.genfromtxt(out, delimiter=",", names=True)
    trace = lab.simulate(lab.load_station(VEHICLE), lab.Release(depth=0.035), 1.5)
    for name, signal in (
        ("time_s", trace.time), ("body_mm", 1e3 * trace.body), ("wheel_mm", 1e3 * trace.wheel),
        ("shaft_speed_m_per_s", trace.shaft_speed), ("damper_force_N", trace.damper_force),
        ("spring_force_N", trace.spring_force), ("tyre_load_N", trace.tyre_load),
        ("body_acceleration_m_per_s2", trace.body_acceleration),
    ):  # fmt: skip
        np.testing.assert_allclose(written[name], signal, rtol=1e-6, atol=1e-12)


def test_the_picture_is_a_png_and_a_file_that_was_there_is_said_to_be_replaced(tmp_path: Path, capsys):
    out = tmp_path / "out.png"
    out.write_text("old", encoding="utf-8")
    assert main(["run", VEHICLE, "release", "--picture", str(out)]) == 0
    assert f"Replaced: {out}" in capsys.readouterr().out
    assert out.read_bytes().startswith(b"\x89PNG\r\n")
    assert [file.name for file in tmp_path.iterdir()] == ["out.png"]


def test_each_setting_is_refused_where_it_does_not_belong(capsys, road: Path):
    for test, own in DEFAULTS.items():
        for name in set(SETTINGS) - set(own) - ({"depth"} if test == "pothole" else set()):
            extra = ["--profile", str(road)] if test == "road" else []
            assert main(["run", VEHICLE, test, f"--{name}", "1", *extra]) == 2
            err = capsys.readouterr().err
            assert f"--{name} does not belong to the test {test}, which takes --" in err
            assert is_one_sentence(err.removesuffix("\n"))


WRONG = {
    "unknown test": (["relase"], ["'relase'", "did you mean 'release'?"]),
    "unknown vehicle": (None, ["no demo vehicle 'scooter'", "known names are 'classroom_rig'"]),
    "clicks out of range": (["release", "--rebound", "99"], ["rebound clicks are 99", "0 (closed) to 24 (open)"]),
    "deeper than the travel": (["release", "--depth", "79"], ["79 mm would need", "has 80 mm", "a smaller depth"]),
    "depth in metres": (["release", "--depth", "0.035"], ["--depth is 0.035 mm", "1 to 500 mm was expected"]),
    "nan": (["push", "--force", "nan"], ["--force is nan", "a finite number in N"]),
    "a hand of iron": (["push", "--force", "40000"], ["--force is 40000 N", "1 to 2000 N"]),
    "ends in the push": (["push", "--duration", "0.1"], ["ends before the hand lets go", "simulate longer"]),
    "negative rider": (["release", "--rider", "-5"], ["--rider is -5 kg", "0 to 5000 kg"]),
    "two depths": (["pothole", "--depth", "30", "--height", "30"], ["both mean the pothole's depth", "one of them"]),
    "hole shorter than its edges": (["pothole", "--length", "0.001"], ["--length is 0.001 m", "0.02 to 2000 m"]),
    "no class": (["random-road", "--class", "K"], ["--class is 'K'", "one of the letters A to H"]),
    "half a seed": (["cobbles", "--seed", "1.5"], ["--seed: '1.5' was given", "a whole number was expected"]),
    "seed below zero": (["random-road", "--seed", "-1"], ["--seed is -1", "a whole number from 0 to"]),
    "random road too short": (["random-road", "--length", "5"], ["road length is 5 m", "20 to 20000 m was expected"]),
    "plate too fast": (["plate", "--from", "900"], ["--from is 900 Hz", "1 to 50 Hz"]),
    "plate without a stroke": (["plate", "--stroke", "0"], ["--stroke is 0 mm", "0.1 to 100 mm"]),
    "road without profile": (["road"], ["needs a profile", "--profile"]),
    "profile without road": (["kerb", "--profile", "x.csv"], ["--profile does not belong to the test kerb"]),
    "no such profile": (["road", "--profile", "nowhere.csv"], ["nowhere.csv: there is no such file"]),
    "picture of another kind": (["release", "--picture", "x.jpg"], ["'x.jpg'", "ending in .png"]),
    "on the stop, and too deep": (["release", "--rider", "300"], ["would need", "mind too that", "bump stop"]),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_setting_gives_one_sentence_and_exit_code_2(case: str, capsys):
    settings, wanted = WRONG[case]
    assert main(["run", VEHICLE, *settings] if settings else ["run", "scooter", "release"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert is_one_sentence(err.removesuffix("\n")), err
    for part in wanted:
        assert part in err


def test_the_same_file_is_not_read_and_written_over(tmp_path: Path, road: Path, capsys):
    before = road.read_bytes()
    assert main(["run", VEHICLE, "road", "--profile", str(road), "--csv", str(road)]) == 2
    assert "would be read and written over" in capsys.readouterr().err
    assert road.read_bytes() == before
    same = str(tmp_path / "one.png")
    assert main(["run", VEHICLE, "release", "--csv", same, "--picture", same]) == 2
    assert "name the same file" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--csv", "--picture"])
def test_a_place_that_cannot_be_written_is_told_before_the_run(option: str, tmp_path: Path, capsys, monkeypatch):
    monkeypatch.setattr(command, "simulate", lambda *_: pytest.fail("the run was begun"))
    (tmp_path / "folder.png").mkdir()
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for place, wanted in (
        (tmp_path / "folder.png", "is a folder"),
        (tmp_path / "none" / "out.png", "there is no folder"),
        (tmp_path / "file" / "out.png", "there is no folder"),
    ):
        assert main(["run", VEHICLE, "release", option, str(place)]) == 3
        err = capsys.readouterr().err
        assert wanted in err
        assert is_one_sentence(err.removesuffix("\n")), err


def test_a_place_without_permission_is_told(tmp_path: Path, capsys, monkeypatch):
    monkeypatch.setattr("suspension_lab.cli.writing.os.access", lambda *_: False)
    assert main(["run", VEHICLE, "release", "--csv", str(tmp_path / "out.csv")]) == 3
    assert "no permission to write there" in capsys.readouterr().err


def test_a_full_disk_leaves_the_old_file_whole(tmp_path: Path, capsys, monkeypatch):
    out = tmp_path / "out.csv"
    out.write_text("old", encoding="utf-8")

    def full(trace: lab.Trace, path: Path) -> None:
        path.write_text("half", encoding="utf-8")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(command, "_write_csv", full)
    assert main(["run", VEHICLE, "release", "--csv", str(out)]) == 3
    err = capsys.readouterr().err
    assert "could not be written (No space left on device)" in err
    assert is_one_sentence(err.removesuffix("\n"))
    assert out.read_text(encoding="utf-8") == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["out.csv"]
