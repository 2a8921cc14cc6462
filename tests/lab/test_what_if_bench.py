"""The what-if bench, its picture and table, without a browser."""

from __future__ import annotations

import asyncio
import html
import importlib
import io
import math
import re
from base64 import b64decode
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

import suspension_lab as lab
from suspension_lab.lab import what_if_bench
from suspension_lab.lab.measured_forms import REFUSED
from suspension_lab.lab.named import Told
from suspension_lab.lab.what_if_bench import MOVED_ON, NO_OIL, NOT_YET, OLD, OUT_OF_DATE, WORKING
from suspension_lab.lab.what_if_picture import (
    BETTER,
    EMPTY,
    MOST,
    UNCHANGED,
    WORSE,
    change_in_words,
    least_that_stands_out,
    picture_in_words,
    what_if_picture,
    what_if_table,
)
from suspension_lab.lab.what_if_settings import TESTS, as_excitation
from suspension_lab.measures.summary import COMING_BACK, ride_measure
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.reading_what_if import read_what_if
from suspension_lab.workshop.what_if import Change, what_if

REAR = lab.load_station("courier_scooter_rear")
ONLY_PUSH = dict.fromkeys(TESTS, False) | {"push": True}
SETTLING = next(kind for kind in COMING_BACK if kind.key == "settling_time")


@pytest.fixture(scope="module", autouse=True)
def few_variations():
    """The bench tries fewer here: what it shows of them is the same, only quicker."""
    with pytest.MonkeyPatch.context() as patch:
        settings = importlib.import_module("suspension_lab.lab.what_if_settings")
        patch.setattr(settings, "what_if", partial(what_if, samples=32))
        yield


@pytest.fixture(scope="module")
def bench(few_variations):
    made = what_if_bench()
    made.set(**ONLY_PUSH)
    return made


@pytest.fixture(scope="module")
def worked_out(bench):
    """One answer for the tests that only look at it."""
    bench.set(vehicle="courier_scooter_rear", low_speed_after=8)
    bench.work_out()
    return bench


def made_change(before, after, *, kind=None, low=None, high=None, blur=0.1, agree=1.0):
    kind = ride_measure("weighted_acceleration") if kind is None else kind
    low = after - before if low is None else low
    return Change(test="a road", kind=kind, before=kind.at(before), after=kind.at(after), low=low,
                  high=low if high is None else high, blur=blur, agree=agree)  # fmt: skip


# --- The bench --------------------------------------------------------------------------------------------------------


def test_nothing_is_worked_out_before_the_button(bench):
    fresh = what_if_bench()
    assert fresh.answer is None
    assert fresh.words == (NOT_YET, *RIDING_TEST)
    assert f'alt="{EMPTY}"' in fresh._picture.value
    assert fresh._table.value == ""


def test_before_and_after_are_single_runs_of_the_settings():
    """The second way: stations made by hand from load, oil, clicks and preload, run one by one."""
    bench = what_if_bench()
    bench.set(**ONLY_PUSH, rider=40, oil=50, rebound_before=8, low_speed_before=12, low_speed_after=3, preload=2)
    bench.work_out()
    before = REAR.with_rider(40.0).with_oil_temperature(273.15 + 50.0).with_clicks(rebound=8, low_speed=12)
    after = before.with_clicks(rebound=9, low_speed=3)
    after = replace(after, spring=replace(after.spring, preload=after.spring.preload + 0.002))
    push = lab.Push(peak_force=400.0, rise_time=0.08)
    depth = next(change for change in bench.answer.changes if change.kind.key == "push_depth")
    for station, measure in ((before, depth.before), (after, depth.after)):
        assert measure.value == pytest.approx(-1e3 * lab.simulate(station, push).body.min(), rel=1e-12)


def test_words_are_the_reading_and_the_cautions(worked_out):
    assert worked_out.words == (*read_what_if(worked_out.answer), *RIDING_TEST)
    shown = " ".join(str(getattr(child, "value", "")) for child in worked_out.widget.children[1].children)
    for sentence in RIDING_TEST:
        assert sentence in html.unescape(shown)


@pytest.mark.parametrize("test", TESTS)
def test_each_test_is_tried_where_it_is_ticked(test, monkeypatch):
    asked = []
    monkeypatch.setattr(
        importlib.import_module("suspension_lab.lab.what_if_bench"),
        "worked_out",
        lambda before, after, tests, stop: asked.append(tests) or what_if(before, after, tests, samples=8),
    )
    bench = what_if_bench()
    bench.set(**dict.fromkeys(TESTS, False) | {test: True}, high_speed_after=0, rebound_after=5)
    bench.button.click()
    assert asked == [[as_excitation(test, REAR)]]
    assert len({change.test for change in bench.answer.changes}) == 1


def test_any_move_makes_the_answer_out_of_date_and_back_again_does_not(worked_out):
    now = worked_out.settings
    for name, other in {"rider": 30, "oil": 60, "rebound_before": 5, "rebound_after": 5, "preload": -3, "road": True,
                        "vehicle": "trail_bike_rear"}.items():  # fmt: skip
        worked_out.set(**{name: other})
        assert worked_out.out_of_date, name
        assert worked_out.words[0] == OUT_OF_DATE
        assert OUT_OF_DATE in worked_out._status.value
        assert OLD in worked_out._shown._dom_classes
        worked_out.set(**now)
        assert not worked_out.out_of_date
        assert worked_out.words[0] != OUT_OF_DATE
        assert OLD not in worked_out._shown._dom_classes


def test_a_slider_and_a_check_box_count_as_moves(worked_out):
    for widget in (worked_out.controls["rebound_after"].slider, worked_out.tests["hump"]):
        before = widget.value
        widget.value = not before if isinstance(before, bool) else before + 1
        assert worked_out.out_of_date
        widget.value = before
        assert not worked_out.out_of_date


def test_what_a_vehicle_does_not_have_is_switched_off_and_refused(tmp_path):
    bench = what_if_bench("courier_scooter_front")
    assert bench.controls["high_speed_after"].slider.disabled
    with pytest.raises(lab.LabError, match="not on this damper; leave high_speed_after out"):
        bench.set(high_speed_after=1)
    curves = what_if_bench(str(Path(__file__).parents[1] / "vehicle_files" / "two_slope.toml"))
    assert NO_OIL in curves.controls["oil"].name.value
    with pytest.raises(lab.LabError, match=NO_OIL):
        curves.set(oil=20)
    adjuster = next(name for name in curves._vehicle.damper.adjusters)
    curves.set(**ONLY_PUSH, **{f"{adjuster}_after": 0})
    curves.work_out()
    assert curves.answer is not None
    assert "oil" not in curves._table.value.split("</caption>")[0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (dict.fromkeys(TESTS, False) | {"rebound_after": 5}, "No test is ticked; tick one or more"),
        ({}, "Before and after are the same; move one of the controls under After."),
        ({"preload": -10}, "preload after the change is -0.5 mm, where at least 0 mm was expected"),
    ],
)
def test_a_change_that_cannot_be_tried_is_said_in_a_sentence(given, says):
    bench = what_if_bench()
    bench.set(**ONLY_PUSH | given)
    bench.button.click()
    assert bench.answer is None
    assert len(bench.words) == 1 + len(RIDING_TEST)
    assert re.search(says, bench.words[0])
    assert REFUSED in bench._said.value
    assert isinstance(bench._said, Told)
    assert bench._table.value == ""


def test_a_vehicle_that_rests_on_its_stop_is_refused_by_the_release(tmp_path):
    file = tmp_path / "soft.toml"
    text = lab.demo_vehicles()["courier_scooter_rear"].read_text(encoding="utf-8")
    file.write_text(text.replace("rate_N_per_mm = 30.0", "rate_N_per_mm = 20.0", 1), encoding="utf-8")
    bench = what_if_bench(str(file))
    bench.set(rider=96, rebound_after=5)
    bench.button.click()
    assert bench.answer is None
    assert "The release test tells nothing here" in bench.words[0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"rebond_after": 3}, "no control 'rebond_after'; did you mean 'rebound_after'"),
        ({"rebound_after": 99}, "Rebound after is 99, where a whole number from 0 to 24 clicks was expected"),
        ({"preload": 40}, "Preload after, more or less is 40"),
        ({"road": "yes"}, "The test road is 'yes', where True or False was expected"),
        ({"vehicle": "no_such_one"}, "Vehicle is 'no_such_one'"),
        ({"vehicle": "courier_scooter_front", "rebound_after": 23}, "0 to 20"),
    ],
)
def test_a_value_that_cannot_be_set_moves_nothing(given, says):
    bench = what_if_bench()
    bench.set(rebound_after=6, rider=40, hump=False)
    before = bench.settings
    with pytest.raises(lab.LabError, match=says):
        bench.set(rider=30, **given)
    assert bench.settings == before


def test_where_a_loop_runs_the_answer_comes_by_itself():
    async def session():
        bench = what_if_bench()
        bench.set(**ONLY_PUSH, low_speed_after=4)
        bench.button.click()
        assert bench.words[0] == WORKING
        bench.button.click()
        for _ in range(500):
            if bench.answer is not None:
                break
            await asyncio.sleep(0.02)
        assert bench.answer.after.clicks.low_speed == 4
        assert WORKING not in bench.words
        bench.set(low_speed_after=5)
        bench.button.click()
        bench.set(low_speed_after=6)
        assert bench.words[0] == OUT_OF_DATE
        await asyncio.sleep(0.6)
        assert bench.answer.after.clicks.low_speed == 4
        fresh = what_if_bench()
        fresh.set(**ONLY_PUSH, low_speed_after=5)
        fresh.button.click()
        fresh.set(low_speed_after=6)
        assert fresh.words[0] == MOVED_ON

    asyncio.run(session())


# --- Table and picture ------------------------------------------------------------------------------------------------


def test_table_holds_what_changes_and_counts_what_stays(worked_out):
    changes, table = worked_out.answer.changes, worked_out._table.value
    told = [change for change in changes if change.worth_a_word]
    assert told
    above, folded = table.split("<details")
    rows = re.findall(r"<tr>(?:(?!</tr>).)*<td.*?</tr>", above)
    assert len(rows) == len(told)
    for change, row in zip(told, rows, strict=True):
        for text in (change.kind.name, change.after.text, change.direction, change_in_words(change)):
            assert text in row
    assert "low-speed 10 → 8 (load 48 kg, oil 20 °C)" in above
    count = len(changes) - len(told)
    assert f"{count} measure{'s stay' if count > 1 else ' stays'} the same" in folded
    assert folded.count("<td") == 2 * count


def test_worse_is_a_word_of_its_own():
    table = what_if_table([made_change(1.0, 2.0), made_change(2.0, 1.0, agree=0.6)], "caption <&>")
    assert table.count("<strong>worse</strong>") == 1
    assert ">better<" in table
    assert "no: so in 60 %" in table
    assert "caption &lt;&amp;&gt;" in table
    assert "<details" not in table


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (made_change(2.0, 2.35, low=0.3, high=0.4), "+0.35 (+0.30 to +0.40)"),
        (made_change(2.17, 2.2049, low=-0.01, high=0.05), "+0.035 (−0.010 to +0.050)"),  # noqa: RUF001
        (made_change(0.4, math.inf, kind=SETTLING, low=0.5), "no longer within the run (+0.50 to +0.50)"),
        (made_change(math.inf, 0.4, kind=SETTLING, low=-0.5), "now within the run (−0.50 to −0.50)"),  # noqa: RUF001
        (made_change(1.0, 0.0, kind=ride_measure("bottoming"), low=-2.0, high=0.0), "−1 (−2 to 0)"),  # noqa: RUF001
    ],
)
def test_a_change_in_words(change, text):
    """Worked out by hand: the difference, rounded, with its sign; the range beside it."""
    assert change_in_words(change) == text


@pytest.mark.parametrize("blur", [0.0, 0.01, 0.1, 1.0])
@pytest.mark.parametrize("after", [1.0, 1.02, 1.05, 1.5, 4.0])
def test_a_bar_leaves_the_grey_band_exactly_where_the_change_stands_out(blur, after):
    change = made_change(1.0, after, blur=blur)
    assert (abs(change.change) > least_that_stands_out(change)) == change.stands_out


def test_a_count_that_never_scatters_stands_out_by_one():
    change = made_change(0.0, 1.0, kind=ride_measure("bottoming"), blur=0.0)
    assert change.stands_out
    assert 1.0 < abs(change.change) / least_that_stands_out(change) < MOST


def painted(changes, colour):
    """Which pixels of the picture have a colour."""
    pixels = (
        np.asarray(Image.open(io.BytesIO(what_if_picture(changes, dots_per_inch=60))).convert("RGB"), dtype=float)
        / 255.0
    )
    return np.abs(pixels - np.array(to_rgb(colour))).max(axis=2) < 0.02


def coloured(changes, colour):
    """Where a colour is in the picture, as shares of its width."""
    near = painted(changes, colour)
    return np.flatnonzero(near.any(axis=0)) / near.shape[1]


def test_worse_bars_go_left_and_better_ones_right():
    worse, better = made_change(1.0, 1.3), made_change(1.3, 1.0)
    left, right = coloured([worse, better], WORSE.colour), coloured([worse, better], BETTER.colour)
    assert left.size
    assert right.size
    assert left.max() < right.min() + 0.01
    more_is_better = ride_measure("smallest_tyre_load")
    assert coloured([made_change(10.0, 20.0, kind=more_is_better)], WORSE.colour).size == 0
    assert coloured([made_change(0.2, 0.1, kind=more_is_better)], WORSE.colour).size > 0


def test_an_unsure_bar_is_hollow():
    sure, unsure = (painted([made_change(1.3, 1.0, agree=agree)], BETTER.colour).sum() for agree in (1.0, 0.5))
    assert 0 < unsure < 0.5 * sure


def test_what_never_settles_still_has_a_picture_and_a_sentence():
    changes = [made_change(0.4, math.inf, kind=SETTLING, low=0.4, high=0.9)]
    assert coloured(changes, WORSE.colour).size
    assert picture_in_words(changes).count(".") == 1
    assert "worse, standing out: settling time on a road" in picture_in_words(changes)


def test_empty_pictures_say_why():
    same = [made_change(1.0, 1.0)]
    assert (picture_in_words(None), picture_in_words(same)) == (EMPTY, UNCHANGED)
    for changes in (None, same):
        assert Image.open(io.BytesIO(what_if_picture(changes))).size[0] > 1000


def test_picture_on_the_bench_is_described(worked_out):
    assert picture_in_words(worked_out.answer.changes) in worked_out._picture.value
    png = b64decode(re.search(r"base64,([^\"]+)", worked_out._picture.value)[1])
    assert Image.open(io.BytesIO(png)).format == "PNG"
