"""A random road whose speed is white, made step by step, and averages over many of them."""

import numpy as np

import suspension_lab as lab

FIRST = 5.0
"""What is left out of each run, so that it has forgotten its start [s]."""


def white_ride(roughness, speed, *, duration, seed, step=1e-3):
    """A ride over a random walk: each step of the road rises by a normal number of variance W step.

    W = 2 pi^2 n0^2 Gd(n0) V is written down here a second time, from ISO 8608.
    """
    variance = 2.0 * np.pi**2 * 0.1**2 * roughness * speed * step
    rises = np.random.default_rng(seed).normal(0.0, np.sqrt(variance), round(duration / step))
    height = np.concatenate([[0.0], np.cumsum(rises)])
    return lab.Ride(lab.Road(speed * step * np.arange(height.size), height), speed)


def averages(station, roughness, speed, *, seeds, duration, step=1e-3):
    """Mean squares of acceleration, travel, tyre squash and shaft speed around their means, and the mean travel.

    Returns:
        The mean over the seeds (5,), and the standard error of that mean (5,), from how the seeds differ.
    """
    rows = []
    for seed in range(seeds):
        ride = white_ride(roughness, speed, duration=duration + FIRST, seed=seed, step=step)
        trace = lab.simulate(station, ride, duration + FIRST, step=step)
        part = slice(round(FIRST / step), None)
        signals = trace.body_acceleration, trace.wheel_travel, trace.road - trace.wheel, trace.shaft_speed
        rows.append([np.var(signal[part]) for signal in signals])
        rows[-1].append(np.mean(trace.wheel_travel[part]) - station.static_travel)
    return np.mean(rows, axis=0), np.std(rows, axis=0, ddof=1) / np.sqrt(seeds)
