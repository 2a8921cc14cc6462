"""The roads that the evenness and the map bench offer, and how long a ride over each is."""

from __future__ import annotations

from functools import lru_cache

from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.lab.trial import Setting

DURATION = 10.0
"""Of a ride over a surface [s]: measures over unequal times would not compare."""
FASTEST = 80
"""[km/h]"""
SPEEDS = {"speed": Setting(label="Speed", unit="km/h", low=10, high=FASTEST, value=30)}
"""The one setting of a ride."""
LENGTH = DURATION * FASTEST / 3.6 + 2.0
"""Of every surface [m]: the fastest ride sees all of it, a slower one its beginning."""
SEED = 1
RUN_IN = 2.0
SURFACES = {
    "Random road, class A (very good)": "A",
    "Random road, class B (good)": "B",
    "Random road, class C (average)": "C",
    "Random road, class D (poor)": "D",
    "Random road, class E (very poor)": "E",
    "Cobbles": "cobbles",
    "Patched asphalt": "patched",
    "Expansion joints, every 5 m": "joints",
    "Washboard, 10 mm every 0.6 m": "washboard",
}
USUAL_ROAD = "B"
SINGLE_BUMPS = {
    "Pothole, 0.4 m long, 40 mm deep": "pothole",
    "Kerb, 30 mm up": "kerb",
    "Round-top hump, 3.7 m long, 100 mm high": "hump",
}
BEFORE, AFTER = 0.5, 1.0
"""Level road before a single bump [m], and time after it [s]: an r.m.s. over more would be one of level road."""
ONE_SECOND_AFTER = (
    f"Measured from {BEFORE:g} m before the bump until {AFTER:g} s after it: on a single bump the smallest tyre load "
    "and the longest contact loss say more than a mean."
)


@lru_cache(maxsize=len(SURFACES))
def surface(kind: str) -> Road:
    """One of `SURFACES`, long enough for the fastest ride.

    Args:
        kind: a value of `SURFACES`.
    """
    between = {"run_in": RUN_IN, "run_out": RUN_IN}
    if kind in roads.ROAD_CLASSES:
        return roads.iso8608(kind, length=LENGTH, seed=SEED)
    if kind == "cobbles":
        return roads.cobbles(length=LENGTH, seed=SEED, **between)
    if kind == "patched":
        return roads.patched_asphalt(length=LENGTH, patches=round(LENGTH / 6.0), seed=SEED, **between)
    if kind == "joints":
        return roads.expansion_joints(joints=round(LENGTH / 5.0), **between)
    return roads.washboard(height=0.01, bumps=round(LENGTH / 0.6), **between)


@lru_cache(maxsize=len(SINGLE_BUMPS))
def single_bump(kind: str) -> Road:
    """One of `SINGLE_BUMPS`, with level road for a second at the fastest speed behind it.

    Args:
        kind: a value of `SINGLE_BUMPS`.
    """
    level = {"run_in": BEFORE, "run_out": AFTER * FASTEST / 3.6 + 1.0}
    if kind == "pothole":
        return roads.pothole(depth=0.04, **level)
    if kind == "kerb":
        return roads.kerb(height=0.03, **level)
    return roads.round_top_hump(height=0.1, **level)


def ride_over(kind: str, speed: float) -> tuple[Ride, float]:
    """A ride over any of these roads, and how long it is measured [s].

    Args:
        kind: a value of `SURFACES` or `SINGLE_BUMPS`.
        speed: [m/s].
    """
    if kind not in SINGLE_BUMPS.values():
        return Ride(surface(kind), speed), DURATION
    road = single_bump(kind)
    over = road.length - (AFTER * FASTEST / 3.6 + 1.0)
    return Ride(road, speed), over / speed + AFTER
