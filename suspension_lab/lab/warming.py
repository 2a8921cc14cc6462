"""The trial of minutes on the road: the oil's temperature, the release test's return time, and both in clicks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
from matplotlib.lines import Line2D

from suspension_lab.common.checks import Array
from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.lab.look import KEPT_GREY, WITH_RESERVOIR, WITHOUT_RESERVOIR
from suspension_lab.lab.panels import NOTHING, Frame, Panel, legend_above, line_on, rounded_limits
from suspension_lab.lab.pictures import stacked
from suspension_lab.lab.trial import Choice, Setting, Trial
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.warming import Warming, drifts, ride_until_warm, settled, warming_summary
from suspension_lab.simulation.heat import WarmUp
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.reading import ANOTHER_TEST, compare_measures
from suspension_lab.workshop.reading_damper import read_warming

BUMPS = 20
"""Of the washboard that is ridden over and over."""
INSTANTS = 24
"""Steps into which the minutes are divided."""


class MinutesPanel(Panel[Warming]):
    """Something of the damper over minutes of riding, with a reservoir and without.

    Args:
        upright: name of the upright axis.
        shown: what is shown of a ride, (n,).
    """

    left_margin = 70
    top_margin = 26
    filled = (0.85, 0.4)

    def __init__(self, upright: str, shown: Callable[[WarmUp], Array]) -> None:
        super().__init__()
        self._shown = shown
        self.lines = {True: line_on(self.axes, WITH_RESERVOIR.line(), 4),
                      False: line_on(self.axes, WITHOUT_RESERVOIR.line(), 3)}  # fmt: skip
        self.kept_line = line_on(self.axes, {"color": KEPT_GREY, "linewidth": 1.6}, 2)
        self.moving = [self.kept_line, *self.lines.values()]
        self.name_axes("time ridden [min]", upright)

    def frame(self, ride: Warming, kept: Warming | None) -> Frame:
        """Time of the longer ride; all values that are finite."""
        rides = [each for each in (ride, kept) if each is not None]
        values = np.concatenate([part for each in rides for part in map(self._shown, (each.run, each.other))])
        values = values[np.isfinite(values)]
        low, high = (float(values.min()), float(values.max())) if values.size else (0.0, 1.0)
        room = max(0.05 * (high - low), 0.01)
        end = max(float(each.run.time[-1]) for each in rides) / 60.0
        return Frame((0.0, end), rounded_limits(max(low - room, 0.0) if low >= 0.0 else low - room, high + room, 5))

    def show(self, ride: Warming, kept: Warming | None) -> None:
        """Let the lines follow the rides."""
        minutes = ride.run.time / 60.0
        self.lines[ride.with_reservoir].set_data(minutes, self._shown(ride.run))
        self.lines[not ride.with_reservoir].set_data(minutes, self._shown(ride.other))
        self.kept_line.set_data(*[kept.run.time / 60.0, self._shown(kept.run)] if kept is not None else NOTHING)

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        handles = [Line2D([], [], label=look.label, **look.line()) for look in (WITH_RESERVOIR, WITHOUT_RESERVOIR)]
        if with_kept:
            handles.append(Line2D([], [], label="kept ride", color=KEPT_GREY, linewidth=1.6))
        legend_above(self.axes, handles)


class WarmingPicture:
    """Oil temperature, above when the release test has settled and the drift in clicks."""

    narrowest, widest = 560, 1000

    def __init__(self) -> None:
        self.panels = [
            MinutesPanel("oil [°C]", lambda run: run.temperature - ZERO_CELSIUS),
            MinutesPanel("settled after [s]", settled),
            MinutesPanel("more open by [clicks]", drifts),
        ]
        self.resize(860)

    def resize(self, width: int, pixel_ratio: float = 1.0) -> None:
        """Fit another width [screen pixels]; the next drawing is a whole one."""
        for panel in self.panels:
            panel.resize(width, 210, pixel_ratio)

    def png(self, run: Warming, kept: Warming | None = None) -> bytes:
        """The picture of a ride as PNG."""
        return stacked([panel.draw(run, kept) for panel in self.panels])


@lru_cache(maxsize=16)
def _washboard(height: float) -> Road:
    return roads.washboard(height=height, bumps=BUMPS, run_in=1.0, run_out=3.0)


@dataclass(kw_only=True)
class WarmingTrial(Trial):
    """Minutes on a washboard track, with a reservoir and without."""

    picture: WarmingPicture = field(default_factory=WarmingPicture)
    cautions: Sequence[str] = RIDING_TEST
    adjusters: Sequence[str] = ("rebound", "low_speed")
    choices: Mapping[str, Choice] = field(
        default_factory=lambda: {
            "reservoir": Choice(label="Reservoir", options={"With a reservoir": "with", "Without one": "without"})
        }
    )
    settings: Mapping[str, Setting] = field(
        default_factory=lambda: {
            "minutes": Setting(label="Time ridden", unit="min", low=2, high=60, value=20),
            "speed": Setting(label="Speed", unit="km/h", low=10, high=50, value=25),
            "height": Setting(label="Bumps of the track", unit="mm", low=2, high=15, value=8),
            "air": Setting(label="Air temperature", unit="°C", low=-10, high=45, value=20),
        }
    )

    def __post_init__(self) -> None:
        self._settings: WeakKeyDictionary[Warming, dict[str, Any]] = WeakKeyDictionary()

    def suits(self, station: Station) -> bool:
        """Whether it has a wheel to ride on, and a damper described by its parts."""
        return isinstance(station.damper, HydraulicDamper) and station.wheel_radius is not None

    def run(self, station: Station, now: Mapping[str, Any]) -> Warming:
        """Ride, the damper as cold as the air at the start."""
        by_parts(station)
        air, speed, duration = ZERO_CELSIUS + now["air"], now["speed"] / 3.6, 60.0 * now["minutes"]
        ride = ride_until_warm(
            station.with_oil_temperature(air),
            Ride(_washboard(1e-3 * now["height"]), speed),
            reservoir=now["reservoir"] == "with",
            duration=duration,
            air_temperature=air,
            step=duration / INSTANTS,
        )
        self._settings[ride] = dict(now)
        return ride

    def title(self, run: Warming) -> str:
        """The ride."""
        now = self._settings[run]
        where = f"{now['minutes']} min at {now['speed']} km/h over {now['height']} mm"
        return f"{where}, air {now['air']} °C, {now['reservoir']} reservoir"

    def words(self, run: Warming) -> list[str]:
        """What the ride did to the oil, and the oil to the damper."""
        return read_warming(run)

    def compared(self, run: Warming, kept: Warming) -> list[str]:
        """What has changed."""
        if run.run.station.name != kept.run.station.name:
            return [ANOTHER_TEST]
        return compare_measures(warming_summary(run), warming_summary(kept))

    def measures(self, run: Warming) -> Sequence[Measure]:
        """Numbers of the ride."""
        return warming_summary(run)
