"""The form of the setup log: a run written, the history drawn, the last one taken back, the card made, bad input."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from suspension_lab.lab import log_form
from suspension_lab.lab.history_picture import history_picture
from suspension_lab.workshop.setup_log import SetupLog


def pressed(form, text):
    next(each for each in form.widget.children[0].children if getattr(each, "description", "") == text).click()


def test_runs_are_written_drawn_and_taken_back(tmp_path):
    form = log_form(tmp_path / "log.sqlite")
    for rebound, seconds in ((12, "0.55"), (6, "0,31")):
        form.clicks["rebound"].value, form.seconds.value, form.swings.value = rebound, seconds, "1"
        pressed(form, "Write it down")
        assert form.words == [f"Written down in {tmp_path / 'log.sqlite'}."]
    log = SetupLog(tmp_path / "log.sqlite")
    table = log.table
    assert table["rebound"].tolist() == [12, 6]
    assert table["return time [s]"].tolist() == [0.55, 0.31]
    assert table["session"].nunique() == 1
    assert "over 2 runs" in form.picture.value
    assert "0.31" in form.table.value
    pressed(form, "Take the last back")
    assert len(log.table) == 1
    assert log_form(tmp_path / "log.sqlite").picture.value


def test_a_wrong_entry_writes_nothing(tmp_path):
    form = log_form(tmp_path / "log.sqlite")
    form.clicks["rebound"].value = 99
    pressed(form, "Write it down")
    assert "rebound" in form.words[0]
    form.clicks["rebound"].value = 9
    wrong = [
        ("seconds", "half", "return time is 'half'"), ("seconds", "520", "return time is 520"),
        ("swings", "1.7", "a whole number from 0"), ("swings", "-3", "a whole number from 0"),
        ("pressure", "220", "0.1 to 20 bar"), ("name", "  ", "has no name"),
    ]  # fmt: skip
    for field, value, says in wrong:
        widget = getattr(form, field)
        before, widget.value = widget.value, value
        pressed(form, "Write it down")
        assert says in form.words[0]
        widget.value = before
    assert SetupLog(tmp_path / "log.sqlite").vehicles() == []
    pressed(form, "Take the last back")
    assert "nothing to take back" in form.words[0]


def test_the_card_is_made_only_where_rebound_passes(tmp_path):
    form = log_form(tmp_path / "log.sqlite")
    form.clicks["rebound"].value = 22
    pressed(form, "Make the card")
    assert not (tmp_path / "setup_card.pdf").exists()
    form.clicks["rebound"].value = 6
    pressed(form, "Make the card")
    assert (tmp_path / "setup_card.pdf").read_bytes().startswith(b"%PDF")


def test_a_longer_history_is_another_picture(tmp_path):
    log = SetupLog(tmp_path / "log.sqlite")
    pictures = []
    for rebound in (12, 9, 6):
        log.write_run_today("Scooter", clicks={"rebound": rebound}, measured={"return time": (0.5, "s")})
        pictures.append(np.asarray(Image.open(io.BytesIO(history_picture(log.history("scooter"))))))
    assert not np.array_equal(pictures[0], pictures[1])
    assert not np.array_equal(pictures[1], pictures[2])


def test_a_return_that_never_settled_is_kept_in_words_and_has_no_time(tmp_path):
    form = log_form(tmp_path / "log.sqlite")
    form.seconds.value, form.remark.value = "0.5", "swam on"
    form.never.value = True
    assert form.seconds.disabled
    pressed(form, "Write it down")
    table = SetupLog(tmp_path / "log.sqlite").table
    assert table["remark"].tolist() == ["never settled; swam on"]
    assert "return time [s]" not in table or table["return time [s]"].isna().all()
    assert not form.never.value
    assert not form.seconds.disabled
