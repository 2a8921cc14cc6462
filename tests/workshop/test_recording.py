"""Recordings of a release: one motion in many forms gives the same values; let-go; every error in one sentence."""

from __future__ import annotations

import math

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.common.checks import GRAVITY
from suspension_lab.common.errors import LabError
from suspension_lab.workshop.measured.recording import as_recording
from tests.made_recordings import STATION, TILTED, motion, noisy, three_axes, times
from tests.sentences import is_one_sentence, on_one_line

FORMS = {
    "m/s^2 with gravity": lambda a: (three_axes(a, GRAVITY, np.eye(3)), "m/s^2"),
    "g with gravity": lambda a: (three_axes(a, GRAVITY, np.eye(3)) / GRAVITY, "g"),
    "other order": lambda a: (three_axes(a, GRAVITY, np.eye(3))[:, [2, 0, 1]], "m/s^2"),
    "upside down": lambda a: (three_axes(a, GRAVITY, -np.eye(3)), "m/s^2"),
    "tilted": lambda a: (three_axes(a, GRAVITY, TILTED), "m/s^2"),
    "tilted, without gravity": lambda a: (three_axes(a, 0.0, TILTED), "m/s^2"),
    "upside down, g without gravity": lambda a: (three_axes(a, 0.0, -np.eye(3)) / GRAVITY, "g"),
    "one axis": lambda a: (a + GRAVITY, "m/s^2"),
    "one axis, downward": lambda a: (-(a + GRAVITY), "m/s^2"),
    "one axis, tilted by 30 degrees": lambda a: (math.cos(math.pi / 6) * (a + GRAVITY), "m/s^2"),
    "one axis, downward, without gravity": lambda a: (-a / GRAVITY, "g"),
    "unit not said": lambda a: (three_axes(a, GRAVITY, TILTED) / GRAVITY, None),
}


@pytest.mark.parametrize("form", FORMS)
def test_an_acceleration_is_the_same_in_every_form(form):
    """Expected: the simulated acceleration itself, which no form changes; tolerance is what quiet stretches leave."""
    time = times(200.0)
    upward = motion("acceleration", time)
    values, unit = FORMS[form](upward)
    recording = as_recording(time, values, kind="acceleration", unit=unit)
    assert recording.values == pytest.approx(upward, abs=0.03)
    assert recording.release + time[0] == pytest.approx(0.0, abs=0.006)
    assert recording.notes
    assert all(on_one_line(note) for note in recording.notes)


@pytest.mark.parametrize("rate", [30.0, 50.0, 100.0, 400.0])
@pytest.mark.parametrize("gravity", [0.0, GRAVITY])
def test_any_sampling_of_a_noisy_acceleration(rate, gravity):
    """Expected: the simulated acceleration, within the noise put in (0.06 m/s^2 r.m.s.), its let-go within a step."""
    time = times(rate, uneven=1.0, dropped=0.1)
    upward = motion("acceleration", time)
    read = noisy(three_axes(upward, gravity, TILTED), 0.06, quantum=0.02)
    recording = as_recording(time, read, kind="acceleration", unit="m/s^2")
    assert np.sqrt(np.mean((recording.values - upward) ** 2)) < 0.07
    assert recording.release + time[0] == pytest.approx(0.0, abs=0.004 + 1.0 / rate)
    assert any("uneven or with some left out" in note for note in recording.notes)


@pytest.mark.parametrize(
    ("unit", "factor", "size"),
    [("m", 1.0, 1.0), ("cm", 100.0, 1.0), ("mm", 1000.0, 1.0), (None, 1.0, 1.0), (None, 1000.0, 2.0)],
)
def test_a_position_is_the_same_in_every_unit(unit, factor, size):
    """Without a unit a motion of 0.03 can only be m, and one of 60 only mm."""
    time = times(120.0)
    body = size * motion("position", time)
    recording = as_recording(time, factor * (body + 0.4), kind="position", unit=unit)
    assert recording.values == pytest.approx(body, abs=1e-4)
    assert any("no unit" in note for note in recording.notes) == (unit is None)


@pytest.mark.parametrize("rate", [25.0, 60.0, 240.0])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_any_sampling_of_a_noisy_position(rate, sign):
    """Expected: the simulated position within noise and steps (0.3 mm r.m.s., 1 mm / sqrt(12)); 'sign' is a sensor that
    counts compression."""
    time = times(rate, uneven=1.0, dropped=0.1 if rate > 30.0 else 0.0)
    body = motion("position", time)
    recording = as_recording(time, sign * noisy(body, 3e-4, 1e-3), kind="position", unit="m")
    assert np.sqrt(np.mean((recording.values - body) ** 2)) < 7e-4
    assert abs(recording.release + time[0]) < 3.0 * recording.release_uncertainty
    assert recording.release_uncertainty < 0.02
    assert any("downward positive" in note for note in recording.notes) == (sign < 0.0)


def test_from_release_starts_at_the_let_go():
    time = times(100.0)
    recording = as_recording(time, motion("position", time), kind="position", unit="m")
    after, values = recording.from_release()
    assert 0.0 <= after[0] < 0.01
    assert values.size == np.count_nonzero(recording.time >= recording.release)
    assert recording.from_release(before=0.5)[0][0] == pytest.approx(-0.5, abs=0.01)
    assert recording.time[0] == 0.0


def pushed(kind, depths):
    """Rest, a smooth push down, held by a trembling hand, let go, at rest again; for each depth, at 1 kHz."""
    made, lets = [], []
    for depth in depths:
        trace = lab.simulate(STATION, lab.Release(depth=depth), 2.5)
        u, t = np.linspace(0.0, 1.0, 500), np.linspace(0.0, 0.8, 800)
        if kind == "position":
            push, free, tremor = -depth * (10 * u**3 - 15 * u**4 + 6 * u**5), trace.body, 1e-4
            hold = -depth + tremor * np.sin(2.0 * np.pi * 9.0 * t)
        else:
            push, free = -depth / 0.5**2 * (60 * u - 180 * u**2 + 120 * u**3), trace.body_acceleration
            hold = -1e-4 * (2.0 * np.pi * 9.0) ** 2 * np.sin(2.0 * np.pi * 9.0 * t)
        lets.append(sum(part.size for part in made) + 1000 + push.size + hold.size)
        made += [np.zeros(1000), push, hold, free]
    values = np.concatenate(made)
    return np.arange(values.size) / 1000.0, values, [let / 1000.0 for let in lets]


@pytest.mark.parametrize("kind", ["position", "acceleration"])
def test_of_several_releases_the_largest_is_taken(kind):
    """Expected: the second, from 30 mm, of three; what follows it is cut off where the third push begins."""
    time, values, lets = pushed(kind, [0.018, 0.030, 0.018])
    kept = slice(3, None, 10)
    read = noisy(values[kept], 2e-4 if kind == "position" else 0.03)
    if kind == "acceleration":
        read = three_axes(read, 0.0, TILTED)
    recording = as_recording(time[kept], read, kind=kind, unit="m" if kind == "position" else "m/s^2")
    assert recording.release + time[3] == pytest.approx(lets[1], abs=0.02)
    assert any("It holds 3 releases" in note for note in recording.notes)
    assert lets[1] + 2.0 < recording.until + time[3] < lets[1] + 2.5 + 1.0 + 0.25
    assert any("left out" in note for note in recording.notes)


def test_a_push_as_abrupt_as_the_let_go_is_told():
    """Without gravity up is what the let-go shows: where two motions could be it, a note says so."""
    trace = lab.simulate(lab.load_station("trail_bike_rear"), lab.Release(depth=0.04), 2.5)
    u = np.linspace(0.0, 1.0, 250)
    push = -0.04 / 0.25**2 * (60 * u - 180 * u**2 + 120 * u**3)
    made = np.concatenate([np.zeros(1000), push, np.zeros(800), trace.body_acceleration])
    time = np.arange(made.size) / 1000.0
    free = as_recording(time, three_axes(noisy(made, 0.02), 0.0, TILTED), kind="acceleration", unit="m/s^2")
    assert any("other way" in note for note in free.notes)
    heavy = as_recording(time, three_axes(noisy(made, 0.02), GRAVITY, TILTED), kind="acceleration", unit="m/s^2")
    assert not any("other way" in note for note in heavy.notes)
    assert heavy.release == pytest.approx(2.05, abs=0.01)


def test_a_position_that_begins_with_the_let_go():
    time = times(100.0)
    kept = time >= 0.0
    recording = as_recording(time[kept], motion("position", time[kept]), kind="position", unit="m")
    assert recording.release == 0.0
    assert any("begins with the let-go" in note for note in recording.notes)


def test_a_recording_can_be_fitted():
    """A known damper is found again from a recording: 1.0 times the file's within 5 %."""
    time = times(100.0)
    recording = as_recording(time, noisy(1e3 * motion("position", time), 0.2), kind="position", unit="mm")
    assert lab.fit_release(*recording.from_release(), STATION)["rebound_damping"].value == pytest.approx(1.0, rel=0.05)


# ---- bad input

TIME = times(100.0)
BODY, UP = motion("position", TIME), motion("acceleration", TIME)


def position(values=BODY, time=TIME, unit="m", kind="position"):
    return lambda: as_recording(time, values, kind=kind, unit=unit)


def acceleration(values=UP + GRAVITY, time=TIME, unit="m/s^2"):
    return lambda: as_recording(time, values, kind="acceleration", unit=unit)


def holed(time, start, end):
    return (time < start) | (time > end)


def back():
    time = TIME.copy()
    time[50] = time[48]
    return time


def still():
    time = TIME.copy()
    time[50] = time[49]
    return time


SLOW = times(12.0)
SWINGING = 0.03 * np.cos(2.0 * np.pi * 2.0 * TIME)
BAD = {
    "nothing moves clearly": acceleration(noisy(np.full(TIME.size, GRAVITY), 0.05)),
    "its noise": position(noisy(np.zeros(TIME.size), 1e-3)),
    "no stretch of it is quiet": acceleration(GRAVITY + 10.0 * SWINGING / 0.03),
    "no quiet stretch, held off its rest": position(0.03 * np.sin(2.0 * np.pi * 2.0 * TIME)),
    "sensor cut them off": acceleration(np.minimum(UP + GRAVITY, GRAVITY + 2.0)),
    "only 0.3. s follow": position(BODY[TIME < 0.33], TIME[TIME < 0.33]),
    "still moves": position(np.where(TIME < 0.0, -0.03, -0.03 * np.cos(9.0 * TIME))),
    "time goes backward": position(time=back()),
    "time stands still": position(time=still()),
    "12 samples a second": position(motion("position", SLOW), SLOW),
    "check the time's unit": position(time=TIME * 1e-4),
    "without a sample": position(BODY[holed(TIME, 0.1, 0.2)], TIME[holed(TIME, 0.1, 0.2)]),
    "unit 'furlong' is not known": position(unit="furlong"),
    "could be cm or mm": position(100.0 * BODY, unit=None),
    "does not tell it": acceleration(0.1 * UP, unit=None),
    "gravity in g": acceleration((UP + GRAVITY) / GRAVITY),
    "gravity in m/s": acceleration(unit="g"),
    "neither gravity": acceleration(three_axes(UP, 0.5 * GRAVITY, TILTED)),
    "lay the phone flat": acceleration(UP + 0.4 * GRAVITY),
    "all values are": position(np.full(TIME.size, 0.2)),
    "which no motion reaches": position(np.where(np.arange(TIME.size) == 7, 1e12, BODY)),
    "at most 600 s": position(time=np.where(TIME > 1.0, TIME + 1e6, TIME)),
    "at least 10 were expected": position(BODY[:5], TIME[:5]),
    "Sample 8 of the recording is not": position(np.where(np.arange(TIME.size) == 7, np.nan, BODY)),
    "not a number; numbers": position(["a"] * TIME.size),
    "of shape": position(BODY[:-1]),
    "kind of a recording": position(kind="positon"),
}  # fmt: skip


@pytest.mark.parametrize("says", BAD)
def test_bad_samples_are_told_in_one_sentence(says):
    with pytest.raises(LabError, match=says) as caught:
        BAD[says]()
    assert is_one_sentence(str(caught.value)), str(caught.value)
