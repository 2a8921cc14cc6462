"""Handing a setting from one bench to another."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from suspension_lab.lab.controls import ChoiceControl, NumberControl
from suspension_lab.vehicle.clicks import Clicks

if TYPE_CHECKING:
    from suspension_lab.lab.bench import Bench


def hand_over(clicks: Clicks, now: Mapping[str, Any], bench: Bench) -> str:
    """Move another bench to a setting, with all of it that it has a control for.

    Args:
        clicks: of the setting.
        now: the settings of this bench.
        bench: the other.

    Returns:
        What was done, in words.

    Raises:
        LabError: something the other bench refuses.
    """
    wanted = {"vehicle": now["vehicle"], "rider": now["rider"], "speed": now["speed"], **{n: clicks[n] for n in clicks}}
    moved = {name: value for name, value in wanted.items() if name in bench.controls}
    left = []
    speed = bench.controls.get("speed")
    if isinstance(speed, NumberControl) and not speed.slider.min <= now["speed"] <= speed.slider.max:
        left.append("its speed")
        del moved["speed"]
    road = next((name for name in ("road", "shape") if name in bench.controls), None)
    if road is not None:
        control = bench.controls[road]
        assert isinstance(control, ChoiceControl)
        if now["road"] in [value for _, value in control.dropdown.options]:
            moved[road] = now["road"]
        else:
            left.append("its road, since this one is not among its roads")
    bench.set(**moved)
    kept = f" It keeps {' and '.join(left)}." if left else ""
    return f"The other bench now shows {bench.station.name} at {clicks}.{kept}"
