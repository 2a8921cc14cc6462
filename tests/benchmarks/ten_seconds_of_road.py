"""The run that the speed tests share: ten seconds of rough road under a scooter's rear wheel."""

from __future__ import annotations

import math
from bisect import bisect_right
from pathlib import Path

import numpy as np

import suspension_lab as lab

DURATION, SPEED = 10.0, 10.0
GRAVITY = 9.80665
TWO_SLOPES = Path(__file__).parents[1] / "vehicle_files" / "two_slope.toml"
"""A damper by straight slopes, which can be written by hand."""


def rough_road():
    """Made up and seeded: a random walk of 0.1 m steps without its long waves."""
    rng = np.random.default_rng(11)
    distance = np.arange(0.0, 110.0, 0.1)
    height = np.cumsum(0.0025 * rng.normal(size=distance.size))
    return lab.Road(distance, height - np.convolve(height, np.ones(101) / 101, "same")).with_run_in()


def station():
    return lab.load_station(TWO_SLOPES)


def ride():
    return lab.Ride(rough_road(), SPEED)


def _stop(squash, length, rate):
    if squash <= 0.0:
        return 0.0
    rubber = min(squash, length)
    return rate * rubber * (1.0 + (rubber / length) ** 2) + 1.0e6 * (squash - rubber)


def _two_slopes(speed, low, knee, high):
    return low * speed if speed < knee else low * knee + high * (speed - knee)


def _slopes(damper, sign):
    """Low slope, knee and high slope of one direction, read off the curve."""
    knee = abs(damper.knees[0] if sign < 0 else damper.knees[1])
    at_knee, beyond = np.abs(damper.force(sign * np.array([knee, knee + 1.0])))
    return at_knee / knee, knee, beyond - at_knee


def equations_of_its_parts(vehicle, excitation):
    """The station's equations as its own parts give them, without lookup tables."""
    s, path = vehicle, excitation.road_path(vehicle)
    slopes = np.append(np.diff(path.value) / np.diff(path.time), 0.0)

    def derivative(t, state):
        body, wheel, body_v, wheel_v = state
        travel = s.static_travel + wheel - body
        ratio = s.ratio(travel)
        v = ratio * (wheel_v - body_v)
        damper = s.damper.force(v) + s.friction * np.tanh(v / s.friction_speed)
        force = s.suspension_force(travel) + ratio * damper
        i = np.searchsorted(path.time, t, side="right") - 1
        height = path.value[i] + slopes[i] * (t - path.time[i])
        load = s.tyre.load(s.static_tyre_deflection + height - wheel, slopes[i] - wheel_v)
        return body_v, wheel_v, force / s.sprung_mass - GRAVITY, (load - force) / s.unsprung_mass - GRAVITY

    return derivative


def equations_in_floats(vehicle, excitation):
    """The same written out for this one station in plain Python floats: as fast as Python gets."""
    s, path = vehicle, excitation.road_path(vehicle)
    times, heights = path.time.tolist(), path.value.tolist()
    slopes = (np.diff(path.value) / np.diff(path.time)).tolist()
    rebound, compression = _slopes(s.damper, -1.0), _slopes(s.damper, 1.0)
    rate, preload, ratio, friction, turn = s.spring.rate, s.spring.preload, s.motion_ratio, s.friction, s.friction_speed
    rest, travel_end, bump, top = s.static_travel, s.travel, s.bump_stop, s.top_out_stop
    stiffness, damping, squash = s.tyre.stiffness, s.tyre.damping, s.static_tyre_deflection

    def derivative(t, state):
        body, wheel, body_v, wheel_v = state.tolist()
        travel = rest + wheel - body
        v = ratio * (wheel_v - body_v)
        damper = _two_slopes(v, *compression) if v > 0.0 else -_two_slopes(-v, *rebound)
        force = ratio * (rate * (ratio * travel + preload) + damper + friction * math.tanh(v / turn))
        force += _stop(travel - travel_end + bump.length, bump.length, bump.rate) - _stop(-travel, top.length, top.rate)
        i = min(bisect_right(times, t), len(slopes)) - 1
        height = heights[i] + slopes[i] * (t - times[i])
        load = max(stiffness * (squash + height - wheel) + damping * (slopes[i] - wheel_v), 0.0)
        return body_v, wheel_v, force / s.sprung_mass - GRAVITY, (load - force) / s.unsprung_mass - GRAVITY

    return derivative
