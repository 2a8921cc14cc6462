"""The command line as a whole: help, version, mistyped words, and a quiet end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from sentences import is_one_sentence

from suspension_lab.cli import run
from suspension_lab.cli.main import main

LAB = [sys.executable, "-m", "suspension_lab.cli.main"]


def test_no_command_prints_the_help_and_gives_exit_code_2(capsys):
    assert main([]) == 2
    out = capsys.readouterr().out
    assert "suspension-lab open" in out
    assert "courier_scooter_rear" in out


@pytest.mark.parametrize("command", ["open", "check", "run"])
def test_each_command_has_a_help_with_an_example(command: str, capsys):
    assert main([command, "--help"]) == 0
    out = capsys.readouterr().out
    assert "Example" in out
    assert f"  suspension-lab {command} " in out or f"  suspension-lab {command}\n" in out
    assert "Exit codes:" in out


def test_the_version_is_that_of_the_package(capsys):
    from importlib.metadata import version

    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"suspension-lab {version('suspension-lab')}\n"


WRONG = {
    "mistyped command": (["chek", "x"], ["'chek'", "did you mean 'check'?"]),
    "mistyped option": (
        ["run", "classroom_rig", "release", "--rebond", "3"],
        ["--rebond", "did you mean '--rebound'?"],
    ),
    "option cut short": (
        ["run", "classroom_rig", "release", "--reb", "3"],
        ["--reb is no option of suspension-lab run"],
    ),
    "mistyped option of open": (["open", "--prot", "3"], ["did you mean '--port'?"]),
    "mistyped option before the command": (["--versio"], ["did you mean '--version'?"]),
    "one argument too many": (["check", "classroom_rig", "x"], ["'x' is one argument too many"]),
    "argument missing": (["check"], ["FILE must be given", "see suspension-lab check --help"]),
    "two arguments missing": (["run"], ["VEHICLE and TEST must be given"]),
    "value missing": (["run", "classroom_rig", "release", "--depth"], ["--depth: a value was expected behind it"]),
    "word for a number": (["run", "classroom_rig", "release", "--depth", "deep"], ["--depth: 'deep'", "a number"]),
    "half a click": (["run", "classroom_rig", "release", "--rebound", "2.5"], ["--rebound: '2.5'", "a whole number"]),
    "port out of range": (["open", "--port", "80"], ["--port is 80", "1024 to 65535 was expected"]),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_command_line_gives_one_sentence_and_exit_code_2(case: str, capsys):
    argv, wanted = WRONG[case]
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("suspension-lab: ")
    assert is_one_sentence(err.removesuffix("\n")), err
    for part in wanted:
        assert part in err


def test_ctrl_c_ends_quietly(monkeypatch, capsys):
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(run, "simulate", interrupted)
    assert main(["run", "classroom_rig", "release"]) == 130
    assert capsys.readouterr() == ("", "")


@pytest.mark.skipif(not hasattr(signal, "SIGPIPE"), reason="no such signal here")
def test_a_reader_that_has_gone_is_no_fault():
    reader, writer = os.pipe()
    os.close(reader)
    with os.fdopen(writer, "wb") as gone:
        done = subprocess.run([*LAB, "check", "classroom_rig"], stdout=gone, stderr=subprocess.PIPE, timeout=60)
    assert done.returncode == 141
    assert done.stderr == b""


def test_as_a_process_bad_input_leaves_no_traceback(tmp_path: Path):
    done = subprocess.run([*LAB, "check", str(tmp_path)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == f"suspension-lab: {tmp_path} is a folder; give the path of a vehicle file (.toml) in it.\n"
