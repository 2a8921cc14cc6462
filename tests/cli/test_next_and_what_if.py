"""`next` and `what-if`: what they print, and bad input."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.cli.main import main
from suspension_lab.workshop.next_click import next_click

REAR = "courier_scooter_rear"


def said(capsys):
    out, err = capsys.readouterr()
    return " ".join(out.split()), err


def test_next_says_what_next_click_says(capsys):
    assert main(["next", REAR, "12:0.5:2", "6:0,31"]) == 0
    out, _ = said(capsys)
    answer = next_click([(12, 0.5, 2), (6, 0.31)], None, station=lab.load_station(REAR))
    assert f"try rebound {answer.click}" in out
    assert f"{answer.low} to {answer.high}" not in out  # it is to be counted first
    assert "the maker's manual comes first" in out


def test_next_with_its_options_and_done(capsys):
    assert main(["next", REAR, "4:0.5:0", "--target", "0.5", "--rider", "60", "--low-speed", "3"]) == 0
    assert "Answer done" in said(capsys)[0]
    assert main(["next", REAR, "24:inf:0", "24:inf:0"]) == 0
    assert "out of reach" in said(capsys)[0]


def test_what_if_prints_both_sides_and_cautions(capsys):
    assert main(["what-if", REAR, "release", "pothole", "--then-rebound", "22", "--variations", "32"]) == 0
    out, _ = said(capsys)
    assert "rebound 9, low-speed 10, high-speed 8 → rebound 22, low-speed 10, high-speed 8" in out
    assert "Do not leave it so" in out
    assert "Tried in 32 variations" in out
    assert "No simulation clears a vehicle for the road" in out
    before = lab.swings(lab.simulate(lab.load_station(REAR), lab.Release(depth=0.035)))
    after = lab.swings(lab.simulate(lab.load_station(REAR).with_clicks(rebound=22), lab.Release(depth=0.035)))
    assert f"visible swings {before} → {after}" in out


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["next", REAR, "12-0.5"], "where clicks:seconds:swings was expected"),
        (["next", REAR, "12:0.5:1:1"], "where clicks:seconds:swings was expected"),
        (["next", REAR, "12:nan:1"], "where clicks:seconds:swings was expected"),
        (["next", REAR, "40:0.5:1"], "measured rebound clicks is 40"),
        (["next", REAR, "9:520:1"], "no milliseconds"),
        (["next", "scooter", "9:0.5"], "scooter"),
        (["what-if", REAR], "No change was given"),
        (["what-if", REAR, "potole", "--then-rebound", "6"], "did you mean 'pothole'"),
        (["what-if", REAR, "--then-rebound", "60"], "rebound"),
        (["what-if", REAR, "--then-rebound", "6", "--variations", "2"], "samples of the what-if"),
    ],
)
def test_bad_input_is_one_sentence(capsys, argv, says):
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert len(err.strip().splitlines()) == 1
