"""Random surfaces: profiles of the classes of ISO 8608, cobbles, and patched asphalt.

The same seed gives the same road.
"""

from __future__ import annotations

import math

import numpy as np

from suspension_lab.common.checks import number, positive, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation.road import Road
from suspension_lab.excitation.roads.bumps import EDGE, MOST_BUMPS, between

ROAD_CLASSES = {name: 16e-6 * 4.0**i for i, name in enumerate("ABCDEFGH")}
"""Class -> geometric mean of the displacement density at 0.1 cycle/m [m^3]; the limits are half and double of it.

ISO 8608 (secondary copies for A to D; each class is four times the one before). These are values over wave number in
cycles per metre; the standard prints a second table for 1 rad/m, whose numbers are 16 times smaller.
"""

REFERENCE_WAVE_NUMBER = 0.1
"""n0 of ISO 8608 [cycle/m]."""
WAVINESS = 2.0
"""Exponent w of ISO 8608: density falls with the square of the wave number."""
LONGEST_WAVE, SHORTEST_WAVE = 100.0, 0.1
"""Waves on a random road [m]: ISO 8608 asks for no longer ones on roads, and a tyre's envelope hides shorter ones."""
SPACING = 0.025
"""Between the points of a random road [m]: four on its shortest wave."""
LONGEST = 20_000.0
"""The longest random road that is made [m]."""
STONE_PIECES = 6
"""Straight pieces on the rounded top of a cobble."""


def iso8608(road_class: str, *, length: float = 200.0, seed: int = 0, ease: float = 5.0) -> Road:
    """A random road of a class of ISO 8608: the geometric mean of the class, with waviness 2.

    A sum of waves that fit into the length a whole number of times, from about 0.01 cycle/m (or one wave per length)
    to 10 cycle/m. The amplitude of each is the one of the class, sqrt(2 Gd dn); only the phases are drawn, evenly over
    the circle. So each seed's road has the spectrum of its class, and stretches of it differ as on a real road.

    Such a sum ends at the height at which it begins. That height is taken as level ground, and the first and the last
    stretch ease out of and into it (half a cosine wave), so that a ride begins at rest. A longer road of the same seed
    is another road.

    Args:
        road_class: 'A' (smooth) to 'H'.
        length: of the whole road [m], the eased stretches included.
        seed: of the phases: a whole number from 0.
        ease: length of the stretch that eases, at each end [m].

    Raises:
        LabError: a class that is not one, a seed that is not whole, or a length under four times the easing stretch.
    """
    if not isinstance(road_class, str) or road_class not in ROAD_CLASSES:
        raise LabError(f"The road class is {shown(road_class)}, where one of the letters A to H was expected.")
    rng = _generator(seed)
    positive("length of the easing stretch", ease, "m")
    number("road length", length, "m", low=4.0 * ease, high=LONGEST)
    points = math.ceil(length / SPACING)
    wave_number = np.arange(points // 2 + 1) / length
    first, last = max(1, math.ceil(length / LONGEST_WAVE - 1e-9)), math.floor(length / SHORTEST_WAVE + 1e-9)
    density = np.zeros(wave_number.size)
    on_road = slice(first, last + 1)
    density[on_road] = ROAD_CLASSES[road_class] * (wave_number[on_road] / REFERENCE_WAVE_NUMBER) ** -WAVINESS
    phase = 2.0 * np.pi * rng.random(wave_number.size)
    waves = 0.5 * points * np.sqrt(2.0 * density / length) * np.exp(1j * phase)
    once = np.fft.irfft(waves, points)
    height = np.append(once, once[0]) - once[0]
    x = np.linspace(0.0, length, points + 1)
    nearest_end = np.minimum(x, length - x)
    eased = 0.5 - 0.5 * np.cos(np.pi * np.minimum(nearest_end / ease, 1.0))
    return Road(x, eased * height, name=f"random road of class {road_class}")


def cobbles(
    *,
    length: float = 20.0,
    stone: float = 0.12,
    joint: float = 0.02,
    depth: float = 0.015,
    crown: float = 0.004,
    unevenness: float = 0.004,
    seed: int = 0,
    run_in: float = 2.0,
    run_out: float = 10.0,
) -> Road:
    """Cobbles of one size with rounded tops and joints between them, some higher and some lower.

    Each stone lies up to `unevenness` above or below the level road, drawn evenly between; the joints' bottoms lie
    `depth` below the level road. The usual sizes are assumed.

    Args:
        length: of the paving [m]; as many whole stones as fit, and a joint at either end.
        stone: length of a stone [m].
        joint: width of a joint [m].
        depth: of a joint [m].
        crown: how much higher the middle of a stone is than its edges (a parabola) [m].
        unevenness: the most a stone lies too high or too low [m]; 0 for an even paving.
        seed: of the heights: a whole number from 0.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value out of its range, joints without room for their edges or less deep than the lowest stone's
            edges, or a paving without a whole stone.
    """
    rng = _generator(seed)
    positive("stone length", stone, "m")
    number("crown of a stone", crown, "m", low=0.0, high=0.5 * stone)
    number("unevenness", unevenness, "m", low=0.0, high=0.1)
    if number("joint width", joint, "m") <= 2.0 * EDGE:
        raise LabError(f"joint width is {joint:g} m, where more than {2 * EDGE:g} m was expected.")
    if number("joint depth", depth, "m") <= crown + unevenness:
        raise LabError(
            f"joint depth is {depth:g} m, where more than crown and unevenness together ({crown + unevenness:g} m) was "
            "expected; the lowest stones would lie below the joints."
        )
    pitch = stone + joint
    number("length of the cobbles", length, "m", low=joint + pitch, high=MOST_BUMPS * pitch)
    count = math.floor((length - joint) / pitch + 1e-9)
    across = np.linspace(-1.0, 1.0, STONE_PIECES + 1)
    top = unevenness * rng.uniform(-1.0, 1.0, count)[:, None] - crown * across**2
    bottom = np.full((count, 1), -depth)
    one = np.concatenate([[EDGE, joint - EDGE], joint + 0.5 * stone * (1.0 + across)])
    x = (one + pitch * np.arange(count)[:, None]).ravel()
    height = np.hstack([bottom, bottom, top]).ravel()
    end = count * pitch
    return between(
        np.concatenate([[0.0], x, end + np.array([EDGE, joint - EDGE, joint])]),
        np.concatenate([[0.0], height, [-depth, -depth, 0.0]]),
        run_in,
        run_out,
        "cobbles",
    )


def patched_asphalt(
    *,
    length: float = 60.0,
    patches: int = 10,
    patch: float = 2.0,
    height: float = 0.008,
    seed: int = 0,
    run_in: float = 2.0,
    run_out: float = 10.0,
) -> Road:
    """Level asphalt with patches that lie some millimetres too high or too low, with broken edges.

    Each patch has its own equal share of the road and lies somewhere in it. Its length and its height are drawn evenly
    between half and whole of the most, and whether it lies high or low by a throw. The usual sizes are assumed.

    Args:
        length: of the patched road [m].
        patches: how many.
        patch: length of the longest [m].
        height: the most a patch lies too high or too low [m].
        seed: of places, lengths and heights: a whole number from 0.
        run_in, run_out: level road before and after [m].

    Raises:
        LabError: a value out of its range, or patches that have no room.
    """
    rng = _generator(seed)
    patches = whole("number of patches", patches, low=1, high=MOST_BUMPS)
    number("patch length", patch, "m", low=8.0 * EDGE, high=1000.0)
    number("patch height", height, "m", low=1e-5, high=0.2)
    share = number("length of the patched road", length, "m", high=LONGEST) / patches
    if share < patch + 2.0 * EDGE:
        raise LabError(
            f"{patches} patches of up to {patch:g} m do not fit into {length:g} m of road; take fewer or shorter "
            "patches, or a longer road."
        )
    sizes = patch * rng.uniform(0.5, 1.0, patches)
    starts = share * np.arange(patches) + EDGE + rng.random(patches) * (share - 2.0 * EDGE - sizes)
    heights = height * rng.uniform(0.5, 1.0, patches) * rng.choice([-1.0, 1.0], patches)
    ends = starts + sizes
    x = np.column_stack([starts, starts + EDGE, ends - EDGE, ends])
    up = np.column_stack([np.zeros(patches), heights, heights, np.zeros(patches)])
    return between(
        np.concatenate([[0.0], x.ravel(), [length]]),
        np.concatenate([[0.0], up.ravel(), [0.0]]),
        run_in,
        run_out,
        "patched asphalt",
    )


def _generator(seed: int) -> np.random.Generator:
    return np.random.default_rng(whole("seed of a random road", seed, low=0, high=2**63))
