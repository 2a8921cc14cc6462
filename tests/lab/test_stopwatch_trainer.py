"""The stopwatch trainer and the metronome, without a browser."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from sentences import is_one_sentence, on_one_line

import suspension_lab as lab
from suspension_lab.lab import metronome, next_click_bench, stopwatch_trainer, timing_form, watch_choice
from suspension_lab.lab.stopwatch_trainer import FALSE_START, NO_PRESS, TRIES
from suspension_lab.workshop.measured.watch import Watch, watch_of
from suspension_lab.workshop.measured.watch_file import read_trials, read_watch
from suspension_lab.workshop.release_test import Verdict, usual_release, verdict

OFFS = np.array([0.15, 0.25, 0.2, 0.1, 0.3, 0.2, 0.15, 0.25, 0.2, 0.2])


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SERVER_SOFTWARE", raising=False)
    monkeypatch.setattr(watch_choice, "_FOUND", [])
    # Forms of other tests would follow each watch that is found here.
    watch_choice._CHOICES.clear()
    return tmp_path


def by_browser(trainer, kind, seconds=0.0):
    """What the browser sends."""
    trainer.widget.pressed = [kind, seconds, trainer.widget.next["serial"]]


def ten_tries(trainer, offs=OFFS):
    for true, off in zip(trainer.settled, offs, strict=True):
        by_browser(trainer, "pressed", true + off)


@pytest.fixture(scope="module")
def made():
    return stopwatch_trainer(seed=3)


@pytest.fixture
def trainer(made):
    made.widget.tell_each = True
    made.begin_again()
    return made


# ---- what is handed over


def test_what_is_played_is_the_run_and_the_true_time_its_settling_time(trainer):
    """The independent way: each setting simulated alone."""
    screen = trainer.widget
    played = np.frombuffer(screen.courses, "<f4").reshape(TRIES, screen.samples)
    station = lab.load_station("courier_scooter_rear")
    for at, click in enumerate(trainer.clicks):
        trace = lab.simulate(station.with_clicks(rebound=click), usual_release(station), 8.0)
        assert trainer.settled[at] == lab.settling_time(trace)
        time = screen.step * np.arange(screen.samples)
        assert played[at] == pytest.approx(1e3 * np.interp(time, trace.time, trace.body), abs=0.05)
        assert time[-1] > trainer.settled[at] + 2.5
    assert screen.depth == pytest.approx(25.0)
    assert played[:, 0] == pytest.approx(np.full(TRIES, -25.0))


@pytest.mark.parametrize("vehicle", lab.demo_vehicles())
def test_one_creeps_one_swings_on_and_all_settle_soon_enough(vehicle):
    station = lab.load_station(vehicle)
    made = stopwatch_trainer(vehicle, seed=8)
    said = {
        verdict(lab.simulate(station.with_clicks(rebound=click), usual_release(station), 8.0)) for click in made.clicks
    }
    assert {Verdict.TOO_CLOSED, Verdict.TOO_OPEN} <= said
    assert station.clicks.rebound in made.clicks
    assert len(made.clicks) == TRIES
    assert max(made.settled) <= 3.0


@pytest.mark.parametrize("vehicle", lab.demo_vehicles())
def test_five_settings_are_played_twice_but_not_twice_in_a_row(vehicle):
    made = stopwatch_trainer(vehicle, seed=8)
    for _ in range(5):
        assert sorted(made.clicks.count(click) for click in set(made.clicks)) == [2] * 5
        assert all(one != other for one, other in pairwise(made.clicks))
        made.begin_again()


def test_a_steady_hand_with_another_idea_of_rest_is_not_told_that_it_scatters():
    """Rest judged at 3 %: the true offs differ by setting, but of two tries at one setting neither does."""
    made = stopwatch_trainer(seed=3)
    station = lab.load_station("courier_scooter_rear")
    for click in made.clicks:
        trace = lab.simulate(station.with_clicks(rebound=click), usual_release(station), 8.0)
        made.press(lab.settling_time(trace, 0.03))
    assert made.watch.spread < 1e-4
    assert np.std(np.subtract(made.pressed, made.settled), ddof=1) > 0.02
    assert "At one setting you scatter by 0.00 s" in made.words[1]
    assert "from setting to setting" in made.words[1]
    assert any("at one setting differ by about 0.00 s by chance" in said for said in made.words)


def test_a_seed_gives_the_same_and_none_gives_other_tries():
    one, same = stopwatch_trainer(seed=5), stopwatch_trainer(seed=5)
    assert one.clicks == same.clicks
    assert one.widget.next == same.widget.next
    assert len({(stopwatch_trainer().clicks, stopwatch_trainer().widget.next["wait"]) for _ in range(2)}) == 2


def test_the_wait_cannot_be_guessed(trainer):
    """0.8 to 2 s; even draws have a standard deviation of 1.2 s over the root of 12."""
    waits = []
    for _ in range(300):
        waits.append(trainer.widget.next["wait"])
        by_browser(trainer, "early")
    assert min(waits) >= 0.8
    assert max(waits) <= 2.0
    assert np.std(waits) == pytest.approx(1.2 / np.sqrt(12.0), rel=0.15)


# ---- ten tries


def test_ten_tries_make_a_watch_and_its_words(trainer):
    played = sorted(set(trainer.clicks))
    called = []
    trainer._on_done = called.append
    assert trainer.words == ()
    ten_tries(trainer)
    trainer._on_done = None
    expected = watch_of(np.array(trainer.settled) + OFFS, trainer.settled)
    assert called == [trainer.watch]
    assert trainer.watch.bias == pytest.approx(expected.bias, abs=1e-4)
    pairs = [[off for off, click in zip(OFFS, trainer.clicks, strict=True) if click == each] for each in played]
    spread = np.sqrt(sum((one - other) ** 2 for one, other in pairs) / (2 * len(pairs)))
    assert trainer.watch.spread == pytest.approx(spread, abs=1e-4)
    assert trainer.words[0].startswith("On average you press 0.20 s late")
    assert f"At one setting you scatter by {spread:.2f} s" in trainer.words[1]
    # 9 clicks: 0.34 s, 8 clicks: 0.33 s; no hand tells these apart.
    assert any("cannot tell rebound 8 and 9 apart" in said for said in trainer.words)
    assert all(on_one_line(said) for said in trainer.words)
    assert [row[-1] for row in trainer.widget.table[1:]] == [f"{off:.2f} s late" for off in OFFS]
    assert [float(row[2]) for row in trainer.widget.table[1:]] == pytest.approx(trainer.settled, abs=5.1e-3)
    with pytest.raises(lab.LabError, match="All 10 tries are made"):
        trainer.press(0.5)


def test_each_try_is_told_in_words_or_only_taken(trainer):
    by_browser(trainer, "pressed", trainer.settled[0] + 0.12)
    assert trainer.widget.said == "Try 1 of 10: 0.12 s late."
    by_browser(trainer, "pressed", trainer.settled[1] - 0.1)
    assert trainer.widget.said == "Try 2 of 10: 0.10 s early."
    trainer.widget.tell_each = False
    by_browser(trainer, "pressed", trainer.settled[2] - 0.1)
    assert trainer.widget.said == "Try 3 of 10: taken."
    assert trainer.widget.next["number"] == 4
    assert trainer.widget.table == []


def test_false_starts_and_no_press_are_told_and_not_counted(trainer):
    for kind, sentence in (("early", FALSE_START), ("none", NO_PRESS)):
        assert is_one_sentence(sentence)
        before = trainer.widget.next
        by_browser(trainer, kind)
        assert trainer.widget.said == sentence
        assert trainer.pressed == ()
        after = trainer.widget.next
        assert (after["number"], after["course"]) == (before["number"], before["course"])
        assert after["serial"] == before["serial"] + 1
        assert after["wait"] != before["wait"]
    ten_tries(trainer)
    assert trainer.watch.bias == pytest.approx(OFFS.mean(), abs=1e-4)


def test_an_answer_to_a_try_that_is_over_is_thrown_away(trainer):
    old = trainer.widget.next["serial"]
    by_browser(trainer, "pressed", 0.5)
    trainer.widget.pressed = ["pressed", 0.6, old]
    assert len(trainer.pressed) == 1


def test_a_press_that_slipped_is_pointed_at(trainer):
    ten_tries(trainer, np.where(np.arange(10) == 6, 1.5, OFFS))
    assert any(said.startswith("Try 7 lies 1.29 s") and "slipped" in said for said in trainer.words)
    trainer.begin_again()
    assert trainer.words == ()
    ten_tries(trainer)
    assert not any("slipped" in said for said in trainer.words)


def test_a_press_that_is_no_time_is_refused(trainer):
    with pytest.raises(lab.LabError, match="time of the press") as caught:
        trainer.press(-0.1)
    assert is_one_sentence(str(caught.value))


def test_a_vehicle_that_cannot_be_timed_is_told(tmp_path):
    from vehicle_texts import TWO_SLOPE

    text = TWO_SLOPE[: TWO_SLOPE.index("[damper]")] + (
        '[damper]\nkind = "linear"\nrebound_N_s_per_m = 1500.0\ncompression_N_s_per_m = 800.0\n'
    )
    (tmp_path / "plain.toml").write_text(text, encoding="utf-8")
    with pytest.raises(lab.LabError, match="no rebound clicks"):
        stopwatch_trainer(str(tmp_path / "plain.toml"))
    with pytest.raises(lab.LabError, match="did you mean"):
        stopwatch_trainer("courier_scooter_raer")


# ---- keeping, and who uses it


def test_kept_tries_are_added_to_the_file(trainer, own_folder):
    trainer.widget.keep = ["", 101]
    assert trainer.widget.kept.startswith("There is nothing to keep yet")
    ten_tries(trainer)
    trainer.widget.keep = ["", 102]
    assert "Kept in my_watch.json, with no tries before: 0.20 s late" in trainer.widget.kept
    assert read_watch("my_watch.json") == trainer.watch
    trainer.widget.keep = ["", 103]
    assert trainer.widget.kept.startswith("These 10 tries are kept already")
    trainer.begin_again()
    ten_tries(trainer, OFFS - 0.2)
    trainer.keep()
    assert len(read_trials("my_watch.json")) == 2
    assert read_watch("my_watch.json").bias == pytest.approx(0.1, abs=1e-4)
    assert "with 10 tries before" in trainer.widget.kept


def test_a_class_needs_a_name_and_a_taken_name_is_asked_about(trainer, monkeypatch):
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5")
    ten_tries(trainer)
    with pytest.raises(lab.LabError, match="type your name"):
        trainer.keep(" ")
    trainer.keep("Ana")
    other = stopwatch_trainer(seed=1)
    ten_tries(other, OFFS + 0.1)
    with pytest.raises(lab.LabError, match="put a number behind your name") as caught:
        other.keep("Ana")
    assert is_one_sentence(str(caught.value))
    assert len(read_trials("my_watch_Ana.json")) == 1
    other.keep("Ana")
    assert len(read_trials("my_watch_Ana.json")) == 2


def test_the_forms_take_the_watch_that_the_trainer_finds(trainer):
    form, bench = timing_form(), next_click_bench()
    assert form.watch.watch is None
    form.fill(tries="0.62")
    assert form.stopwatch.seconds == pytest.approx(0.62)
    ten_tries(trainer)
    watch = trainer.watch
    assert form.watch.watch == bench.watch.watch == watch
    assert form.stopwatch.seconds == pytest.approx(0.42, abs=1e-3)
    assert form.stopwatch.uncertainty == pytest.approx(watch.uncertainty())
    bench.write(4, 0.66, 0)
    said = lab.next_click([(4, 0.66, 0)], None, station=bench.station, timing=watch)
    assert bench.words == tuple(said.sentences)
    assert "corrected by your watch" in bench.words[0]
    form.watch.control.set("")
    assert form.stopwatch.seconds == pytest.approx(0.62)
    trainer.begin_again()
    ten_tries(trainer, OFFS - 0.1)
    assert form.stopwatch.seconds == pytest.approx(0.52, abs=1e-3)
    assert next_click_bench().watch.watch == trainer.watch


def test_a_kept_file_is_found_again_and_a_damaged_one_told(trainer, own_folder):
    ten_tries(trainer)
    trainer.keep()
    watch_choice._FOUND.clear()
    form = timing_form()
    assert form.watch.control.value == "my_watch.json"
    assert form.watch.watch == trainer.watch
    (own_folder / "my_watch.json").write_text("{", encoding="utf-8")
    form.fill(tries="0.62")
    assert form.stopwatch is None
    assert "no JSON" in form.words[0]
    assert is_one_sentence(form.words[0])


def test_a_file_of_somebody_is_offered_but_not_taken(trainer):
    ten_tries(trainer)
    trainer.keep("Ana")
    watch_choice._FOUND.clear()
    choice = timing_form().watch
    assert choice.watch is None
    choice.control.set("my_watch_Ana.json")
    assert choice.watch == trainer.watch


def test_forms_that_nobody_sees_any_more_do_not_follow():
    """A cell that is run again leaves its old form behind."""
    forms = [timing_form() for _ in range(7)]
    watch_choice.found(Watch(bias=0.2, spread=0.05, tries=10))
    assert [form.watch.watch is not None for form in forms] == [False, *[True] * 6]


def test_a_watch_from_code_is_in_force():
    watch = Watch(bias=0.1, spread=0.05, tries=10)
    assert timing_form(watch).watch.watch is watch
    assert next_click_bench(watch=watch).watch.watch is watch
    with pytest.raises(lab.LabError, match="is no Watch"):
        timing_form(0.1)


# ---- the metronome


def test_the_metronome_begins_as_asked_and_refuses_other_words():
    made = metronome("half", "click")
    assert (made.count, made.sound) == ("half", "click")
    for given in ({"count": "hole"}, {"sound": "loud"}):
        with pytest.raises(lab.LabError, match="metronome's") as caught:
            metronome(**given)
        assert is_one_sentence(str(caught.value))
