"""Measures of how evenly the tyre is pressed on the road."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.simulation.trace import Trace


class ContactLoss(NamedTuple):
    """How long the tyre was off the road."""

    share: float
    """Of the whole time, 0 to 1."""
    longest: float
    """The longest stretch [s]."""


def tyre_load_variation(trace: Trace) -> float:
    """Standard deviation of the tyre load over the load at rest.

    The dynamic load coefficient of the literature (after Sweatman 1983 and Cebon 1999; their mean load is the
    load at rest here).
    """
    return float(np.std(trace.tyre_load) / trace.static_tyre_load)


def smallest_tyre_load(trace: Trace) -> float:
    """Smallest tyre load over the load at rest."""
    return float(trace.tyre_load.min() / trace.static_tyre_load)


def off_road(trace: Trace) -> list[tuple[float, float]]:
    """Stretches without contact as pairs of first and last time [s]."""
    edges = _edges(trace)
    return [(float(trace.time[a]), float(trace.time[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def contact_loss(trace: Trace) -> ContactLoss:
    """Share of the time off the road, and the longest stretch [s]."""
    if trace.tyre_load.min() > 0.0:
        return ContactLoss(share=0.0, longest=0.0)
    step = float(trace.time[1] - trace.time[0])
    edges = _edges(trace)
    lengths = edges[1::2] - edges[::2]
    longest = int(lengths.argmax())
    first, last = trace.time[edges[2 * longest]], trace.time[edges[2 * longest + 1] - 1]
    return ContactLoss(share=int(lengths.sum()) / trace.time.size, longest=float(last - first) + step)


def load_spectrum(trace: Trace) -> tuple[Array, Array]:
    """How the variance of the tyre load is spread over frequency: one-sided power spectral density.

    A plain periodogram, neither windowed nor smoothed: the density times the frequency step, summed, is the variance
    of the load exactly (Parseval).

    Returns:
        Frequency [Hz] from 0 in even steps, and density [N^2/Hz], (n // 2 + 1,) each.
    """
    load, count = trace.tyre_load, trace.tyre_load.size
    step = float(trace.time[1] - trace.time[0])
    density = 2.0 * step / count * np.abs(np.fft.rfft(load - load.mean())) ** 2
    density[0] = 0.0
    if count % 2 == 0:
        density[-1] *= 0.5  # half the sample rate has no mirror image below zero
    return np.asarray(np.fft.rfftfreq(count, step), dtype=np.float64), density


def _edges(trace: Trace) -> NDArray[np.intp]:
    """Where each stretch off the road begins, and the sample after it ends, by turns."""
    off = np.zeros(trace.tyre_load.size + 2, dtype=np.bool_)
    np.less_equal(trace.tyre_load, 0.0, out=off[1:-1])
    return np.flatnonzero(off[1:] != off[:-1])
