"""What the what-if bench does with its settings: the tests, both stations, and the work; nothing here is shown."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push
from suspension_lab.excitation.road import Ride
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import usual_release
from suspension_lab.workshop.what_if import WhatIf, what_if

TESTS = {
    "release": "Release: pushed down and let go",
    "push": "Quick push: 400 N in 80 ms",
    "road": "Average road (class C), 40 km/h, 5 s",
    "pothole": "Pothole, 40 mm deep, 30 km/h",
    "hump": "Hump, 100 mm high, 30 km/h",
}
"""Name -> what its check box says."""
ROAD_LENGTH = 60.0
"""Of the average road [m], a good five seconds at its speed."""
AROUND = {"run_in": 0.5, "run_out": 30.0 / 3.6}
"""Level road before a bump [m], and after it a second's worth."""
_ONE_AT_A_TIME = threading.Lock()


def as_excitation(name: str, before: Station) -> Excitation:
    """One of `TESTS`; the release is as deep as the station allows.

    Raises:
        LabError: a release of a station that rests on a stop, or hardly above it.
    """
    return usual_release(before) if name == "release" else _usual(name)


@lru_cache(maxsize=len(TESTS))
def _usual(name: str) -> Excitation:
    if name == "push":
        return Push(peak_force=400.0, rise_time=0.08)
    if name == "road":
        return Ride(roads.iso8608("C", length=ROAD_LENGTH, seed=1), 40.0 / 3.6)
    bump = roads.pothole(depth=0.04, **AROUND) if name == "pothole" else roads.round_top_hump(height=0.1, **AROUND)
    return Ride(bump, 30.0 / 3.6)


def both_stations(vehicle: Station, now: Mapping[str, Any]) -> tuple[Station, Station]:
    """The station before and after.

    Args:
        vehicle: as its file has it.
        now: 'rider' [kg], 'oil' [°C] where the damper is described by its parts, 'rebound_before', 'rebound_after' and
            so on, and 'preload', how much more there is after [mm].

    Raises:
        LabError: nothing is changed, or less preload than none.
    """
    station = vehicle.with_rider(float(now["rider"]))
    if isinstance(station.damper, HydraulicDamper):
        station = station.with_oil_temperature(ZERO_CELSIUS + now["oil"])
    before, after = (
        station.with_clicks(**{name: now[f"{name}_{when}"] for name in station.damper.adjusters})
        for when in ("before", "after")
    )
    if before.clicks == after.clicks and now["preload"] == 0:
        raise LabError("Before and after are the same; move one of the controls under After.")
    return before, _with_preload(after, now["preload"])


def _with_preload(station: Station, more: int) -> Station:
    if not more:
        return station
    now = 1e3 * station.spring.preload
    if now + more < 0.0:
        raise LabError(
            f"The spring preload after the change is {now + more:.1f} mm, where at least 0 mm was expected; "
            f"{station.name} has {now:.1f} mm now, so take off no more than that."
        )
    return replace(station, spring=replace(station.spring, preload=1e-3 * (now + more)))


def worked_out(before: Station, after: Station, tests: Sequence[Excitation], stop: threading.Event) -> WhatIf | None:
    """The what-if; None where nobody waits for it any more.

    Raises:
        LabError: as `what_if`.
    """
    # Work that was let go cannot be stopped, but it shall not share the machine with the next.
    with _ONE_AT_A_TIME:
        return None if stop.is_set() else what_if(before, after, tests)


def change_in_short(answer: WhatIf) -> str:
    """What is changed, and what is alike before and after, for the head of a table."""
    before, after = answer.before, answer.after
    turned = [f"{name.replace('_', '-')} {before.clicks[name]} → {after.clicks[name]}"
              for name in before.damper.adjusters if before.clicks[name] != after.clicks[name]]  # fmt: skip
    preloads = [1e3 * station.spring.preload for station in (before, after)]
    if preloads[0] != preloads[1]:
        turned.append(f"preload {preloads[0]:.1f} → {preloads[1]:.1f} mm")
    damper = before.damper
    oil = f", oil {damper.oil_temperature - ZERO_CELSIUS:.0f} °C" if isinstance(damper, HydraulicDamper) else ""
    return f"{before.name}: {', '.join(turned)} (load {before.rider_mass:.0f} kg{oil})"
