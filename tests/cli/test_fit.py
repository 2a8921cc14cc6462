"""`fit`: what it prints and writes, and bad input."""

from __future__ import annotations

import pytest

from suspension_lab.cli.main import main
from suspension_lab.common.shipped import shipped_folder

REAR = "courier_scooter_rear"
RECORD = str(shipped_folder("data/recordings") / "rear_release_position.csv")


def test_it_prints_the_values_and_writes_the_picture(capsys, tmp_path):
    out = tmp_path / "fit.png"
    assert main(["fit", REAR, RECORD, "--picture", str(out)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "rebound damping 1.3" in said
    assert "The model fits" in said
    assert "About 59.9 samples a second" in said
    assert "the maker's manual comes first" in said
    assert out.read_bytes().startswith(b"\x89PNG")


def test_columns_and_what_is_free_can_be_named(capsys):
    given = ["--time", "1", "--values", "2", "--kind", "position", "--unit", "mm", "--free", "friction"]
    assert main(["fit", REAR, RECORD, *given]) == 0
    out = capsys.readouterr().out
    assert "seal friction" in out
    assert "rebound damping  " not in out


@pytest.mark.parametrize(
    ("argv", "code", "says"),
    [
        ([RECORD, "--free", "rebound"], 2, "cannot be free in a fit"),
        ([RECORD, "--time", "1"], 2, "--time and --values together"),
        ([RECORD, "--picture", "fit.jpg"], 2, "a name ending in .png was expected"),
        ([RECORD, "--picture", "/nowhere/fit.png"], 3, "no folder"),
        (["nowhere.csv"], 2, "nowhere.csv"),
        ([RECORD, "--depth", "-3"], 2, "release depth"),
    ],
)
def test_bad_input_is_one_sentence(capsys, argv, code, says):
    assert main(["fit", REAR, *argv]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert len(err.strip().splitlines()) == 1
