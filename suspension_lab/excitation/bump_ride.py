"""Level road before and after a bump that suits the speed, and the bumps that the benches offer."""

from __future__ import annotations

from functools import lru_cache

from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Road

RUN_IN_TIME, RUN_OUT_TIME = 0.3, 1.5
"""Level road before and after a bump, as time at the ride's speed [s]."""
BUMPS_IN_A_ROW = 12
"""Of a washboard."""


def level_at(speed: float) -> dict[str, float]:
    """Lengths of level road before and after a bump [m], as the shapes in `roads` take them, at a speed [m/s]."""
    return {"run_in": RUN_IN_TIME * speed, "run_out": RUN_OUT_TIME * speed}


@lru_cache(maxsize=32)
def bump(shape: str, height: float, speed: float) -> Road:
    """A bump between stretches of level road.

    Args:
        shape: 'pothole', 'kerb', 'long_hump' or 'washboard'.
        height: or depth [m].
        speed: [m/s].
    """
    level = level_at(speed)
    if shape == "pothole":
        return roads.pothole(depth=height, **level)
    if shape == "kerb":
        return roads.kerb(height=height, **level)
    if shape == "long_hump":
        return roads.long_hump(height=height, **level)
    return roads.washboard(height=height, bumps=BUMPS_IN_A_ROW, **level)
