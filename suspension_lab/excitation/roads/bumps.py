"""Bumps and holes by shape, each between a level run-in and run-out, so that a ride begins at rest and can settle."""

from __future__ import annotations

import numpy as np

from suspension_lab.common.checks import Array, number, positive, whole
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.road import Road

EDGE = 0.005
"""How far a broken edge leans [m]; an upright edge would be two heights at one distance."""

ROUNDING = 1e-9
"""Heights and lengths that differ by less are the same [m]."""

MOST_BUMPS = 10_000
"""So many bumps, stones or joints a road may have."""


def pothole(*, length: float = 0.4, depth: float = 0.04, run_in: float = 2.0, run_out: float = 10.0) -> Road:
    """A hole with broken edges: short and sharp.

    Args:
        length: at the top [m].
        depth: [m].
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero, or a hole shorter than its two edges.
    """
    positive("pothole depth", depth, "m")
    if number("pothole length", length, "m") <= 2.0 * EDGE:
        raise LabError(f"pothole length is {length:g} m, where more than {2 * EDGE:g} m was expected.")
    return between([0.0, EDGE, length - EDGE, length], [0.0, -depth, -depth, 0.0], run_in, run_out, "pothole")


def kerb(*, height: float = 0.05, length: float | None = None, run_in: float = 2.0, run_out: float = 10.0) -> Road:
    """A step up with a broken edge; with a length, down again after it.

    Args:
        height: [m].
        length: of the raised part [m]; None: it stays up.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero.
    """
    positive("kerb height", height, "m")
    if length is None:
        return between([0.0, EDGE], [0.0, height], run_in, run_out, "kerb")
    if number("kerb length", length, "m") <= 2.0 * EDGE:
        raise LabError(f"kerb length is {length:g} m, where more than {2 * EDGE:g} m was expected.")
    return between([0.0, EDGE, length - EDGE, length], [0.0, height, height, 0.0], run_in, run_out, "kerb")


def long_hump(*, length: float = 5.0, height: float = 0.08, run_in: float = 2.0, run_out: float = 15.0) -> Road:
    """One whole wave (1 - cos)/2 of a hump: long and smooth, without an edge.

    Args:
        length: from foot to foot [m].
        height: at the middle [m].
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero.
    """
    positive("hump length", length, "m")
    positive("hump height", height, "m")
    x = np.linspace(0.0, length, 201)
    return between(x, 0.5 * height * (1.0 - np.cos(2.0 * np.pi * x / length)), run_in, run_out, "long hump")


def washboard(
    *, wavelength: float = 0.6, height: float = 0.02, bumps: int = 20, run_in: float = 2.0, run_out: float = 10.0
) -> Road:
    """A run of equal bumps, each a wave (1 - cos)/2.

    Args:
        wavelength: from bump to bump [m].
        height: from trough to crest [m].
        bumps: how many.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero, or a number of bumps that is not whole.
    """
    positive("washboard wavelength", wavelength, "m")
    positive("washboard height", height, "m")
    bumps = whole("number of washboard bumps", bumps, low=1, high=MOST_BUMPS)
    x = np.linspace(0.0, bumps * wavelength, 40 * bumps + 1)
    return between(x, 0.5 * height * (1.0 - np.cos(2.0 * np.pi * x / wavelength)), run_in, run_out, "washboard")


def round_top_hump(*, height: float = 0.1, length: float = 3.7, run_in: float = 2.0, run_out: float = 15.0) -> Road:
    """A speed-reducing hump whose top is part of a circle, with a kink at both feet.

    The usual values are the round-top hump after Watts 1973, TRRL Laboratory Report 597 (from memory; TRL Report 377
    calls 3.7 m and up to 100 mm the standard of a circular hump). 75 mm is common too (TRL Report 186). The
    Highways (Road Humps) Regulations 1999 of the United Kingdom ask for 25 to 100 mm and at least 0.9 m.

    Args:
        height: at the middle [m].
        length: the chord, from foot to foot [m].
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value that is not above zero, or a hump higher than half a circle.
    """
    positive("hump height", height, "m")
    positive("hump length", length, "m")
    if height > 0.5 * length:
        raise LabError(
            f"hump height is {height:g} m on a length of {length:g} m, where at most half the length was expected: "
            "half a circle."
        )
    x = np.linspace(-0.5 * length, 0.5 * length, 201)
    radius = (0.25 * length**2 + height**2) / (2.0 * height)
    return between(x - x[0], np.sqrt(radius**2 - x**2) - (radius - height), run_in, run_out, "round-top hump")


def expansion_joints(
    *,
    spacing: float = 5.0,
    gap: float = 0.02,
    depth: float = 0.02,
    step: float = 0.005,
    joints: int = 8,
    run_in: float = 2.0,
    run_out: float = 10.0,
) -> Road:
    """Concrete slabs with a joint between each two: a gap, and a step where they have sunk at one end.

    Every slab begins a step above the end of the one before and leans back to its level; the usual values are assumed.

    Args:
        spacing: from joint to joint [m].
        gap: width of a joint [m].
        depth: of a joint under the slab before it [m].
        step: how much higher the slab behind a joint begins [m]; below zero it begins lower, 0 for slabs that lie even.
        joints: how many.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value out of its range, or a joint that has no room for its edges or for the slab behind it.
    """
    positive("joint depth", depth, "m")
    number("step at a joint", step, "m", low=-0.2, high=0.2)
    joints = whole("number of joints", joints, low=1, high=MOST_BUMPS)
    if number("joint gap", gap, "m") <= 2.0 * EDGE:
        raise LabError(f"joint gap is {gap:g} m, where more than {2 * EDGE:g} m was expected.")
    if step <= -depth:
        raise LabError(
            f"step at a joint is {step:g} m in a joint {depth:g} m deep, where the slab behind was expected to end "
            "above the bottom; make the joint deeper."
        )
    if number("joint spacing", spacing, "m") <= gap:
        raise LabError(f"joint spacing is {spacing:g} m, where more than the gap of {gap:g} m was expected.")
    x = np.array([0.0, EDGE, gap - EDGE, gap]) + spacing * np.arange(joints)[:, None]
    height = np.tile([0.0, -depth, -depth, step], joints)
    end = joints * spacing
    return between(np.append(x.ravel(), end), np.append(height, 0.0), run_in, run_out, "expansion joints")


def in_a_row(road: Road, times: int, *, every: float | None = None) -> Road:
    """The same bump several times over, between the run-in and the run-out of the one.

    Args:
        road: a bump between level stretches, as all shapes here are.
        times: how often.
        every: from the start of one to the start of the next [m]; None: each begins where the one before ends.

    Raises:
        LabError: a road that is level all along or does not end at the height at which it begins, bumps that would
            overlap, or a number of times that is not whole.
    """
    if not isinstance(road, Road):
        raise LabError(f"Bumps in a row need a Road, but got {type(road).__name__}; see lab.roads.")
    times = whole("number of bumps in a row", times, low=1, high=MOST_BUMPS)
    x, height = np.asarray(road.distance), np.asarray(road.height)
    off = np.flatnonzero(np.abs(height - height[0]) > ROUNDING)
    if off.size == 0 or off[-1] == height.size - 1:
        raise LabError(
            f"'{road.name}' {'is level all along' if off.size == 0 else 'ends at another height than it begins'}, "
            "where a bump was expected that comes back to the height of the road before it."
        )
    first, last = off[0] - 1, off[-1] + 1
    length = float(x[last] - x[first])
    every = length if every is None else number("distance from bump to bump", every, "m")
    if every < length - ROUNDING:
        raise LabError(
            f"distance from bump to bump is {every:g} m, where at least the bump's own length of {length:g} m was "
            "expected."
        )
    starts = max(every, length) * np.arange(times)
    # Where they touch, the last point of one is the first of the next.
    stop = last if every - length < ROUNDING else last + 1
    return Road(
        np.concatenate([x[:first], (x[first:stop] + starts[:, None]).ravel(), x[stop:] + starts[-1]]),
        np.concatenate([height[:first], np.tile(height[first:stop], times), height[stop:]]),
        name=f"{times} times {road.name}",
    )


def between(x: list[float] | Array, height: list[float] | Array, run_in: float, run_out: float, name: str) -> Road:
    """A shape between level stretches; it begins at height 0, and behind it the road stays where it ends.

    Args:
        x: rising from 0 [m], (n,).
        height: [m], (n,).
        run_in, run_out: level road before and after [m].
        name: of the road.

    Raises:
        LabError: a run-in or run-out that is not above zero.
    """
    positive("run-in", run_in, "m")
    positive("run-out", run_out, "m")
    inside = run_in + np.asarray(x, dtype=np.float64)
    level_end = float(np.asarray(height)[-1])
    return Road(
        np.concatenate([[0.0], inside, [inside[-1] + run_out]]),
        np.concatenate([[0.0], height, [level_end]]),
        name=name,
    )
