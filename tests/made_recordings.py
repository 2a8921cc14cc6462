"""Made recordings of a release: one simulated motion in the forms that sensors and files give it."""

from __future__ import annotations

import numpy as np

import suspension_lab as lab

STATION = lab.load_station("courier_scooter_rear")
TRACE = lab.simulate(STATION, lab.Release(depth=0.03), 2.5)
HELD = 1.0
TILTED = np.array([[0.6, 0.0, 0.8], [0.48, 0.8, -0.36], [-0.64, 0.6, 0.48]])
"""A turn by hand: rows and columns are orthogonal unit vectors."""


def times(rate, *, uneven=0.0, dropped=0.0, seed=1, after=2.0):
    """Sample times, the let-go at 0."""
    rng = np.random.default_rng(seed)
    time = np.arange(-HELD, after, 1.0 / rate) + rng.uniform(0.0, 1.0 / rate)
    time = np.sort(time + uneven / rate * rng.uniform(-0.4, 0.4, time.size))
    return time[rng.uniform(size=time.size) >= dropped]


def motion(kind, time, trace=TRACE):
    """The simulated position or acceleration at sample times."""
    if kind == "position":
        return np.interp(time, trace.time, trace.body)
    return np.interp(time, trace.time, trace.body_acceleration, left=0.0)


def three_axes(upward, gravity, turn):
    """What three axes of a turned sensor read."""
    return np.column_stack([np.zeros_like(upward), np.zeros_like(upward), upward + gravity]) @ turn.T


def noisy(values, noise, quantum=0.0, seed=5):
    """With white noise, and in steps."""
    values = values + np.random.default_rng(seed).normal(0.0, noise, np.shape(values))
    return quantum * np.round(values / quantum) if quantum else values


def lines(time, columns, mark, comma):
    """Rows of a CSV file."""
    rows = [mark.join(f"{value:.6f}" for value in row) for row in zip(time, *columns, strict=True)]
    return [row.replace(".", ",") if comma else row for row in rows]
