"""Signals can be told apart, with and without colour."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_rgb

import suspension_lab as lab
from suspension_lab.lab import look
from suspension_lab.lab.panels import MOST_POINTS, LoadPanel, MotionPanel, rounded_limits, thinned
from suspension_lab.measures.contact import off_road

# published: Okabe and Ito, Color Universal Design (2008), from memory
OKABE_ITO = {"#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}
TOGETHER = [
    (look.BODY, look.WHEEL, look.ROAD),
    (look.DAMPER, look.REBOUND, look.COMPRESSION),
    (look.EVENNESS, look.COMFORT),
    (look.LINEAR, look.SWINGS_SMALL, look.SWINGS_LARGE),
]


def test_colours_are_of_the_safe_palette() -> None:
    looks = [value for value in vars(look).values() if isinstance(value, look.Look)]
    assert len(looks) >= 7
    assert {one.colour for one in looks} <= OKABE_ITO


@pytest.mark.parametrize("looks", TOGETHER)
def test_signals_of_one_panel_differ_without_colour(looks: tuple[look.Look, ...]) -> None:
    for one, other in itertools.combinations(looks, 2):
        assert one.dashes != other.dashes or max(one.width, other.width) >= 2 * min(one.width, other.width)


def luminance(colour: str) -> float:
    # published: WCAG 2.1, definition of relative luminance
    parts = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def test_kept_grey_and_thin_lines_stand_out_on_white() -> None:
    # published: WCAG 2.1, success criterion 1.4.11, at least 3 to 1; the two wide bands lie on a black line instead
    for colour in (look.KEPT_GREY, look.BODY.colour, look.WHEEL.colour, look.ROAD.colour, look.TYRE_LOAD.colour):
        assert 1.05 / (luminance(colour) + 0.05) >= 3.0


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(0.0, 352.0, (0.0, 400.0)), (-36.0, 12.0, (-40.0, 20.0)), (-0.31, 0.29, (-0.4, 0.4)), (0.0, 1.0, (0.0, 1.0))],
)
def test_limits_are_round_and_hold_the_range(low: float, high: float, expected: tuple[float, float]) -> None:
    assert rounded_limits(low, high) == pytest.approx(expected)


def test_lost_contact_is_hatched_where_the_tyre_is_in_the_air() -> None:
    station = lab.load_station("courier_scooter_rear")
    trace = lab.simulate(station, lab.Ride(lab.roads.pothole(), 8.0))
    panel = LoadPanel()
    panel.resize(500, 200, 1.0)
    panel.draw(trace, None)
    stretches = off_road(trace)
    paths = panel.lost.get_paths()
    assert len(paths) == len(stretches) > 0
    for path, (first, last) in zip(paths, stretches, strict=True):
        assert path.vertices[:, 0].min() < first
        assert path.vertices[:, 0].max() > last


def test_line_shows_the_trace_it_is_given() -> None:
    station = lab.load_station("courier_scooter_rear")
    trace = lab.simulate(station, lab.Release())
    panel: Any = MotionPanel(with_road=False)
    panel.resize(500, 300, 1.0)
    panel.draw(trace, None)
    x, y = panel.lines[0].get_data()
    assert np.diff(x).max() < 0.0061  # no more than a pixel of the panel is left out
    assert np.allclose(y, 1e3 * np.interp(x, trace.time, trace.body), atol=1e-9)
    assert y.min() >= panel.axes.get_ylim()[0]
    assert y.max() <= panel.axes.get_ylim()[1]


def test_a_thinned_line_keeps_every_extreme() -> None:
    time = 1e-3 * np.arange(10_001)
    signal = np.sin(2.0 * np.pi * 50.0 * time) * np.linspace(0.0, 1.0, time.size)
    signal[7123] = -3.0
    thin_time, thin = thinned(time, signal)
    assert thin_time.size == thin.size <= 1.1 * MOST_POINTS
    assert (thin.min(), thin.max()) == (-3.0, signal.max())
    assert (np.diff(thin_time) >= 0.0).all()
    assert thin_time[thin.argmin()] == time[7123]
    short = thinned(time[:900], signal[:900])
    assert short[0].size == 900
