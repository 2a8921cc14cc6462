"""Measures of comfort after ISO 2631-1:1997: vertical shaking, weighted as people feel it.

All are taken at the body: neither seat nor the rider's own body is in the model, so they compare settings and do not
say what a rider on a seat is exposed to. Outside the trace everything is taken to be at rest.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.simulation.trace import Trace

WINDOW = 1.0
"""Integration time of the running r.m.s. [s] (ISO 2631-1, 6.3.1, from memory)."""
COARSEST_STEP = 2e-3
"""Up to this step the weighting is true to 2 % up to 80 Hz [s]."""
_DAMPED = 1.0 / math.sqrt(2.0)
_REACTIONS = (
    (0.0, 0.315, "not uncomfortable"),
    (0.315, 0.63, "a little uncomfortable"),
    (0.5, 1.0, "fairly uncomfortable"),
    (0.8, 1.6, "uncomfortable"),
    (1.25, 2.5, "very uncomfortable"),
    (2.0, math.inf, "extremely uncomfortable"),
)
"""From, to [m/s^2 r.m.s., weighted], and the likely reaction; they overlap (ISO 2631-1, annex C.2.3, from memory)."""


class _Section(NamedTuple):
    """One second-order factor of the weighting, in s, the highest power first."""

    above: tuple[float, float, float]
    below: tuple[float, float, float]
    matched_at: float
    """Where the digital filter has this factor's magnitude exactly, besides 0 Hz and half the sample rate [Hz]."""


def _factor(frequency: float, q: float) -> tuple[float, float, float]:
    """(s / w)^2 + s / (q w) + 1 at w = 2 pi frequency."""
    w = 2.0 * math.pi * frequency
    return 1.0 / w**2, 1.0 / (q * w), 1.0


def _sections() -> tuple[_Section, ...]:
    """Wk by the parameters of ISO 8041: band limits 0.4 and 100 Hz, transition 12.5 Hz, upward step 2.37 to 3.35 Hz."""
    high_pass, low_pass = _factor(0.4, _DAMPED), _factor(100.0, _DAMPED)
    falls, rises = _factor(12.5, 0.63), _factor(2.37, 0.91)
    gain = (2.37 / 3.35) ** 2
    return (
        _Section((high_pass[0], 0.0, 0.0), high_pass, 0.4),
        _Section((gain * rises[0], gain * rises[1], gain), _factor(3.35, 0.91), 3.35),
        # At 60 Hz the two that matter up there stay truest up to 80 Hz, the end of the standard's range.
        _Section((0.0, 1.0 / (2.0 * math.pi * 12.5), 1.0), falls, 60.0),
        _Section((0.0, 0.0, 1.0), low_pass, 60.0),
    )


def wk(frequency: ArrayLike) -> NDArray[np.complex128]:
    """The weighting Wk of ISO 2631-1 for vertical shaking (analogue, by the parameters of ISO 8041).

    Args:
        frequency: [Hz], any shape.

    Returns:
        Complex response, same shape; its magnitude is the standard's table.
    """
    s = 2j * np.pi * np.asarray(frequency, dtype=np.float64)
    response = np.ones(s.shape, dtype=np.complex128)
    for section in _sections():
        response *= np.polyval(section.above, s) / np.polyval(section.below, s)
    return response


@lru_cache(maxsize=16)
def _filter(step: float) -> Array:
    """Wk for samples a step apart as second-order sections, (4, 6).

    Poles go over exactly (z = exp(s step)); each numerator is the minimum-phase one that gives the analogue magnitude
    at three frequencies. The bilinear transform has 3.4 % too little at 80 Hz and 1 ms (1.4 % with every corner
    prewarped), this has 0.4 %.

    Raises:
        LabError: samples so far apart that the weighting would be wrong.
    """
    if step > COARSEST_STEP:
        raise LabError(
            f"Measures of comfort need samples at most {1e3 * COARSEST_STEP:g} ms apart, but these are {1e3 * step:g} "
            "ms apart; simulate with a shorter step."
        )
    return np.array([np.concatenate(_digital(section, step)) for section in _sections()])


def _digital(section: _Section, step: float) -> tuple[Array, Array]:
    below = np.real(np.poly(np.exp(np.roots(section.below) * step)))
    half = math.pi / step
    w = np.array([0.0, min(2.0 * math.pi * section.matched_at, 0.9 * half), half])
    analogue = np.polyval(section.above, 1j * w) / np.polyval(section.below, 1j * w)
    wanted = np.abs(analogue * np.polyval(below, np.exp(1j * w * step))) ** 2
    # |b0 z^2 + b1 z + b2|^2 is linear in these three shapes, of weights (b0+b1+b2)^2, (b0-b1+b2)^2 and -4 b0 b2.
    share = np.sin(0.5 * w * step) ** 2
    at_zero, at_half, product = np.linalg.solve(
        np.stack([1.0 - share, share, 4.0 * share * (1.0 - share)], axis=1), wanted
    )
    low, high = math.sqrt(max(at_zero, 0.0)), math.sqrt(max(at_half, 0.0))
    ends = 0.5 * (low + high)
    first = 0.5 * (ends + math.sqrt(max(ends**2 + product, 0.0)))
    return np.array([first, 0.5 * (low - high), -product / (4.0 * first)]), below


def _step(trace: Trace) -> float:
    return float(trace.time[1] - trace.time[0])


@lru_cache(maxsize=8)
def weighted_signal(trace: Trace) -> Array:
    """The body's vertical acceleration weighted with Wk [m/s^2], (n,); it cannot be written to.

    True in size to 1 % up to 80 Hz at samples 1 ms apart; in time it may be a sample early.
    """
    from scipy.signal import sosfilt

    # Rounded, so that steps equal but for the last digits share a filter.
    sections = _filter(round(_step(trace), 12))
    weighted: Array = sosfilt(sections, np.ascontiguousarray(trace.body_acceleration, dtype=np.float64))
    weighted.flags.writeable = False
    return weighted


def weighted_acceleration(trace: Trace) -> float:
    """Root mean square of the body's weighted vertical acceleration over the whole run [m/s^2].

    ISO 2631-1:1997 with the weighting Wk (6.1, from memory), at the body: not at the seat. The level road before and
    after a bump counts too, so over a single bump `maximum_transient_vibration` says more.
    """
    # Not as a matrix product: over so many samples it would start threads of its own.
    return math.sqrt(float(np.mean(weighted_signal(trace) ** 2)))


def maximum_transient_vibration(trace: Trace) -> float:
    """The weighted vertical acceleration of the worst second: highest running r.m.s. over 1 s [m/s^2].

    MTVV of ISO 2631-1:1997 (6.3.1, linear, from memory), at the body. In a run shorter than a second the rest of the
    second is the time at rest before it.
    """
    weighted = weighted_signal(trace)
    window = max(1, round(WINDOW / _step(trace)))
    energy = np.concatenate([[0.0], np.cumsum(weighted**2)])
    worst = (energy[window:] - energy[:-window]).max() if weighted.size > window else energy[-1]
    return math.sqrt(float(worst) / window)


def vibration_dose(trace: Trace) -> float:
    """Vibration dose value of the run: fourth root of the weighted acceleration's fourth power over time [m/s^1.75].

    VDV of ISO 2631-1:1997 (6.3.2, from memory), at the body. Single blows count more in it than in a root mean
    square, and it never falls: only runs of equal length compare.
    """
    square = weighted_signal(trace) ** 2
    return math.sqrt(math.sqrt(float(np.sum(square**2)) * _step(trace)))


def comfort_words(weighted: float) -> tuple[str, ...]:
    """The reactions that ISO 2631-1 thinks likely (annex C.2.3, from memory; made for public transport).

    Args:
        weighted: r.m.s. of the weighted acceleration [m/s^2].

    Returns:
        One or two of them, the milder first: the standard lets them overlap on purpose.
    """
    return tuple(words for low, high, words in _REACTIONS if low <= weighted <= high)
