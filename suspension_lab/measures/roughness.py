"""How rough a road is: its International Roughness Index, its spectrum, and its class in ISO 8608."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.road import Road
from suspension_lab.excitation.roads.surfaces import REFERENCE_WAVE_NUMBER, ROAD_CLASSES, WAVINESS

GOLDEN_SPEED = 80.0 / 3.6
"""Speed of the golden car [m/s]."""
GOLDEN_SPRING, GOLDEN_TYRE, GOLDEN_DAMPING, GOLDEN_WHEEL = 63.3, 653.0, 6.0, 0.15
"""The golden car over its sprung mass: rates of spring and tyre [1/s^2], damping [1/s], unsprung mass [1]."""
BASE, FIRST_STRETCH = 0.25, 11.0
"""Length of the moving average, and the stretch whose mean slope the golden car begins with [m]."""
COARSEST, RESAMPLED = 0.6, 0.05
"""An even profile with points farther apart is resampled, and any uneven one, to this spacing [m]."""
FIT_FROM, FIT_TO = 0.011, 2.83
"""Range of the straight line of ISO 8608 on roads [cycle/m] (from memory)."""
FEWEST_BANDS = 12
"""So many bands a fit needs: an octave of the shorter waves."""
FLAT = 1e-9
"""A road that leaves a straight line by less is flat [m]."""


class RoadSpectrum(NamedTuple):
    """A smoothed one-sided spectrum of a profile."""

    wave_number: Array
    """Centres of the bands [cycle/m], (n,)."""
    density: Array
    """Displacement density [m^3], (n,)."""


class RoadFit(NamedTuple):
    """A road's class and what it was read from."""

    road_class: str
    """'A' to 'H'."""
    roughness: float
    """Displacement density at 0.1 cycle/m of the line with waviness 2 [m^3]."""
    waviness: float
    """Exponent of the line fitted without holding it at 2; far from 2 the class says little. nan for a flat road."""


def international_roughness_index(road: Road, segment_length: float = 100.0) -> Array:
    """International Roughness Index of each whole segment of a road [m/km].

    The mean of |body speed - wheel speed| over the way driven, of the golden car at 80 km/h on the straight pieces of
    the profile; with points closer than 250 mm on its 250 mm moving average; begun with the mean slope of the first
    11 m (ASTM E1926; Sayers, Gillespie, Paterson 1986, World Bank Technical Paper 46; all from secondary copies). An
    uneven profile, or one with points over 0.6 m apart, is first resampled to every 50 mm, straight between its points.

    Args:
        road: the profile, in the wheel's track.
        segment_length: [m].

    Returns:
        One value for each whole segment, (n,); a road shorter than a segment gives one for its whole length.

    Raises:
        LabError: a segment length that is not above zero, or shorter than the distance between points, or a road under
            one metre.
    """
    positive("segment length", segment_length, "m")
    height, dx = _even(road, COARSEST)
    length = dx * (height.size - 1)
    if length < 1.0:
        raise LabError(f"The road '{road.name}' is {length:g} m long, where at least 1 m was expected for an IRI.")
    if segment_length < dx * (1.0 - 1e-9):
        raise LabError(
            f"segment length is {segment_length:g} m, where at least the {dx:g} m between the points of the road was "
            "expected."
        )
    apart = max(1, int(BASE / dx + 0.5))
    slopes = (height[apart:] - height[:-apart]) / (apart * dx)
    stretch = min(FIRST_STRETCH, length)
    first = (np.interp(stretch, dx * np.arange(height.size), height) - height[0]) / stretch
    rectified = np.abs(_golden_slope(slopes, dx, float(first)))
    segment = np.floor((np.arange(slopes.size) + 0.5) * dx / min(segment_length, length)).astype(np.int64)
    segments = max(1, math.floor(length / segment_length + 1e-9))
    inside = segment < segments
    counts = np.bincount(segment[inside], minlength=segments)
    return 1e3 * np.bincount(segment[inside], weights=rectified[inside], minlength=segments) / np.maximum(counts, 1)


@lru_cache(maxsize=8)
def golden_car(dx: float) -> tuple[Array, Array]:
    """State transition of the golden car over one step, and its response to a slope.

    The state is body slope, its rate, wheel slope, its rate; after a step it is transition @ state + response * slope.

    Args:
        dx: distance between points of the profile [m].

    Returns:
        (4, 4) and (4,).
    """
    from scipy.linalg import expm

    k, kt, c, mu = GOLDEN_SPRING, GOLDEN_TYRE, GOLDEN_DAMPING, GOLDEN_WHEEL
    a = np.array(
        [[0, 1, 0, 0], [-k, -c, k, c], [0, 0, 0, 1], [k / mu, c / mu, -(k + kt) / mu, -c / mu]], dtype=np.float64
    )
    transition = expm(a * dx / GOLDEN_SPEED)
    response = np.linalg.solve(a, (transition - np.eye(4)) @ np.array([0.0, 0.0, 0.0, kt / mu]))
    return transition, response


def road_spectrum(road: Road) -> RoadSpectrum:
    """Smoothed displacement spectrum of a profile over wave number, one-sided.

    The periodogram after Hann of the profile less its straight line, corrected for what the window takes. Smoothed over
    the bands of ISO 8608 (from memory): octaves up to the one about 0.031 cycle/m, thirds up to 0.25, twelfths beyond;
    a line that lies in two bands is shared. Bands reach from 1.5 lines up to half the sampling. An uneven profile is
    first resampled to every 50 mm, straight between its points; bands then end at half the usual (median) density of
    its points.

    Raises:
        LabError: a road so short or so coarse that there is no band.
    """
    height, dx = _even(road, math.inf)
    x = np.asarray(road.distance)
    line = np.polynomial.Polynomial.fit(dx * np.arange(height.size), height, 1)
    window = np.hanning(height.size + 1)[:-1]
    lines = np.fft.rfft((height - line(dx * np.arange(height.size))) * window)
    density = 2.0 * dx * np.abs(lines) ** 2 / np.sum(window**2)
    width = 1.0 / (height.size * dx)
    low, high = _bands(1.5 * width, 0.5 / max(dx, float(np.median(np.diff(x)))))
    if low.size == 0:
        raise LabError(
            f"The road '{road.name}' is too short or its points lie too far apart for a spectrum: {road.length:g} m "
            f"with {x.size} points; give a longer one, with a point every 0.1 m or so."
        )
    edges = width * (np.arange(density.size + 1) - 0.5)
    power = np.concatenate([[0.0], np.cumsum(density) * width])
    mean = (np.interp(high, edges, power) - np.interp(low, edges, power)) / (high - low)
    return RoadSpectrum(np.sqrt(low * high), mean)


def road_fit(road: Road) -> RoadFit:
    """Class, roughness and waviness of a road, from a straight line through its own spectrum.

    In logarithms and by least squares, over the bands between 0.011 and 2.83 cycle/m that the profile has; the class
    is that of the line held at waviness 2 (ISO 8608). Its limits are half and double of the class's mean; A has no
    lower and H no upper one.

    Raises:
        LabError: a road so short (under about 17 m) or so coarse that it has less than twelve bands, or none at 0.1
            cycle/m.
    """
    wave_number, density = road_spectrum(road)
    used = (wave_number >= FIT_FROM) & (wave_number <= FIT_TO)
    if np.count_nonzero(used) < FEWEST_BANDS or wave_number[used][0] > REFERENCE_WAVE_NUMBER:
        raise LabError(
            f"The road '{road.name}' is too short or its points lie too far apart to tell its class: {road.length:g} m "
            f"with {len(road.distance)} points; give a longer one, with a point every 0.1 m or so."
        )
    if math.sqrt(float(density.max() * wave_number.max())) < FLAT:
        return RoadFit("A", 0.0, math.nan)
    at = np.log(wave_number[used] / REFERENCE_WAVE_NUMBER)
    level = np.log(np.maximum(density[used], 1e-300))
    roughness = math.exp(float(np.mean(level + WAVINESS * at)))
    slope = np.polynomial.Polynomial.fit(at, level, 1).convert().coef[1]
    names = list(ROAD_CLASSES)
    beyond = [name for name in names if roughness > 2.0 * ROAD_CLASSES[name]]
    return RoadFit(names[min(len(beyond), len(names) - 1)], roughness, -float(slope))


def road_class(road: Road) -> str:
    """Class of a road in ISO 8608, 'A' (smooth) to 'H', by its own spectrum; `road_fit` says more.

    A made random road under about 60 m may read one class too smooth, since its ends are eased.

    Raises:
        LabError: a road that is too short or too coarse to tell.
    """
    return road_fit(road).road_class


def _even(road: Road, coarsest: float) -> tuple[Array, float]:
    """Heights at even distances, and the distance between two [m]."""
    if not isinstance(road, Road):
        raise LabError(
            f"Roughness is that of a Road, but this is a {type(road).__name__}; of a ride, give its road (ride.road)."
        )
    x, height = np.asarray(road.distance), np.asarray(road.height)
    dx = road.length / (x.size - 1)
    if dx <= coarsest and np.abs(x - x[0] - dx * np.arange(x.size)).max() < 1e-3 * dx:
        return height, dx
    points = max(2, round(road.length / RESAMPLED) + 1)
    dx = road.length / (points - 1)
    return np.interp(x[0] + dx * np.arange(points), x, height), dx


def _golden_slope(slopes: Array, dx: float, first: float) -> Array:
    """Slope of the body less that of the wheel behind each step, (n,), in the unit of the slopes.

    In the two modes of the golden car, of which each is one complex number: the conjugates are their mirror images.
    """
    transition, response = golden_car(dx)
    rates, shapes = np.linalg.eig(transition)
    pair = np.flatnonzero(rates.imag > 0.0)
    entry, state = (np.linalg.solve(shapes, to)[pair].tolist() for to in (response, np.array([first, 0.0, first, 0.0])))
    (rate_1, rate_2), (entry_1, entry_2), (mode_1, mode_2) = rates[pair].tolist(), entry, state
    share_1, share_2 = (2.0 * (shapes[0] - shapes[2])[pair]).tolist()
    result = np.empty(slopes.size)
    for i, slope in enumerate(slopes.tolist()):
        mode_1 = rate_1 * mode_1 + entry_1 * slope
        mode_2 = rate_2 * mode_2 + entry_2 * slope
        result[i] = (share_1 * mode_1 + share_2 * mode_2).real
    return result


def _bands(lowest: float, highest: float) -> tuple[Array, Array]:
    """Lower and upper edges of the smoothing bands of ISO 8608 between two wave numbers [cycle/m]."""
    octaves = 2.0 ** np.arange(-20.5, -4.5)
    thirds = 2.0 ** (-4.5 + np.arange(8) / 3.0)
    twelfths = 2.0 ** (-2.0 + 1.0 / 6.0 + np.arange(144) / 12.0)
    edges = np.concatenate([octaves, thirds, twelfths])
    low, high = edges[:-1], edges[1:]
    inside = (low >= lowest) & (high <= highest)
    return low[inside], high[inside]
