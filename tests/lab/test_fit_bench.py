"""The fit bench: the demo records, an own file, and bad input in one sentence."""

from __future__ import annotations

import base64
import io
import re

import pytest
from PIL import Image

import suspension_lab as lab
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.lab import fit_bench
from suspension_lab.lab.fit_bench import DEMO_RECORDS, OWN
from suspension_lab.workshop.measured.recording import read_recording


@pytest.mark.parametrize("record", DEMO_RECORDS)
def test_demo_records_hold_what_they_were_made_with(record):
    """Made with 1.3 times the file's rebound and 34 N of friction, with noise."""
    bench = fit_bench()
    bench.set(record=record)
    bench.button.click()
    fit = bench.fit
    assert abs(fit["rebound_damping"].value - 1.3) < 4.0 * fit["rebound_damping"].uncertainty
    assert abs(fit["friction"].value - 34.0) < 4.0 * fit["friction"].uncertainty
    assert bench.words[0].startswith("The model fits")
    assert any("the maker's manual comes first" in said for said in bench.words)
    boxes = [
        each for each in bench.widget.children[1].children if "Before you act on this" in getattr(each, "value", "")
    ]
    assert ["manual comes first" in each.value for each in boxes] == [True]
    assert "manual comes first" not in bench.said.value
    encoded, alt = re.search(r'base64,([^"]+)" alt="([^"]+)"', bench.picture.value).groups()
    assert Image.open(io.BytesIO(base64.b64decode(encoded))).size[0] > 1000
    assert "Rebound damping" in alt


def test_both_records_tell_the_same_story():
    """A video and a phone, of one motion: within their uncertainties they agree (made so)."""
    found = []
    for name in DEMO_RECORDS.values():
        record = read_recording(shipped_folder("data/recordings") / name)
        found.append(lab.fit_release(record.time, station=lab.load_station("courier_scooter_rear"),
                                     **{record.kind: record.values}))  # fmt: skip
    one, other = (fit["rebound_damping"] for fit in found)
    assert abs(one.value - other.value) < 4.0 * (one.uncertainty + other.uncertainty)


def test_an_own_file_and_what_is_free(tmp_path):
    bench, file = fit_bench(), tmp_path / "mine.csv"
    bench.set(record=OWN)
    bench.button.click()
    assert bench.words == ["No file was named; write the path of your own record, or choose another record."]
    file.write_text((shipped_folder("data/recordings") / "rear_release_position.csv").read_text(encoding="utf-8"),
                    encoding="utf-8")  # fmt: skip
    bench.set(path=str(file), free=["spring_rate"], rebound=9)
    bench.button.click()
    assert list(bench.fit.found) == ["spring_rate"]
    bench.set(free=[])
    bench.button.click()
    assert "Nothing is free" in bench.words[0]
    assert bench.fit is None
    assert bench.picture.value == ""


def test_bad_input_is_one_sentence(tmp_path):
    bench = fit_bench()
    for given, says in (({"record": OWN, "path": str(tmp_path / "no.csv")}, "no.csv"), ({"rider": -3.0}, "rider mass")):
        bench.set(**given)
        bench.button.click()
        assert len(bench.words) == 1
        assert says in bench.words[0]
        bench.set(record=next(iter(DEMO_RECORDS)), rider=48.0)


def test_what_a_wrong_spring_would_move_is_told_in_its_unit():
    bench = fit_bench()
    bench.work_out()
    (told,) = (said for said in bench.words if "a tenth harder" in said)
    moved = re.search(
        r"rebound damping by ([+-]0\.\d\d) times the file's and seal friction by ([+-]\d\.\d) N, more", told
    )
    assert [float(each) for each in moved.groups()] == [
        pytest.approx(bench.fit.spring_shift[name], rel=0.05) for name in ("rebound_damping", "friction")
    ]
