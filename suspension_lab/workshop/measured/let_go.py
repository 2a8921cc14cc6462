"""Where in a trace of the body's motion the hand let go, and how far the free motion behind it goes.

Search runs on an even grid, so that uneven sampling is no case of its own. All thresholds are our choice; tests hold
them against simulated releases with noise, steps, dropped samples and uneven times.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.workshop.fit_release import noise_of

Mask = NDArray[np.bool_]

SMOOTH = 0.02
"""Over so long the search smooths [s]."""
HELD = 0.2
"""So long a position must be held before it is let go [s]."""
QUIET = 0.1
"""So long an acceleration must be quiet before the let-go [s]."""
RISE = 0.04
"""An acceleration is given so long to rise [s]."""
STILL = 0.25
"""Up to this share of the first peak an acceleration before it is quiet."""
GAINING = 0.3
"""The speed gained within so long is what an acceleration's motion is measured by [s]."""
SETTLED = 0.3
"""So long it must be quiet before what comes next is another motion [s]."""
EARLIER = 0.03
"""A let-go lies at most so long before the last sample at which nothing is seen to move [s]."""
BENDS = 0.008
"""By so much a body whose damper holds it back leaves the line that is followed back to its let-go [s]."""
ALIKE = 0.5
"""From this share of the largest motion on another one is counted as a release too."""


@dataclass(frozen=True, kw_only=True)
class LetGo:
    """A let-go found in a trace.

    Attributes:
        at, uncertainty: when [s].
        until: end of the undisturbed motion behind it [s].
        sign: 1, or -1 where the trace counts downward positive.
        rest: value of the trace in which the motion comes to rest, in the trace's unit.
        size: of the motion: way or first peak, in the trace's unit.
        releases: how many releases the trace holds.
        from_start: whether the trace begins with it, so that no held stretch shows when it was.
        doubtful: whether another motion, the other way, could be it as well.
    """

    at: float
    uncertainty: float
    until: float
    sign: int
    rest: float
    size: float
    releases: int
    from_start: bool = False
    doubtful: bool = False


class _Grid:
    """A trace on an even grid, smoothed."""

    def __init__(self, time: Array, values: Array) -> None:
        self.step = float(np.clip(np.median(np.diff(time)), 0.002, 0.05))
        self.time = np.arange(time[0], time[-1], self.step)
        self.values = moving_mean(np.interp(self.time, time, values), self.count(SMOOTH))

    def count(self, seconds: float) -> int:
        return max(1, round(seconds / self.step))


def moving_mean(values: Array, count: int) -> Array:
    """Mean over `count` samples around each, (n,)."""
    from scipy.ndimage import uniform_filter1d

    return np.asarray(uniform_filter1d(values, count, mode="nearest"))


def find_let_go(time: Array, values: Array, kind: str, sign_known: bool) -> LetGo:
    """The let-go with the largest motion.

    Args:
        time: rising [s], (n,).
        values: of one axis, an acceleration without gravity, (n,).
        kind: 'position' or 'acceleration'.
        sign_known: whether up is known to be positive; else the let-go tells.

    Raises:
        LabError: nothing moves, or no quiet stretch stands before a motion.
    """
    return _of_position(time, values) if kind == "position" else _of_acceleration(time, values, sign_known)


def none_found(why: str) -> LabError:
    """The error of a trace without a release."""
    return LabError(
        f"No release is found in the recording: {why}; begin to record, push down, hold still for a second, let go, "
        "and stop when all is at rest."
    )


def _of_acceleration(time: Array, values: Array, sign_known: bool) -> LetGo:
    grid = _Grid(time, values)
    s = grid.values
    noise = quiet_noise(s, grid.count(HELD))
    strongest = float(np.abs(s).max())
    on = max(6.0 * noise, 0.1 * strongest)
    if strongest < 8.0 * noise or strongest == 0.0:
        raise none_found("nothing moves clearly above its noise")
    rise, quiet, ahead = max(2, grid.count(RISE)), grid.count(QUIET), grid.count(GAINING)
    sudden = grid.count(SMOOTH)
    found: list[tuple[float, int, int, float]] = []
    for sign in (1,) if sign_known else (1, -1):
        up = sign * s
        for i in np.flatnonzero((up[1:] >= on) & (up[:-1] < on)) + 1:
            low, high = i - rise - quiet, i - rise
            peak = float(up[i : i + rise + 1].max())
            # A hand trembles: what counts as quiet goes by what follows.
            if low < 0 or float(np.abs(s[low:high]).max()) > STILL * peak:
                continue
            if float(up[high:i].min()) < -on:
                continue  # Another motion, the other way, came first.
            gained = float(np.cumsum(up[high : i + ahead]).max()) * grid.step
            # A hand that lets go is abrupt, one that pushes is not.
            onset = up[high : i + rise]
            jump = float((onset[sudden:] - onset[:-sudden]).max())
            found.append((jump**2 * gained, int(i), sign, peak))
    if not found:
        raise none_found("no quiet stretch stands before a strong upward acceleration")
    score, start, sign, peak = max(found)
    moving = moving_mean(np.abs(s), quiet) > max(4.0 * noise, 0.03 * strongest)
    at, width = _half_way(time, sign * values, float(grid.time[start]), peak, rise * grid.step)
    return LetGo(
        at=at, uncertainty=math.hypot(_step_at(time, at) / math.sqrt(12.0), 0.3 * width),
        until=_next_motion(grid, start, ~moving, moving, ~moving), sign=sign, rest=0.0, size=peak,
        releases=sum(each[0] >= ALIKE**3 * score and each[2] == sign for each in found),
        doubtful=any(each[0] >= ALIKE**3 * score and each[2] != sign for each in found),
    )  # fmt: skip


def quiet_noise(values: Array, count: int) -> float:
    """Standard deviation of the quiet stretches of a trace, from the median absolute deviation there."""
    still = quietest(values[:, None], count)
    return 1.4826 * float(np.median(np.abs(values[still] - np.median(values[still]))))


def quietest(axes: Array, count: int) -> Mask:
    """Which samples of one or more axes (n, k) lie in its quiet stretches, by their scatter over `count`, (n,)."""
    count = max(3, count)
    scatter = np.zeros(axes.shape[0])
    for axis in axes.T:
        centred = axis - np.median(axis)
        scatter += np.maximum(moving_mean(centred**2, count) - moving_mean(centred, count) ** 2, 0.0)
    # Of a quiet stretch the scatter scatters too; steps of a coarse sensor make it zero here and there.
    return np.asarray(scatter <= max(6.0 * float(np.percentile(scatter, 20)), 1e-12 * float(scatter.max())))


def _half_way(time: Array, up: Array, near: float, peak: float, rise: float) -> tuple[float, float]:
    """When an acceleration jumps through half its first peak, and how long it takes from a fifth to four fifths."""
    top = int(np.searchsorted(time, near + rise))
    top = min(top, time.size - 1)
    first = max(int(np.searchsorted(time, near - 2.0 * rise)), 0)
    after = np.flatnonzero(up[first : top + 1] >= 0.5 * peak)
    i = first + int(after[0]) if after.size else top

    def crossing(level: float) -> float:
        j = i
        while j > first and up[j] > level:
            j -= 1
        while j < top and up[j + 1] < level:
            j += 1
        if j >= time.size - 1 or up[j + 1] <= up[j]:
            return float(time[j])
        share = (level - up[j]) / (up[j + 1] - up[j])
        return float(time[j] + np.clip(share, 0.0, 1.0) * (time[j + 1] - time[j]))

    return crossing(0.5 * peak), max(crossing(0.8 * peak) - crossing(0.2 * peak), 0.0)


def _step_at(time: Array, at: float) -> float:
    """Time between the samples around a moment [s]."""
    i = int(np.clip(np.searchsorted(time, at), 1, time.size - 1))
    return float(time[i] - time[i - 1])


def _next_motion(grid: _Grid, start: int, calm: Mask, strong: Mask, quiet: Mask) -> float:
    """When, after it has come to rest, the next motion begins, from quiet to strong; infinite where none does [s]."""
    need, run = grid.count(SETTLED), 0
    for i in range(start, calm.size):
        if run >= need and strong[i]:
            while i > start and not quiet[i]:
                i -= 1
            return float(grid.time[i])
        run = run + 1 if calm[i] else (run if run >= need else 0)
    return math.inf


def _of_position(time: Array, values: Array) -> LetGo:
    from scipy.ndimage import maximum_filter1d, minimum_filter1d

    grid = _Grid(time, values)
    s, noise = grid.values, noise_of(values)
    span = float(np.ptp(s))
    if span <= 8.0 * noise or span == 0.0:
        raise none_found("nothing moves clearly above its noise")
    count = max(2, grid.count(HELD))
    # A window's range stands at its last sample: what is quiet up to there.
    shift = (count - 1) // 2
    width = maximum_filter1d(s, count, origin=shift) - minimum_filter1d(s, count, origin=shift)
    quiet = width <= max(5.0 * noise, 0.04 * span)
    quiet[: count - 1] = False
    ends = np.flatnonzero(quiet[:-1] & ~quiet[1:])
    rest = float(np.median(s[quiet][-count:] if quiet[-1] else s[-max(2, s.size // 5) :]))
    by_motion = {}
    for end in ends.tolist():
        held = float(np.median(s[end - count + 1 : end + 1]))
        if abs(rest - held) < max(0.25 * span, 8.0 * noise):
            continue
        gone = (s[end:] - held) / (rest - held) > 0.5
        if gone.any():
            # A held stretch may end more than once, as a hand trembles: its last end before the motion counts.
            by_motion[end + int(np.argmax(gone))] = (abs(rest - held), end, held)
    found = list(by_motion.values())
    if not found:
        return _begun_before(time, values, grid, rest, noise, quiet)
    size, last, held = max(found)
    sign = 1 if rest > held else -1
    at, off = _leaves(time, (values - held) / (rest - held), float(grid.time[last]), 4.0 * noise / size)
    away = np.abs(s - rest)
    return LetGo(
        at=at, uncertainty=off, until=_next_motion(grid, last, away < 0.15 * size, away > 0.3 * size, quiet),
        sign=sign, rest=rest, size=size,
        releases=sum(each[0] >= ALIKE * size and (rest > each[2]) == (sign > 0) for each in found),
    )  # fmt: skip


def _begun_before(time: Array, values: Array, grid: _Grid, rest: float, noise: float, quiet: Mask) -> LetGo:
    """A trace that begins with the let-go itself."""
    away = values - rest
    size = float(np.abs(away[0]))
    if size < 0.8 * float(np.abs(away).max()) or size < 8.0 * noise:
        raise none_found("no quiet stretch, held off its rest, stands before a motion")
    near = np.abs(grid.values - rest)
    return LetGo(
        at=float(time[0]), uncertainty=_step_at(time, float(time[0])),
        until=_next_motion(grid, 0, near < 0.15 * size, near > 0.3 * size, quiet),
        sign=1 if away[0] < 0.0 else -1, rest=rest, size=size, releases=1, from_start=True,
    )  # fmt: skip


def _leaves(time: Array, way: Array, near: float, noise: float) -> tuple[float, float]:
    """When a way (0 held, 1 at rest) begins, and its uncertainty [s].

    Under a steady force the way grows with the square of time: the line of its root over time is followed back.
    """
    least, most = max(0.03, noise), max(0.25, 2.0 * noise)
    near = near - HELD
    beyond = np.flatnonzero((time >= near) & (way > most))
    top = int(beyond[0]) if beyond.size else time.size - 1
    low = np.flatnonzero(way[:top] < least)
    first = int(low[-1]) + 1 if low.size else 0
    # A slow film may have a single sample so early.
    top = max(top, min(first + 2, time.size - 1))
    gone = slice(first, top + 1)
    before = max(first - 1, 0)
    step = _step_at(time, float(time[first]))
    root, when = np.sqrt(np.maximum(way[gone], 0.0)), time[gone]
    if root.size < 2 or float(np.ptp(root)) == 0.0:
        return float(0.5 * (time[before] + time[first])), math.hypot(step, EARLIER)
    slope, start = np.polyfit(root, when, 1)
    if slope <= 0.0:
        return float(time[before]), math.hypot(step, EARLIER)
    at = float(np.clip(start, time[before] - EARLIER, time[first]))
    # Textbook: the intercept of a straight line, its points off by the noise; the root of a way halves and divides it.
    off = 0.25 * noise / (2.0 * float(np.mean(root))) * float(slope)
    spread = off * math.sqrt(1.0 / root.size + float(np.mean(root)) ** 2 / float(np.sum((root - np.mean(root)) ** 2)))
    return max(at, float(time[0])), math.sqrt(step**2 / 12.0 + spread**2 + BENDS**2)
