"""The compiled marches: two masses, fixed-step RK4; one station, or many side by side. The only compiled module."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

OUT_COLUMNS = 10
"""Columns of the result: body, wheel, road, their velocities (body, wheel), accelerations (body, wheel), tyre load,
hand force, and 1 where the damper idles in free play, else 0."""


@njit(nogil=True, cache=True, error_model="numpy")
def _piece(path: Any, t: float, i: int) -> int:
    """The straight piece that ends at or behind `t`, looking onward from piece `i`."""
    while path[i + 1, 0] < t:
        i += 1
    return i


@njit(nogil=True, cache=True, error_model="numpy")
def _along(path: Any, t: float, i: int) -> Any:
    return path[i, 1] + (t - path[i, 0]) * path[i, 2]


@njit(nogil=True, cache=True, error_model="numpy")
def _step_end(t: float, sample: float, usual: float, next_break: float) -> tuple[float, bool]:
    """Where the next step ends, and whether a sample is due there.

    It ends at the next sample, on a break point, or after the usual step, whichever comes first.
    """
    tiny = 1e-9 * usual
    due = sample - t < usual + tiny
    until = sample if due else t + usual
    if next_break < until - tiny:
        return next_break, False
    return until, due


@njit(nogil=True, cache=True, error_model="numpy")
def _idles(within: float, v: float, play: float) -> bool:
    """Whether a shaft that stands `within` its free play and moves at `v` has still some of it before it."""
    # At its end it stands there but for the rounding of a sum.
    tiny = 1e-6 * play
    return (within < play - tiny and v > 0.0) or (within > tiny and v < 0.0)


@njit(nogil=True, cache=True, error_model="numpy")
def _forces(
    body: float, wheel: float, body_v: float, wheel_v: float, road: float, road_v: float, hand: float, slack: float,
    constants: Any, suspension: Any, damper: Any, play: Any,
) -> tuple[float, float, float]:  # fmt: skip
    """Accelerations of body and wheel, and the tyre load."""
    (
        sprung,
        unsprung,
        tyre_k,
        tyre_c,
        squash,
        may_leave,
        rest,
        origin,
        per_travel,
        fine,
        per_fine,
        coarse,
        per_coarse,
    ) = constants
    # `not (u > 0)` also catches a NaN, which must never become an index.
    u = (rest + wheel - body - origin) * per_travel
    last = suspension.shape[0] - 2
    i = 0 if not (u > 0.0) else (last if u >= last else int(u))
    u -= i
    force = suspension[i, 0] + u * (suspension[i + 1, 0] - suspension[i, 0])
    ratio = suspension[i, 1] + u * (suspension[i + 1, 1] - suspension[i, 1])
    friction = suspension[i, 2] + u * (suspension[i + 1, 2] - suspension[i, 2])
    v = ratio * (wheel_v - body_v)
    half = damper.shape[1]
    if -fine < v < fine:
        u = (v + fine) * per_fine
        row = 0
    else:
        u = (v + coarse) * per_coarse
        row = 1
    last = half - 2
    i = 0 if not (u > 0.0) else (last if u >= last else int(u))
    u -= i
    damping = damper[row, i, 0] + u * (damper[row, i + 1, 0] - damper[row, i, 0])
    if play is not None and _idles(slack + wheel - body, v, play):
        damping = 0.0
    force += ratio * (damping + friction * (damper[row, i, 1] + u * (damper[row, i + 1, 1] - damper[row, i, 1])))
    load = tyre_k * (squash + road - wheel) + tyre_c * (road_v - wheel_v)
    if may_leave > 0.0 and load < 0.0:
        load = 0.0
    weight = 9.80665
    return (force + hand) / sprung - weight, (load - force) / unsprung - weight, load


@njit(nogil=True, cache=True, error_model="numpy")
def march(
    samples: int, step: float, substeps: int, state: Any, constants: Any, suspension: Any, damper: Any,
    road: Any, hand: Any, breaks: Any, play: Any,
) -> Any:  # fmt: skip
    """March the station in time.

    Args:
        samples: number of output samples n; the first is the start.
        step: time between samples [s].
        substeps: RK4 steps between samples where no break point asks for more.
        state: body, wheel [m], body velocity, wheel velocity [m/s] at the start.
        constants: 13 floats, as `tables.Tables.constants`.
        suspension: (m, 3): force of spring and stops at the wheel [N], motion ratio, and friction at the shaft [N],
            evenly over wheel travel.
        damper: (2, m, 2): force of the damper at the shaft [N], and the share of the friction that acts, evenly over
            a fine and a coarse speed range.
        road, hand: (p, 3): time [s], road height [m] or hand force [N], and slope up to the next row; the rows
            reach from before the start to behind the end.
        breaks: rising times on which a step must end [s]; the last lies behind the end.
        play: free play of the damper as wheel travel [m]; None: none. Compiled apart, for what it costs otherwise.

    Returns:
        (n, 10) array, columns as `OUT_COLUMNS` says; motion from static ride height.
    """
    out = np.empty((samples, OUT_COLUMNS))
    body, wheel, body_v, wheel_v = state[0], state[1], state[2], state[3]
    i_road, i_hand, i_break = 0, 0, 0
    usual = step / substeps
    tiny = 1e-9 * usual
    t, sample, due = 0.0, 0, True
    # Where the piston stands in its free play, less the wheel's travel; it begins pressed in.
    slack = 0.0
    if play is not None:
        slack = play - (wheel - body)
    while True:
        i_road, i_hand = _piece(road, t + tiny, i_road), _piece(hand, t + tiny, i_hand)
        height, height_v, push = _along(road, t, i_road), road[i_road, 2], _along(hand, t, i_hand)
        a1, b1, load = _forces(
            body, wheel, body_v, wheel_v, height, height_v, push, slack, constants, suspension, damper, play
        )
        if due:
            row = out[sample]
            row[0], row[1], row[2], row[3], row[4] = body, wheel, height, body_v, wheel_v
            row[5], row[6], row[7], row[8] = a1, b1, load, push
            row[9] = 0.0
            if play is not None and _idles(slack + wheel - body, wheel_v - body_v, play):
                row[9] = 1.0
            sample += 1
            if sample == samples:
                return out
        while breaks[i_break] <= t + tiny:
            i_break += 1
        until, due = _step_end(t, sample * step, usual, breaks[i_break])
        h = until - t
        half = 0.5 * h
        i_road, i_hand = _piece(road, t + half, i_road), _piece(hand, t + half, i_hand)
        height, height_v, push = _along(road, t + half, i_road), road[i_road, 2], _along(hand, t + half, i_hand)
        body_v2, wheel_v2 = body_v + half * a1, wheel_v + half * b1
        a2, b2, load = _forces(
            body + half * body_v, wheel + half * wheel_v, body_v2, wheel_v2,
            height, height_v, push, slack, constants, suspension, damper, play,
        )  # fmt: skip
        body_v3, wheel_v3 = body_v + half * a2, wheel_v + half * b2
        a3, b3, load = _forces(
            body + half * body_v2, wheel + half * wheel_v2, body_v3, wheel_v3,
            height, height_v, push, slack, constants, suspension, damper, play,
        )  # fmt: skip
        i_road, i_hand = _piece(road, until - tiny, i_road), _piece(hand, until - tiny, i_hand)
        height, height_v, push = _along(road, until, i_road), road[i_road, 2], _along(hand, until, i_hand)
        body_v4, wheel_v4 = body_v + h * a3, wheel_v + h * b3
        a4, b4, load = _forces(
            body + h * body_v3, wheel + h * wheel_v3, body_v4, wheel_v4,
            height, height_v, push, slack, constants, suspension, damper, play,
        )  # fmt: skip
        body += h / 6.0 * (body_v + 2.0 * body_v2 + 2.0 * body_v3 + body_v4)
        wheel += h / 6.0 * (wheel_v + 2.0 * wheel_v2 + 2.0 * wheel_v3 + wheel_v4)
        body_v += h / 6.0 * (a1 + 2.0 * a2 + 2.0 * a3 + a4)
        wheel_v += h / 6.0 * (b1 + 2.0 * b2 + 2.0 * b3 + b4)
        if play is not None:
            slack = min(max(slack + wheel - body, 0.0), play) - (wheel - body)
        t = until


LANES = 32
"""So many stations are marched side by side."""
LANE_COLUMNS = 7
"""Of what comes out: body, wheel, their velocities, their accelerations, tyre load."""
SPEED_BENDS = 20
"""Of the force at the shaft over its speed, in each station's laws of straight pieces."""
TRAVEL_BENDS = 12
"""Of the force at the wheel over wheel travel."""
RATIO_BENDS = 4
"""Of the motion ratio over wheel travel."""
(
    PER_SPRUNG, PER_UNSPRUNG, TYRE_K, TYRE_C, SQUASH, LEAST_LOAD, REST,
    SPEED_START, SPEED_SLOPE, TRAVEL_START, TRAVEL_SLOPE, RATIO_START, RATIO_SLOPE, SPEED_AT,
) = range(14)  # fmt: skip
"""Rows of a station's column: 1 over the masses [1/kg], tyre stiffness [N/m] and damping [N s/m], its squash at rest
[m], its least load [N], wheel travel at rest [m]; then each law's value at zero, first slope, bends and their turns."""
SPEED_CHANGE = SPEED_AT + SPEED_BENDS
TRAVEL_AT = SPEED_CHANGE + SPEED_BENDS
TRAVEL_CHANGE = TRAVEL_AT + TRAVEL_BENDS
RATIO_AT = TRAVEL_CHANGE + TRAVEL_BENDS
RATIO_CHANGE = RATIO_AT + RATIO_BENDS
LAW_ROWS = RATIO_CHANGE + RATIO_BENDS


# Flat arrays and lengths known to the compiler: only so are the lanes taken several at a time.
@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "nsz"}, inline="always")
def _bend(laws: Any, at: int, change: int, x: float, lane: int) -> Any:
    u = x - laws[at * LANES + lane]
    return laws[change * LANES + lane] * (u if u > 0.0 else 0.0)


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "nsz"}, inline="always")
def _four_bends(laws: Any, at: int, change: int, x: float, lane: int) -> Any:
    # In pairs, so that no sum waits for the one before.
    first = _bend(laws, at, change, x, lane) + _bend(laws, at + 1, change + 1, x, lane)
    return first + (_bend(laws, at + 2, change + 2, x, lane) + _bend(laws, at + 3, change + 3, x, lane))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "nsz"})
def _forces_side_by_side(x: Any, out: Any, laws: Any, road: float, road_v: float, hand: float, linkage: Any) -> None:
    """Accelerations of body and wheel, and the tyre load, of each lane."""
    for lane in range(LANES):
        travel = laws[REST * LANES + lane] + x[LANES + lane] - x[lane]
        force = laws[TRAVEL_START * LANES + lane] + laws[TRAVEL_SLOPE * LANES + lane] * travel
        for k in range(TRAVEL_BENDS // 4):
            force += _four_bends(laws, TRAVEL_AT + 4 * k, TRAVEL_CHANGE + 4 * k, travel, lane)
        ratio = laws[RATIO_START * LANES + lane]
        if linkage is not None:
            ratio += laws[RATIO_SLOPE * LANES + lane] * travel
            for k in range(RATIO_BENDS // 4):
                ratio += _four_bends(laws, RATIO_AT + 4 * k, RATIO_CHANGE + 4 * k, travel, lane)
        v = ratio * (x[3 * LANES + lane] - x[2 * LANES + lane])
        damping = laws[SPEED_START * LANES + lane] + laws[SPEED_SLOPE * LANES + lane] * v
        for k in range(SPEED_BENDS // 4):
            damping += _four_bends(laws, SPEED_AT + 4 * k, SPEED_CHANGE + 4 * k, v, lane)
        force += ratio * damping
        load = laws[TYRE_K * LANES + lane] * (laws[SQUASH * LANES + lane] + road - x[LANES + lane])
        load += laws[TYRE_C * LANES + lane] * (road_v - x[3 * LANES + lane])
        least = laws[LEAST_LOAD * LANES + lane]
        load = load if load > least else least
        out[lane] = (force + hand) * laws[PER_SPRUNG * LANES + lane] - 9.80665
        out[LANES + lane] = (load - force) * laws[PER_UNSPRUNG * LANES + lane] - 9.80665
        out[2 * LANES + lane] = load


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "nsz"})
def _ahead(x: Any, at: Any, rates: Any, h: float, out: Any) -> None:
    """Where each lane would be after `h` with the velocities of `at` and the accelerations `rates`."""
    for i in range(2 * LANES):
        out[i] = x[i] + h * at[2 * LANES + i]
    for i in range(2 * LANES):
        out[2 * LANES + i] = x[2 * LANES + i] + h * rates[i]


@njit(nogil=True, cache=True, error_model="numpy")
def march_side_by_side(
    out: Any, step: float, substeps: int, state: Any, laws: Any, road: Any, hand: Any, breaks: Any, linkage: Any
) -> None:
    """March `LANES` stations over one road at once.

    Args:
        out: (LANES, LANE_COLUMNS, samples) array to fill: body, wheel, their velocities, their accelerations, tyre
            load; motion from static ride height.
        step, substeps, road, hand, breaks: as `march`.
        state: (4 LANES,): body, wheel [m], body velocity, wheel velocity [m/s] at the start, lane by lane each.
        laws: (LAW_ROWS LANES,): the rows named above, lane by lane each; SI.
        linkage: None: the motion ratio is constant. Compiled apart, for what it costs otherwise.
    """
    samples = out.shape[2]
    x = state.copy()
    x2, x3, x4 = np.empty(4 * LANES), np.empty(4 * LANES), np.empty(4 * LANES)
    a1, a2, a3, a4 = np.empty(3 * LANES), np.empty(3 * LANES), np.empty(3 * LANES), np.empty(3 * LANES)
    i_road, i_hand, i_break = 0, 0, 0
    usual = step / substeps
    tiny = 1e-9 * usual
    t, sample, due = 0.0, 0, True
    while True:
        i_road, i_hand = _piece(road, t + tiny, i_road), _piece(hand, t + tiny, i_hand)
        _forces_side_by_side(x, a1, laws, _along(road, t, i_road), road[i_road, 2], _along(hand, t, i_hand), linkage)
        if due:
            for lane in range(LANES):
                for column in range(4):
                    out[lane, column, sample] = x[column * LANES + lane]
                for column in range(3):
                    out[lane, 4 + column, sample] = a1[column * LANES + lane]
            sample += 1
            if sample == samples:
                return
        while breaks[i_break] <= t + tiny:
            i_break += 1
        until, due = _step_end(t, sample * step, usual, breaks[i_break])
        h = until - t
        half = 0.5 * h
        i_road, i_hand = _piece(road, t + half, i_road), _piece(hand, t + half, i_hand)
        height, height_v, push = _along(road, t + half, i_road), road[i_road, 2], _along(hand, t + half, i_hand)
        _ahead(x, x, a1, half, x2)
        _forces_side_by_side(x2, a2, laws, height, height_v, push, linkage)
        _ahead(x, x2, a2, half, x3)
        _forces_side_by_side(x3, a3, laws, height, height_v, push, linkage)
        i_road, i_hand = _piece(road, until - tiny, i_road), _piece(hand, until - tiny, i_hand)
        _ahead(x, x3, a3, h, x4)
        _forces_side_by_side(
            x4, a4, laws, _along(road, until, i_road), road[i_road, 2], _along(hand, until, i_hand), linkage
        )
        for i in range(2 * LANES):
            v = 2 * LANES + i
            x[i] += h / 6.0 * (x[v] + 2.0 * x2[v] + 2.0 * x3[v] + x4[v])
            x[v] += h / 6.0 * (a1[i] + 2.0 * a2[i] + 2.0 * a3[i] + a4[i])
        t = until
