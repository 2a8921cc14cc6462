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
        now: vehicle and rider, and where this has them speed and road.
        bench: the other.

    Returns:
        What was done, in words.

    Raises:
        LabError: something the other bench refuses.
    """
    wanted = {name: now[name] for name in ("vehicle", "rider", "speed") if name in now} | dict(clicks)
    moved = {name: value for name, value in wanted.items() if name in bench.controls}
    left = []
    speed = bench.controls.get("speed")
    if "speed" in now and isinstance(speed, NumberControl) and not speed.slider.min <= now["speed"] <= speed.slider.max:
        left.append("its speed")
        del moved["speed"]
    road = next((name for name in ("road", "shape") if name in bench.controls), None)
    control = bench.controls[road] if road is not None else None
    if road is not None and "road" in now:
        assert isinstance(control, ChoiceControl)
        if now["road"] in [value for _, value in control.dropdown.options]:
            moved[road] = now["road"]
        else:
            left.append("its road, since this one is not among its roads")
    bench.set(**moved)
    kept = f" It keeps {' and '.join(left)}." if left else ""
    texts = {value: text for text, value in control.dropdown.options} if isinstance(control, ChoiceControl) else {}
    where = f" Its road: {texts[moved[road]]}." if road in moved else ""
    return f"The other bench now shows {bench.station.name} at {clicks}.{where}{kept}"
