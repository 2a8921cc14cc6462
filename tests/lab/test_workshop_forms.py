"""The workshop's forms: what is typed reaches the workshop and its answer the screen; a refused one changes nothing."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.image import imread
from sentences import is_one_sentence
from vehicle_texts import TWO_SLOPE, changed, without

import suspension_lab as lab
from suspension_lab.lab import bracket_bench, next_click_bench, sag_form, timing_form
from suspension_lab.lab.look import BODY, WHEEL
from suspension_lab.lab.measured_forms import A_NUMBER, PLAIN, REFUSED, typed
from suspension_lab.lab.named import Told
from suspension_lab.lab.next_click_bench import NARROWEST, next_click_picture
from suspension_lab.workshop.bracket import Bracket
from suspension_lab.workshop.cautions import REBOUND_FIRST, RIDING_TEST, STANDING_TEST
from suspension_lab.workshop.click_belief import Measured
from suspension_lab.workshop.measured.sag import preload_for
from suspension_lab.workshop.release_test import target_time, usual_release

NO_ADJUSTERS = TWO_SLOPE[: TWO_SLOPE.index("[damper]")] + (
    '[damper]\nkind = "linear"\nrebound_N_s_per_m = 1500.0\ncompression_N_s_per_m = 800.0\n'
)
NO_TRAVEL = without(TWO_SLOPE, "travel", "travel.bump_stop", "travel.top_out_stop")
ALL = (next_click_bench, bracket_bench, sag_form, timing_form)


def sentences_in(html_text: str) -> list[str]:
    return re.findall(r"<p[^>]*>(.*?)</p>", html_text)


def file_of(tmp_path, text: str) -> str:
    path = tmp_path / "vehicle.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


# ---- all of them


@pytest.mark.parametrize("make", ALL)
def test_cautions_stand_wherever_one_would_act(make):
    expected = (*RIDING_TEST, REBOUND_FIRST) if make is bracket_bench else STANDING_TEST
    assert make().words[-len(expected) :] == expected


@pytest.mark.parametrize("text", ["12.5", "12,5", " 12.5 ", "+12.5", "012.50"])
def test_a_number_may_be_typed_with_point_or_comma(text):
    assert typed("Free sag", text, "mm") == 12.5


@pytest.mark.parametrize(
    "text", ["", " ", "x", "12 mm", "1e3", "nan", "inf", "1.2.3", "1,000.5", "1_000", "\uff19", "9" * 400]
)
def test_whatever_else_is_typed_is_one_sentence_with_the_field_and_its_unit(text):
    assert text == "9" * 400 or A_NUMBER.fullmatch(text) is None
    with pytest.raises(lab.LabError) as refused:
        typed("Free sag", text, "mm")
    assert is_one_sentence(str(refused.value))
    assert str(refused.value).startswith("Free sag is ")
    assert " in mm " in str(refused.value)


@pytest.mark.parametrize("make", [next_click_bench, sag_form, lambda vehicle: bracket_bench("low_speed", vehicle)])
def test_a_file_of_ones_own_is_offered_first_and_a_missing_one_told(make, tmp_path):
    path = file_of(tmp_path, TWO_SLOPE)
    options = make(path).vehicle.dropdown.options
    assert options[0] == ("Two slopes a side", path)
    assert len(options) == 1 + len(lab.demo_vehicles())
    with pytest.raises(lab.LabError, match="courier_scooter_rear"):
        make("courier_scooter_raer")


# ---- the next click


@pytest.fixture(scope="module")
def shared():
    # It keeps what it has worked out of its vehicles, and the tests stay quick.
    return next_click_bench()


@pytest.fixture
def bench(shared):
    yield shared
    shared.vehicle.set("courier_scooter_rear")
    while shared.tries:
        shared.undo()
    shared.load.set(48)
    if shared.target.value != f"{target_time(shared.station):.2f}":
        shared.target.value = ""


def write_by_hand(bench, clicks: str, seconds: str, swings: str = "") -> list[str]:
    """Type, press the button, and read what is refused."""
    bench.clicks.value, bench.seconds.value, bench.swings.value = clicks, seconds, swings
    bench.write_button.click()
    return sentences_in(bench.refusal.value)


def test_the_workshops_sentences_are_shown_after_each_release(bench):
    """The independent way: the workshop asked with the same numbers."""
    station, measured = lab.load_station("courier_scooter_rear").with_rider(48.0), []
    for clicks, seconds, swings in ((12, 0.5, 3), (2, math.inf, 0), (5, 0.9, None)):
        bench.write(clicks, seconds, swings)
        measured.append((clicks, seconds) if swings is None else (clicks, seconds, swings))
        said = lab.next_click(measured, None, station=station)
        assert bench.words == tuple(said.sentences)
        assert bench.answer.click == said.click
        assert bench.clicks.value == str(said.click)
    assert [line[1:4] for line in bench.screen.table[1:]] == [
        ["12", "0.5", "3"], ["2", "never settled", "0"], ["5", "0.9", "not counted"],
    ]  # fmt: skip


def test_a_release_that_meets_the_target_is_done_and_proposes_nothing_more(bench):
    bench.write(4, target_time(bench.station), 0)
    assert bench.answer.done
    assert bench.words[1].startswith("Done: you measured 0.46 s at rebound 4")
    assert bench.clicks.value == ""


def test_the_buttons_do_what_the_methods_do(bench):
    bench.write(12, 0.5, 3)
    words = bench.words
    bench.undo()
    assert bench.words != words
    assert write_by_hand(bench, "12", "0,5", "3") == []
    assert bench.words == words
    bench.never.value = True
    assert bench.seconds.disabled
    assert len(write_by_hand(bench, "two", "")) == 1
    bench.clicks.value = "2"
    bench.write_button.click()
    assert bench.tries == ((12, 0.5, 3), (2, math.inf, None))
    assert bench.refusal.value == ""
    assert (bench.never.value, bench.seconds.disabled, bench.seconds.value) == (False, False, "")
    bench.undo_button.click()
    assert bench.words == words


def test_undo_goes_back_to_the_beginning_and_no_further(bench):
    """Property: each undo brings back what was shown before the release."""
    shown = [(bench.words, bench.screen.png, bench.screen.table)]
    for release in ((12, 0.5, 3), (2, 1.4, 0)):
        bench.write(*release)
        shown.append((bench.words, bench.screen.png, bench.screen.table))
    assert len({png for _, png, _ in shown}) == 3
    for before in shown[-2::-1]:
        bench.undo()
        assert (bench.words, bench.screen.png, bench.screen.table) == before
    bench.undo_button.click()
    (told,) = sentences_in(bench.refusal.value)
    assert is_one_sentence(told)
    assert "nothing was written down" in told


@pytest.mark.parametrize(
    ("clicks", "seconds", "swings", "expected"),
    [
        ("", "0.5", "", "Rebound clicks out is empty"),
        ("25", "0.5", "", "from 0 to 24"),
        ("-1", "0.5", "", "from 0 to 24"),
        ("9.5", "0.5", "", "whole number"),
        ("nine", "0.5", "", "a number in clicks"),
        ("9", "", "", "Seconds until settled is empty"),
        ("9", "0", "", "milliseconds"),
        ("9", "520", "", "milliseconds"),
        ("9", "-0.5", "", "milliseconds"),
        ("9", "half", "", "a number in s"),
        ("9", "0.5", "-1", "from 0 to 50"),
        ("9", "0.5", "1.5", "whole number"),
        ("9", "0.5", "two", "a number in swings"),
        ("<b>", "0.5", "", "&lt;b&gt;"),
    ],
)
def test_a_bad_release_is_one_sentence_and_nothing_is_written(bench, clicks, seconds, swings, expected):
    before = bench.tries, bench.words, bench.screen.png, bench.screen.serial
    (told,) = write_by_hand(bench, clicks, seconds, swings)
    assert is_one_sentence(told)
    assert expected in told
    assert (bench.tries, bench.words, bench.screen.png, bench.screen.serial) == before
    assert (bench.clicks.value, bench.seconds.value, bench.swings.value) == (clicks, seconds, swings)


@pytest.mark.parametrize("release", [(25, 0.5), (9, 520.0), (9, 0.5, -1), (True, 0.5), (9, math.nan), ("nine", 0.5)])
def test_a_bad_release_from_code_is_refused(bench, release):
    with pytest.raises(lab.LabError) as refused:
        bench.write(*release)
    assert is_one_sentence(str(refused.value))
    assert bench.tries == ()


def test_tries_load_and_target_are_kept_for_each_vehicle(bench):
    bench.write(12, 0.5, 3)
    bench.load.set(50)
    bench.target.value = "0.6"
    words = bench.words
    bench.vehicle.set("trail_bike_rear")
    assert (bench.tries, bench.load.value) == ((), 52)
    assert bench.target.value == f"{target_time(bench.station):.2f}"
    bench.write(3, 1.5, 0)
    bench.vehicle.set("courier_scooter_rear")
    assert (bench.tries, bench.load.value, bench.target.value) == (((12, 0.5, 3),), 50, "0.6")
    assert bench.words == words
    bench.vehicle.set("trail_bike_rear")
    assert bench.tries == ((3, 1.5, 0),)
    bench.undo()


def test_the_target_is_the_vehicles_own_until_another_is_typed(bench):
    own = bench.target.value
    assert own == f"{target_time(bench.station):.2f}"
    bench.target.value = "0,7"
    assert bench.words == tuple(lab.next_click([], 0.7, station=bench.station).sentences)
    for bad in ("long", "0.01", "70", "-1"):
        bench.target.value = bad
        (told,) = sentences_in(bench.refusal.value)
        assert is_one_sentence(told)
        assert told.startswith("Target time is ")
        assert bench.target.value == "0.7"
    bench.target.value = ""
    assert bench.target.value == own
    assert bench.refusal.value == ""
    assert bench.words == tuple(lab.next_click([], None, station=bench.station).sentences)


def test_a_release_timed_at_another_load_is_told(bench):
    bench.write(12, 0.5, 3)
    bench.load.set(60)
    bench.write(2, 1.4, 0)
    assert bench.words[0].startswith("Not timed at 60 kg, and so misleading here: release 1.")
    assert [line[-1].split()[0] for line in bench.screen.table[1:]] == ["48", "60"]
    bench.undo()
    bench.load.set(48)
    assert not any("misleading" in said for said in bench.words)


def test_a_load_that_leaves_nothing_to_test_is_refused_in_the_workshops_words(tmp_path):
    """The independent way: the release test asked for the same station."""
    soft = changed(TWO_SLOPE, "spring", "rate_N_per_mm", "rate_N_per_mm = 24.0")
    bench = next_click_bench(file_of(tmp_path, soft))
    assert not bench.screen.refused
    bench.load.set(96)
    with pytest.raises(lab.LabError) as refused:
        usual_release(bench.station)
    assert bench.screen.refused
    assert bench.screen.words == [str(refused.value), "The picture still shows the last that could be tested."]
    assert bench.answer is None
    assert len(write_by_hand(bench, "5", "0.5")) == 1
    assert bench.tries == ()
    bench.load.set(48)
    assert not bench.screen.refused


def test_an_uncertainty_is_handed_on_and_checked():
    sure, unsure = next_click_bench(uncertainty=0.01), next_click_bench(uncertainty=0.5)
    for each in (sure, unsure):
        each.write(3, 1.2)
    # Bayes' rule: a surer measurement leaves a narrower belief.
    assert (sure.answer.chances**2).sum() > (unsure.answer.chances**2).sum()
    for bad in (0.0, -1.0, math.nan, "a hand"):
        with pytest.raises(lab.LabError, match="uncertainty of a time") as refused:
            next_click_bench(uncertainty=bad)
        assert is_one_sentence(str(refused.value))


def test_a_damper_without_rebound_clicks_is_refused(tmp_path):
    with pytest.raises(lab.LabError, match="no rebound clicks") as refused:
        next_click_bench(file_of(tmp_path, NO_ADJUSTERS))
    assert is_one_sentence(str(refused.value))


def pixels_of(png: bytes, colour: str) -> np.ndarray:
    """Where a picture has a colour, (rows, columns)."""
    image = imread(io.BytesIO(png), format="png")[..., :3]
    return np.abs(image - np.array(to_rgb(colour))).max(axis=2) < 0.02


@pytest.mark.parametrize("width", [NARROWEST, 860])
def test_bars_are_as_high_as_the_chances_and_marks_stand_over_what_was_measured(width):
    """Closed form: axes from 64 pixels to 18 before the edge hold clicks from -0.7 to the last and 0.7."""
    station = lab.load_station("courier_scooter_rear")
    answer, measured = lab.next_click([(20, 0.4, 3)], None, station=station), [(20, 0.4, 3)]

    def column(click: float) -> float:
        return 64.0 + (width - 82.0) * (click + 0.7) / 25.4

    png = next_click_picture(answer, [Measured(*each) for each in measured], width)
    below_legend = np.s_[46:206]
    bars = pixels_of(png, BODY.colour)[below_legend]
    heights = np.array([bars[:, round(column(click) + 2)].sum() for click in range(25)])
    assert heights == pytest.approx(answer.chances * heights.max() / answer.chances.max(), abs=4.0)
    marks = np.nonzero(pixels_of(png, WHEEL.colour)[below_legend])[1]
    assert marks.mean() == pytest.approx(column(20.0), abs=1.0)


def test_the_picture_is_told_in_a_sentence(bench):
    bench.write(12, 0.5, 3)
    alt, answer = bench.screen.alt, bench.answer
    assert is_one_sentence(alt)
    assert f"highest at {answer.chances.argmax()} with" in alt
    assert f"{answer.click} is next, the range {answer.low} to {answer.high}; measured: 12." in alt


def test_the_picture_follows_the_room_there_is(bench):
    for room, width in ((444, 444), (2000, 860), (150, NARROWEST)):
        bench.screen.room = [room, 2.0]
        assert bench.screen.picture_width == width
        assert imread(io.BytesIO(bench.screen.png), format="png").shape[1] == 2 * width


def test_a_refusal_stays_until_the_next_deed(bench):
    """What it adds to the page may change the room, and a new picture must not take it away."""
    (told,) = write_by_hand(bench, "9", "")
    bench.screen.room = [500, 1.0]
    assert sentences_in(bench.refusal.value) == [told]
    bench.load.set(49)
    assert bench.refusal.value == ""


# ---- the bracket


def test_the_buttons_lead_as_the_bracket_does():
    """The independent way: the same verdicts given to a bracket by hand. A rider calls 6 to 9 good."""
    bench, by_hand = bracket_bench(), Bracket(adjuster="low_speed", most=20)
    while not by_hand.done:
        assert bench.words[0] == by_hand.next.sentence
        at = by_hand.next.clicks
        verdict = "too hard" if at < 6 else "good" if at <= 9 else "too soft"
        by_hand = by_hand.with_verdict(verdict, f"at {at}")
        bench.remark.value = f" at {at} "
        bench.buttons[verdict].click()
        assert bench.bracket == by_hand
        assert bench.remark.value == ""
    assert bench.words == (by_hand.result.sentence, *RIDING_TEST, REBOUND_FIRST)
    bench.buttons["good"].click()
    (told,) = sentences_in(bench.refusal.value)
    assert is_one_sentence(told)
    assert bench.bracket == by_hand


def test_the_kept_order_is_shown_and_later_verdicts_marked():
    bench = bracket_bench()
    for verdict in ("too soft", "too hard", "too hard", "too soft"):
        bench.say(verdict)
    rows = re.findall(r"<tr>(.*?)</tr>", bench._table.value)[1:]
    cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in rows]
    assert [cell[0] for cell in cells] == ["1", "2", "3", "4"]
    assert [int(cell[1]) for cell in cells] == [stop.clicks for stop in bench.bracket.stops]
    again = [stop.clicks for stop in bench.bracket.stops]
    assert [("again" in cell[2]) for cell in cells] == [click in again[i + 1 :] for i, click in enumerate(again)]


def test_a_remark_is_shown_as_it_was_typed_and_comes_back_with_undo():
    bench = bracket_bench()
    bench.remark.value = "knocks <b>hard</b> & often"
    bench.buttons["too soft"].click()
    assert "knocks &lt;b&gt;hard&lt;/b&gt; &amp; often" in bench._table.value
    bench.buttons["undo"].click()
    assert bench.remark.value == "knocks <b>hard</b> & often"
    assert bench._table.value == ""
    bench.buttons["undo"].click()
    (told,) = sentences_in(bench.refusal.value)
    assert is_one_sentence(told)
    assert "nothing was ridden yet" in told


def test_a_bad_verdict_or_remark_keeps_nothing():
    bench = bracket_bench()
    for verdict, remark, expected in (("soft", "", "too soft"), ("good", "x" * 401, "400")):
        with pytest.raises(lab.LabError, match=expected) as refused:
            bench.say(verdict, remark)
        assert is_one_sentence(str(refused.value))
        assert bench.bracket.stops == ()


def test_each_vehicle_and_adjuster_keeps_its_own_bracket():
    bench = bracket_bench("high_speed")
    assert "high-speed 16" in bench.words[0]
    bench.say("too soft")
    bench.adjuster.set("low_speed")
    assert bench.bracket == Bracket(adjuster="low_speed", most=20)
    bench.vehicle.set("courier_scooter_front")
    assert [name for _, name in bench.adjuster.dropdown.options] == ["low_speed"]
    assert bench.bracket == Bracket(adjuster="low_speed", most=18)
    bench.vehicle.set("courier_scooter_rear")
    bench.adjuster.set("high_speed")
    assert len(bench.bracket.stops) == 1


@pytest.mark.parametrize(
    ("adjuster", "vehicle", "expected"),
    [
        ("rebound", "courier_scooter_rear", "release test"),
        ("low-speed", "courier_scooter_rear", "did you mean 'low_speed'"),
        ("high_speed", "courier_scooter_front", "no high-speed compression clicks"),
    ],
)
def test_an_adjuster_that_is_not_there_is_refused(adjuster, vehicle, expected):
    with pytest.raises(lab.LabError, match=expected) as refused:
        bracket_bench(adjuster, vehicle)
    assert is_one_sentence(str(refused.value))


# ---- sags


def test_two_sags_give_rate_and_preload():
    """Closed form: m g / (rider sag - free sag) = 48 kg * 9.80665 m/s² / 19.5 mm = 24.1 N/mm."""
    form = sag_form()
    form.fill(free_sag_mm="8", rider_sag_mm="27,5")
    assert form.reading.rate.value == pytest.approx(48.0 * 9.80665 / 0.0195)
    assert any("24.1 ±" in said for said in form.words)
    # The independent way: a station with that preload stands at 30 % of 80 mm.
    station = lab.load_station("courier_scooter_rear")
    then = replace(station, spring=replace(station.spring, preload=form.reading.preload))
    assert then.sag.rider == pytest.approx(0.024, abs=1e-6)
    assert any(f"24 mm would take {1e3 * form.reading.preload:.1f} mm of preload" in said for said in form.words)


def test_each_field_of_the_sags_counts():
    form = sag_form()
    form.fill(free_sag_mm="8", rider_sag_mm="27.5")
    station = lab.load_station("courier_scooter_rear")
    form.fields["wished_percent"].value = "25"
    assert form.reading.preload == pytest.approx(preload_for(station, 0.020))
    form.fields["rider_mass_kg"].value = "60"
    assert form.reading.rate.value == pytest.approx(60.0 * 9.80665 / 0.0195)
    assert form.reading.preload == pytest.approx(preload_for(station.with_rider(60.0), 0.020))
    form.fields["free_sag_mm"].value = ""
    assert form.reading.free_share is None
    assert form.reading.rider_share == pytest.approx(27.5 / 80.0)
    form.vehicle.set("trail_bike_rear")
    assert form.fields["rider_mass_kg"].value == "52"
    assert form.reading.wished_rider_sag == pytest.approx(0.25 * lab.load_station("trail_bike_rear").travel)


def test_an_empty_sag_form_says_what_to_type():
    form = sag_form()
    assert form.reading is None
    assert form.words[0].startswith("Type the free sag")
    assert PLAIN in form._said.value
    assert isinstance(form._said, Told)


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        ({"free_sag_mm": "x"}, "a number in mm"),
        ({"free_sag_mm": "-1"}, "0 to 80 mm"),
        ({"rider_sag_mm": "80.5"}, "0 to 80 mm"),
        ({"free_sag_mm": "30"}, "swapped"),
        ({"rider_mass_kg": ""}, "Rider&#x27;s mass on this wheel is empty"),
        ({"rider_mass_kg": "0"}, "1 to 2000 kg"),
        ({"rider_mass_kg": "4800000"}, "1 to 2000 kg"),
        ({"wished_percent": ""}, "Wished rider sag is empty"),
        ({"wished_percent": "0"}, "more than 0 and at most 82 %"),
        ({"wished_percent": "83"}, "more than 0 and at most 82 %"),
    ],
)
def test_a_bad_sag_is_one_sentence(texts, expected):
    """82 %: the bump stop of 14 mm begins at 66 of 80 mm."""
    form = sag_form()
    good = {name: each.value for name, each in form.fields.items()} | {"free_sag_mm": "8", "rider_sag_mm": "27"}
    form.fill(**(good | texts))
    (told,) = sentences_in(form._said.value)
    assert is_one_sentence(told)
    assert expected in told
    assert REFUSED in form._said.value
    assert form.reading is None
    form.fill(**good)
    assert form.reading is not None


def test_a_wheel_without_travel_has_no_sag_form_and_is_not_offered(tmp_path):
    with pytest.raises(lab.LabError, match="no travel") as refused:
        sag_form(file_of(tmp_path, NO_TRAVEL))
    assert is_one_sentence(str(refused.value))


def test_a_field_that_is_not_there_is_told():
    with pytest.raises(lab.LabError, match="did you mean 'free_sag_mm'") as refused:
        sag_form().fill(free_sag="8")
    assert is_one_sentence(str(refused.value))


# ---- times


def test_both_ways_give_seconds_with_their_uncertainty():
    """Closed forms: mean of 0.52, 0.48, 0.56; 0.1 s over root 3; 125 frames at 240 a second; root of a sixth of one."""
    form = timing_form()
    form.fill(tries="0.52 0,48; 0.56", frames_per_second="240", first_frame="12", last_frame="137")
    assert form.stopwatch.seconds == pytest.approx(0.52)
    assert form.words[0].startswith(f"0.52 ± {0.1 / math.sqrt(3):.2f} s by stopwatch")
    assert form.video.seconds == pytest.approx(125 / 240)
    assert form.words[1].startswith(f"0.521 ± {math.sqrt(1 / 6) / 240:.3f} s by video")


def test_a_list_of_times_may_be_written_in_several_ways():
    form = timing_form()
    for text in ("0.5 0.6 0.7", "0,5 0,6 0,7", "0.5; 0.6;0.7;", " 0.5, 0.6,  0.7, ", "0.5\t.6 0.70"):
        form.fill(tries=text)
        assert form.stopwatch is not None, text
        assert form.stopwatch.seconds == pytest.approx(0.6)


def test_an_empty_timing_form_says_what_to_type():
    form = timing_form()
    assert (form.stopwatch, form.video) == (None, None)
    assert all(said.startswith("Type ") for said in form.words[:2])


@pytest.mark.parametrize(
    ("texts", "way", "expected"),
    [
        ({"tries": "0.5 x"}, 0, "Stopped time 2 is"),
        ({"tries": "0.5,0.6"}, 0, "a number in s"),
        ({"tries": "0.5 520"}, 0, "milliseconds"),
        ({"tries": "-0.5"}, 0, "at least"),
        ({"frames_per_second": ""}, 1, "Frames per second is empty"),
        ({"frames_per_second": "0"}, 1, "more than 0"),
        ({"first_frame": ""}, 1, "First frame is empty"),
        ({"first_frame": "200"}, 1, "a later one"),
        ({"first_frame": "12.5"}, 1, "whole number of frames"),
        ({"last_frame": "late"}, 1, "a number in frames"),
        ({"last_frame": "99999"}, 1, "the rate the film was recorded with"),
    ],
)
def test_a_bad_time_is_one_sentence_and_leaves_the_other_way_alone(texts, way, expected):
    form = timing_form()
    form.fill(tries="0.5", frames_per_second="240", first_frame="12", last_frame="137")
    other = form.words[1 - way]
    form.fill(**texts)
    (told,) = sentences_in(form._said[way].value)
    assert is_one_sentence(told)
    assert expected in told
    assert (form.stopwatch, form.video)[way] is None
    assert form.words[1 - way] == other
