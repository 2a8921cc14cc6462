"""Times by stopwatch and by frames: uncertainties against tables and closed forms, bad input."""

from __future__ import annotations

import math

import numpy as np
import pytest

from suspension_lab.common.errors import LabError
from suspension_lab.workshop.measured.timing import Timed, by_frames, by_stopwatch
from tests.sentences import is_one_sentence, on_one_line


@pytest.mark.parametrize(("tries", "factor"), [(2, 1.8373), (3, 1.3213), (5, 1.1417), (10, 1.0585)])
def test_few_tries_are_widened_by_students_t(tries, factor):
    """Factors for 68.27 % and n - 1 degrees of freedom: table G.2 of the Guide to the Expression of Uncertainty in
    Measurement (JCGM 100:2008) gives 1.84, 1.32, 1.14 and 1.06."""
    times = 0.6 + 0.3 * np.linspace(-1.0, 1.0, tries)
    timed = by_stopwatch(times, reaction=0.001)
    assert timed.seconds == pytest.approx(0.6)
    assert timed.uncertainty == pytest.approx(factor * np.std(times, ddof=1) / math.sqrt(tries), rel=5e-3)
    assert "Student" in timed.source


def test_tries_that_agree_by_chance_are_no_better_than_a_hand():
    """Closed form: a scatter of 0.1 s over the root of four tries."""
    timed = by_stopwatch([0.52, 0.52, 0.52, 0.52])
    assert timed.uncertainty == pytest.approx(0.05)
    assert "assumed" in timed.source


def test_one_try_is_allowed_and_says_so():
    for given in (0.5, [0.5]):
        timed = by_stopwatch(given, reaction=0.15)
        assert (timed.seconds, timed.uncertainty) == (0.5, 0.15)
        assert "one try only" in timed.source


def test_frames_are_right_to_half_a_frame_each():
    """An independent second way: two marks thrown evenly within their frames."""
    timed = by_frames(60.0, 120, 153)
    assert timed.seconds == pytest.approx(33 / 60)
    off = np.random.default_rng(1).uniform(-0.5, 0.5, (200_000, 2)) / 60.0
    assert timed.uncertainty == pytest.approx(float(np.std(off[:, 1] - off[:, 0])), rel=0.01)
    assert "playback" in timed.source
    assert timed.words == "0.55 ± 0.01 s"


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: by_frames(0.0, 1, 2), "frames per second"),
        (lambda: by_frames(math.nan, 1, 2), "frames per second"),
        (lambda: by_frames(30.0, 12, 12), "later one"),
        (lambda: by_frames(30.0, 12, 3), "later one"),
        (lambda: by_frames(30.0, 1.5, 3), "whole number of frames"),
        (lambda: by_frames(30.0, 1, "end"), "whole number of frames"),
        (lambda: by_frames(30.0, -1, 3), "from 0 on"),
        (lambda: by_frames(30.0, 0, 3000), "recorded with"),
        (lambda: by_stopwatch([]), "No stopped time"),
        (lambda: by_stopwatch([0.5, 520.0]), "stopped time 2 is 520 s"),
        (lambda: by_stopwatch([0.5, 31.0]), "milliseconds"),
        (lambda: by_stopwatch([0.5, math.nan]), "finite"),
        (lambda: by_stopwatch(["soon"]), "numbers in s"),
        (lambda: by_stopwatch([0.5, -0.1]), "at least 0.02"),
        (lambda: by_stopwatch([0.5], reaction=0.0), "reaction"),
        (lambda: Timed(seconds=0.5, uncertainty=0.0, source=""), "uncertainty"),
    ],
)
def test_bad_times_are_told_in_one_sentence(wrong, says):
    with pytest.raises(LabError, match=says) as caught:
        wrong()
    assert is_one_sentence(str(caught.value))


def test_sources_are_sentences():
    for timed in (by_frames(30.0, 0, 20), by_stopwatch([0.5]), by_stopwatch([0.5, 0.7])):
        assert on_one_line(timed.source)
